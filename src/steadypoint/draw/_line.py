"""An order of columns from left to right, with the pins that it puts in places."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from steadypoint.draw._columns import Arrangement, Column
from steadypoint.draw._rows import LEN, MID

BASE: Final = 4  # reach of a base pin from its column
HALF: Final = 3  # half the length of a part that lies across
LOW: Final = 9  # look of a pin that is reached from below everything


@dataclass(frozen=True)
class Line:
    """An order of columns with what looks the other way.

    Parameters
    ----------
    columns : tuple of Column
        From left to right.
    mirrored : frozenset of str
        Names of transistors whose base looks right, and of parts across whose first node lies
        right.
    """

    columns: tuple[Column, ...]
    mirrored: frozenset[str]


@dataclass(frozen=True, slots=True)
class ColumnPin:
    """A pin relative to the x of its column.

    Parameters
    ----------
    node : str
        Its node.
    dx, y : int
        Its place.
    look : int
        -1 left, 1 right, 0 up or down, `LOW` from below everything.
    turns : str
        Name of the element that moves it when mirrored, or empty.
    """

    node: str
    dx: int
    y: int
    look: int
    turns: str = ""


def column_pins(
    column: Column, ys: tuple[int, ...], mirrored: Collection[str]
) -> tuple[ColumnPin, ...]:
    """Pins of a column, always in the same order."""
    out: list[ColumnPin] = []
    if column.form == "vertical":
        for member, y in zip(column.members, ys, strict=True):
            out.append(ColumnPin(member.upper, 0, y, 0))
            out.append(ColumnPin(member.lower, 0, y + LEN, 0))
            element = member.element
            if element.is_transistor:
                side = 1 if element.name in mirrored else -1
                out.append(ColumnPin(element.nodes[1], side * BASE, y + MID, side, element.name))
        return tuple(out)
    member, y = column.members[0], ys[0]
    name = member.element.name
    if column.form == "terminal":
        look = 1 if member.element.side == "left" else -1
        return (ColumnPin(member.upper, 0, y, look),)
    side = 1 if name in mirrored else -1
    return (
        ColumnPin(member.upper, side * HALF, y, LOW if column.low else side, name),
        ColumnPin(member.lower, -side * HALF, y, LOW if column.low else -side, name),
    )


def turnable(column: Column) -> tuple[str, ...]:
    """Names of the elements of a column that can be mirrored."""
    if column.form == "across":
        return (column.members[0].element.name,)
    return tuple(e.name for e in column.transistors)


def hinted_pairs(
    plan: Arrangement, columns: tuple[Column, ...]
) -> tuple[tuple[Column, Column], ...]:
    """Pairs of columns that the hints want in this order from left to right."""
    if not plan.net.hints:
        return ()
    home = {m.element.name: c for c in columns for m in c.members}
    out: list[tuple[Column, Column]] = []
    for hint in plan.net.hints:
        own = home[hint.part]
        stages = (c for c in columns if c.transistors)
        for other in (home[hint.beside],) if hint.beside else stages:
            if other is own or hint.where not in ("left", "right"):
                continue
            out.append((own, other) if hint.where == "left" else (other, own))
    return tuple(out)
