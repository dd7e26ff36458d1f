"""Static law of the bipolar transistor after the charge-control model, on floats and arrays.

The base charge relative to its value at zero bias divides the transport current: it grows with the
current (knee) and shrinks with the voltages that widen the depletion layers (Early).

References
----------
Gummel and Poon, "An integral charge control model of bipolar transistors", Bell Syst. Tech. J. 49,
1970; Early, "Effects of space-charge layer widening in junction transistors", Proc. IRE 40, 1952;
Sah, Noyce and Shockley, "Carrier generation and recombination in p-n junctions", Proc. IRE 45, 1957
(all cited from memory).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from steadypoint.kernels._exponential import Number, exponential


class StaticBipolar(NamedTuple):
    """Numbers that the static law of a bipolar transistor takes, at one temperature.

    Parameters
    ----------
    I_S : float
        Transport saturation current. [A]
    V_F : float
        Thermal voltage times emission coefficient of the transport current. [V]
    inv_beta_F, inv_beta_R : float
        Reciprocals of the ideal forward and reverse current gain. [-]
    inv_V_A, inv_V_A_R : float
        Reciprocals of the forward and reverse Early voltage; 0 when there is none. [1/V]
    inv_I_knee : float
        Reciprocal of the knee current; 0 when there is none. [1/A]
    I_leak : float
        Saturation current of the base leakage, which makes beta fall at small currents. [A]
    V_leak : float
        Thermal voltage times emission coefficient of the base leakage. [V]
    I_CBO : float
        Collector-base leakage. [A]
    V_T : float
        Thermal voltage. [V]
    """

    I_S: float
    V_F: float
    inv_beta_F: float
    inv_beta_R: float
    inv_V_A: float
    inv_V_A_R: float
    inv_I_knee: float
    I_leak: float
    V_leak: float
    I_CBO: float
    V_T: float


def transport(v_BE: Number, v_BC: Number, p: StaticBipolar) -> tuple[Number, Number, Number]:
    r"""Transport current from collector to emitter and its slopes.

    Parameters
    ----------
    v_BE, v_BC : float or ndarray
        Voltages of the inner junctions, positive when they conduct. [V]
    p : StaticBipolar
        Numbers of the transistor.

    Returns
    -------
    tuple of three float or ndarray
        i_T and its derivatives with respect to v_BE and v_BC. [A, S, S]

    Notes
    -----
    .. math::
        i_T = (i_F - i_R)\, \frac{1 - v_{BC}/V_A - v_{BE}/V_{A,R}}
              {\tfrac12 + \sqrt{\tfrac14 + (i_F + i_R)/I_{knee}}}

    Holds while the numerator is positive: v_BC below V_A and v_BE below V_A_R.
    """
    i_F, g_F = exponential(v_BE, p.I_S, p.V_F)
    i_R, g_R = exponential(v_BC, p.I_S, p.V_F)
    early = 1.0 - v_BC * p.inv_V_A - v_BE * p.inv_V_A_R
    root = np.sqrt(0.25 + np.maximum(i_F + i_R, 0.0) * p.inv_I_knee)
    charge = 0.5 + root
    i_T = (i_F - i_R) * early / charge
    fall = 0.5 * p.inv_I_knee * i_T / (root * charge)
    widening = (i_F - i_R) / charge
    d_BE = g_F * (early / charge - fall) - widening * p.inv_V_A_R
    d_BC = -g_R * (early / charge + fall) - widening * p.inv_V_A
    return i_T, d_BE, d_BC


def static_bipolar(
    v_BE: Number, v_BC: Number, p: StaticBipolar
) -> tuple[Number, Number, Number, Number, Number, Number]:
    r"""Collector and base current of an npn with their four slopes.

    Parameters
    ----------
    v_BE, v_BC : float or ndarray
        Voltages of the inner junctions, behind the series resistances. [V]
    p : StaticBipolar
        Numbers of the transistor.

    Returns
    -------
    tuple of six float or ndarray
        I_C and I_B, into the terminals; dI_C/dv_BE, dI_C/dv_BC, dI_B/dv_BE, dI_B/dv_BC. [A, S]

    Notes
    -----
    .. math::
        I_B &= i_F/\beta_F + I_{leak}(e^{v_{BE}/n_{leak} V_T} - 1) + i_{BC} \\
        I_C &= i_T - i_{BC}, \quad i_{BC} = i_R/\beta_R + I_{CBO} \tanh(v_{BC}/2V_T)

    The collector-base leakage reaches I_CBO in reverse and is bounded forward, so that a leakage
    from a data sheet makes no diode of the saturated transistor (form of our own).
    """
    i_T, t_BE, t_BC = transport(v_BE, v_BC, p)
    i_F, g_F = exponential(v_BE, p.I_S, p.V_F)
    i_R, g_R = exponential(v_BC, p.I_S, p.V_F)
    i_leak, g_leak = exponential(v_BE, p.I_leak, p.V_leak)
    tanh = np.tanh(0.5 * v_BC / p.V_T)
    i_BC = i_R * p.inv_beta_R + p.I_CBO * tanh
    g_BC = g_R * p.inv_beta_R + 0.5 * p.I_CBO * (1.0 - tanh * tanh) / p.V_T
    i_B = i_F * p.inv_beta_F + i_leak + i_BC
    return i_T - i_BC, i_B, t_BE, t_BC - g_BC, g_F * p.inv_beta_F + g_leak, g_BC
