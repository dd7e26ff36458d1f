"""What a declaration says: a supply or a transistor, bipolar or field-effect."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from steadypoint.circuit._grammar import Declaration, Fault, Word
from steadypoint.circuit._model import Kind
from steadypoint.circuit._reason import temperature_fault
from steadypoint.circuit._trade import (
    CHANNELS,
    GATES,
    NOT_YET,
    POLARITIES,
    VALUES,
    is_type,
    kind_of_name,
)
from steadypoint.circuit._words import Draft, check_name, quantity, read_details
from steadypoint.errors import QuantityError, did_you_mean
from steadypoint.values import Quantity, read_quantity


def declared(statement: Declaration, line: int) -> Draft:
    """Supply or transistor of a declaration.

    Raises
    ------
    Fault
        If the words after ``=`` are neither.
    """
    name = statement.name
    check_name(name, "a part")
    first = statement.items[0]
    word = first[0]
    if word.lower in NOT_YET:
        raise Fault(f"{NOT_YET[word.lower]} are not yet known. Use npn or pnp.", [word])
    if word.lower in CHANNELS or word.lower in GATES or word.lower in _SHORT:
        return _field_effect(statement, line)
    if word.lower in POLARITIES:
        draft = Draft(name, line, POLARITIES[word.lower])
        _transistor(draft, [first[1:], *statement.items[1:]])
        return draft
    if word.lower == "matched":
        raise Fault(
            f"Say what {name.text} is before 'matched': {name.text} = npn, matched to Q1.", [word]
        )
    if is_type(word.text) and not _is_voltage(word.text):
        draft = Draft(name, line, _registered(name, word))
        _transistor(draft, [first, *statement.items[1:]])
        return draft
    return _supply(statement, line)


_SHORT: Final = {
    "nmos": "n-channel MOSFET",
    "pmos": "p-channel MOSFET",
    "njf": "n-channel JFET",
    "pjf": "p-channel JFET",
    "depletion": "n-channel depletion MOSFET",
    "enhancement": "n-channel MOSFET",
}
"""What stands for a field-effect transistor elsewhere, and what a sheet says."""


def _field_effect(statement: Declaration, line: int) -> Draft:
    """Field-effect transistor: channel, kind of gate, and what is known of it."""
    name, first = statement.name, list(statement.items[0])
    word = first[0]
    if word.lower in _SHORT:
        raise Fault(f"Write it out: {name.text} = {_SHORT[word.lower]}.", [word])
    gates = [w for w in first if w.lower in GATES]
    if word.lower in GATES:
        gate = GATES[word.lower]
        raise Fault(
            f"Say the channel first: {name.text} = n-channel {gate} or p-channel {gate}.", [word]
        )
    if not gates:
        hint = did_you_mean(first[-1].text, GATES.values()) if len(first) > 1 else ""
        raise Fault(
            f"After '{word.text}' stands JFET or MOSFET.{hint} For instance "
            f"{name.text} = {CHANNELS[word.lower]} JFET, I_DSS 8 mA, V_GS_off "
            f"{'-4' if word.lower[0] == 'n' else '4'} V.",
            first,
        )
    kind = Kind(f"{CHANNELS[word.lower]} {GATES[gates[0].lower]}")
    draft = Draft(name, line, kind)
    items = [[w for w in first[1:] if w is not gates[0]], *statement.items[1:]]
    if kind in (Kind.N_MOSFET, Kind.P_MOSFET):
        items = [[w for w in item if w.lower != "enhancement"] for item in items]
    _transistor(draft, items)
    return draft


def _transistor(draft: Draft, items: Sequence[Sequence[Word]]) -> None:
    for item in items:
        if item and item[0].lower == "matched":
            _match(draft, item)
        else:
            read_details(draft, item)
    if draft.reversed:
        raise Fault("A transistor is not reversed; join its terminals the other way.", [draft.name])


def _match(draft: Draft, item: Sequence[Word]) -> None:
    rest = [word for word in item[1:] if word.lower != "to"]
    if len(rest) != 1:
        raise Fault("After 'matched to' stands the name of one transistor.", item)
    if draft.matched_to is not None:
        raise Fault(f"{draft.name.text} can be matched to one transistor only.", item)
    draft.matched_to = rest[0]


def _registered(name: Word, word: Word) -> Kind:
    """Kind of a registered type, from the catalogue."""
    from steadypoint.devices import part_types, registered_kind

    kind = registered_kind(word.text)
    if kind:
        return Kind(kind)
    raise Fault(
        f"The type '{word.text}' is not in the catalogue.{did_you_mean(word.text, part_types())} "
        f"Or state it: {name.text} = npn {word.text}, beta 150.",
        [word],
    )


def _is_voltage(text: str) -> bool:
    try:
        read_quantity(text, "V")
    except QuantityError:
        return False
    return True


def _supply(statement: Declaration, line: int) -> Draft:
    name, first = statement.name, statement.items[0]
    word = first[0]
    kind = kind_of_name(name.text)
    if not (word.text[0].isdigit() or word.text[0] in "+-−–.=±"):
        hint = did_you_mean(word.text, (*POLARITIES, "n-channel", "p-channel"))
        raise Fault(
            f"'{word.text}' is neither a voltage nor a transistor.{hint or ''}"
            f" Write {name.text} = 9 V or {name.text} = npn, beta 150.",
            [word],
        )
    if len(statement.items) > 1:
        raise Fault(
            "A supply has one voltage and no further items. The decimal mark is a point (4.5 V).",
            statement.items[1],
        )
    has_volts = any("v" in w.lower for w in first)
    if kind not in (None, Kind.VOLTAGE_SOURCE) and not has_volts:
        raise Fault(
            f"Only supplies and transistors stand before '='. Write {name.text} into a connection: "
            f"from VCC through {name.text} {first[0].text} to Q1 collector.",
            [name],
        )
    if name.text[0] == "Q" and name.text[1:].isdigit():
        raise Fault(
            f"{name.text} is named like a transistor. Write {name.text} = npn, beta 150.", first
        )
    draft = Draft(name, line, Kind.SUPPLY)
    read_details(draft, first)
    if draft.value is None:
        raise Fault(f"{name.text} has no {VALUES[Kind.SUPPLY].called}. Write 9 V.", first)
    return draft


def stated_temperature(statement: Declaration) -> Quantity:
    """Temperature of ``temperature = 25 °C``.

    Raises
    ------
    Fault
        If it is none, or out of reason.
    """
    if len(statement.items) > 1:
        raise Fault(
            "A sheet has one temperature. The decimal mark is a point (36.6 °C).",
            statement.items[1],
        )
    words = statement.items[0]
    value = quantity(words, "K")
    sentence = temperature_fault(value)
    if sentence:
        raise Fault(sentence, words)
    return value
