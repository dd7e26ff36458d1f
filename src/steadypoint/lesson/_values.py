"""Computed values in running text: ``{{I_C}}``, ``{{V_CE when beta = 200}}`` and their like."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from steadypoint.errors import LessonError, UnknownNameError
from steadypoint.lesson._cases import Case, Cases
from steadypoint.lesson._names import Found, equals, find
from steadypoint.lesson._stages import region_word, stages
from steadypoint.lesson._tree import Amount, Inline, Reference, Text
from steadypoint.solve import OperatingPoint
from steadypoint.values import shown

_CLAUSE: Final = re.compile(r"\s+(when|from|of|to|in)\s+")
_NAME: Final = re.compile(r"[A-Za-zβ][\w.]*\Z")
# The sign that asks for 'I_C = ...': after the name, or at the very end.
_EQUATION: Final = re.compile(r"^([\w.]+)\s*=(?=\s|$)|\s*=$")
_DIGITS: Final = re.compile(r"(\d+)\s+digits?\Z")
_HELP: Final = "Write, for instance, {{I_C}}, {{V_CE when beta = 200}} or {{I_C to 2 digits}}."


@dataclass(slots=True)
class _Wanted:
    """What stands between the braces."""

    name: str = ""
    change: bool = False
    equation: bool = False
    digits: int | None = None
    case: str = ""
    when: str = ""
    before: str = ""
    percent: bool = False


@dataclass(frozen=True, slots=True)
class Place:
    """Where the braces open: line and column of the first character inside, from 1."""

    line: int
    column: int


@dataclass(frozen=True, slots=True)
class _Braces:
    """The braces that are read: the lesson's circuits, the words inside, where they stand."""

    cases: Cases
    raw: str
    place: Place

    def fault(self, sentence: str, words: str) -> LessonError:
        """A fault at some of the words."""
        offset = max(self.raw.find(words), 0) if words else 0
        column = self.place.column + offset
        return self.cases.source.fault(sentence, self.place.line, column, len(words) or 1)


def computed(cases: Cases, raw: str, place: Place) -> list[Inline]:
    """What a computed value shows.

    Parameters
    ----------
    cases : Cases
        The circuits of the lesson.
    raw : str
        The words between the braces.
    place : Place
        Where they stand.

    Returns
    -------
    list of Inline
        Name and sign if asked for, then the amount.

    Raises
    ------
    LessonError
        If the words are not understood, or name something that the circuit does not have.
    """
    target = cases.references.mention(raw, place.line, place.column)
    if target is not None:
        return [Reference(target)]
    braces = _Braces(cases, raw, place)
    wanted = _read(braces)
    if wanted.case:
        case = cases.called(wanted.case, place.line)
    else:
        case = cases.at(place.line, place.column)
    if wanted.name.split(".")[-1] == "region":
        return [Text(_region(braces, case, wanted))]
    now = _found(braces, case, wanted.name, wanted.when)
    if wanted.change:
        was = _found(braces, case, wanted.name, wanted.before)
        amount = change_amount(was, now, wanted.digits, percent=wanted.percent)
    else:
        amount = now.amount(wanted.digits)
    if wanted.equation:
        return [equals(now.letter, amount)]
    return [amount]


def _point(braces: _Braces, case: Case, settings: str) -> OperatingPoint:
    cases, place = braces.cases, braces.place
    column = place.column + max(braces.raw.find(settings), 0)
    circuit = cases.changed(case, settings, place.line, column) if settings else case.circuit
    return cases.point(circuit, case.model, place.line, place.column)


def _found(braces: _Braces, case: Case, name: str, settings: str) -> Found:
    point = _point(braces, case, settings)
    try:
        return find(point, name)
    except UnknownNameError as fault:
        raise braces.fault(str(fault), name) from fault


def _region(braces: _Braces, case: Case, wanted: _Wanted) -> str:
    point = _point(braces, case, wanted.when)
    every = stages(point)
    owner = wanted.name.rpartition(".")[0] or next(iter(every), "")
    if owner not in every:
        raise braces.fault(f"The circuit has no transistor '{owner}'.", wanted.name)
    return region_word(every[owner])


def change_amount(
    was: Found, now: Found, digits: int | None = None, *, percent: bool = False
) -> Amount:
    """A change with its sign: currents and powers in percent of before, voltages in volts.

    A percentage of a voltage depends on where zero was put; that of a current does not.
    """
    moved = now.value - was.value
    if now.unit == "V" and not percent:
        if abs(moved) < 5e-4:
            return Amount("±0", "V")
        parts = shown(abs(moved), "V", digits or 3)
        return Amount(("+" if moved > 0 else "−") + parts.number, parts.unit)
    if was.value == 0:
        return Amount("±0" if moved == 0 else "from zero")
    ratio = moved / abs(was.value)
    if abs(ratio) < 5e-4:
        return Amount("±0", "%")
    parts = shown(abs(ratio), "%", digits or 2 if abs(ratio) < 1 else digits or 3)
    return Amount(("+" if ratio > 0 else "−") + parts.number, "%")


def _read(braces: _Braces) -> _Wanted:
    wanted, raw = _Wanted(), braces.raw.strip()
    text = _EQUATION.sub(r"\1 ", raw).strip()
    wanted.equation = text != raw
    if text.startswith("change of "):
        wanted.change = True
        text = text.removeprefix("change of ").lstrip()
    head, *clauses = _CLAUSE.split(text)
    wanted.name = "beta" if head == "β" else head
    if not _NAME.match(head):
        what = f"'{raw}' is no quantity." if raw else "No quantity stands here."
        raise braces.fault(f"{what} {_HELP}", raw)
    for word, words in zip(clauses[::2], clauses[1::2], strict=True):
        _clause(braces, wanted, word, words)
    if wanted.change and not wanted.when:
        sentence = "A change needs to know what changes. Add, for instance, 'when beta = 200'."
        raise braces.fault(sentence, raw)
    return wanted


def _clause(braces: _Braces, wanted: _Wanted, word: str, words: str) -> None:
    digits = _DIGITS.match(words)
    if word == "to" and digits:
        wanted.digits = int(digits[1])
        if not 1 <= wanted.digits <= 9:
            raise braces.fault("A value is shown to 1 to 9 digits.", words)
    elif word == "of":
        wanted.case = words
    elif word == "in" and words == "percent" and wanted.change:
        wanted.percent = True
    elif word == "from" and wanted.change and "=" in words:
        wanted.before = words
    elif word in ("when", "to") and "=" in words:
        wanted.when = words
    else:
        raise braces.fault(f"'{word} {words}' is not understood here. {_HELP}", words)
