"""Terminal values of a bipolar model at a given collector current, by Newton's method."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from steadypoint.devices._bipolar_model import BipolarModel
from steadypoint.errors import DeviceError
from steadypoint.kernels import static_bipolar

_STEPS = 200
_CLOSE = 1e-12  # relative, of both currents

Equations = Callable[[float, float], tuple[float, float, float, float, float, float]]


@dataclass(frozen=True, slots=True)
class BipolarBias:
    """Terminal values of a transistor at one bias; magnitudes for both polarities.

    Parameters
    ----------
    I_C, I_B : float
        Collector and base current. [A]
    V_BE, V_CE : float
        Terminal voltages. [V]
    g_m : float
        Transconductance dI_C/dv_BE at constant inner v_CE, without series resistances. [S]
    g_o : float
        Output conductance dI_C/dv_CE at constant base current, without series resistances. [S]
    """

    I_C: float
    I_B: float
    V_BE: float
    V_CE: float
    g_m: float
    g_o: float

    @property
    def h_FE(self) -> float:
        """Direct-current gain I_C/I_B. [-]"""
        return self.I_C / self.I_B


def bias_at(model: BipolarModel, I_C: float, V_CE: float) -> BipolarBias:
    """Bias at which a transistor carries a collector current at a collector-emitter voltage.

    Parameters
    ----------
    model : BipolarModel
        Transistor at its junction temperature.
    I_C : float
        Collector current. [A]
    V_CE : float
        Collector-emitter voltage at the terminals. [V]

    Returns
    -------
    BipolarBias
        Terminal values.

    Raises
    ------
    DeviceError
        If the transistor cannot carry this current at this voltage.
    """
    p = model.static

    def equations(v_BE: float, v_BC: float) -> tuple[float, float, float, float, float, float]:
        i_C, i_B, cc, cb, bb, bc = static_bipolar(v_BE, v_BC, p)
        if i_C <= 0:
            return math.inf, 0.0, 0.0, 0.0, 0.0, 0.0
        drop = I_C * model.r_c + (I_C + i_B) * model.r_e
        loop = (v_BE - v_BC + drop - V_CE) / p.V_F
        d_BE, d_BC = 1.0 + bb * model.r_e, -1.0 + bc * model.r_e
        return math.log(i_C / I_C), loop, cc / i_C, cb / i_C, d_BE / p.V_F, d_BC / p.V_F

    start = p.V_F * math.log1p(I_C / p.I_S)
    v = _newton(equations, start, start - V_CE, p.V_F)
    if v is None:
        raise DeviceError(
            f"The transistor cannot carry {I_C:.3g} A at a collector-emitter voltage of "
            f"{V_CE:.3g} V. Ask for a smaller current or a larger voltage."
        )
    return _bias(model, *v)


def saturated_at(model: BipolarModel, I_C: float, I_B: float) -> BipolarBias:
    """Bias of a transistor whose collector and base current are both given.

    Parameters
    ----------
    model : BipolarModel
        Transistor at its junction temperature.
    I_C, I_B : float
        Collector and base current. [A]

    Returns
    -------
    BipolarBias
        Terminal values, V_CE among them.

    Raises
    ------
    DeviceError
        If the base current cannot bring the collector current about.
    """
    p = model.static

    def equations(v_BE: float, v_BC: float) -> tuple[float, float, float, float, float, float]:
        i_C, i_B, cc, cb, bb, bc = static_bipolar(v_BE, v_BC, p)
        if i_C <= 0 or i_B <= 0:
            return math.inf, 0.0, 0.0, 0.0, 0.0, 0.0
        return math.log(i_C / I_C), math.log(i_B / I_B), cc / i_C, cb / i_C, bb / i_B, bc / i_B

    start = p.V_F * math.log1p(I_C / p.I_S)
    v = _newton(equations, start, start - 4.0 * p.V_F, p.V_F)
    if v is None:
        raise DeviceError(
            f"A base current of {I_B:.3g} A does not bring {I_C:.3g} A of collector current about. "
            "Ask for a larger base current."
        )
    return _bias(model, *v)


def _newton(
    equations: Equations, v_BE: float, v_BC: float, V_F: float
) -> tuple[float, float] | None:
    """Both junction voltages, or None when the search does not settle."""
    f, g, a, b, c, d = equations(v_BE, v_BC)
    for _ in range(_STEPS):
        if abs(f) < _CLOSE and abs(g) < _CLOSE:
            return v_BE, v_BC
        det = a * d - b * c
        if not (math.isfinite(f) and det):
            return None
        dx, dy = (b * g - d * f) / det, (c * f - a * g) / det
        scale = min(1.0, 8.0 * V_F / max(abs(dx), 1e-30), 400.0 * V_F / max(abs(dy), 1e-30))
        size = max(abs(f), abs(g))
        for _ in range(40):
            new = equations(v_BE + scale * dx, v_BC + scale * dy)
            if max(abs(new[0]), abs(new[1])) < size:
                break
            scale *= 0.5
        else:
            return (v_BE, v_BC) if size < 1e-8 else None
        v_BE, v_BC = v_BE + scale * dx, v_BC + scale * dy
        f, g, a, b, c, d = new
    return None


def _bias(model: BipolarModel, v_BE: float, v_BC: float) -> BipolarBias:
    values = static_bipolar(v_BE, v_BC, model.static)
    i_C, i_B, cc, cb, bb, bc = (float(x) for x in values)
    v_BE, v_BC = float(v_BE), float(v_BC)
    drop = (i_C + i_B) * model.r_e
    # With v_CE the second variable: dI_C/dv_BE = cc + cb, dI_C/dv_CE = -cb, and so for I_B.
    g_m, r_B = cc + cb, bb + bc
    return BipolarBias(
        I_C=i_C,
        I_B=i_B,
        V_BE=v_BE + i_B * model.r_b + drop,
        V_CE=v_BE - v_BC + i_C * model.r_c + drop,
        g_m=g_m,
        g_o=-cb + g_m * bc / r_B,
    )
