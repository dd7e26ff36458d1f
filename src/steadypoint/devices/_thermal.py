"""Thermal voltage and the temperature law of the saturation current."""

from __future__ import annotations

import math
from typing import Final

BOLTZMANN: Final = 1.380649e-23
"""Boltzmann constant k, exact since 2019 (SI Brochure, 9th edition, section 2.2). [J/K]"""

ELEMENTARY_CHARGE: Final = 1.602176634e-19
"""Elementary charge e, exact since 2019 (same place). [C]"""

NOMINAL_TEMPERATURE: Final = 298.15
"""Temperature at which stated data hold when nothing else is said: 25 °C. [K]"""

GAP_VOLTAGE: Final = 1.205
"""Bandgap voltage of silicon extrapolated linearly to 0 K. [V]

Gray, Hurst, Lewis, Meyer, *Analysis and Design of Analog Integrated Circuits*, bandgap references
(value from memory).
"""

TEMPERATURE_EXPONENT: Final = 3.2
"""Exponent γ of the law I_S ∝ T^γ exp(-V_G0/V_T), same source (from memory). [-]"""


def thermal_voltage(temperature: float) -> float:
    r"""Thermal voltage kT/e.

    Parameters
    ----------
    temperature : float
        Junction temperature. [K]

    Returns
    -------
    float
        V_T. [V]

    Raises
    ------
    ValueError
        If the temperature is not above absolute zero.

    References
    ----------
    SI Brochure, 9th edition, 2019 (k and e are exact).

    Examples
    --------
    >>> round(1e3 * thermal_voltage(300.0), 3)
    25.852
    """
    if not temperature > 0:
        raise ValueError("A temperature lies above 0 K.")
    return BOLTZMANN * temperature / ELEMENTARY_CHARGE


def saturation_current(V_on: float, I_on: float = 1e-3, *, n: float = 1.0) -> float:
    """Saturation current of a junction that drops ``V_on`` at ``I_on`` and 25 °C.

    Parameters
    ----------
    V_on : float
        Junction voltage at ``I_on``. [V]
    I_on : float, default 1e-3
        Junction current. [A]
    n : float, default 1.0
        Emission coefficient. [-]

    Returns
    -------
    float
        I_S at 25 °C. [A]

    Notes
    -----
    Shockley's law solved for its coefficient.

    .. math:: I_S = I_{on} / (e^{V_{on}/n V_T} - 1)
    """
    return I_on / math.expm1(V_on / (n * thermal_voltage(NOMINAL_TEMPERATURE)))


def saturation_current_at(I_S: float, temperature: float, *, n: float = 1.0) -> float:
    r"""Saturation current carried from 25 °C to another temperature.

    Parameters
    ----------
    I_S : float
        Saturation current at 25 °C. [A]
    temperature : float
        Junction temperature. [K]
    n : float, default 1.0
        Emission coefficient. [-]

    Returns
    -------
    float
        I_S at ``temperature``. [A]

    Notes
    -----
    The fall of V_BE with temperature at constant current, about -2 mV/K, is no datum: it follows.

    .. math::
        I_S(T) = I_S(T_0) \left[(T/T_0)^\gamma
        \exp\left(V_{G0}/V_T(T_0) - V_{G0}/V_T(T)\right)\right]^{1/n}
    """
    V_T0 = thermal_voltage(NOMINAL_TEMPERATURE)
    V_T = thermal_voltage(temperature)
    exponent = TEMPERATURE_EXPONENT * math.log(temperature / NOMINAL_TEMPERATURE)
    exponent += GAP_VOLTAGE / V_T0 - GAP_VOLTAGE / V_T
    return I_S * math.exp(exponent / n)
