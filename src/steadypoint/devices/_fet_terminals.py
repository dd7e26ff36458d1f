"""Terminal values of a FET model: its series resistances are solved for by bisection."""

from __future__ import annotations

from steadypoint.devices._fet_model import FetModel
from steadypoint.errors import DeviceError
from steadypoint.kernels import static_fet


def drain_current(model: FetModel, V_GS: float, V_DS: float) -> float:
    """Drain current at the terminal voltages, in the signs of an n-channel type.

    Parameters
    ----------
    model : FetModel
        Transistor at its junction temperature.
    V_GS, V_DS : float
        Terminal voltages; V_DS is not negative. [V]

    Returns
    -------
    float
        Drain current. [A]
    """
    from scipy.optimize import brentq

    p, r_s, r = model.static, model.r_s, model.r_s + model.r_d

    def excess(i: float) -> float:
        return float(static_fet(V_GS - i * r_s, V_DS - i * r, p)[0]) - i

    top = float(static_fet(V_GS, V_DS, p)[0])
    if r == 0 or top <= 0:
        return top
    return float(brentq(excess, 0.0, top, xtol=1e-18, rtol=1e-14))


def transconductance(model: FetModel, V_GS: float, V_DS: float) -> tuple[float, float]:
    """Slopes of the drain current at the terminals.

    Parameters
    ----------
    model : FetModel
        Transistor at its junction temperature.
    V_GS, V_DS : float
        Terminal voltages. [V]

    Returns
    -------
    tuple of (float, float)
        g_m = dI_D/dV_GS and g_o = dI_D/dV_DS. [S]
    """
    i = drain_current(model, V_GS, V_DS)
    r_s, r = model.r_s, model.r_s + model.r_d
    _, _, g_m, g_ds, *_ = static_fet(V_GS - i * r_s, V_DS - i * r, model.static)
    feedback = 1.0 + g_m * r_s + g_ds * r
    return float(g_m / feedback), float(g_ds / feedback)


def gate_voltage(model: FetModel, I_D: float, V_DS: float | None) -> float:
    """Gate-source voltage at which a drain current flows.

    Parameters
    ----------
    model : FetModel
        Transistor at its junction temperature.
    I_D : float
        Drain current. [A]
    V_DS : float or None
        Drain-source voltage; None ties the drain to the gate. [V]

    Returns
    -------
    float
        V_GS. [V]

    Raises
    ------
    DeviceError
        If no gate voltage up to 100 V above the threshold brings the current about.
    """
    from scipy.optimize import brentq

    def excess(V_GS: float) -> float:
        drain = max(V_GS, 0.0) if V_DS is None else V_DS
        return drain_current(model, V_GS, drain) - I_D

    low, high = model.V_GS_th, model.V_GS_th + 1.0
    # The gate junction of a JFET does not take volts; an insulated gate does.
    top = 0.7 if model.gate == "junction" else model.V_GS_th + 100.0
    high = min(high, top)
    while excess(high) < 0:
        if high >= top:
            raise DeviceError(f"The FET cannot carry {I_D:.3g} A. Ask for a smaller current.")
        high = min(2.0 * high - low, top)
    return float(brentq(excess, low, high, xtol=1e-12))


def on_resistance(model: FetModel, V_GS: float, I_D: float) -> float:
    """Drain-source resistance of a conducting channel at a current.

    Parameters
    ----------
    model : FetModel
        Transistor at its junction temperature.
    V_GS : float
        Gate-source voltage. [V]
    I_D : float
        Drain current. [A]

    Returns
    -------
    float
        V_DS / I_D. [Ω]

    Raises
    ------
    DeviceError
        If the channel cannot carry the current.
    """
    from scipy.optimize import brentq

    if drain_current(model, V_GS, 1e3) < I_D:
        raise DeviceError(f"The FET cannot carry {I_D:.3g} A at this gate voltage.")
    V_DS = brentq(lambda v: drain_current(model, V_GS, v) - I_D, 0.0, 1e3, xtol=1e-12)
    return float(V_DS) / I_D


def body_voltage(model: FetModel, I_S: float) -> float:
    """Source-drain voltage of the body diode with the gate at the source.

    Parameters
    ----------
    model : FetModel
        Transistor at its junction temperature.
    I_S : float
        Current from source to drain. [A]

    Returns
    -------
    float
        V_SD. [V]
    """
    from math import log1p

    p = model.static
    return p.V_body * log1p(I_S / max(p.I_body, 1e-300)) + I_S * (model.r_s + model.r_d)
