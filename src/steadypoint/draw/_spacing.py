"""Places of the columns from left to right (second linear program).

Two columns keep apart only where their boxes share rows; the boxes hold symbols, labels, and the
room that voltages and currents will want.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from steadypoint.draw._columns import Arrangement, Column
from steadypoint.draw._order import BASE, HALF, Line, column_pins
from steadypoint.draw._program import Program
from steadypoint.draw._rows import LEN, MID, Rows
from steadypoint.draw._scene import Box


@dataclass(frozen=True)
class Room:
    """Grid units that texts want, from measured widths.

    Parameters
    ----------
    label : mapping of str to float
        Width of each part's label.
    volt, amp : float
        Width of a voltage pennant with its pole and of a current with its arrowhead; 0 when not
        shown.
    extra : float
        Added between columns when labels found no place.
    """

    label: dict[str, float]
    volt: float
    amp: float
    extra: float = 0.0


_LEAST: Final = 1.0
_IN_LINE: Final = 0.1


def column_boxes(
    plan: Arrangement, column: Column, rows: Rows, room: Room, *, mirrored: bool
) -> list[Box]:
    """Boxes of a column on the grid, relative to its x."""
    if column.form == "terminal":
        wide = 2.0 + room.label[column.members[0].element.name]
        y = rows.top[column][0]
        left = column.members[0].element.side == "left"
        return [Box(-wide, y - 1.2, 0, y + 1.2) if left else Box(0, y - 1.2, wide, y + 1.2)]
    if column.form == "across":
        y = rows.top[column][0]
        half = max(HALF + 0.6, room.label[column.members[0].element.name] / 2)
        return [Box(-half, y - 4.6, half, y + 1.6)]
    out: list[Box] = []
    for k, (member, y) in enumerate(zip(column.members, rows.top[column], strict=True)):
        label = room.label[member.element.name]
        if member.element.is_transistor:
            boxes = _transistor_boxes(plan, column, k, rows, room, label=label)
            if mirrored:
                boxes = [Box(-b.x1, b.y0, -b.x0, b.y1) for b in boxes]
            out += boxes
        else:
            out.append(Box(-1.6, y, 2.0 + label, y + LEN))
    first, last = column.members[0], column.members[-1]
    above, below = rows.top[column][0] - 1, rows.top[column][-1] + LEN + 1
    if first.upper == plan.net.top:
        above = 0
    elif first.upper not in plan.net.flags:
        above = min(above, rows.trunk[first.upper])
    if last.lower == plan.net.bottom:
        below = rows.bottom + 1
    elif last.lower not in plan.net.flags:
        below = max(below, rows.trunk[last.lower])
    if last.lower in plan.net.flags:
        below += 2
    out.append(Box(-0.5, above, 0.5, below))
    return out


def _transistor_boxes(
    plan: Arrangement, column: Column, k: int, rows: Rows, room: Room, *, label: float
) -> list[Box]:
    member, y = column.members[k], rows.top[column][k]
    power = plan.net.power
    out = [Box(-BASE, y + 0.8, 2.4 + label, y + LEN - 0.8)]
    base_room = max(room.volt - 1, room.amp, 1.0) if member.element.nodes[1] not in power else 1.0
    out.append(Box(-BASE - base_room, y + MID - 3, -BASE, y + MID + 3))
    if room.volt or room.amp:
        if member.upper not in power:
            out.append(Box(-1, y - 3, room.volt, y))
        if member.lower not in power:
            out.append(Box(-room.amp, y + LEN, room.volt, y + LEN + 4))
        elif room.amp:
            out.append(Box(-room.amp, y + LEN, 1, y + LEN + 2))
        if k == 0 or member.upper in power:
            out.append(Box(-room.amp, y - 2, 1, y))
        elif column.members[0].upper in power:
            top = rows.top[column][0]
            out.append(Box(-room.amp, top - 2, 1, top + 0.6))
    return out


def assign_columns(
    plan: Arrangement, line: Line, rows: Rows, room: Room
) -> tuple[dict[Column, int], int] | None:
    """The x of every column and the total width, or None when no spacing exists."""
    program, columns = Program(), line.columns
    xs = [program.variable(0.02) for _ in columns]
    boxes = [column_boxes(plan, c, rows, room, mirrored=c in line.mirrored) for c in columns]
    for i, own in enumerate(boxes):
        program.at_least(xs[i], None, max(-b.x0 for b in own))
        for j in range(i):
            apart = [
                a.x1 - b.x0 + _LEAST + room.extra
                for a in boxes[j]
                for b in own
                if a.y0 < b.y1 and b.y0 < a.y1
            ]
            program.at_least(xs[i], xs[j], _whole(max(apart, default=0.0)))
    _pull(plan, line, rows, program, xs)
    width = program.variable(0.5)
    for i, own in enumerate(boxes):
        program.at_least(width, xs[i], _whole(max(b.x1 for b in own)))
    found = program.solve()
    if found is None:
        return None
    return {c: found[x] for c, x in zip(columns, xs, strict=True)}, found[width]


def _whole(distance: float) -> int:
    return int(-(-distance // 1))


def _pull(plan: Arrangement, line: Line, rows: Rows, program: Program, xs: list[int]) -> None:
    """Short wires, and common legs in the middle of their pair."""
    nodes: dict[str, list[tuple[int, int]]] = {}
    plain: dict[str, list[tuple[int, int]]] = {}
    for i, column in enumerate(line.columns):
        for pin in column_pins(column, rows.top[column], mirrored=column in line.mirrored, base=1):
            nodes.setdefault(pin.node, []).append((xs[i], pin.dx))
            idle = column.members[0].element.name in plan.net.signal
            if not column.transistors and not idle:
                plain.setdefault(pin.node, []).append((xs[i], pin.dx))
    for node, pins in nodes.items():
        if node in plan.net.power or len(pins) < 2:
            continue
        low, high = program.variable(-1.0), program.variable(1.0)
        for x, dx in pins:
            program.at_least(high, x, dx)
            program.at_least(x, low, -dx)
    for node, pins in plain.items():  # parts that meet in one line look as one
        if node in plan.net.power:
            continue
        for (x, dx), (z, dz) in pairwise(pins):
            program.close(((x, 1.0), (z, -1.0)), float(dz - dx), _IN_LINE)
    order = {c: xs[i] for i, c in enumerate(line.columns)}
    for leg in plan.legs:
        places = [order[c] for c in line.columns if c in leg.shared]
        own = order[leg.column]
        program.close(((own, 2.0), (places[0], -1.0), (places[-1], -1.0)), 0.0, 0.6)
