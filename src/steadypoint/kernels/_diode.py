"""Static law of diodes with breakdown, on floats and arrays."""

from __future__ import annotations

import numpy as np

from steadypoint.kernels._exponential import Number, exponential


def static_diode(
    v: Number, I_S: float, V_n: float, V_Z: float, I_Z: float, V_slope: float
) -> tuple[Number, Number]:
    r"""Current of a diode or zener and its slope.

    Parameters
    ----------
    v : float or ndarray
        Voltage from anode to cathode, behind the series resistance. [V]
    I_S : float
        Saturation current. [A]
    V_n : float
        Thermal voltage times emission coefficient. [V]
    V_Z : float
        Breakdown voltage at ``I_Z``. [V]
    I_Z : float
        Test current of the breakdown, 0 when there is none. [A]
    V_slope : float
        Voltage over which the breakdown current grows e-fold: r_Z I_Z. [V]

    Returns
    -------
    tuple of two float or ndarray
        i and di/dv. [A, S]

    Notes
    -----
    Shockley's law and an exponential breakdown, both zero at v = 0:

    .. math::
        i = I_S (e^{v/V_n} - 1) - I_Z e^{-V_Z/V_{slope}} (e^{-v/V_{slope}} - 1)
    """
    i, g = exponential(v, I_S, V_n)
    i_Z, g_Z = exponential(-v - V_Z, I_Z, V_slope)
    return i - (i_Z + I_Z - I_Z * np.exp(-V_Z / V_slope)), g + g_Z
