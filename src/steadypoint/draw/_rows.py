"""Rows: how high every part and every horizontal wire lies (first linear program).

Lengths are in grid units of 10 px; a part is 6 units from pin to pin and a base lies in the middle
of its transistor.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from steadypoint.circuit import Kind
from steadypoint.draw._columns import Arrangement, Column, Member
from steadypoint.draw._program import Program

LEN: Final = 6
MID: Final = 3
_MISSED: Final = 20.0  # price of a wire that runs back along its own column
_SIDE: Final = 4.0  # price of a jog at a pin that looks sideways
_WIRE: Final = 0.15
_SLACK: Final = 0.05
_LEVEL: Final = 0.4
_PAIR: Final = 4.0


@dataclass(frozen=True)
class Rows:
    """Heights on the grid.

    Parameters
    ----------
    top : mapping of Column to tuple of int
        Upper end of each member (the line itself for what lies across).
    trunk : mapping of str to int
        Height of the horizontal wire of each node.
    bottom : int
        Height of the lower rail; the upper one is at 0.
    """

    top: dict[Column, tuple[int, ...]]
    trunk: dict[str, int]
    bottom: int


@dataclass(frozen=True, slots=True)
class Clearance:
    """A wire must pass a member below (or above) by a distance, found after a first routing."""

    node: str
    column: Column
    index: int
    below: bool
    distance: int


@dataclass
class _Rows:
    plan: Arrangement
    program: Program = field(default_factory=Program)
    top: dict[Column, list[int]] = field(default_factory=dict)
    trunk: dict[str, int] = field(default_factory=dict)

    def build(self) -> int:
        program, net = self.program, self.plan.net
        self.bottom = program.variable(1.0)
        for node in net.pins:
            if node not in net.power:
                self.trunk[node] = program.variable()
        for column in self.plan.columns:
            self.top[column] = [program.variable(0.01) for _ in column.members]
            if column.form == "vertical":
                self.chain(column)
            else:
                self.sideways(column)
        self.levels()
        for low in (c for c in self.plan.columns if c.low):
            for column in self.plan.columns:
                if column.form == "vertical":
                    program.at_least(self.top[low][0], self.top[column][-1], LEN + 4)
        for high in (c for c in self.plan.columns if c.high):
            for column in self.plan.columns:
                for member, y in zip(column.members, self.top[column], strict=True):
                    if member.element.is_transistor:
                        program.at_least(y, self.top[high][0], 2)
        return self.bottom

    def busy(self, node: str) -> bool:
        """True when more than two pins meet: a branch leaves the column."""
        return len(self.plan.net.pins[node]) > 2

    def branches(self, node: str) -> bool:
        """True when more than two pins with direct current meet."""
        pins = self.plan.net.pins[node]
        return sum(e.name not in self.plan.net.signal for e, _ in pins) > 2

    def at_transistor(self, node: str) -> bool:
        return any(e.is_transistor for e, _ in self.plan.net.pins[node])

    def gap(self, above: Member, below: Member) -> int:
        """Room between two members of a chain."""
        both = above.element.is_transistor and below.element.is_transistor
        if above.element.is_transistor or below.element.is_transistor:
            return 5 if both or self.branches(above.lower) else 4
        if self.at_transistor(above.lower):
            return 4
        return 3 if self.busy(above.lower) else 1

    def edge(self, member: Member, node: str) -> int:
        """Room between a rail and the member at it."""
        if node in self.plan.net.flags:
            return 4
        return 3 if member.element.is_transistor else 2

    def chain(self, column: Column) -> None:
        program, net, ys = self.program, self.plan.net, self.top[column]
        first, last = column.members[0], column.members[-1]
        program.at_least(ys[0], None, self.edge(first, first.upper))
        program.at_least(self.bottom, ys[-1], LEN + self.edge(last, last.lower))
        for k, member in enumerate(column.members):
            if k:
                program.at_least(ys[k], ys[k - 1], LEN + self.gap(column.members[k - 1], member))
            for node, offset, is_upper in ((member.upper, 0, True), (member.lower, LEN, False)):
                if node in net.power:
                    continue
                if node == member.element.nodes[1] and member.element.is_transistor:
                    continue  # connected as a diode: the base sets the height
                self.vertical_pin(member, node, ys[k], offset, is_upper=is_upper)
            if member.element.is_transistor and net.base(member.element) not in net.power:
                trunk = self.trunk[net.base(member.element)]
                program.close(((ys[k], 1.0), (trunk, -1.0)), -MID, _SIDE)

    def vertical_pin(
        self, member: Member, node: str, y: int, offset: int, *, is_upper: bool
    ) -> None:
        """A pin at the end of an upright part: its wire runs away from the part, never back."""
        trunk, program = self.trunk[node], self.program
        transistor = member.element.is_transistor
        # The wire of a node lies by the part above it, so that the pennant fits below.
        near = transistor != is_upper
        program.close(((y, 1.0), (trunk, -1.0)), -offset, _WIRE if near else _SLACK)
        margin = 1 if self.busy(node) else 0
        if is_upper:
            if transistor and self.busy(node):
                margin = 2
            program.at_least(y, trunk, margin, _MISSED)
        else:
            if transistor and self.busy(node):
                margin = 1
            program.at_least(trunk, y, LEN + margin, _MISSED)

    def sideways(self, column: Column) -> None:
        program, net, y = self.program, self.plan.net, self.top[column][0]
        member = column.members[0]
        if column.low:
            program.at_least(self.bottom, y, 1)
            return
        program.at_least(y, None, 3)
        program.at_least(self.bottom, y, 3)
        nodes = [n for n in dict.fromkeys((member.upper, member.lower)) if n not in net.power]
        nodes.sort(key=lambda n: -self.plan.potential[n])
        conducting = member.element.kind not in (Kind.CAPACITOR, None)
        for rank, node in enumerate(nodes):
            price = _SIDE if rank == 0 or not conducting else 1.5
            program.close(((y, 1.0), (self.trunk[node], -1.0)), 0.0, price)

    def levels(self) -> None:
        """Equal levels: parts on the same rail, pairs, mirrors, stages."""
        net, program = self.plan.net, self.program
        self.rail_levels()
        for leg in self.plan.legs:
            for column in leg.shared:
                if leg.below:
                    gap = LEN + 2
                    program.at_least(self.top[leg.column][0], self.top[column][-1], gap)
                else:
                    gap = LEN + 2
                    program.at_least(self.top[column][0], self.top[leg.column][-1], gap)
            for other in leg.shared[1:]:
                self.level(leg.shared[0], other, _PAIR)
        found = [
            (m, y)
            for c in self.plan.columns
            for m, y in zip(c.members, self.top[c], strict=True)
            if m.element.is_transistor
        ]
        for i, (a, ya) in enumerate(found):
            for b, yb in found[i + 1 :]:
                joined = net.base(a.element) == net.base(b.element)
                program.close(((ya, 1.0), (yb, -1.0)), 0.0, _PAIR if joined else _SLACK)

    def rail_levels(self) -> None:
        net, program = self.plan.net, self.program
        upper, lower = program.variable(), program.variable()
        for column, ys in self.top.items():
            if column.form != "vertical":
                continue
            first, last = column.members[0], column.members[-1]
            if first.element.name in net.signal:
                continue
            if first.upper == net.top and not first.element.is_transistor:
                program.close(((ys[0], 1.0), (upper, -1.0)), 0.0, _LEVEL)
            if last.lower == net.bottom and not last.element.is_transistor:
                program.close(((ys[-1], 1.0), (lower, -1.0)), 0.0, _LEVEL)
        self.bypass_levels()

    def bypass_levels(self) -> None:
        """A capacitor across a part stands level with it; other idle parts stay by their wire."""
        net = self.plan.net
        found = [
            (m, y)
            for c, ys in self.top.items()
            if c.form == "vertical"
            for m, y in zip(c.members, ys, strict=True)
        ]
        for own, y in found:
            if own.element.name not in net.signal:
                continue
            beside = [
                z
                for other, z in found
                if other.element.name not in net.signal
                and (other.upper, other.lower) == (own.upper, own.lower)
            ]
            for z in beside[:1]:
                self.program.close(((y, 1.0), (z, -1.0)), 0.0, _LEVEL)

    def level(self, a: Column, b: Column, price: float) -> None:
        for m, y in zip(a.members, self.top[a], strict=True):
            for n, z in zip(b.members, self.top[b], strict=True):
                if m.element.is_transistor and n.element.is_transistor:
                    self.program.close(((y, 1.0), (z, -1.0)), 0.0, price)

    def clear(self, wish: Clearance) -> None:
        trunk = self.trunk[wish.node]
        part = self.top[wish.column][wish.index]
        if wish.below:
            self.program.at_least(trunk, part, wish.distance)
        else:
            self.program.at_least(part, trunk, wish.distance)


def assign_rows(plan: Arrangement, clearances: tuple[Clearance, ...] = ()) -> Rows | None:
    """Heights for all columns, or None when the clearances contradict."""
    rows = _Rows(plan)
    bottom = rows.build()
    for wish in clearances:
        rows.clear(wish)
    found = rows.program.solve()
    if found is None:
        return None
    return Rows(
        {column: tuple(found[i] for i in ys) for column, ys in rows.top.items()},
        {node: found[i] for node, i in rows.trunk.items()},
        found[bottom],
    )
