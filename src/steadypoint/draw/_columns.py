"""From the netlist to columns: chains of parts that hang one below the other.

Every transistor takes along what stands above and below it (a further transistor first, then a part
that leads to a rail). A leg shared by two emitters or two collectors becomes a column of its own.
Then come the networks at the bases, then single parts: vertical when one pin is on a rail, else
across.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Final

from steadypoint.circuit import GROUND, Kind
from steadypoint.draw._netlist import Element, Netlist, is_base
from steadypoint.draw._potential import potentials

_CONDUCTING: Final = (
    Kind.RESISTOR,
    Kind.DIODE,
    Kind.ZENER,
    Kind.CURRENT_SOURCE,
    Kind.VOLTAGE_SOURCE,
    Kind.INDUCTOR,
)
_LYING: Final = ("above", "below", "across")


@dataclass(frozen=True, slots=True)
class Member:
    """A part in a column with the nodes at its upper (left) and lower (right) end."""

    element: Element
    upper: str
    lower: str


@dataclass(frozen=True, eq=False)
class Column:
    """What moves as one: a vertical chain, a part drawn across, or a terminal.

    Parameters
    ----------
    form : str
        ``vertical``, ``across`` or ``terminal``.
    members : tuple of Member
        From top to bottom.
    low : bool
        True for a part across that passes below everything, such as feedback over two stages.
    high : bool
        True for a part across that a hint wants above all transistors.
    """

    form: str
    members: tuple[Member, ...]
    low: bool = False
    high: bool = False

    @cached_property
    def key(self) -> str:
        """Name for sorting and caching."""
        return "+".join(m.element.name for m in self.members)

    @cached_property
    def transistors(self) -> tuple[Element, ...]:
        """The transistors in the chain."""
        return tuple(m.element for m in self.members if m.element.is_transistor)


@dataclass(frozen=True, slots=True)
class Leg:
    """A common leg: the column that several transistor columns share at one end."""

    column: Column
    shared: tuple[Column, ...]
    below: bool


@dataclass(frozen=True)
class Arrangement:
    """All columns of a netlist and how they hang together."""

    net: Netlist
    columns: tuple[Column, ...]
    legs: tuple[Leg, ...]
    potential: dict[str, float] = field(repr=False)

    @cached_property
    def common_bases(self) -> tuple[tuple[Element, Element], ...]:
        """Pairs of transistors that share a base node, the first with each other one."""
        found: dict[str, list[tuple[Column, Element]]] = {}
        for column in self.columns:
            for element in column.transistors:
                found.setdefault(element.nodes[1], []).append((column, element))
        return tuple(
            (here[0][1], element)
            for here in found.values()
            for column, element in here[1:]
            if column is not here[0][0]
        )

    @property
    def loose(self) -> tuple[str, ...]:
        """Names of conducting parts drawn across; they might as well stand upright."""
        return tuple(
            c.members[0].element.name
            for c in self.columns
            if c.form == "across"
            and c.members[0].element.kind in _CONDUCTING
            and c.members[0].element.name not in self.net.wanted(*_LYING)
        )


class _Builder:
    def __init__(self, net: Netlist) -> None:
        self.net = net
        self.potential = potentials(net)
        self.used: set[str] = set()
        self.columns: list[Column] = []

    def shares_end(self, node: str, *, upper: bool) -> bool:
        """Several transistors hang on this node by the same end."""
        ends = [
            e
            for e, k in self.net.pins[node]
            if e.is_transistor and k == (self.net.upper(e) if upper else self.net.lower(e))
        ]
        return len(ends) > 1

    def next_part(self, node: str, *, up: bool, at_base: bool) -> tuple[Element, str] | None:
        """The part that continues a chain from a node, and the node at its far end."""
        net = self.net
        if node in net.power or self.shares_end(node, upper=up):
            return None
        found: list[tuple[int, str, Element, str]] = []
        for element, number in net.pins[node]:
            if element.name in self.used:
                continue
            if element.is_transistor:
                near = net.lower(element) if up else net.upper(element)
                if number == near and not at_base:
                    far = net.upper(element) if up else net.lower(element)
                    found.append((0, element.name, element, element.nodes[far]))
            elif element.kind in _CONDUCTING:
                far_node = element.nodes[1 - number]
                rank = self.rank(node, far_node, element, up=up, at_base=at_base)
                if rank:
                    found.append((rank, element.name, element, far_node))
        if not found:
            return None
        _, _, element, far_node = min(found, key=lambda f: f[:2])
        return element, far_node

    def leads(self, node: str, far: str, *, up: bool) -> bool:
        """True when the far node lies above (below) the near one."""
        rise = self.potential[far] - self.potential[node]
        return abs(rise) > 1e-9 and (rise > 0) == up

    def joins_ends(self, far: str, *, up: bool) -> bool:
        """True when the far node is the outer terminal of exactly one transistor."""
        net = self.net
        ends = [(e, k) for e, k in net.pins[far] if e.is_transistor]
        if len(ends) != 1:
            return False
        element, number = ends[0]
        return number == (net.lower(element) if up else net.upper(element))

    def rank(self, node: str, far: str, element: Element, *, up: bool, at_base: bool) -> int:
        """How well a two-terminal part continues the chain: 1 best, 0 not at all."""
        net = self.net
        # What leads from a base to ground hangs down, whatever the sign of the base voltage.
        hangs = at_base and far == GROUND and far in net.flags
        if far == node or (not hangs and not self.leads(node, far, up=up)):
            return 0
        if hangs:
            return 0 if up else 2
        if far == (net.top if up else net.bottom):
            return 1
        if far in net.power:
            return 2
        junctions = [k for e, k in net.pins[far] if e.is_transistor]
        if not junctions:
            leads_on = any(
                e.name != element.name and e.kind in _CONDUCTING for e, _ in net.pins[far]
            )
            return 3 if leads_on else 0
        if not at_base and self.joins_ends(far, up=up):
            return 4
        here = [k for e, k in net.pins[node] if e.is_transistor]
        only_bases = all(is_base(k) for k in junctions) and all(is_base(k) for k in here)
        return 3 if at_base and only_bases else 0

    def extend(self, node: str, *, up: bool, at_base: bool) -> list[Member]:
        """Members of the chain that starts at a node, from the node outwards."""
        chain: list[Member] = []
        while (step := self.next_part(node, up=up, at_base=at_base)) is not None:
            element, far = step
            self.used.add(element.name)
            chain.append(Member(element, far, node) if up else Member(element, node, far))
            node = far
        return chain

    def stack(self, element: Element) -> None:
        """Column of a transistor with what stands above and below."""
        self.used.add(element.name)
        upper = element.nodes[self.net.upper(element)]
        lower = element.nodes[self.net.lower(element)]
        above = self.extend(upper, up=True, at_base=False)[::-1]
        below = self.extend(lower, up=False, at_base=False)
        self.columns.append(Column("vertical", (*above, Member(element, upper, lower), *below)))

    def free(self, names: frozenset[str]) -> None:
        """Take parts out of the columns of transistors, with what hangs beyond them."""
        columns, self.columns = self.columns, []
        for column in columns:
            pieces: list[list[Member]] = [[]]
            for member in column.members:
                if member.element.name in names:
                    self.used.discard(member.element.name)
                    pieces.append([])
                else:
                    pieces[-1].append(member)
            for piece in pieces:
                if any(m.element.is_transistor for m in piece):
                    self.columns.append(Column(column.form, tuple(piece)))
                else:
                    self.used -= {m.element.name for m in piece}

    def network(self, node: str) -> None:
        """Column of what hangs on a node: a divider, a bleeder, a bias string."""
        if node in self.net.power:
            return
        above = self.extend(node, up=True, at_base=True)[::-1]
        below = self.extend(node, up=False, at_base=True)
        pieces: list[list[Member]] = []
        for member in (*above, *below):
            if not pieces or self.parted(pieces[-1], member.element.name):
                pieces.append([])
            pieces[-1].append(member)
        self.columns += [Column("vertical", tuple(piece)) for piece in pieces]

    def parted(self, piece: list[Member], name: str) -> bool:
        """True when hints send a part elsewhere than those that it hangs below."""
        names = {m.element.name for m in piece}
        sides = {h.part: set[tuple[str, str]]() for h in self.net.hints}
        for hint in self.net.hints:
            if hint.where in ("left", "right"):
                sides[hint.part].add((hint.where, hint.beside))
            if (
                hint.beside
                and {hint.part, hint.beside} - {name} < names
                and name
                in (
                    hint.part,
                    hint.beside,
                )
            ):
                return True
        own = sides.get(name)
        return bool(own) and any(sides.get(n, own) not in (own, set()) for n in names)

    def single(self, element: Element, *, upright: bool) -> None:
        """Column of one left-over part."""
        net, v = self.net, self.potential
        if element.kind is None:
            node = element.nodes[0]
            self.columns.append(Column("terminal", (Member(element, node, node),)))
            return
        first, second = element.nodes
        if first in net.power or second in net.power or upright:
            low = {net.bottom, *(n for n in net.flags)}
            if (first in low) != (second in low):
                upper, lower = (second, first) if first in low else (first, second)
            else:
                upper, lower = sorted((first, second), key=lambda n: -v[n])
            self.columns.append(Column("vertical", (Member(element, upper, lower),)))
        else:
            self.columns.append(Column("across", (Member(element, first, second),)))


def arrange(
    net: Netlist, upright: frozenset[str] = frozenset(), low: frozenset[str] = frozenset()
) -> Arrangement:
    """Columns of a netlist; loose parts named in ``upright`` stand, those in ``low`` pass below.

    What the hints of the sheet say goes before both. A part with a hint leaves the chain it would
    stand in, so that a hint never moves a transistor.
    """
    builder = _Builder(net)
    upright = (upright | net.wanted("upright")) - net.wanted(*_LYING)
    low |= net.wanted("below")
    apart = upright | net.wanted(*_LYING)
    builder.used |= apart
    transistors = [e for e in net.elements if e.is_transistor]
    for element in transistors:
        if element.name not in builder.used:
            builder.stack(element)
    builder.free(net.wanted("left", "right"))
    bases = [net.base(e) for e in transistors]
    for node in dict.fromkeys([*bases, *net.pins]):
        builder.network(node)
    builder.used -= apart
    for element in net.elements:
        if element.name not in builder.used:
            builder.used.add(element.name)
            builder.single(element, upright=element.name in upright)
    columns = tuple(
        replace(c, low=_lies(c, low), high=_lies(c, net.wanted("above"))) for c in builder.columns
    )
    return Arrangement(net, columns, _legs(net, columns), builder.potential)


def _lies(column: Column, names: frozenset[str]) -> bool:
    return column.form == "across" and column.members[0].element.name in names


def _legs(net: Netlist, columns: tuple[Column, ...]) -> tuple[Leg, ...]:
    legs: list[Leg] = []
    upright = [c for c in columns if c.form == "vertical"]
    for node in net.pins:
        if node in net.power:
            continue
        for below in (True, False):
            ends = [c.members[-1 if below else 0] for c in upright]
            nodes = [m.lower if below else m.upper for m in ends]
            shared = tuple(
                c
                for c, m, n in zip(upright, ends, nodes, strict=True)
                if n == node and m.element.is_transistor
            )
            if len(shared) < 2:
                continue
            for column in upright:
                tip = column.members[0].upper if below else column.members[-1].lower
                idle = all(m.element.kind is Kind.CAPACITOR for m in column.members)
                if tip == node and column not in shared and not idle:
                    legs.append(Leg(column, shared, below))
    return tuple(legs)
