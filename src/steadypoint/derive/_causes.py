"""How a change of the collector current comes back to the junction, in words and arrows."""

from __future__ import annotations

from steadypoint.circuit import Kind, Part
from steadypoint.derive._branches import fixed_nodes
from steadypoint.derive._expr import Expr, PartName, Symbol
from steadypoint.derive._graph import Edge, path
from steadypoint.derive._names import ACTIVE, OFF
from steadypoint.derive._nodal import solve_nodes
from steadypoint.derive._step import Prose
from steadypoint.derive._working import Working

NARROW = "\u202f"
UP = NARROW + "↑"


def _signal_edges(work: Working, part: Part) -> list[Edge]:
    """Ways that a change of voltage can take: resistors and conducting diodes off the rails."""
    fixed = fixed_nodes(work.circuit.parts)
    out = []
    for item in work.circuit.parts:
        if item.kind in (Kind.DIODE, Kind.ZENER) and work.states[item.name] == OFF:
            continue
        if item.kind not in (Kind.RESISTOR, Kind.DIODE, Kind.ZENER, Kind.INDUCTOR):
            if item.kind.is_transistor and item is not part and work.states[item.name] == ACTIVE:
                C, B, E = item.nodes
                out += [Edge(item.name, B, E, 0.8)] if B not in fixed else []
                out += [Edge(item.name, B, C, 0.9)] if C not in fixed and B not in fixed else []
            continue
        if not set(item.nodes) & fixed:
            out.append(Edge(item.name, item.nodes[0], item.nodes[1]))
    return out


def _routes(work: Working, part: Part) -> list[tuple[str, list[str], list[str]]]:
    """For collector and emitter: the nodes and the parts by which a change reaches the junction."""
    fixed = fixed_nodes(work.circuit.parts)
    edges = _signal_edges(work, part)
    out = []
    for letter, terminal in (("C", "collector"), ("E", "emitter")):
        node = part.node(terminal)
        if node in fixed:
            continue
        goals = [part.node(t) for t in ("base", "emitter") if part.node(t) not in fixed]
        ways: list[tuple[list[Edge], str]] = [([], node)] if node in goals else []
        found = [(path(edges, node, goal), goal) for goal in goals if node != goal]
        best = min(
            ((w, g) for w, g in [*ways, *found] if w is not None),
            key=lambda wg: len(wg[0]),
            default=None,
        )
        if best is None:
            continue
        nodes = [node]
        for edge in best[0]:
            nodes.append(edge.end if edge.start == nodes[-1] else edge.start)
        out.append((letter, nodes, [e.name for e in best[0]]))
    return out


def chain_parts(work: Working, part: Part) -> list[str]:
    out = []
    for _, nodes, names in _routes(work, part):
        out += names
        if not names:
            out += [
                p.name
                for p in work.circuit.parts
                if p.kind is Kind.RESISTOR and nodes[0] in p.nodes
            ]
    return out


def chains(work: Working, part: Part) -> Prose:
    """The causal chains, signs taken from the solved derivatives."""
    names = work.names
    I_B, I_C = names.current("B", part), names.current("C", part)
    sign = 1.0 if part.kind is Kind.NPN else -1.0
    if work.nodal is None:
        return ()
    held = {part.name: work.nodal.amps[I_C]}
    before = solve_nodes(work.circuit, names, work.states, work.given, forced=held)
    out: list[str | Expr] = []
    step = max(abs(work.nodal.amps[I_C]), 1e-9) * 1e-3
    for letter, nodes, through in _routes(work, part):
        pressed = step * sign * (-1.0 if letter == "C" else 1.0)
        after = solve_nodes(
            work.circuit, names, work.states, work.given, forced=held, injected={nodes[0]: pressed}
        )
        base = after.amps[I_B] - before.amps[I_B]
        if abs(base) < 1e-6 * step / max(work.given[names.beta(part)], 1.0):
            continue
        if abs(after.volts[nodes[0]] - before.volts[nodes[0]]) < 1e-9 * abs(step):
            out += [Symbol(names.current("E", part)), " is held by the loop, so what "]
            out += [Symbol(I_C), " gains ", Symbol(I_B), " loses: ", Symbol(I_C), UP, " → "]
            out += [Symbol(I_B), "\u202f↓ → ", Symbol(I_C), "\u202f↓. "]
            continue
        out += [Symbol(I_C), UP]
        if letter == "E":
            out += [" → ", Symbol(names.current(letter, part)), UP]
        across = _across(work, nodes[0])
        if across:
            out += [" → drop across ", PartName(across), UP]
        for place, node in enumerate(nodes):
            rise = after.volts[node] - before.volts[node]
            if place and abs(rise) < 1e-6 * abs(after.volts[nodes[0]] - before.volts[nodes[0]]):
                word = " → less current through " if base < 0 else " → more current through "
                out += [word, PartName(through[place - 1])]
                continue
            out += [" → ", _node_symbol(work, part, node), NARROW + _arrow(rise)]
            if place:
                out += [" through ", PartName(through[place - 1])]
        out += [" → ", Symbol(I_B), NARROW + _arrow(base), " → ", Symbol(I_C)]
        out += [NARROW + _arrow(base), ". "]
    return tuple(out)


def _across(work: Working, node: str) -> str:
    """The resistor between a node and a rail, if there is just one."""
    fixed = fixed_nodes(work.circuit.parts)
    found = [
        p.name
        for p in work.circuit.parts
        if p.kind is Kind.RESISTOR
        and node in p.nodes
        and any(n in fixed for n in p.nodes if n != node)
    ]
    return found[0] if len(found) == 1 else ""


def _arrow(change: float) -> str:
    return "↑" if change > 0 else "↓"


def _node_symbol(work: Working, part: Part, node: str) -> str | Expr:
    order = [part, *(q for q in work.circuit.transistors if q is not part)]
    for owner in order:
        for letter, terminal in zip("CBE", owner.nodes, strict=True):
            if terminal == node:
                return Symbol(work.names.node(letter, owner))
    return f"the voltage at {node.replace('.', ' ')}"
