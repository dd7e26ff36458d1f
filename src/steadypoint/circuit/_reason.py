"""Values out of reason: the slips that a sheet or a setting should not carry on."""

from __future__ import annotations

import math

from steadypoint.circuit._model import Kind, Part
from steadypoint.circuit._trade import OPTIONS, TEMPERATURE, VALUES, Measure
from steadypoint.values import Quantity, format_quantity


def value_fault(name: str, kind: Kind, quantity: Quantity) -> str:
    """Sentence on a main value out of reason, or empty.

    Parameters
    ----------
    name : str
        Name of the part.
    kind : Kind
        What the part is.
    quantity : Quantity
        Its value.
    """
    measure = VALUES[kind]
    if kind is Kind.RESISTOR and quantity.value == 0:
        return (
            f"{name} has a resistance of 0 Ω. For a plain connection leave the resistor out: "
            "from A to B."
        )
    return _fault(name, measure, quantity)


def option_fault(name: str, kind: Kind, symbol: str, quantity: Quantity) -> str:
    """Sentence on an option that the kind has not, or out of reason, or empty."""
    known = OPTIONS.get(kind, {})
    if symbol not in known:
        return f"{name} is {kind.spoken}, which has no '{symbol}'."
    return _fault(name, known[symbol], quantity)


def temperature_fault(quantity: Quantity) -> str:
    """Sentence on a temperature out of reason, or empty."""
    if TEMPERATURE.low <= quantity.value <= TEMPERATURE.high:
        return ""
    shown = format_quantity(quantity.value, "°C", None, plain=True)
    return f"A temperature of {shown} is out of reason. Write one between -200 °C and 300 °C."


def part_fault(part: Part) -> str:
    """First sentence on the values of a part, or empty."""
    if part.kind in VALUES:
        if part.value is None:
            return f"{part.name} has no {VALUES[part.kind].called}."
        sentence = value_fault(part.name, part.kind, part.value)
        if sentence:
            return sentence
    if part.tolerance is not None and not 0 < part.tolerance < 1:
        return f"{part.name} has a tolerance out of reason. Write one between 0 % and 100 %."
    for symbol, quantity in part.options:
        sentence = option_fault(part.name, part.kind, symbol, quantity)
        if sentence:
            return sentence
    return ""


def _fault(name: str, measure: Measure, quantity: Quantity) -> str:
    value = quantity.value
    if quantity.unit != measure.unit:
        return (
            f"{name} has a {measure.called} in '{quantity.unit}' where '{measure.unit}' is wanted."
        )
    if measure.low <= value <= measure.high:
        return ""
    if value <= 0 <= measure.low and math.isfinite(value):
        return (
            f"{name} has a {measure.called} of {_shown(value, measure.unit)}. It must be positive."
        )
    low, high = _shown(measure.low, measure.unit), _shown(measure.high, measure.unit)
    return (
        f"{name} has a {measure.called} of {_shown(value, measure.unit)}, which is out of reason. "
        f"Write one between {low} and {high}."
    )


def _shown(value: float, unit: str) -> str:
    if math.isnan(value):
        return "no number"
    return format_quantity(value, unit, None, plain=True)
