"""Circuits of two equal halves: which part answers to which, and one half by itself."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from steadypoint.circuit import Circuit, Kind, Part
from steadypoint.derive._branches import fixed_nodes, picture
from steadypoint.devices import bipolar_data, diode_data
from steadypoint.values import Quantity

SAME = 1e-9
"""Relative difference below which two stated values are equal. [-]"""

_TWO_WAY = (Kind.RESISTOR,)
_SOURCES = (Kind.SUPPLY, Kind.VOLTAGE_SOURCE)


@dataclass(frozen=True)
class Halves:
    """Two halves that are built alike.

    Parameters
    ----------
    first, second : Part
        The transistors.
    pairs : tuple of (Part, Part)
        Parts that answer to each other, that of the first half in front.
    shared : tuple of Part
        Resistors and current sources through which both halves' currents flow.
    bridges : tuple of Part
        Resistors between two nodes that answer to each other: without current.
    unequal : tuple of (Part, Part)
        Pairs whose values differ; empty when the halves are equal.
    loads : tuple of (Part, Part)
        What stands in the two collectors alone, where that differs; either may be the transistor
        itself when its collector is joined to the rail.
    half : Circuit
        The first half by itself, with shared resistors doubled and shared currents halved.
    """

    first: Part
    second: Part
    pairs: tuple[tuple[Part, Part], ...]
    shared: tuple[Part, ...]
    bridges: tuple[Part, ...]
    unequal: tuple[tuple[Part, Part], ...]
    loads: tuple[tuple[Part, Part], ...]
    half: Circuit


def halves(circuit: Circuit) -> Halves | None:
    """The two halves of a circuit of two bipolar transistors, if it is built so.

    Parameters
    ----------
    circuit : Circuit
        The circuit.

    Returns
    -------
    Halves or None
        None where no exchange of the two transistors leaves the circuit's build as it is.
    """
    transistors = circuit.transistors
    if len(transistors) != 2 or circuit.fets or any(p.kind is Kind.INDUCTOR for p in circuit.parts):
        return None
    parts = list(picture(circuit).parts)
    first, second = (next((p for p in parts if p.name == t.name), None) for t in transistors)
    if first is None or second is None or first.kind is not second.kind:
        return None
    if first.node("base") == second.node("base"):
        return None
    rails = fixed_nodes(parts)
    loads = _loads(parts, (first, second), rails)
    alone = {p.name for p in loads if p is not None}
    others = [
        p
        for p in parts
        if not p.kind.is_transistor and p.kind not in _SOURCES and p.name not in alone
    ]
    found = _Exchange(rails, first, second, others, skip_collectors=bool(loads)).find()
    if found is None or _is_crossed(found, first, second):
        return None
    return _halves(found, parts, (first, second), loads)


def _is_crossed(found: _Exchange, first: Part, second: Part) -> bool:
    """One half drives the other, as in a flip-flop: the equal point is not one that lasts."""
    own = ({n for n in p.nodes if found.nodes.get(n, n) != n} for p in (first, second))
    one, two = own
    return any(
        found.partner[p.name].name != p.name and one & set(p.nodes) and two & set(p.nodes)
        for p in found.parts
    )


def _loads(
    parts: list[Part], transistors: tuple[Part, Part], rails: set[str]
) -> tuple[Part | None, ...]:
    """Resistor between each collector and a rail, None for a bare rail; empty if other things."""
    out: list[Part | None] = []
    for transistor in transistors:
        node = transistor.node("collector")
        if node in rails:
            out.append(None)
            continue
        there = [p for p in parts if node in p.nodes and p.name != transistor.name]
        if len(there) != 1 or there[0].kind is not Kind.RESISTOR:
            return ()
        (other,) = set(there[0].nodes) - {node} or {node}
        if other not in rails:
            return ()
        out.append(there[0])
    return tuple(out)


@dataclass
class _Exchange:
    """Search for an exchange of nodes and parts that is its own inverse."""

    rails: set[str]
    first: Part
    second: Part
    parts: list[Part]
    skip_collectors: bool
    nodes: dict[str, str] = field(default_factory=dict)
    partner: dict[str, Part] = field(default_factory=dict)

    def find(self) -> _Exchange | None:
        self.nodes = {r: r for r in self.rails}
        terminals = (
            ("base", "emitter") if self.skip_collectors else ("base", "emitter", "collector")
        )
        for terminal in terminals:
            if not self._join(self.first.node(terminal), self.second.node(terminal)):
                return None
        return self if self._assign() else None

    def _join(self, one: str, two: str) -> bool:
        if self.nodes.get(one, two) != two or self.nodes.get(two, one) != one:
            return False
        self.nodes[one], self.nodes[two] = two, one
        return True

    def _assign(self) -> bool:
        waiting = [p for p in self.parts if p.name not in self.partner]
        if not waiting:
            return True
        part = max(waiting, key=lambda p: sum(n in self.nodes for n in p.nodes))
        candidates = sorted(waiting, key=lambda p: not _same_value(p, part))
        for other in candidates:
            for ends in self._orientations(part, other):
                kept = dict(self.nodes), dict(self.partner)
                self.partner |= {part.name: other, other.name: part}
                if all(self._join(a, b) for a, b in ends) and self._assign():
                    return True
                self.nodes, self.partner = kept
        return False

    @staticmethod
    def _orientations(part: Part, other: Part) -> Iterator[list[tuple[str, str]]]:
        if part.kind is not other.kind:
            return
        yield list(zip(part.nodes, other.nodes, strict=True))
        if part.kind in _TWO_WAY:
            yield list(zip(part.nodes, other.nodes[::-1], strict=True))


def _same_value(one: Part, two: Part) -> bool:
    if one.kind.is_bipolar:
        first, second = bipolar_data(one.option), bipolar_data(two.option)
        return first.beta == second.beta and first.V_BE == second.V_BE
    diodes = one.kind in (Kind.DIODE, Kind.ZENER)
    if diodes and diode_data(one.option) != diode_data(two.option):
        return False
    a, b = (0.0 if p.value is None else p.value.value for p in (one, two))
    return abs(a - b) <= SAME * max(abs(a), abs(b))


def _halves(
    found: _Exchange,
    parts: list[Part],
    transistors: tuple[Part, Part],
    loads: tuple[Part | None, ...],
) -> Halves:
    first, second = transistors
    name = _folded(found, first)
    pairs: list[tuple[Part, Part]] = []
    shared: list[Part] = []
    bridges: list[Part] = []
    kept: list[Part] = [p for p in parts if p.kind in _SOURCES]
    kept.append(replace(first, nodes=tuple(name.get(n, n) for n in first.nodes)))
    kept += [p for p in loads[:1] if p is not None]
    for part in found.parts:
        other = found.partner[part.name]
        here = replace(part, nodes=tuple(name.get(n, n) for n in part.nodes))
        if other.name != part.name:
            if not any(part.name in (a.name, b.name) for a, b in pairs):
                pairs.append((part, other))
                kept.append(here)
        elif here.nodes[0] == here.nodes[1]:
            bridges.append(part)
        else:
            kept.append(_share(here))
            shared += [part] if kept[-1] is not here else []
    both = [p for p in loads if p is not None]
    differ = loads and (len(both) == 1 or (len(both) == 2 and not _same_value(both[0], both[1])))
    if len(both) == 2 and not differ:
        pairs.append((both[0], both[1]))
    uneven = ((loads[0] or first, loads[1] or second),) if differ else ()
    all_pairs = [transistors, *pairs]
    return Halves(
        first,
        second,
        tuple(pairs),
        tuple(shared),
        tuple(bridges),
        tuple((a, b) for a, b in all_pairs if not _same_value(a, b)),
        uneven,
        Circuit(tuple(kept)),
    )


def _folded(found: _Exchange, first: Part) -> dict[str, str]:
    """New name of each node when the second half is laid on the first."""
    name: dict[str, str] = {}
    own = [*first.nodes, *(n for p in found.parts for n in p.nodes)]
    for node in own:
        other = found.nodes.get(node, node)
        if node != other and node not in name:
            name[node] = name[other] = node
    return name


def _share(part: Part) -> Part:
    """A part that both halves use, as one half sees it."""
    if part.value is None or part.kind not in (Kind.RESISTOR, Kind.CURRENT_SOURCE):
        return part
    factor = 2.0 if part.kind is Kind.RESISTOR else 0.5
    return replace(part, value=Quantity(part.value.value * factor, part.value.unit))
