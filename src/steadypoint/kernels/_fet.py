"""Square law of field-effect transistors, on floats and arrays.

References
----------
Shockley, "A unipolar field-effect transistor", Proc. IRE 40, 1952; Shichman and Hodges, "Modeling
and simulation of insulated-gate field-effect transistor switching circuits", IEEE J. Solid-State
Circuits 3, 1968 (both cited from memory).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from steadypoint.kernels._exponential import Number, exponential


class StaticFet(NamedTuple):
    """Numbers that the static law of an n-channel FET takes, at one temperature.

    Parameters
    ----------
    K : float
        Conductance parameter: I_D = K (v_GS - V_GS_th)² in saturation. [A/V²]
    V_GS_th : float
        Gate-source voltage at which the channel opens; negative for depletion types. [V]
    inv_V_A : float
        Channel-length modulation, the reciprocal of the Early voltage. [1/V]
    I_body : float
        Saturation current of the body diode; 0 for a JFET. [A]
    V_body : float
        Thermal voltage times emission coefficient of the body diode. [V]
    I_gate : float
        Saturation current of each half of the gate junction; 0 for an insulated gate. [A]
    V_T : float
        Thermal voltage. [V]
    """

    K: float
    V_GS_th: float
    inv_V_A: float
    I_body: float
    V_body: float
    I_gate: float
    V_T: float


def channel(v_GS: Number, v_DS: Number, p: StaticFet) -> tuple[Number, Number, Number]:
    r"""Channel current of an n-channel FET and its slopes.

    Parameters
    ----------
    v_GS, v_DS : float or ndarray
        Inner gate-source and drain-source voltage; drain and source change roles below zero. [V]
    p : StaticFet
        Numbers of the transistor.

    Returns
    -------
    tuple of three float or ndarray
        i_D and its derivatives with respect to v_GS and v_DS. [A, S, S]

    Notes
    -----
    With :math:`u = v_{GS} - V_{GS,th}` and :math:`x = \min(v_{DS}, u)`, for a conducting channel

    .. math:: i_D = K\, x\, (2u - x)(1 + v_{DS}/V_A),

    which is the triode region for x = v_DS and saturation for x = u.
    """
    side = np.where(v_DS < 0.0, -1.0, 1.0)
    v = np.abs(v_DS)
    u = np.maximum(v_GS - np.minimum(v_DS, 0.0) - p.V_GS_th, 0.0)
    x = np.minimum(v, u)
    stretch = 1.0 + v * p.inv_V_A
    i = p.K * x * (2.0 * u - x)
    g_m = 2.0 * p.K * x * stretch
    g_ds = 2.0 * p.K * (u - x) * stretch + i * p.inv_V_A
    # Below zero v_GS counts from the other end, so its slope joins that of v_DS.
    return side * i * stretch, side * g_m, g_ds + np.where(v_DS < 0.0, g_m, 0.0)


def static_fet(
    v_GS: Number, v_DS: Number, p: StaticFet
) -> tuple[Number, Number, Number, Number, Number, Number]:
    r"""Drain and gate current of an n-channel FET with their four slopes.

    Parameters
    ----------
    v_GS, v_DS : float or ndarray
        Inner gate-source and drain-source voltage. [V]
    p : StaticFet
        Numbers of the transistor.

    Returns
    -------
    tuple of six float or ndarray
        I_D and I_G, into the terminals; dI_D/dv_GS, dI_D/dv_DS, dI_G/dv_GS, dI_G/dv_DS. [A, S]

    Notes
    -----
    The body diode conducts from source to drain; the gate junction of a JFET from the gate to both
    ends of the channel.
    """
    i, g_m, g_ds = channel(v_GS, v_DS, p)
    i_body, g_body = exponential(-v_DS, p.I_body, p.V_body)
    i_GS, g_GS = exponential(v_GS, p.I_gate, p.V_T)
    i_GD, g_GD = exponential(v_GS - v_DS, p.I_gate, p.V_T)
    i_D = i - i_body - i_GD
    return i_D, i_GS + i_GD, g_m - g_GD, g_ds + g_body + g_GD, g_GS + g_GD, -g_GD
