"""The finished placement: where every part, pin and wire lies on the grid."""

from __future__ import annotations

from dataclasses import dataclass

from steadypoint.draw._columns import Arrangement, Column, Member
from steadypoint.draw._line import BASE, HALF, Line
from steadypoint.draw._netlist import Element, is_base
from steadypoint.draw._rows import LEN, MID, Rows
from steadypoint.draw._scene import Box

Cell = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Spot:
    """A placed element.

    Parameters
    ----------
    element : Element
        What stands here.
    member : Member
        Its nodes above and below (left and right).
    form : str
        ``upright``, ``across`` or ``terminal``.
    x, y : int
        Upper pin of what is upright, middle of what lies across, pin of a terminal.
    mirrored : bool
        True when a base looks right or the first node lies right.
    """

    element: Element
    member: Member
    form: str
    x: int
    y: int
    mirrored: bool


@dataclass(frozen=True, slots=True)
class Pin:
    """A terminal of a placed element on the grid.

    Parameters
    ----------
    node : str
        Node it belongs to.
    at : tuple of int
        Grid place.
    look : str
        Where its wire leaves: ``up``, ``down``, ``left`` or ``right``.
    element : Element
        The part.
    number : int
        Number of the terminal in ``Kind.terminals``.
    """

    node: str
    at: Cell
    look: str
    element: Element
    number: int


def spots(line: Line, rows: Rows, xs: dict[Column, int]) -> tuple[Spot, ...]:
    """All placed elements."""
    out: list[Spot] = []
    for column in line.columns:
        form = "upright" if column.form == "vertical" else column.form
        for member, y in zip(column.members, rows.top[column], strict=True):
            out.append(
                Spot(
                    member.element,
                    member,
                    form,
                    xs[column],
                    y,
                    member.element.name in line.mirrored,
                )
            )
    return tuple(out)


def pins_of(plan: Arrangement, spot: Spot) -> tuple[Pin, ...]:
    """Pins of a placed element."""
    element, x, y = spot.element, spot.x, spot.y
    if spot.form == "terminal":
        look = "right" if element.side == "left" else "left"
        return (Pin(element.nodes[0], (x, y), look, element, 0),)
    if spot.form == "across":
        first, second = (x - HALF, "left"), (x + HALF, "right")
        if spot.mirrored:
            first, second = second, first
        return (
            Pin(element.nodes[0], (first[0], y), first[1], element, 0),
            Pin(element.nodes[1], (second[0], y), second[1], element, 1),
        )
    out = []
    if element.is_transistor:
        upper = plan.net.upper(element)
        lower = plan.net.lower(element)
        side = 1 if spot.mirrored else -1
        base = (x + side * BASE, y + MID)
        out.append(Pin(element.nodes[1], base, "right" if spot.mirrored else "left", element, 1))
    else:
        upper = 0 if element.nodes[0] == spot.member.upper else 1
        lower = 1 - upper
    out.append(Pin(element.nodes[upper], (x, y), "up", element, upper))
    out.append(Pin(element.nodes[lower], (x, y + LEN), "down", element, lower))
    return tuple(out)


def body_boxes(spot: Spot) -> tuple[Box, ...]:
    """What no wire may cross, on the grid."""
    x, y = spot.x, spot.y
    if spot.form == "terminal":
        left = spot.element.side == "left"
        return (Box(x - 5, y - 1, x - 0.3, y + 1) if left else Box(x + 0.3, y - 1, x + 5, y + 1),)
    if spot.form == "across":
        return (Box(x - 2.6, y - 1.4, x + 2.6, y + (2.6 if spot.element.is_wide else 1.4)),)
    if spot.element.is_transistor:
        side = 1 if spot.mirrored else -1
        lead = sorted((x + side * 3.8, x))
        return (
            Box(x - 2.5, y + 0.6, x + 2.5, y + LEN - 0.6),
            Box(x - 0.4, y + 0.2, x + 0.4, y + LEN - 0.2),
            Box(lead[0], y + MID - 0.2, lead[1], y + MID + 0.2),
        )
    arm = 2.6 if spot.element.is_wide else 1.4
    return (Box(x - arm, y + 0.4, x + 1.4, y + LEN - 0.4),)


def label_boxes(spot: Spot) -> tuple[Box, ...]:
    """Where a label will probably stand; wires avoid it when they can."""
    x, y = spot.x, spot.y
    if spot.form == "terminal":
        return ()
    if spot.form == "across":
        return (Box(x - 3, y - 4.2, x + 3, y - 1.4),)
    if spot.element.is_transistor:
        if spot.mirrored:
            return (Box(x - 6, y + 1, x - 2.5, y + LEN - 1),)
        return (Box(x + 2.5, y + 1, x + 6, y + LEN - 1),)
    return (Box(x + 1.4, y + 1, x + 6.5, y + LEN - 1),)


__all__ = ["Cell", "Pin", "Spot", "body_boxes", "is_base", "label_boxes", "pins_of", "spots"]
