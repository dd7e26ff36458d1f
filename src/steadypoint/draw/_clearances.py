"""What a first routing shows: wires that should pass above or below a part, or a whole column."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from steadypoint.draw._columns import Column
from steadypoint.draw._rows import LEN, Clearance

if TYPE_CHECKING:
    from steadypoint.draw._place import Placement

_UNDER: Final = 4  # a ground symbol or a rail's bar and name below a part
_OVER: Final = 5  # a rail's bar and name above a part


def clearances(found: Placement) -> tuple[Clearance, ...]:
    """Wires that would run through a part or just under its ground."""
    plan, rows = found.plan, found.rows
    out = []
    for column, node in _crossed(found):
        level = rows.trunk[node]
        for k, member in enumerate(column.members):
            y = rows.top[column][k]
            last = k == len(column.members) - 1 and member.lower in plan.net.power
            under = LEN + (4 if last else 1)
            if y - 1 < level < y + under:
                if level >= y + LEN / 2:
                    out.append(Clearance(node, column, k, True, under))
                else:
                    out.append(Clearance(node, column, k, False, 1))
    return tuple(out)


def ways_past(found: Placement) -> tuple[Clearance, ...]:
    """Wires that cross a chain between rails and could pass it whole.

    The chain then ends at a symbol of its own, a ground or a supply's bar, and the wire runs beyond
    that.
    """
    net, rows, out = found.plan.net, found.rows, []
    for column, node in _crossed(found):
        if column.transistors:
            continue
        tops, level = rows.top[column], rows.trunk[node]
        first, last = column.members[0], column.members[-1]
        nodes = (first.upper, *(m.lower for m in column.members))
        inner = [rows.trunk[n] for n in nodes if n not in net.power]
        if not inner:
            continue
        if level > max(inner) and last.lower in net.power:
            out.append(Clearance(node, column, len(tops) - 1, True, LEN + _UNDER))
        elif level < min(inner) and first.upper in net.power:
            out.append(Clearance(node, column, 0, False, _OVER))
    return tuple(out)


def _crossed(found: Placement) -> Iterator[tuple[Column, str]]:
    """Upright columns with the nodes whose wires reach over them from both sides."""
    xs = {s.element.name: s.x for s in found.spots}
    reach: dict[str, tuple[int, int]] = {}
    for pin in found.pins:
        low, high = reach.get(pin.node, (pin.at[0], pin.at[0]))
        reach[pin.node] = (min(low, pin.at[0]), max(high, pin.at[0]))
    for column in found.plan.columns:
        if column.form != "vertical":
            continue
        x = xs[column.members[0].element.name]
        own = {n for m in column.members for n in m.element.nodes}
        for node, (low, high) in reach.items():
            if node not in found.plan.net.power and node not in own and low < x < high:
                yield column, node
