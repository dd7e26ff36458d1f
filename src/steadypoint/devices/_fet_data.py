"""Square-law data of field-effect transistors, with the defaults for what a sheet leaves unsaid."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from steadypoint.devices._data import Lookup

DEFAULT_I_DSS: Final = 10e-3
"""I_DSS of a depletion type where nothing is stated; common practice, no source. [A]"""

DEFAULT_V_GS_OFF: Final = -4.0
"""V_GS_off of an n-channel depletion type; common practice, no source. [V]"""

DEFAULT_V_GS_TH: Final = 2.0
"""V_GS_th of an n-channel enhancement type; common practice, no source. [V]"""

DEFAULT_K: Final = 0.5e-3
"""K of an enhancement type; common practice, no source. [A/V²]"""


@dataclass(frozen=True, slots=True)
class FetData:
    """Data of a field-effect transistor, in the signs of an n-channel type.

    Parameters
    ----------
    V_GS_th : float
        Gate-source voltage at which the channel opens: V_GS_off of a depletion type. [V]
    K : float
        Conductance parameter: I_D = K (V_GS - V_GS_th)² in saturation. [A/V²]
    V_A : float
        Early voltage of the channel, 1/λ; infinite when not stated. [V]
    junction : bool
        True for a JFET, whose gate is a junction.
    """

    V_GS_th: float
    K: float
    V_A: float
    junction: bool

    @property
    def I_DSS(self) -> float:
        """Drain current at V_GS = 0 in saturation, zero for an enhancement type. [A]"""
        return self.K * min(self.V_GS_th, 0.0) ** 2


def fet_data(
    option: Lookup, sign: float = 1.0, *, junction: bool, depletion: bool = False
) -> FetData:
    """Complete what a sheet states of a field-effect transistor.

    Parameters
    ----------
    option : callable
        Looks up ``V_GS_off``, ``I_DSS``, ``V_GS_th``, ``K``, ``I_D_on`` with ``V_GS_on``, ``V_A``
        and ``lambda``; gate voltages in the signs of the channel.
    sign : float, default 1.0
        -1 for a p-channel type. [-]
    junction : bool
        True for a JFET.
    depletion : bool, default False
        True for a depletion MOSFET.

    Returns
    -------
    FetData
        Stated data and defaults, in the signs of an n-channel type.
    """
    normally_on = junction or depletion
    opens = option("V_GS_off")
    opens = option("V_GS_th") if opens is None else opens
    if opens is None:
        V_GS_th = DEFAULT_V_GS_OFF if normally_on else DEFAULT_V_GS_TH
    else:
        V_GS_th = sign * opens
    V_A, modulation = option("V_A"), option("lambda")
    if V_A is None:
        V_A = 1.0 / modulation if modulation else math.inf
    return FetData(V_GS_th, _conductance(option, sign, V_GS_th, normally_on), V_A, junction)


def _conductance(option: Lookup, sign: float, V_GS_th: float, normally_on: bool) -> float:
    """K as stated, or from I_D_on at V_GS_on, or from I_DSS."""
    K, I_D_on, V_GS_on = option("K"), option("I_D_on"), option("V_GS_on")
    if I_D_on is not None and V_GS_on is not None:
        return I_D_on / (sign * V_GS_on - V_GS_th) ** 2
    I_DSS = option("I_DSS")
    if normally_on and (K is None or I_DSS is not None):
        return (DEFAULT_I_DSS if I_DSS is None else I_DSS) / V_GS_th**2
    return DEFAULT_K if K is None else K
