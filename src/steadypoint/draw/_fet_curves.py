"""Curves of a field-effect transistor on each rung: output curves, transfer curve, boundary."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from steadypoint.circuit import Kind, Part
from steadypoint.devices import FetModel, fet_data
from steadypoint.draw._axes import nice_step
from steadypoint.draw._output_curves import Curve
from steadypoint.draw._stages import is_inverse
from steadypoint.solve import Model, OperatingPoint, Region

_SAMPLES: Final = 80
Places = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class SquareLaw:
    """Square law of a channel, as of an n-channel.

    Parameters
    ----------
    V_GS_th : float
        Gate-source voltage at which the channel opens. [V]
    K : float
        Conductance parameter. [A/V²]
    inv_V_A : float
        Channel-length modulation λ; zero below the device rung. [1/V]
    junction : bool
        True for a JFET, whose gate conducts above zero.
    """

    V_GS_th: float
    K: float
    inv_V_A: float
    junction: bool

    def current(self, V_GS: float, V_DS: float) -> float:
        """Drain current at V_DS ≥ 0. [A]"""
        over = max(V_GS - self.V_GS_th, 0.0)
        x = min(V_DS, over)
        return self.K * x * (2.0 * over - x) * (1.0 + self.inv_V_A * V_DS)

    def edge(self, V_DS: float) -> float:
        """Drain current where V_DS = V_GS - V_GS_th: triode to the left, saturation right. [A]"""
        return self.K * V_DS**2 * (1.0 + self.inv_V_A * V_DS)


def square_law(part: Part, point: OperatingPoint) -> SquareLaw:
    """Law of a transistor at the temperature of a point; below the device rung that of the data."""
    junction = part.kind in (Kind.N_JFET, Kind.P_JFET)
    sign = -1.0 if is_inverse(part.kind) else 1.0
    depletion = "depletion" in part.traits
    data = fet_data(part.option, sign, junction=junction, depletion=depletion)
    if point.model is not Model.DEVICE:
        return SquareLaw(data.V_GS_th, data.K, 0.0, junction)
    model = FetModel(
        channel="n" if sign > 0 else "p",
        gate="junction" if junction else "insulated",
        V_GS_th=data.V_GS_th,
        K=data.K,
        V_A=data.V_A,
    ).at(point.temperature)
    return SquareLaw(model.V_GS_th, model.K, 1.0 / model.V_A, junction)


def fet_own_curve(part: Part, point: OperatingPoint, end: float) -> Curve | None:
    """The curve at the V_GS of the point; it goes through the point.

    Parameters
    ----------
    part : Part
        The transistor.
    point : OperatingPoint
        Solved circuit.
    end : float
        Largest drain-source voltage. [V]

    Returns
    -------
    Curve or None
        None where the channel is closed, or turned round.
    """
    own = point.fets[part.name]
    if own.region in (Region.CUTOFF, Region.REVERSE):
        return None
    law = square_law(part, point)
    sign = -1.0 if is_inverse(part.kind) else 1.0
    return _curve(part, law, sign * own.V_GS, end)


def fet_further_curves(
    part: Part, point: OperatingPoint, end: float, I_max: float, count: int = 6
) -> list[Curve]:
    """Curves at round V_GS up to the top of the chart, clear of the point's own."""
    law = square_law(part, point)
    sign = -1.0 if is_inverse(part.kind) else 1.0
    top = law.V_GS_th + math.sqrt(I_max / law.K)
    if law.junction:
        top = min(top, 0.0)
    own = sign * point.fets[part.name].V_GS
    step = nice_step(max(top - law.V_GS_th, 1e-3), count)
    out = []
    for k in range(math.floor(law.V_GS_th / step) + 1, math.floor(top / step + 1e-9) + 1):
        V_GS = k * step
        I_end = law.current(V_GS, end)
        if abs(V_GS - own) < 0.45 * step or not 0.02 * I_max < I_end < 0.97 * I_max:
            continue
        out.append(_curve(part, law, V_GS, end))
    return out


def boundary(part: Part, point: OperatingPoint, V_end: float, I_end: float) -> Places:
    """The parabola V_DS = V_GS - V_GS_th up to where it leaves the chart."""
    law = square_law(part, point)
    out: list[tuple[float, float]] = []
    for k in range(_SAMPLES + 1):
        V = V_end * (k / _SAMPLES) ** 2
        if law.edge(V) > I_end:
            low, high = out[-1][0] if out else 0.0, V
            for _ in range(40):
                middle = 0.5 * (low + high)
                low, high = (middle, high) if law.edge(middle) < I_end else (low, middle)
            out.append((low, I_end))
            break
        out.append((V, law.edge(V)))
    return tuple(out)


def _curve(part: Part, law: SquareLaw, V_GS: float, end: float) -> Curve:
    over = max(V_GS - law.V_GS_th, 0.0)
    bend = min(over, end)
    volts = [bend * k / _SAMPLES for k in range(_SAMPLES + 1)]
    if bend < end:
        volts.append(end)
    symbol = "V_SG" if is_inverse(part.kind) else "V_GS"
    # + 0.0: no minus before a zero
    return Curve(V_GS + 0.0, tuple((v, law.current(V_GS, v)) for v in volts), 0.0, symbol, "V")
