"""The exponential of a junction, on floats and arrays alike."""

from __future__ import annotations

from typing import Any, TypeAlias

import numpy as np

Number: TypeAlias = Any
"""A float or an ndarray of floats; all laws of the kernels work element by element."""

TOP = 80.0
"""Exponent above which the tangent replaces the exponential, which would overflow at 709. [-]"""


def exponential(v: Number, I_S: Number, V_n: Number) -> tuple[Number, Number]:
    r"""Current of an exponential junction and its slope.

    Parameters
    ----------
    v : float or ndarray
        Junction voltage. [V]
    I_S : float or ndarray
        Saturation current. [A]
    V_n : float or ndarray
        Thermal voltage times emission coefficient. [V]

    Returns
    -------
    tuple of (float, float) or of ndarray
        :math:`I_S (e^{v/V_n} - 1)` and its derivative; the tangent above 80 V_n. [A, S]

    References
    ----------
    Shockley, "The theory of p-n junctions in semiconductors and p-n junction transistors",
    Bell Syst. Tech. J. 28, 1949 (cited from memory).
    """
    x = v / V_n
    low = np.minimum(x, TOP)
    over = x - low
    rise = np.exp(low)
    return I_S * (np.expm1(low) + over * rise), I_S * rise / V_n
