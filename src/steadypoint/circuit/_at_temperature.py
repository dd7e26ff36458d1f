"""Parts whose main value follows the temperature: thermistors, resistors and zeners with a
coefficient."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, Final

from steadypoint.circuit._model import Circuit, Kind, Part
from steadypoint.devices import (
    NOMINAL_TEMPERATURE,
    SENSOR_LINEAR,
    SENSOR_QUADRATIC,
    check_temperature,
    linear_ratio,
    ntc_ratio,
)
from steadypoint.errors import CircuitError
from steadypoint.values import Quantity

_COEFFICIENTS: Final = frozenset({"B", "TCR", "S_Z"})

Option = Callable[[str], Any]
"""Gives the value of an option in SI units, or None."""


def follows_temperature(part: Part) -> bool:
    """Whether the main value that a sheet states holds at 25 °C only.

    Parameters
    ----------
    part : Part
        Any part.

    Returns
    -------
    bool
        True for an NTC or PTC thermistor, a resistor with ``TCR``, a zener diode with ``S_Z``.
    """
    if part.kind is Kind.RESISTOR:
        return bool({"NTC", "PTC"} & set(part.traits)) or part.option("TCR") is not None
    return part.kind is Kind.ZENER and part.option("S_Z") is not None


def value_at(part: Part, temperature: Any, value: Any = None, option: Option | None = None) -> Any:
    r"""Main value of a part at a temperature.

    Parameters
    ----------
    part : Part
        A part with a main value.
    temperature : float or ndarray
        Temperature of the part. [K]
    value : float or ndarray, optional
        Value at 25 °C in the place of the stated one. [SI]
    option : callable, optional
        Looks up ``B``, ``TCR`` and ``S_Z`` in the place of the part.

    Returns
    -------
    float or ndarray
        The stated value where the part does not follow the temperature. [SI]

    Raises
    ------
    CircuitError
        If an NTC thermistor has no B value.

    Notes
    -----
    .. math::
        R = R_{25} e^{B (1/T - 1/T_{25})} \text{ (NTC)}, \quad
        R = R_{25} (1 + \alpha \Delta T) \text{ (TCR)}, \quad
        V_Z = V_{Z,25} + S_Z \Delta T

    A PTC thermistor without ``TCR`` is a silicon sensor and follows its parabola.

    Examples
    --------
    >>> from steadypoint.circuit import read_sheet
    >>> sheet = "VCC = 5 V\nfrom VCC through RT NTC 10k B 3950 K, R1 10k to ground"
    >>> round(value_at(read_sheet(sheet).part("RT"), 323.15))
    3588
    """
    if value is None:
        value = part.value.value if part.value is not None else 0.0
    if not follows_temperature(part):
        return value
    option = option or part.option
    if part.kind is Kind.ZENER:
        return value + option("S_Z") * (temperature - NOMINAL_TEMPERATURE)
    if "NTC" in part.traits:
        B = option("B")
        if B is None:
            raise CircuitError(
                f"{part.name} needs its B value, for instance '{part.name} NTC 10k B 3950 K'."
            )
        return value * ntc_ratio(temperature, B)
    coefficient = option("TCR")
    if coefficient is None:
        return value * linear_ratio(temperature, SENSOR_LINEAR, SENSOR_QUADRATIC)
    return value * linear_ratio(temperature, coefficient)


def at_temperature(circuit: Circuit, temperature: float | None = None) -> Circuit:
    """Circuit whose parts have the values that they take at a temperature.

    Parameters
    ----------
    circuit : Circuit
        Any circuit.
    temperature : float, optional
        Temperature of all parts; without it that of the sheet, else 25 °C. [K]

    Returns
    -------
    Circuit
        Thermistors and resistors with ``TCR`` have become plain resistors, zener diodes with
        ``S_Z`` plain ones; the same circuit where no part follows the temperature.

    Raises
    ------
    DeviceError
        Outside -65 °C to 200 °C, where a part follows the temperature.

    Examples
    --------
    >>> from steadypoint.circuit import read_sheet
    >>> circuit = read_sheet("VCC = 5 V\\nfrom VCC through R1 1k TCR 0.4 %/K to ground")
    >>> at_temperature(circuit, 323.15).part("R1").value.value
    1100.0
    """
    following = [p for p in circuit.parts if follows_temperature(p)]
    if not following:
        return circuit
    if temperature is None:
        temperature = circuit.temperature.value if circuit.temperature else NOMINAL_TEMPERATURE
    check_temperature(temperature)
    for part in following:
        if part.value is not None:
            circuit = circuit.with_part(_plain(part, temperature))
    return circuit


def _plain(part: Part, temperature: float) -> Part:
    stated = part.value
    if stated is None:  # pragma: no cover  the caller asks for parts with a value
        return part
    there = float(value_at(part, temperature))
    value = stated if there == stated.value else Quantity(there, stated.unit, 3)
    return replace(
        part,
        value=value,
        options=tuple((s, q) for s, q in part.options if s not in _COEFFICIENTS),
        traits=tuple(t for t in part.traits if t not in ("NTC", "PTC")),
    )
