"""Models of diodes, zener diodes and light-emitting diodes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, Final

import numpy as np

from steadypoint.devices._records import read_data
from steadypoint.devices._temperature import (
    SILICON,
    Material,
    activation,
    check_temperature,
    not_negative,
    positive,
    voltage_or_none,
)
from steadypoint.devices._thermal import (
    NOMINAL_TEMPERATURE,
    saturation_current,
    thermal_voltage,
)
from steadypoint.errors import DeviceError, UnknownNameError, did_you_mean
from steadypoint.kernels import static_diode

LED_EMISSION: Final = 2.0
"""Emission coefficient of a light-emitting diode: recombination in the junction (common practice,
from memory). [-]"""

GAP_SHRINKAGE: Final = 0.13
"""What the gap of a light-emitting diode shrinks from 0 K to room temperature along its tangent,
the 0.45 mV/K of gallium arsenide (from memory) times 298 K. The wavelength tells the gap at room
temperature; the temperature law wants that at 0 K. [V]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class DiodeModel:
    """Static model of a diode: Shockley's law, a series resistance and a breakdown.

    Parameters
    ----------
    I_S : float
        Saturation current. [A]
    n : float, default 1.0
        Emission coefficient. [-]
    r_s : float, default 0.0
        Series resistance. [Ω]
    V_Z : float, default inf
        Breakdown voltage at ``I_Z``; infinite for a diode that does not break down. [V]
    I_Z : float, default 5e-3
        Test current of the breakdown. [A]
    r_Z : float, default 10.0
        Differential resistance at the test current. [Ω]
    V_Z_slope : float, default 0.0
        Temperature coefficient of the breakdown voltage. [V/K]
    material : Material, default silicon
        Semiconductor, for the temperature law.
    temperature : float, default 298.15
        Junction temperature at which all figures hold. [K]

    Raises
    ------
    DeviceError
        If a figure makes no physics.
    """

    I_S: float
    n: float = 1.0
    r_s: float = 0.0
    V_Z: float = math.inf
    I_Z: float = 5e-3
    r_Z: float = 10.0
    V_Z_slope: float = 0.0
    material: Material = SILICON
    temperature: float = NOMINAL_TEMPERATURE

    def __post_init__(self) -> None:
        positive("the diode", I_S=self.I_S, n=self.n, I_Z=self.I_Z, r_Z=self.r_Z)
        not_negative("the diode", r_s=self.r_s)
        voltage_or_none("the diode", V_Z=self.V_Z)
        check_temperature(self.temperature)

    def at(self, temperature: float) -> DiodeModel:
        """The same diode at another junction temperature.

        Parameters
        ----------
        temperature : float
            Junction temperature. [K]

        Returns
        -------
        DiodeModel
            Model whose figures hold there.

        Raises
        ------
        DeviceError
            Outside -65 °C to 200 °C.
        """
        check_temperature(temperature)
        growth = activation(self.material, self.temperature, temperature, self.n)
        V_Z = self.V_Z + self.V_Z_slope * (temperature - self.temperature)
        return replace(self, I_S=self.I_S * growth, V_Z=V_Z, temperature=temperature)

    def current(self, v: Any) -> tuple[Any, Any]:
        """Current and slope behind the series resistance.

        Parameters
        ----------
        v : float or ndarray
            Junction voltage, positive when the diode conducts. [V]

        Returns
        -------
        tuple of two float or ndarray
            i and di/dv. [A, S]
        """
        V_n = self.n * thermal_voltage(self.temperature)
        if math.isinf(self.V_Z):
            return static_diode(v, self.I_S, V_n, 1.0, 0.0, 1.0)
        return static_diode(v, self.I_S, V_n, self.V_Z, self.I_Z, self.r_Z * self.I_Z)

    def forward_voltage(self, I_F: float) -> float:
        """Terminal voltage at a forward current.

        Parameters
        ----------
        I_F : float
            Forward current. [A]

        Returns
        -------
        float
            V_F with the drop in the series resistance. [V]
        """
        V_n = self.n * thermal_voltage(self.temperature)
        return V_n * math.log1p(I_F / self.I_S) + I_F * self.r_s


def zener_slope(V_Z: float) -> tuple[float, float]:
    """Usual temperature coefficient and differential resistance of a small zener diode.

    Parameters
    ----------
    V_Z : float
        Breakdown voltage at 5 mA. [V]

    Returns
    -------
    tuple of (float, float)
        dV_Z/dT and r_Z, between the table's types. [V/K, Ω]

    Raises
    ------
    DeviceError
        If the voltage is not positive.

    Notes
    -----
    Below about 5 V the breakdown is tunnelling and falls with the temperature; above it is an
    avalanche and rises. The table stands in ``catalogue/diodes.toml`` with its source.
    """
    positive("the zener diode", V_Z=V_Z)
    voltages, _, resistances = _zeners()
    return float(zener_drift(V_Z)), float(np.interp(V_Z, voltages, resistances))


def zener_drift(V_Z: Any) -> Any:
    """Usual temperature coefficient of small zener diodes, of many voltages at once.

    Parameters
    ----------
    V_Z : float or ndarray
        Breakdown voltage at 5 mA. [V]

    Returns
    -------
    float or ndarray
        dV_Z/dT; outside the table that of its end, in proportion to the voltage. [V/K]
    """
    voltages, slopes, _ = _zeners()
    inside = np.clip(V_Z, voltages[0], voltages[-1])
    return np.interp(inside, voltages, slopes) * (V_Z / inside)


@cache
def _zeners() -> tuple[Any, Any, Any]:
    """Voltages, temperature coefficients and differential resistances of the table. [V, V/K, Ω]"""
    rows = read_data("diodes.toml")["zener"]
    columns = ((r["V_Z"], r["slope"] * 1e-3, r["r_Z"]) for r in rows)
    return tuple(np.array(column) for column in zip(*columns, strict=True))  # type: ignore[return-value]


def zener_model(V_Z: float, *, I_Z: float = 5e-3) -> DiodeModel:
    """Model of a small zener diode of a nominal voltage.

    Parameters
    ----------
    V_Z : float
        Breakdown voltage at ``I_Z``. [V]
    I_Z : float, default 5e-3
        Test current. [A]

    Returns
    -------
    DiodeModel
        Silicon diode of 0.7 V at 1 mA with breakdown, its usual resistance and temperature
        coefficient.

    Raises
    ------
    DeviceError
        If the voltage is not positive.
    """
    slope, r_Z = zener_slope(V_Z)
    I_S = saturation_current(0.7)
    return DiodeModel(I_S=I_S, V_Z=V_Z, I_Z=I_Z, r_Z=r_Z, V_Z_slope=slope)


def led_colours() -> tuple[str, ...]:
    """Colours of light-emitting diodes that ``led_model`` knows."""
    return tuple(_leds())


@cache
def _leds() -> Mapping[str, Mapping[str, Any]]:
    return {row["colour"]: row for row in read_data("diodes.toml")["led"]}


def led_voltage(colour: str) -> float:
    """Typical forward voltage of an indicator LED at 10 mA.

    Parameters
    ----------
    colour : str
        One of ``led_colours()``.

    Returns
    -------
    float
        V_F. [V]

    Raises
    ------
    UnknownNameError
        If no such colour is known.
    """
    return float(_led(colour)["V_F_10mA"])


def _led(colour: str) -> Mapping[str, Any]:
    row = _leds().get(colour.strip().lower())
    if row is None:
        raise UnknownNameError(
            f"There is no LED of colour '{colour}'.{did_you_mean(colour, _leds())} "
            f"Known are {', '.join(_leds())}."
        )
    return row


def led_model(colour: str, V_F: float | None = None) -> DiodeModel:
    """Model of an indicator LED by its colour.

    Parameters
    ----------
    colour : str
        One of ``led_colours()``.
    V_F : float, optional
        Forward voltage at 10 mA in the place of the typical one. [V]

    Returns
    -------
    DiodeModel
        Diode that has the typical V_F at 10 mA, and its growth to 20 mA.

    Raises
    ------
    UnknownNameError
        If no such colour is known.
    """
    row = _led(colour)
    V_n = LED_EMISSION * thermal_voltage(NOMINAL_TEMPERATURE)
    low, high = row["V_F_10mA"], row["V_F_20mA"]
    r_s = (high - low - V_n * math.log(2.0)) / 10e-3
    if r_s < 0:
        raise DeviceError(f"V_F of the {colour} LED grows too little from 10 mA to 20 mA.")
    inner = (low if V_F is None else V_F) - 10e-3 * r_s
    positive(f"the {colour} LED behind its series resistance", V_F=inner)
    I_S = 10e-3 / math.expm1(inner / V_n)
    # The gap sets the temperature law, as for other junctions.
    gap = Material(colour, row["gap"] + GAP_SHRINKAGE, SILICON.gamma, 2.0)
    return DiodeModel(I_S=I_S, n=LED_EMISSION, r_s=r_s, material=gap)
