"""Temperature laws that all junctions share, and the two materials."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from steadypoint.devices._thermal import GAP_VOLTAGE, TEMPERATURE_EXPONENT, thermal_voltage
from steadypoint.errors import DeviceError
from steadypoint.values import format_quantity

COLDEST: Final = 208.15
"""Lowest junction temperature that device models take: -65 °C, common rating of data sheets. [K]"""

HOTTEST: Final = 473.15
"""Highest junction temperature that device models take: 200 °C, rating of metal cases. [K]"""


@dataclass(frozen=True, slots=True)
class Material:
    """What the temperature laws need to know of a semiconductor.

    Parameters
    ----------
    name : str
        ``silicon`` or ``germanium``.
    V_G0 : float
        Gap voltage, extrapolated linearly to 0 K. [V]
    gamma : float
        Exponent of the law I_S ∝ T^γ exp(-V_G0/V_T). [-]
    n_leakage : float
        Emission coefficient of the collector-base leakage: 2 where it is generation in the
        depletion layer (silicon), nearer 1 where it is diffusion (germanium). [-]

    References
    ----------
    Sze, *Physics of Semiconductor Devices*, p-n junctions, for generation and diffusion; the
    values of germanium are common practice: V_G0 = 0.785 V, and a coefficient that gives the
    doubling every 9 K of data books (all from memory).
    """

    name: str
    V_G0: float
    gamma: float
    n_leakage: float


SILICON: Final = Material("silicon", GAP_VOLTAGE, TEMPERATURE_EXPONENT, 2.0)
GERMANIUM: Final = Material("germanium", 0.785, TEMPERATURE_EXPONENT, 1.5)
MATERIALS: Final = {m.name: m for m in (SILICON, GERMANIUM)}


def check_temperature(temperature: float) -> float:
    """Refuse a junction temperature that no device model covers.

    Parameters
    ----------
    temperature : float
        Junction temperature. [K]

    Returns
    -------
    float
        The same temperature. [K]

    Raises
    ------
    DeviceError
        Outside -65 °C to 200 °C.
    """
    if COLDEST - 1e-9 <= temperature <= HOTTEST + 1e-9:
        return float(temperature)
    shown = (
        format_quantity(temperature, "°C", None, plain=True)
        if math.isfinite(temperature)
        else "no number"
    )
    raise DeviceError(
        f"A junction temperature of {shown} is outside what the device models cover. "
        "Choose one from -65 °C to 200 °C."
    )


def activation(material: Material, start: float, end: float, n: float = 1.0) -> float:
    r"""Factor by which a saturation current grows from one temperature to another.

    Parameters
    ----------
    material : Material
        Semiconductor of the junction.
    start, end : float
        Junction temperatures. [K]
    n : float, default 1.0
        Emission coefficient of the current. [-]

    Returns
    -------
    float
        Ratio of the currents. [-]

    Notes
    -----
    .. math::
        \left[(T/T_0)^\gamma \exp\left(V_{G0}/V_T(T_0) - V_{G0}/V_T(T)\right)\right]^{1/n}

    No slope is put in: about -2 mV/K of V_BE at constant current comes out for n = 1, and for n = 2
    a leakage that doubles every 8 K at 25 °C, every 10 K at 55 °C and every 11 K at 75 °C.
    """
    exponent = material.gamma * math.log(end / start)
    exponent += material.V_G0 * (1.0 / thermal_voltage(start) - 1.0 / thermal_voltage(end))
    return math.exp(exponent / n)


def positive(owner: str, **figures: float) -> None:
    """Refuse figures that are not positive and finite.

    Parameters
    ----------
    owner : str
        What has the figures, for the sentence.
    **figures : float
        Figures by their symbol.

    Raises
    ------
    DeviceError
        At the first figure that makes no physics.
    """
    for symbol, value in figures.items():
        if not (math.isfinite(value) and value > 0):
            raise DeviceError(
                f"{symbol} of {owner} is {value:g}. It must be positive; leave it out for its "
                "default."
            )


def not_negative(owner: str, **figures: float) -> None:
    """Refuse figures below zero or without a value.

    Parameters
    ----------
    owner : str
        What has the figures, for the sentence.
    **figures : float
        Figures by their symbol.

    Raises
    ------
    DeviceError
        At the first figure that makes no physics.
    """
    for symbol, value in figures.items():
        if not (math.isfinite(value) and value >= 0):
            raise DeviceError(f"{symbol} of {owner} is {value:g}. It must be zero or positive.")


def voltage_or_none(owner: str, **figures: float) -> None:
    """Refuse voltages that are zero or negative; infinity means that the effect is left out.

    Parameters
    ----------
    owner : str
        What has the figures, for the sentence.
    **figures : float
        Figures by their symbol.

    Raises
    ------
    DeviceError
        At the first figure that makes no physics.
    """
    for symbol, value in figures.items():
        if math.isnan(value) or value <= 0:
            raise DeviceError(
                f"{symbol} of {owner} is {value:g}. It must be positive; leave it out where the "
                "effect does not matter."
            )
