"""Resistors that depend on temperature: ordinary ones, NTC thermistors, silicon PTC sensors."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from steadypoint.devices._temperature import check_temperature, positive
from steadypoint.devices._thermal import NOMINAL_TEMPERATURE

SENSOR_LINEAR: Final = 7.88e-3
"""Linear coefficient of silicon temperature sensors at 25 °C (data sheets, from memory). [1/K]"""

SENSOR_QUADRATIC: Final = 1.937e-5
"""Quadratic coefficient of the same. [1/K²]"""


def linear_ratio(temperature: Any, coefficient: Any, quadratic: float = 0.0) -> Any:
    r"""Resistance at a temperature over that at 25 °C, by temperature coefficients.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the part. [K]
    coefficient : float or ndarray
        Linear coefficient. [1/K]
    quadratic : float, default 0.0
        Quadratic coefficient. [1/K²]

    Returns
    -------
    float or ndarray
        Ratio. [-]

    Notes
    -----
    .. math:: 1 + \alpha\Delta T + \beta\Delta T^2, \quad \Delta T = T - T_{25}
    """
    rise = temperature - NOMINAL_TEMPERATURE
    return 1.0 + coefficient * rise + quadratic * rise * rise


def ntc_ratio(temperature: Any, B: Any) -> Any:
    r"""Resistance of an NTC thermistor at a temperature over that at 25 °C.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the part. [K]
    B : float or ndarray
        B value. [K]

    Returns
    -------
    float or ndarray
        Ratio. [-]

    Notes
    -----
    .. math:: \exp\left(B (1/T - 1/T_{25})\right)

    References
    ----------
    IEC 60539-1, directly heated negative temperature coefficient thermistors (from memory).
    """
    return np.exp(B * (1.0 / temperature - 1.0 / NOMINAL_TEMPERATURE))


@dataclass(frozen=True, slots=True, kw_only=True)
class ResistorModel:
    r"""Resistor with a linear temperature coefficient.

    Parameters
    ----------
    R_25 : float
        Resistance at 25 °C. [Ω]
    coefficient : float, default 0.0
        Temperature coefficient; 100e-6 for 100 ppm/K. [1/K]

    Raises
    ------
    DeviceError
        If the resistance is not positive.

    Notes
    -----
    .. math:: R(T) = R_{25} (1 + \alpha (T - T_{25}))
    """

    R_25: float
    coefficient: float = 0.0

    def __post_init__(self) -> None:
        positive("the resistor", R_25=self.R_25)

    def at(self, temperature: float) -> float:
        """Resistance at a temperature.

        Parameters
        ----------
        temperature : float
            Temperature of the part. [K]

        Returns
        -------
        float
            Resistance. [Ω]

        Raises
        ------
        DeviceError
            Outside -65 °C to 200 °C, or if the law leaves no positive resistance.
        """
        R = self.R_25 * float(linear_ratio(check_temperature(temperature), self.coefficient))
        positive("the resistor at this temperature", R=R)
        return R


@dataclass(frozen=True, slots=True, kw_only=True)
class NtcModel:
    r"""Thermistor with a negative temperature coefficient, by its B value.

    Parameters
    ----------
    R_25 : float
        Resistance at 25 °C without self-heating. [Ω]
    B : float
        B value. [K]

    Raises
    ------
    DeviceError
        If a figure is not positive.

    Notes
    -----
    .. math:: R(T) = R_{25} \exp\left(B (1/T - 1/T_{25})\right)

    References
    ----------
    IEC 60539-1, directly heated negative temperature coefficient thermistors (from memory).
    """

    R_25: float
    B: float

    def __post_init__(self) -> None:
        positive("the NTC resistor", R_25=self.R_25, B=self.B)

    def at(self, temperature: float) -> float:
        """Resistance at a temperature.

        Parameters
        ----------
        temperature : float
            Temperature of the part. [K]

        Returns
        -------
        float
            Resistance. [Ω]

        Raises
        ------
        DeviceError
            Outside -65 °C to 200 °C.
        """
        check_temperature(temperature)
        return float(self.R_25 * ntc_ratio(temperature, self.B))


@dataclass(frozen=True, slots=True, kw_only=True)
class PtcModel:
    r"""Silicon resistor with a positive temperature coefficient (spreading-resistance sensor).

    Parameters
    ----------
    R_25 : float
        Resistance at 25 °C. [Ω]
    alpha : float, default 7.88e-3
        Linear coefficient. [1/K]
    quadratic : float, default 1.937e-5
        Quadratic coefficient. [1/K²]

    Raises
    ------
    DeviceError
        If the resistance is not positive.

    Notes
    -----
    .. math:: R(T) = R_{25}\left(1 + \alpha\Delta T + \beta\Delta T^2\right), \Delta T = T - T_{25}

    The coefficients are those that data sheets of silicon temperature sensors give (from memory);
    they hold from -55 °C to 100 °C. A switching PTC of ceramic follows another law and is not
    covered.
    """

    R_25: float
    alpha: float = SENSOR_LINEAR
    quadratic: float = SENSOR_QUADRATIC

    def __post_init__(self) -> None:
        positive("the PTC resistor", R_25=self.R_25)

    def at(self, temperature: float) -> float:
        """Resistance at a temperature.

        Parameters
        ----------
        temperature : float
            Temperature of the part. [K]

        Returns
        -------
        float
            Resistance. [Ω]

        Raises
        ------
        DeviceError
            Outside -65 °C to 200 °C, or if the law leaves no positive resistance.
        """
        T = check_temperature(temperature)
        R = self.R_25 * float(linear_ratio(T, self.alpha, self.quadratic))
        positive("the PTC resistor at this temperature", R=R)
        return R
