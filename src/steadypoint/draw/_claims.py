"""The room that a column claims on the grid: symbols, labels, wires, and what annotations want."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from steadypoint.draw._columns import Arrangement, Column
from steadypoint.draw._line import BASE, HALF
from steadypoint.draw._rows import LEN, MID, Rows
from steadypoint.draw._scene import Box


@dataclass(frozen=True)
class Room:
    """Grid units that texts want, from measured widths.

    Parameters
    ----------
    label : mapping of str to float
        Width of each part's label.
    volts : mapping of str to float
        Width of the voltage pennant of each node with its pole; empty when not shown.
    amp : float
        Width of a current with its arrowhead; 0 when not shown.
    extra : float
        Added between columns when labels found no place.
    """

    label: dict[str, float]
    volts: dict[str, float]
    amp: float
    extra: float = 0.0


@dataclass(frozen=True, slots=True)
class Claim:
    """A box on the grid, relative to the x of its column.

    Parameters
    ----------
    box : Box
        The room.
    node : str
        For a wire its node: wires of one node may lie on each other.
    """

    box: Box
    node: str = ""

    def apart(self, right: Claim) -> float | None:
        """Least distance of two columns for the sake of these claims, None when free."""
        a, b = self.box, right.box
        if self.node and self.node == right.node:
            return None
        return a.x1 - b.x0 if a.y0 < b.y1 and b.y0 < a.y1 else None


def column_claims(
    plan: Arrangement, column: Column, rows: Rows, room: Room, mirrored: Collection[str]
) -> list[Claim]:
    """All claims of a column."""
    y = rows.top[column][0]
    element = column.members[0].element
    if column.form == "terminal":
        wide = 2.0 + room.label[element.name]
        x0, x1 = (-wide, 0.0) if element.side == "left" else (0.0, wide)
        return [Claim(Box(x0, y - 1.2, x1, y + 1.2))]
    if column.form == "across":
        if column.low:
            return [Claim(Box(-HALF, y - 1.6, HALF, y + 1.6))]
        half = max(HALF + 0.6, room.label[element.name] / 2)
        drops = _drops(column, rows, mirrored=element.name in mirrored)
        return [Claim(Box(-half, y - 4.6, half, y + 1.6)), *drops]
    out = list(_tips(plan, column, rows))
    for k, (member, top) in enumerate(zip(column.members, rows.top[column], strict=True)):
        label = room.label[member.element.name]
        if member.element.is_transistor:
            for b in _transistor_boxes(plan, column, k, rows, room, label=label):
                out.append(
                    Claim(Box(-b.x1, b.y0, -b.x0, b.y1) if member.element.name in mirrored else b)
                )
        else:
            out.append(Claim(Box(-1.6, top, 2.0 + label, top + LEN)))
    return out


def _drops(column: Column, rows: Rows, *, mirrored: bool) -> Iterator[Claim]:
    """Wires that leave a part drawn across upwards or downwards."""
    member, y = column.members[0], rows.top[column][0]
    left, right = (member.lower, member.upper) if mirrored else (member.upper, member.lower)
    for node, x in ((left, -HALF), (right, HALF)):
        level = rows.trunk.get(node, y)
        yield Claim(Box(x - 0.5, min(y, level), x + 0.5, max(y, level)), node)


def _tips(plan: Arrangement, column: Column, rows: Rows) -> Iterator[Claim]:
    """The wires at both ends of a chain, and between its members."""
    ys, members = rows.top[column], column.members
    first, last = members[0].upper, members[-1].lower
    above, below = ys[0] - 1, ys[-1] + LEN + 1
    if first == plan.net.top:
        above = 0
    elif first not in plan.net.flags:
        above = min(above, rows.trunk[first])
    if last == plan.net.bottom:
        below = rows.bottom + 1
    elif last in plan.net.flags:
        below += 2
    else:
        below = max(below, rows.trunk[last])
    yield Claim(Box(-0.5, above, 0.5, ys[0]), first)
    yield Claim(Box(-0.5, ys[0], 0.5, ys[-1] + LEN))
    yield Claim(Box(-0.5, ys[-1] + LEN, 0.5, below), last)


def _transistor_boxes(
    plan: Arrangement, column: Column, k: int, rows: Rows, room: Room, *, label: float
) -> list[Box]:
    member, y = column.members[k], rows.top[column][k]
    net, power, element = plan.net, plan.net.power, member.element

    def volt(node: str) -> float:
        """Width of a pennant that stands by this transistor: the first of its node."""
        first = next(e for e, _ in net.pins[node] if e.is_transistor)
        return room.volts.get(node, 0.0) if first is element else 0.0

    shown = bool(room.volts)
    base = element.nodes[1]
    out = [Box(-BASE, y + 0.8, 2.4 + label, y + LEN - 0.8)]
    base_room = max(volt(base) - 1, room.amp, 1.0) if base not in power else 1.0
    out.append(Box(-BASE - base_room, y + MID - 3, -BASE, y + MID + 3))
    if shown or room.amp:
        if member.upper not in power:
            out.append(Box(-1, y - 3, volt(member.upper), y))
        if member.lower not in power:
            out.append(Box(-room.amp, y + LEN, volt(member.lower), y + LEN + 4))
        elif room.amp:
            out.append(Box(-room.amp, y + LEN, 1, y + LEN + 2))
        if k == 0 or member.upper in power:
            out.append(Box(-room.amp, y - 2, 1, y))
        elif column.members[0].upper in power:
            top = rows.top[column][0]
            out.append(Box(-room.amp, top - 2, 1, top + 0.6))
    return out
