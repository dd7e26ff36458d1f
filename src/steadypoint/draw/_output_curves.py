"""Output curves of a bipolar transistor at constant base current, on each rung."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from steadypoint.circuit import Part
from steadypoint.devices import BipolarData, bipolar_data, thermal_voltage
from steadypoint.draw._axes import nice_step
from steadypoint.solve import Model, OperatingPoint, Region

_SAMPLES: Final = 80


@dataclass(frozen=True, slots=True)
class Curve:
    """One output curve in magnitudes.

    Parameters
    ----------
    drive : float
        Base current, or V_GS of a field-effect transistor. [A or V]
    points : tuple of (float, float)
        Collector-emitter voltage [V] and collector current [A], or V_DS and I_D.
    beta : float
        Direct-current gain of the transistor; zero for a field-effect transistor. [-]
    symbol, unit : str
        Letter symbol and unit of the drive.
    """

    drive: float
    points: tuple[tuple[float, float], ...]
    beta: float
    symbol: str = "I_B"
    unit: str = "A"

    @property
    def end(self) -> float:
        """Current at the right end. [A]"""
        return self.points[-1][1]


def own_curve(part: Part, point: OperatingPoint, end: float) -> Curve | None:
    """The curve at the base current of the point; it goes through the point.

    Parameters
    ----------
    part : Part
        The transistor.
    point : OperatingPoint
        Solved circuit.
    end : float
        Largest collector-emitter voltage. [V]

    Returns
    -------
    Curve or None
        None when no base current flows.
    """
    data = bipolar_data(part.option)
    own = point.transistors[part.name]
    I_B, I_C, V_CE = abs(own.I_B), abs(own.I_C), abs(own.V_CE)
    if own.region in (Region.CUTOFF, Region.REVERSE) or I_B == 0.0:
        return None
    if point.model is Model.DEVICE:
        shape = _transport_shape(data, point.temperature)
        scale = I_C / shape(V_CE) if shape(V_CE) > 0 else data.beta * I_B
        return Curve(I_B, _sampled(lambda v: scale * shape(v), end), data.beta)
    saturated = own.region is Region.SATURATION
    gain = data.beta if saturated else I_C / I_B
    bent = _bent(data.V_CE_sat, gain * I_B, end, knee=I_C if saturated else None)
    return Curve(I_B, bent, data.beta)


def further_curves(
    part: Part, point: OperatingPoint, end: float, I_max: float, count: int = 5
) -> list[Curve]:
    """Curves at round base currents up to the top of the chart, clear of the point's own."""
    data = bipolar_data(part.option)
    step = nice_step(I_max / data.beta, count)
    own = abs(point.transistors[part.name].I_B)
    unit = _sampled(_transport_shape(data, point.temperature), end)
    out = []
    k = 1
    while k * step * data.beta < 0.97 * I_max:
        I_B = k * step
        k += 1
        if abs(I_B - own) < 0.45 * step:
            continue
        if point.model is Model.DEVICE:
            points = tuple((v, data.beta * I_B * i) for v, i in unit)
        else:
            points = _bent(data.V_CE_sat, data.beta * I_B, end, knee=None)
        out.append(Curve(I_B, points, data.beta))
    return out


def _bent(
    V_sat: float, I_C: float, end: float, *, knee: float | None
) -> tuple[tuple[float, float], ...]:
    """The straight pieces of the board's and the exact rung."""
    if knee is None:
        return (0.0, 0.0), (V_sat, I_C), (end, I_C)
    return (0.0, 0.0), (V_sat, knee), (V_sat, I_C), (end, I_C)


def _transport_shape(data: BipolarData, temperature: float) -> Callable[[float], float]:
    r"""Collector current over :math:`\beta I_B` against V_CE at constant base current.

    From the transport equations with :math:`k = e^{-V_{CE}/V_T}`:
    :math:`(1 - k(1 + 1/\beta_R)) / (1 + k\beta/\beta_R) \cdot (1 + V_{CE}/V_A)`, never negative.
    """
    V_T = thermal_voltage(temperature)

    def shape(V_CE: float) -> float:
        k = math.exp(-V_CE / V_T)
        early = 1.0 + V_CE / data.V_A
        ratio = (1.0 - k * (1.0 + 1.0 / data.beta_R)) / (1.0 + k * data.beta / data.beta_R)
        return max(0.0, ratio) * early

    return shape


def _sampled(law: Callable[[float], float], end: float) -> tuple[tuple[float, float], ...]:
    # Dense where the curve bends, near zero.
    volts = [end * (k / _SAMPLES) ** 3 for k in range(_SAMPLES + 1)]
    return tuple((v, law(v)) for v in volts)
