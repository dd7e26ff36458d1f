"""Junction laws on plain floats."""

from __future__ import annotations

from math import exp, log1p


def junction(v: float, I_S: float, V_T: float, v_top: float) -> tuple[float, float]:
    r"""Exponential current of a junction and its slope, continued by the tangent at the top.

    Parameters
    ----------
    v : float
        Junction voltage. [V]
    I_S : float
        Saturation current. [A]
    V_T : float
        Thermal voltage times emission coefficient. [V]
    v_top : float
        Voltage at which the current is 1 kA; above it the tangent replaces the exponential, which
        would overflow near 18 V at 300 K. [V]

    Returns
    -------
    tuple of (float, float)
        :math:`I_S e^{v/V_T}` and its derivative. [A, S]

    Examples
    --------
    >>> current, slope = junction(0.0, 1e-14, 0.03125, 1.0)
    >>> current, slope
    (1e-14, 3.2e-13)
    """
    if v > v_top:
        i_top = I_S * exp(v_top / V_T)
        return i_top * (1.0 + (v - v_top) / V_T), i_top / V_T
    i = I_S * exp(v / V_T)
    return i, i / V_T


def leakage(v: float, I_CBO: float, V_T: float, g: float) -> tuple[float, float]:
    r"""Leakage of a blocking junction and its slope.

    Parameters
    ----------
    v : float
        Junction voltage. [V]
    I_CBO : float
        Leakage at a reverse voltage of many V_T. [A]
    V_T : float
        Thermal voltage. [V]
    g : float
        Conductance beside it. [S]

    Returns
    -------
    tuple of (float, float)
        :math:`I_{CBO}\,v/(|v| + 2V_T) + g v` and its derivative: the saturating leakage of a
        reverse junction without the exponential that belongs to the forward one. [A, S]

    Examples
    --------
    >>> leakage(-10.0, 1e-9, 0.0, 0.0)[0]
    -1e-09
    """
    if I_CBO == 0.0:
        return g * v, g
    span = abs(v) + 2.0 * V_T
    return I_CBO * v / span + g * v, I_CBO * 2.0 * V_T / (span * span) + g


def limited(v: float, v_old: float, V_T: float, v_on: float) -> float:
    r"""Limit the step of a junction voltage so that its current follows the tangent.

    Parameters
    ----------
    v : float
        Voltage that Newton's step asks for. [V]
    v_old : float
        Voltage of the last step. [V]
    V_T : float
        Thermal voltage times emission coefficient. [V]
    v_on : float
        Voltage at which the junction carries 100 µA. A rising step counts from here; a falling one
        is limited only above ten V_T below. [V]

    Returns
    -------
    float
        :math:`v_0 + V_T \ln(1 + \Delta v/V_T)` where the step passes half of V_T, else ``v``: the
        step that has the current, not the voltage, follow its tangent. The current falls to a
        hundredth at most. [V]

    Examples
    --------
    >>> limited(0.61, 0.6, 0.025, 0.5)
    0.61
    >>> round(limited(2.0, 0.6, 0.025, 0.5), 4)
    0.7011
    """
    if v > v_old:
        base = max(v_old, v_on)
        step = (v - base) / V_T
        return base + V_T * log1p(step) if step > 0.5 else v
    step = (v - v_old) / V_T
    if step < -0.5 and v_old > v_on - 10.0 * V_T:
        return v_old + V_T * log1p(max(step, -0.99))
    return v
