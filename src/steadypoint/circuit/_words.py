"""What the words after a name say: kind, value, tolerance, options."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from steadypoint.circuit._figures import read_option
from steadypoint.circuit._grammar import Fault, Word
from steadypoint.circuit._listed import listed
from steadypoint.circuit._model import Kind
from steadypoint.circuit._reason import option_fault, thermistor_fault, value_fault
from steadypoint.circuit._trade import (
    CHANNELS,
    GATES,
    KIND_WORDS,
    NOT_YET,
    OPTIONS,
    POLAR,
    POLARITIES,
    RESERVED,
    TRAITS,
    VALUES,
    find_option,
    is_name,
    is_type,
    kind_of_name,
    trait_of_name,
)
from steadypoint.devices import led_colours
from steadypoint.errors import QuantityError, did_you_mean
from steadypoint.values import Quantity, read_quantity, read_tolerance

_TRANSISTOR_WORDS: Final = frozenset({*POLARITIES, *CHANNELS, *GATES, *NOT_YET})
_PLUS_MINUS: Final = ("±", "+/-", "+-")


@dataclass(slots=True)
class Draft:
    """A part whose nodes are not yet known."""

    name: Word
    line: int
    kind: Kind
    value: Quantity | None = None
    tolerance: float | None = None
    options: dict[str, Quantity] = field(default_factory=dict)
    type_name: str = ""
    matched_to: Word | None = None
    traits: tuple[str, ...] = ()
    reversed: bool = False


def quantity(words: Sequence[Word], unit: str) -> Quantity:
    """Quantity that some words state.

    Raises
    ------
    Fault
        At these words, with the sentence of the reader of quantities.
    """
    try:
        return read_quantity(" ".join(word.text for word in words), unit)
    except QuantityError as error:
        raise Fault(str(error), words) from None


def check_name(word: Word, what: str) -> None:
    """Refuse a word that cannot name a part, a rail or a node."""
    if is_name(word.text):
        return
    if word.lower in ("ground", "gnd"):
        raise Fault(f"'{word.text}' is the reference node; {what} needs another name.", [word])
    if word.lower in RESERVED:
        raise Fault(f"'{word.text}' is a word of the sheet; {what} needs another name.", [word])
    if word.text[0].isdigit() or word.text[0] in ".±-":
        raise Fault(
            f"{what[0].upper()}{what[1:]} begins with its name, and '{word.text}' is none. "
            "Commas part the parts of a chain; the decimal mark is a point (3.3k).",
            [word],
        )
    raise Fault(
        f"'{word.text}' cannot be a name. Use a letter, then letters, digits or '_'.", [word]
    )


def part_draft(words: Sequence[Word], line: int) -> Draft:
    """Two-terminal part of a chain: ``RC 3k3 ±5%``, ``DZ zener 5.1 V``, ``X1 resistor 4k7``."""
    name, rest = words[0], list(words[1:])
    check_name(name, "a part")
    kind, traits, rest = _kind(name, rest)
    draft = Draft(name, line, kind, traits=traits)
    read_details(draft, rest)
    _require(draft)
    return draft


def _kind(name: Word, rest: list[Word]) -> tuple[Kind, tuple[str, ...], list[Word]]:
    """Kind of a part, by an explicit word or by the first letters of its name."""
    for i, word in enumerate(rest):
        for take in (2, 1):
            spelled = " ".join(w.lower for w in rest[i : i + take])
            if spelled in KIND_WORDS:
                traits = (spelled.upper(),) if spelled in ("led", "ntc", "ptc") else ()
                return KIND_WORDS[spelled], traits, rest[:i] + rest[i + take :]
        if word.lower in _TRANSISTOR_WORDS:
            said = f"n-channel {GATES.get(word.lower, 'JFET')}"
            said = "npn" if word.lower in POLARITIES else said
            raise Fault(
                f"A transistor has three terminals and a line of its own: {name.text} = {said}.",
                [name, word],
            )
    kind = kind_of_name(name.text)
    if kind is None and name.text[0] == "Q":
        raise Fault(
            f"{name.text} is named like a transistor, which does not stand in a chain. Declare it "
            f"({name.text} = npn) and join its terminals: to {name.text} collector.",
            [name],
        )
    if kind is None:
        raise Fault(
            f"The name '{name.text}' does not say what the part is. Add the word, for instance "
            f"'{name.text} resistor 4k7'.",
            [name],
        )
    trait = trait_of_name(name.text)
    return kind, (trait,) if trait else (), rest


def read_details(draft: Draft, words: Sequence[Word]) -> None:
    """Read value, tolerance, options, traits and type into a draft."""
    rest = list(words)
    plain: list[Word] = []
    while rest:
        word = rest.pop(0)
        symbol = find_option(draft.kind, word.text)
        trait = _trait(draft.kind, word)
        if symbol is not None:
            _read_option(draft, symbol, word, rest)
        elif trait:
            _add_trait(draft, trait, word)
        elif word.lower == "thermistor" and draft.kind is Kind.RESISTOR:
            _require_sort(draft, [word, *rest])
        elif word.lower == "reversed":
            draft.reversed = True
        elif word.text.startswith(_PLUS_MINUS):
            _read_tolerance(draft, [word, *_until_percent(word, rest)])
        elif word.text.endswith("%"):
            figure = [plain.pop()] if word.text == "%" and plain else []
            _read_tolerance(draft, [*figure, word])
        elif _is_type_word(draft, word):
            draft.type_name = word.text
        else:
            plain.append(word)
    if plain:
        _read_value(draft, plain)


def _read_option(draft: Draft, symbol: str, word: Word, rest: list[Word]) -> None:
    if symbol in draft.options:
        raise Fault(f"'{symbol}' stands twice for {draft.name.text}. Leave one out.", [word])
    if rest and rest[0].text == "=":
        rest.pop(0)
    taken: list[Word] = []
    while rest and not _begins_anew(draft.kind, rest[0]):
        taken.append(rest.pop(0))
    measure = OPTIONS[draft.kind][symbol]
    if not taken:
        raise Fault(
            f"A value must follow '{word.text}', for instance '{symbol} {measure.example}'.", [word]
        )
    value = _option_value(taken, symbol, measure.unit)
    sentence = option_fault(draft.name.text, draft.kind, symbol, value)
    if sentence:
        raise Fault(sentence, taken)
    draft.options[symbol] = value


def _option_value(words: Sequence[Word], symbol: str, unit: str) -> Quantity:
    try:
        return read_option(" ".join(word.text for word in words), symbol, unit)
    except QuantityError as error:
        raise Fault(str(error), words) from None


def _begins_anew(kind: Kind, word: Word) -> bool:
    return (
        find_option(kind, word.text) is not None
        or bool(_trait(kind, word))
        or word.lower == "reversed"
        or word.text.startswith(_PLUS_MINUS)
    )


def _trait(kind: Kind, word: Word) -> str:
    return next((t for t in TRAITS.get(kind, ()) if t.lower() == word.lower), "")


def _add_trait(draft: Draft, trait: str, word: Word) -> None:
    """Note a trait; a colour makes a diode an LED, and no part has two of a sort."""
    if trait in draft.traits:
        return
    for sort, called in ((led_colours(), "colour"), (("NTC", "PTC"), "kind of thermistor")):
        other = next((t for t in draft.traits if t in sort), "")
        if trait in sort and other:
            raise Fault(
                f"{draft.name.text} is {other} already, and {trait} is another {called}. "
                "Leave one out.",
                [word],
            )
    if trait in led_colours() and "LED" not in draft.traits:
        draft.traits = ("LED", *draft.traits)
    draft.traits = (*draft.traits, trait)


def _require_sort(draft: Draft, words: Sequence[Word]) -> None:
    """A thermistor says which way it goes, in the name or in a word."""
    if not {"NTC", "PTC"} & ({*draft.traits} | {w.text.upper() for w in words}):
        name = draft.name.text
        raise Fault(
            f"Say which thermistor {name} is: '{name} NTC 10k B 3950 K' or '{name} PTC 1k'.",
            words[:1],
        )


def _until_percent(word: Word, rest: list[Word]) -> list[Word]:
    taken: list[Word] = []
    while rest and not (word.text.endswith("%") or (taken and taken[-1].text.endswith("%"))):
        if not (rest[0].text[0].isdigit() or rest[0].text == "%"):
            break
        taken.append(rest.pop(0))
    return taken


def _read_tolerance(draft: Draft, words: Sequence[Word]) -> None:
    if draft.tolerance is not None:
        raise Fault(f"The tolerance of {draft.name.text} stands twice. Leave one out.", words)
    if draft.kind not in VALUES:
        raise Fault(
            f"{draft.kind.spoken.capitalize()} takes no tolerance here. Leave it out.", words
        )
    try:
        draft.tolerance = read_tolerance(" ".join(word.text for word in words))
    except QuantityError as error:
        raise Fault(str(error), words) from None


def _is_type_word(draft: Draft, word: Word) -> bool:
    typed = draft.kind in (Kind.DIODE, Kind.ZENER) or draft.kind.is_transistor
    if not typed or draft.type_name or not is_type(word.text):
        return False
    try:
        read_quantity(word.text, "V")
    except QuantityError:
        return True
    return False


def _read_value(draft: Draft, words: Sequence[Word]) -> None:
    name = draft.name.text
    if words[0].text == "=":
        text = " ".join([name, *(word.text for word in words[1:])])
        raise Fault(f"In a chain the value follows without '=': {text}.", [words[0]])
    measure = VALUES.get(draft.kind)
    if measure is None:
        _no_value_wanted(draft, words)
        return
    if draft.kind in OPTIONS or draft.kind in TRAITS:
        _refuse_strange_words(draft, words)
    value = quantity(words, measure.unit)
    sentence = value_fault(name, draft.kind, value)
    if sentence:
        raise Fault(sentence, words)
    draft.value = value


def _no_value_wanted(draft: Draft, words: Sequence[Word]) -> None:
    """A word after a diode or transistor that is neither option nor type."""
    name, kind = draft.name.text, draft.kind
    if kind is Kind.DIODE and words[0].text[0].isdigit():
        volts = next((k for k, w in enumerate(words) if find_option(Kind.ZENER, w.text)), None)
        words = words[:volts]
        text = " ".join(word.text for word in words)
        quantity(words, "V")
        raise Fault(
            f"{name} is a diode. State its forward voltage as 'V_F {text}', or make it a zener "
            f"diode: '{name} zener {text}'.",
            words,
        )
    if draft.type_name and is_type(words[0].text):
        raise Fault(f"{name} has the type {draft.type_name} already. Leave one out.", [words[0]])
    known = (*OPTIONS[kind], *TRAITS.get(kind, ()))
    hint = did_you_mean(words[0].text, known) or f" It takes {listed(known[:5])}, say."
    if "LED" in draft.traits and "Did you" not in hint:
        hint = f" Colours of an LED are {listed(led_colours(), 'and')}."
    raise Fault(f"'{words[0].text}' says nothing about {kind.spoken}.{hint}", [words[0]])


def _refuse_strange_words(draft: Draft, words: Sequence[Word]) -> None:
    """Name a misspelt word instead of calling the whole text no quantity."""
    kinds = (w for w in KIND_WORDS if w.upper() not in TRAITS.get(draft.kind, ()))
    known = (*OPTIONS.get(draft.kind, {}), *TRAITS.get(draft.kind, ()), *kinds, "reversed")
    for word in words:
        if len(word.text) > 2 and word.text.isalpha():
            hint = did_you_mean(word.text, known)
            if hint:
                raise Fault(f"'{word.text}' is not known here.{hint}", [word])


def _require(draft: Draft) -> None:
    name, kind = draft.name.text, draft.kind
    if kind in VALUES and draft.value is None:
        measure = VALUES[kind]
        raise Fault(
            f"{name} has no {measure.called}. Write it after the name: "
            f"{name} {'zener ' if kind is Kind.ZENER else ''}{measure.example}.",
            [draft.name],
        )
    coloured = set(led_colours()) & set(draft.traits)
    if "LED" in draft.traits and "V_F" not in draft.options and not coloured:
        raise Fault(
            f"{name} needs its colour or its forward voltage, for instance '{name} red' or "
            f"'{name} V_F 1.9 V'.",
            [draft.name],
        )
    if kind is Kind.RESISTOR:
        sentence = thermistor_fault(name, draft.traits, draft.options)
        if sentence:
            raise Fault(sentence, [draft.name])
    if draft.reversed and kind not in POLAR and "electrolytic" not in draft.traits:
        raise Fault(
            f"{kind.spoken.capitalize()} has no direction. Leave 'reversed' out.", [draft.name]
        )
