"""What a working says of parts whose value follows the temperature."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from steadypoint.circuit import Circuit, Kind, Part, at_temperature, follows_temperature
from steadypoint.derive._expr import Number, PartName
from steadypoint.derive._step import Derivation, Prose, Step
from steadypoint.devices import NOMINAL_TEMPERATURE
from steadypoint.errors import CircuitError
from steadypoint.values import format_quantity

REASON = "temperature laws of the parts"


def tell_temperature(working: Derivation, stated: Circuit) -> Derivation:
    """The working of a circuit at its temperature, with a first step that gives the values there.

    Parameters
    ----------
    working : Derivation
        What was worked, with the values that the parts take at the temperature of the sheet.
    stated : Circuit
        The circuit as the sheet states it, with its values at 25 °C.

    Returns
    -------
    Derivation
        The same working where no part follows the temperature.
    """
    steps = tuple(_values(stated))
    if not steps:
        return working
    later = (replace(s, rests_on=tuple(r + len(steps) for r in s.rests_on)) for s in working.steps)
    return replace(working, circuit=stated, steps=(*steps, *later))


def _values(stated: Circuit) -> Iterator[Step]:
    """One step, if a part of the circuit is not at the temperature at which its value is stated."""
    following = [p for p in stated.parts if follows_temperature(p)]
    T = stated.temperature.value if stated.temperature is not None else NOMINAL_TEMPERATURE
    if not following or T == NOMINAL_TEMPERATURE:
        return
    there = at_temperature(stated)
    sentence: Prose = ("What the sheet states holds at 25 °C. ",)
    for k, part in enumerate(following):
        end = "." if k == len(following) - 1 else "; "
        sentence = (*sentence, *_value(part, there.part(part.name), _celsius(T)), end)
    yield Step(
        f"Values at {_celsius(T)}",
        sentence,
        reason=REASON,
        loop=tuple(p.name for p in following),
    )


def _value(part: Part, there: Part, at: str) -> Prose:
    """``RT, an NTC thermistor of 10 kΩ, has 3.59 kΩ at 50 °C``"""
    words = (PartName(part.name), f", {_kind(part)} of ", _number(part, stated=True))
    return (*words, " there, has ", _number(there), f" at {at}")


def _kind(part: Part) -> str:
    if part.kind is Kind.ZENER:
        return "a zener diode"
    if "NTC" in part.traits:
        return "an NTC thermistor"
    return "a PTC thermistor" if "PTC" in part.traits else "a resistor"


def _number(part: Part, *, stated: bool = False) -> Number:
    value = part.value
    if value is None:  # pragma: no cover  checked before any working
        raise CircuitError(f"{part.name} has no value.")
    name = part.name if part.kind is Kind.RESISTOR else ""
    return Number(value.value, value.unit, symbol=name, given=stated)


def _celsius(T: float) -> str:
    return format_quantity(T, "°C", None)
