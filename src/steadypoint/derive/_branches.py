"""The direct-current picture: the branches that carry bias current, and what drops out."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass, replace
from enum import Enum

from steadypoint.circuit import GROUND, Circuit, Kind, Part
from steadypoint.derive._algebra import Poly
from steadypoint.derive._graph import Edge, components
from steadypoint.derive._names import (
    ACTIVE,
    BREAKDOWN,
    CUTOFF,
    OFF,
    SATURATION,
    Names,
    is_signal_source,
)


class Role(Enum):
    """What a branch does in a loop."""

    RESISTOR = "resistor"
    SOURCE = "source"
    CURRENT = "current"
    DROP = "drop"
    JUNCTION = "junction"
    CONTROLLED = "controlled"
    SATURATED = "saturated"


@dataclass(frozen=True, slots=True)
class Branch:
    """A branch with its arrow; current counts positive from ``start`` to ``end``.

    Parameters
    ----------
    name : str
        Name of the branch; the part's name, or ``Q1:BE`` and ``Q1:CE`` for a transistor.
    role : Role
        What it does.
    start, end : str
        Nodes.
    symbol : str
        Letter symbol: resistance, or the voltage of ``start`` against ``end``, or the current.
    parts : tuple of str
        Parts it stands for.
    """

    name: str
    role: Role
    start: str
    end: str
    symbol: str
    parts: tuple[str, ...]

    def turned(self) -> Branch:
        """The same branch with its arrow the other way (resistors only)."""
        return replace(self, start=self.end, end=self.start)


@dataclass(frozen=True, slots=True)
class Picture:
    """The circuit for direct current.

    Parameters
    ----------
    parts : tuple of Part
        Parts that can carry current, on merged nodes.
    capacitors, shorts, idle, bleeders : tuple of str
        What is open, what is a short, what carries no current, what lies across a supply.
    """

    parts: tuple[Part, ...]
    capacitors: tuple[str, ...]
    shorts: tuple[str, ...]
    idle: tuple[str, ...]
    bleeders: tuple[str, ...]


def picture(circuit: Circuit) -> Picture:
    """Open the capacitors, short the inductors, and leave out what carries no current."""
    capacitors = tuple(p.name for p in circuit.parts if p.kind is Kind.CAPACITOR)
    shorted = [p for p in circuit.parts if p.kind is Kind.INDUCTOR or is_signal_source(p)]
    alias: dict[str, str] = {}
    for part in shorted:
        first, second = (_follow(alias, n) for n in part.nodes)
        if first != second:
            keep, lose = (first, second) if second != GROUND else (second, first)
            alias[lose] = keep
    parts = [
        replace(p, nodes=tuple(_follow(alias, n) for n in p.nodes))
        for p in circuit.parts
        if p.kind is not Kind.CAPACITOR and p not in shorted
    ]
    live, idle = prune(parts)
    fixed = fixed_nodes(live)
    bleeders = [p for p in live if p.kind is Kind.RESISTOR and all(n in fixed for n in p.nodes)]
    live = [p for p in live if p not in bleeders]
    return Picture(
        tuple(live),
        capacitors,
        tuple(p.name for p in shorted if p.kind is Kind.INDUCTOR),
        tuple(p.name for p in idle if p.kind is not Kind.SUPPLY),
        tuple(p.name for p in bleeders),
    )


def _follow(alias: Mapping[str, str], node: str) -> str:
    while node in alias:
        node = alias[node]
    return node


def fixed_nodes(parts: Iterable[Part]) -> set[str]:
    """Nodes held by supplies and voltage sources against ground."""
    fixed = {GROUND}
    sources = [p for p in parts if p.kind in (Kind.SUPPLY, Kind.VOLTAGE_SOURCE)]
    while True:
        new = {n for p in sources if fixed & set(p.nodes) for n in p.nodes} - fixed
        if not new:
            return fixed
        fixed |= new


def prune(parts: list[Part]) -> tuple[list[Part], list[Part]]:
    """Separate what can carry current from what hangs loose or lies apart."""
    live = list(parts)
    idle: list[Part] = []
    while True:
        ends: dict[str, list[Part]] = {}
        for part in live:
            for node in part.nodes:
                ends.setdefault(node, []).append(part)
        dead = [
            users[0]
            for node, users in ends.items()
            if node != GROUND and len(users) == 1 and not users[0].kind.is_transistor
        ]
        dead += [p for p in live if len(p.nodes) == 2 and p.nodes[0] == p.nodes[1]]
        edges = [Edge(p.name, p.nodes[0], n) for p in live for n in p.nodes[1:]]
        for group in components(ends, edges):
            if GROUND not in group:
                dead += [p for p in live if p.nodes[0] in group]
        if not dead:
            return live, idle
        for part in dead:
            if part in live:
                live.remove(part)
                idle.append(part)


def branches_of(
    parts: Iterable[Part], names: Names, states: Mapping[str, str], values: Mapping[str, float]
) -> list[Branch]:
    """Branches of all parts that conduct in their states."""
    out: list[Branch] = []
    for part in parts:
        if part.kind.is_transistor:
            out += _transistor(part, names, states[part.name])
        elif part.kind in (Kind.DIODE, Kind.ZENER):
            out += _diode(part, names, states[part.name])
        elif part.kind is Kind.RESISTOR:
            start, end = part.nodes
            out.append(Branch(part.name, Role.RESISTOR, start, end, part.name, (part.name,)))
        elif part.kind is Kind.CURRENT_SOURCE:
            start, end = part.nodes
            symbol = part.name
            out.append(Branch(part.name, Role.CURRENT, start, end, symbol, (part.name,)))
        else:
            start, end = part.nodes
            symbol = part.name
            if values[part.name] < 0:
                start, end, symbol = end, start, f"|{part.name}|"
            out.append(Branch(part.name, Role.SOURCE, start, end, symbol, (part.name,)))
    return out


def _transistor(part: Part, names: Names, state: str) -> list[Branch]:
    if state == CUTOFF:
        return []
    collector, base, emitter = part.nodes
    if part.kind is Kind.PNP:
        into, top, bottom, out = emitter, emitter, collector, base
    else:
        into, top, bottom, out = base, collector, emitter, emitter
    owner = (part.name,)
    junction = Branch(f"{part.name}:BE", Role.JUNCTION, into, out, names.junction(part), owner)
    role, symbol = Role.CONTROLLED, names.span(part)
    if state == SATURATION:
        role, symbol = Role.SATURATED, names.saturated(part)
    elif state != ACTIVE:
        return []
    return [junction, Branch(f"{part.name}:CE", role, top, bottom, symbol, owner)]


def _diode(part: Part, names: Names, state: str) -> list[Branch]:
    if state == OFF:
        return []
    start, end = part.nodes if state != BREAKDOWN else part.nodes[::-1]
    return [Branch(part.name, Role.DROP, start, end, names.drop(part, state), (part.name,))]


def potentials(branches: Iterable[Branch], *, with_drops: bool = False) -> dict[str, Poly]:
    """Nodes whose potential against ground is fixed, in letters.

    Parameters
    ----------
    branches : iterable of Branch
        The branches.
    with_drops : bool, default False
        Count the constant drops of conducting diodes as sources.
    """
    known = {GROUND: Poly()}
    roles = {Role.SOURCE, Role.DROP} if with_drops else {Role.SOURCE}
    sources = [b for b in branches if b.role in roles]
    changed = True
    while changed:
        changed = False
        for branch in sources:
            if branch.start in known and branch.end not in known:
                known[branch.end] = known[branch.start] - Poly.atom(branch.symbol)
                changed = True
            elif branch.end in known and branch.start not in known:
                known[branch.start] = known[branch.end] + Poly.atom(branch.symbol)
                changed = True
    return known


def without_dead_ends(branches: list[Branch], keep: Container[str] = ()) -> list[Branch]:
    """Leave out resistors and sources that lead nowhere, except to nodes that are kept."""
    live = list(branches)
    while True:
        degree: dict[str, int] = {}
        for branch in live:
            for node in (branch.start, branch.end):
                degree[node] = degree.get(node, 0) + 1
        dead = [
            b
            for b in live
            if b.start == b.end
            or any(degree[n] == 1 and n != GROUND and n not in keep for n in (b.start, b.end))
            if b.role is not Role.CONTROLLED
        ]
        if not dead:
            return live
        live = [b for b in live if b not in dead]
