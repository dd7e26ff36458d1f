"""Hints for the drawing: their words, and what a part cannot do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from graphlib import CycleError, TopologicalSorter
from typing import Final

from steadypoint.circuit._grammar import Fault, Word
from steadypoint.circuit._listed import listed
from steadypoint.circuit._model import GROUND, Circuit, Kind, PlaceHint
from steadypoint.errors import did_you_mean

FORMS: Final = ("above", "below", "across", "upright")
SIDES: Final = ("left", "right")
_ALL: Final = "above, below, across, upright, left, right, left of Q1 or right of Q1"


def read_hint(words: Sequence[Word], line: int) -> PlaceHint:
    """Hint of the words after ``place``.

    Raises
    ------
    Fault
        If they are no part and a place.
    """
    name, rest = words[0], words[1:]
    if not rest:
        raise Fault(
            f"The line does not say where {name.text} goes. Write place {name.text} and one of "
            f"{_ALL}.",
            words,
            line,
        )
    where = rest[0].lower
    if where not in (*FORMS, *SIDES):
        near = did_you_mean(rest[0].text, (*FORMS, *SIDES)) or f" Write {_ALL}."
        raise Fault(f"'{rest[0].text}' is no place in a drawing.{near}", [rest[0]], line)
    if len(rest) == 1:
        return PlaceHint(name.text, where)
    if where in FORMS:
        raise Fault(
            f"After '{where}' the line ends; only 'left' and 'right' go on with 'of' and a part.",
            rest[1:],
            line,
        )
    if rest[1].lower != "of" or len(rest) != 3:
        raise Fault(f"After '{where}' stand 'of' and one part: {where} of Q1.", rest[1:], line)
    return PlaceHint(name.text, where, rest[2].text)


def hint_faults(circuit: Circuit) -> Iterator[tuple[str, PlaceHint]]:
    """Sentences on hints that no drawing of the circuit can follow."""
    seen: set[tuple[str, bool]] = set()
    for hint in circuit.hints:
        sentence = _part_fault(circuit, hint) or _beside_fault(circuit, hint)
        group = (hint.part, hint.where in FORMS)
        if not sentence and group in seen and not hint.beside:
            sentence = f"{hint.part} has such a hint already. Leave one out."
        seen.add(group)
        if sentence:
            yield sentence, hint
            return
    yield from _circles(circuit.hints)


def _part_fault(circuit: Circuit, hint: PlaceHint) -> str:
    parts = {part.name: part for part in circuit.parts}
    part = parts.get(hint.part)
    movable = [p.name for p in circuit.parts if not _fixed(p.kind)]
    if part is None:
        return f"The sheet has no part '{hint.part}' to place.{_near(hint.part, movable)}"
    if part.kind is Kind.SUPPLY:
        return f"{part.name} is a rail, and rails lie on top and below. Place parts between them."
    if part.kind.is_transistor:
        return (
            f"{part.name} is a transistor, and the drawing grows from these. Place the parts "
            "around it instead."
        )
    if hint.where not in (*FORMS, *SIDES):
        return f"'{hint.where}' is no place in a drawing. Choose from {_ALL}."
    rails = {GROUND, *(p.nodes[0] for p in circuit.supplies)}
    ends = [node for node in part.nodes if node in rails]
    if ends and hint.where in ("above", "below", "across"):
        return (
            f"{part.name} leads to {ends[0]} and stands upright, so it cannot lie {hint.where}. "
            "Write left or right."
        )
    return ""


def _beside_fault(circuit: Circuit, hint: PlaceHint) -> str:
    if not hint.beside:
        return ""
    if hint.where not in SIDES:
        return f"'{hint.where}' takes no further part. Write place {hint.part} {hint.where}."
    others = [p for p in circuit.parts if p.kind is not Kind.SUPPLY and p.name != hint.part]
    if hint.beside == hint.part:
        return f"{hint.part} cannot stand {hint.where} of itself."
    if any(p.kind is Kind.SUPPLY and p.name == hint.beside for p in circuit.parts):
        return f"{hint.beside} is a rail as wide as the drawing. Name a part or a transistor."
    names = [p.name for p in others]
    if hint.beside not in names:
        return f"The sheet has no part '{hint.beside}'.{_near(hint.beside, names)}"
    return ""


def _near(name: str, known: Sequence[str]) -> str:
    told = f" It has {listed(known, 'and')}." if known else ""
    return did_you_mean(name, known) or told


def _circles(hints: Sequence[PlaceHint]) -> Iterator[tuple[str, PlaceHint]]:
    """Hints that want parts left and right of one another."""
    order: TopologicalSorter[str] = TopologicalSorter()
    for hint in hints:
        if hint.beside:
            a, b = hint.part, hint.beside
            order.add(*((b, a) if hint.where == "left" else (a, b)))
    try:
        order.prepare()
    except CycleError as error:
        ring = set(error.args[1])
        names = [n for n in dict.fromkeys(h.part for h in hints) if n in ring]
        yield f"The hints send {listed(names, 'and')} round in a circle. Leave one out.", hints[-1]


def _fixed(kind: Kind) -> bool:
    return kind is Kind.SUPPLY or kind.is_transistor


__all__ = ["FORMS", "SIDES", "hint_faults", "read_hint"]
