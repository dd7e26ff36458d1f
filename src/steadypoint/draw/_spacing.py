"""Places of the columns from left to right (second linear program).

Two columns keep apart only where their boxes share rows; the boxes hold symbols, labels, and the
room that voltages and currents will want.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from steadypoint.draw._claims import Room, column_claims
from steadypoint.draw._columns import Arrangement, Column
from steadypoint.draw._line import Line, column_pins, hinted_pairs
from steadypoint.draw._program import Program
from steadypoint.draw._rows import Rows

_LEAST: Final = 1.0
_IN_LINE: Final = 1.2
_CLEARLY: Final = 6.0


def assign_columns(
    plan: Arrangement, line: Line, rows: Rows, room: Room
) -> tuple[dict[Column, int], int] | None:
    """The x of every column and the total width, or None when no spacing exists."""
    program, columns = Program(), line.columns
    xs = [program.variable(0.02) for _ in columns]
    claims = [column_claims(plan, c, rows, room, line.mirrored) for c in columns]
    for i, own in enumerate(claims):
        program.at_least(xs[i], None, max(-c.box.x0 for c in own))
        for j in range(i):
            apart = [a.apart(b) for a in claims[j] for b in own]
            least = max((d + _LEAST + room.extra for d in apart if d is not None), default=0.0)
            program.at_least(xs[i], xs[j], _whole(least))
    _part(plan, line, program, xs)
    _pull(plan, line, rows, program, xs)
    width = program.variable(0.5)
    for i, own in enumerate(claims):
        program.at_least(width, xs[i], _whole(max(c.box.x1 for c in own)))
    found = program.solve()
    if found is None:
        return None
    return {c: found[x] for c, x in zip(columns, xs, strict=True)}, found[width]


def _whole(distance: float) -> int:
    return int(-(-distance // 1))


def _part(plan: Arrangement, line: Line, program: Program, xs: list[int]) -> None:
    """What a hint wants left or right of something stands clearly so, even in other rows."""
    for own, other in hinted_pairs(plan, line.columns):
        i, j = line.columns.index(own), line.columns.index(other)
        if i < j:
            program.at_least(xs[j], xs[i], _CLEARLY)


def _pull(plan: Arrangement, line: Line, rows: Rows, program: Program, xs: list[int]) -> None:
    """Short wires, and common legs in the middle of their pair."""
    nodes: dict[str, list[tuple[int, int]]] = {}
    plain: dict[str, list[tuple[int, int]]] = {}
    for i, column in enumerate(line.columns):
        for pin in column_pins(column, rows.top[column], line.mirrored):
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
