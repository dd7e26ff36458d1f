"""Model data of the parts, with the defaults for what a sheet leaves unsaid."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from steadypoint.devices._thermal import saturation_current

DEFAULT_BETA: Final = 100.0
DEFAULT_BETA_R: Final = 1.0
DEFAULT_V_BE: Final = 0.7
DEFAULT_V_CE_SAT: Final = 0.2
DEFAULT_V_F: Final = 0.7
ZENER_TEST_CURRENT: Final = 5e-3
"""Current at which a zener has its stated voltage; common practice for small types. [A]"""

Lookup = Callable[[str], float | None]
"""Gives the stated value of an option in SI units, or None."""


@dataclass(frozen=True, slots=True)
class BipolarData:
    """Data of a bipolar transistor, magnitudes for both polarities.

    Parameters
    ----------
    beta, beta_R : float
        Forward and reverse DC current gain. [-]
    V_BE : float
        Constant base-emitter drop of the ``board`` and ``exact`` rungs. [V]
    V_CE_sat : float
        Constant collector-emitter drop in saturation. [V]
    V_A : float
        Early voltage, infinite when not stated. [V]
    I_S : float
        Saturation current at 25 °C. [A]
    n : float
        Emission coefficient. [-]
    I_CBO : float
        Leakage from collector to base. [A]
    log_law : bool
        True when the sheet states I_S and no V_BE: the ``exact`` rung then takes
        V_BE = V_T ln(I_C/I_S) instead of a constant.
    """

    beta: float
    beta_R: float
    V_BE: float
    V_CE_sat: float
    V_A: float
    I_S: float
    n: float
    I_CBO: float
    log_law: bool


def bipolar_data(option: Lookup) -> BipolarData:
    """Complete what a sheet states of a transistor.

    Parameters
    ----------
    option : callable
        Looks up ``beta``, ``beta_R``, ``V_BE``, ``V_CE_sat``, ``V_A``, ``I_S``, ``n`` and
        ``I_CBO``.

    Returns
    -------
    BipolarData
        Stated data and defaults. A V_CE_sat that is not stated is 0.2 V, but never above V_BE, so
        that "V_BE neglected" makes no battery of a transistor.
    """
    stated_V_BE, stated_I_S = option("V_BE"), option("I_S")
    V_BE = DEFAULT_V_BE if stated_V_BE is None else stated_V_BE
    V_CE_sat = option("V_CE_sat")
    beta, beta_R, V_A = option("beta"), option("beta_R"), option("V_A")
    n = option("n") or 1.0
    if stated_I_S is None:
        stated_I_S = saturation_current(V_BE if V_BE > 0 else DEFAULT_V_BE, n=n)
        log_law = False
    else:
        log_law = stated_V_BE is None
    return BipolarData(
        beta=DEFAULT_BETA if beta is None else beta,
        beta_R=DEFAULT_BETA_R if beta_R is None else beta_R,
        V_BE=V_BE,
        V_CE_sat=min(DEFAULT_V_CE_SAT, V_BE) if V_CE_sat is None else V_CE_sat,
        V_A=math.inf if V_A is None else V_A,
        I_S=stated_I_S,
        n=n,
        I_CBO=option("I_CBO") or 0.0,
        log_law=log_law,
    )


@dataclass(frozen=True, slots=True)
class DiodeData:
    """Data of a diode or zener.

    Parameters
    ----------
    V_F : float
        Constant forward drop of the ``board`` and ``exact`` rungs. [V]
    I_S : float
        Saturation current at 25 °C. [A]
    n : float
        Emission coefficient. [-]
    V_Z : float
        Breakdown voltage, infinite for a plain diode. [V]
    I_Z : float
        Current at which the breakdown voltage is V_Z. [A]
    r_Z : float
        Differential resistance in breakdown: the straight piece is V_Z + r_Z I. [Ω]
    drift : float
        What the ``device`` rung adds to V_Z at the temperature, by the usual coefficient of the
        voltage; zero where the sheet states one, which V_Z then holds. [V]
    """

    V_F: float
    I_S: float
    n: float
    V_Z: float
    I_Z: float
    r_Z: float
    drift: float = 0.0


def diode_data(option: Lookup, V_Z: float = math.inf) -> DiodeData:
    """Complete what a sheet states of a diode or zener.

    Parameters
    ----------
    option : callable
        Looks up ``V_F``, ``I_S``, ``n``, ``I_Z`` and ``r_Z``.
    V_Z : float, default inf
        Breakdown voltage. [V]

    Returns
    -------
    DiodeData
        Stated data and defaults; I_S follows from V_F at 1 mA and 25 °C when it is not stated.
    """
    V_F, n, I_S, I_Z = option("V_F"), option("n"), option("I_S"), option("I_Z")
    V_F = DEFAULT_V_F if V_F is None else V_F
    n = 1.0 if n is None else n
    if I_S is None:
        I_S = saturation_current(V_F if V_F > 0 else DEFAULT_V_F, n=n)
    I_Z = ZENER_TEST_CURRENT if I_Z is None else I_Z
    return DiodeData(V_F=V_F, I_S=I_S, n=n, V_Z=V_Z, I_Z=I_Z, r_Z=option("r_Z") or 0.0)
