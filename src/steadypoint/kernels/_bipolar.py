"""Transport model of the bipolar transistor on plain floats."""

from __future__ import annotations


def transport_currents(
    j_f: float, j_r: float, early: float, inv_beta: float, inv_beta_R: float
) -> tuple[float, float]:
    r"""Collector and base current from the two junction currents.

    Parameters
    ----------
    j_f, j_r : float
        :math:`I_S (e^{v/V_T} - 1)` of the base-emitter and base-collector junction. [A]
    early : float
        Base-width factor :math:`1 - v_{BC}/V_A`. [-]
    inv_beta, inv_beta_R : float
        Reciprocals of the forward and reverse current gain. [-]

    Returns
    -------
    tuple of (float, float)
        I_C and I_B of an npn, both into the terminal. [A]

    References
    ----------
    Ebers and Moll, "Large-signal behavior of junction transistors", Proc. IRE 42, 1954, in its
    transport form; Early, "Effects of space-charge layer widening", Proc. IRE 40, 1952 (both cited
    from memory).
    """
    I_C = (j_f - j_r) * early - j_r * inv_beta_R
    I_B = j_f * inv_beta + j_r * inv_beta_R
    return I_C, I_B


def transport_slopes(
    g_f: float, g_r: float, through: float, early: float, inv_V_A: float
) -> tuple[float, float]:
    """Slopes of the transport current j_f - j_r times its base-width factor.

    Parameters
    ----------
    g_f, g_r : float
        Slopes of the junction currents. [S]
    through : float
        Transport current j_f - j_r. [A]
    early : float
        Base-width factor. [-]
    inv_V_A : float
        Reciprocal of the Early voltage, 0 when there is none. [1/V]

    Returns
    -------
    tuple of (float, float)
        Derivatives with respect to v_BE and v_BC. [S]
    """
    return g_f * early, -g_r * early - through * inv_V_A
