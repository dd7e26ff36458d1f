"""Values out of reason: the slips that a sheet or a setting should not carry on."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from typing import Final

from steadypoint.circuit._model import Kind, Part
from steadypoint.circuit._trade import OPTIONS, TEMPERATURE, VALUES, Measure
from steadypoint.devices import registered_kind
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
    shown, low, high = (
        format_quantity(T, "°C", None, plain=True)
        for T in (quantity.value, TEMPERATURE.low, TEMPERATURE.high)
    )
    return f"A temperature of {shown} is out of reason. Write one between {low} and {high}."


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
    if part.kind is Kind.RESISTOR:
        return thermistor_fault(part.name, part.traits, dict(part.options))
    if part.kind.is_transistor and part.type_name:
        sentence = type_fault(part.name, part.kind, part.type_name)
        if sentence:
            return sentence
    return _fet_fault(part) if part.kind.is_fet else ""


def type_fault(name: str, kind: Kind, type_name: str) -> str:
    """Sentence on a registered type that is of another kind than the part says, or empty.

    Parameters
    ----------
    name : str
        Name of the part.
    kind : Kind
        What the sheet says it is.
    type_name : str
        Type that the sheet names; one that no catalogue holds may be anything.
    """
    registered = registered_kind(type_name)
    if registered in ("", kind.value):
        return ""
    return (
        f"{name} is {kind.spoken}, but {type_name} is {Kind(registered).spoken}. "
        f"Write {name} = {type_name}."
    )


def thermistor_fault(name: str, traits: Collection[str], options: Mapping[str, Quantity]) -> str:
    """Sentence on data that a resistor must or cannot have as a thermistor, or empty.

    Parameters
    ----------
    name : str
        Name of the part.
    traits : collection of str
        Its traits.
    options : mapping of str to Quantity
        Its options.
    """
    if "NTC" in traits and "PTC" in traits:
        return f"{name} is an NTC and a PTC thermistor. Leave one out."
    if "NTC" in traits and "B" not in options:
        return f"{name} needs its B value, for instance '{name} NTC 10k B 3950 K'."
    if "NTC" in traits and "TCR" in options:
        return f"{name} is an NTC thermistor, which follows its B value. Leave TCR out."
    if "NTC" not in traits and "B" in options:
        return f"{name} has a B value, which an NTC thermistor has: '{name} NTC 10k B 3950 K'."
    if "PTC" in traits and "TCR" in options and options["TCR"].value <= 0:
        return f"{name} is a PTC thermistor, whose TCR is positive. Write it so, or leave PTC out."
    return ""


_EITHER: Final = (
    ("V_A", "lambda"),
    ("V_GS_th", "V_GS_off"),
    ("K", "I_DSS"),
    ("K", "I_D_on"),
    ("I_DSS", "I_D_on"),
)


def _fet_fault(part: Part) -> str:
    """Sentence on data of a field-effect transistor that contradict one another, or empty."""
    name, stated = part.name, dict(part.options)
    for one, other in _EITHER:
        if one in stated and other in stated:
            return f"{name} states {one} and {other}, which say the same. Leave one out."
    for one, other in (("I_D_on", "V_GS_on"), ("V_GS_on", "I_D_on")):
        if one in stated and other not in stated:
            return f"{name} states {one} without {other}. State both, or K in their place."
    sign = -1.0 if part.kind in (Kind.P_JFET, Kind.P_MOSFET) else 1.0
    depletion = "depletion" in part.traits or part.kind in (Kind.N_JFET, Kind.P_JFET)
    if "I_DSS" in stated and not depletion:
        return (
            f"{name} is an enhancement MOSFET, which carries no current at V_GS = 0, so it has no "
            f"I_DSS. State K, or make it '{part.kind.value.split()[0]} depletion MOSFET'."
        )
    for symbol in ("V_GS_off", "V_GS_th"):
        if symbol in stated:
            return _opening_fault(part, symbol, sign * stated[symbol].value, depletion)
    return ""


def _opening_fault(part: Part, symbol: str, value: float, depletion: bool) -> str:
    """Sentence on the sign of the voltage at which a channel opens; value as of an n-channel."""
    if (value < 0) if depletion else (value > 0):
        on = part.option("V_GS_on")
        sign = -1.0 if part.kind is Kind.P_MOSFET else 1.0
        if on is not None and sign * on <= value:
            return f"{part.name} conducts I_D_on at a V_GS_on that does not open its channel."
        return ""
    turned = dict(part.options)[symbol].value
    shown = _shown(turned, "V")
    sort = "JFET" if part.kind in (Kind.N_JFET, Kind.P_JFET) else "MOSFET"
    channel = part.kind.value.split()[0]
    called = f"{channel} {'depletion' if depletion else 'enhancement'} MOSFET"
    called = part.kind.value if sort == "JFET" else called
    wanted = "negative" if (channel == "n-channel") == depletion else "positive"
    remedy = f"Write {symbol} {_shown(-turned, 'V')}" if turned else f"Write a {wanted} one"
    if sort == "MOSFET" and turned:
        other = f"{channel} MOSFET" if depletion else f"{channel} depletion MOSFET"
        remedy += f", or make it '{other}'"
    return (
        f"{part.name} has a {symbol} of {shown}, and that of an {called} is {wanted}. {remedy}."
        if channel == "n-channel"
        else f"{part.name} has a {symbol} of {shown}, and that of a {called} is {wanted}. {remedy}."
    )


def _fault(name: str, measure: Measure, quantity: Quantity) -> str:
    value = quantity.value
    if quantity.unit != measure.unit:
        return (
            f"{name} has {_called(measure)} in '{quantity.unit}' where '{measure.unit}' is wanted."
        )
    if measure.low <= value <= measure.high:
        return ""
    if value <= 0 <= measure.low and math.isfinite(value):
        wanted = "zero or positive" if measure.low == 0 else "positive"
        shown = _shown(value, measure.unit)
        return f"{name} has {_called(measure)} of {shown}. It must be {wanted}."
    low, high = _shown(measure.low, measure.unit), _shown(measure.high, measure.unit)
    return (
        f"{name} has {_called(measure)} of {_shown(value, measure.unit)}, which is out of reason. "
        f"Write one between {low} and {high}."
    )


def _called(measure: Measure) -> str:
    article = "an" if measure.called[0] in "aeiouAEIOU" else "a"
    return f"{article} {measure.called}"


def _shown(value: float, unit: str) -> str:
    if math.isnan(value):
        return "no number"
    return format_quantity(value, unit, None, plain=True)
