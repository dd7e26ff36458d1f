"""Chains of resistors that lead to a base."""

from __future__ import annotations

from dataclasses import dataclass

from steadypoint.solve._network import Branch, Network


@dataclass(frozen=True, slots=True)
class Chain:
    """A chain of resistors from a node with a collector or emitter to a node with a base.

    ``first`` is the resistor at ``node``, ``parts`` are all of them in order, ``transistor`` is the
    one whose base it reaches.
    """

    node: int
    first: Branch
    parts: tuple[str, ...]
    transistor: str


def tied_nodes(net: Network) -> frozenset[int]:
    """Ground and the nodes that voltage sources tie to it."""
    tied = {-1}
    grown = True
    while grown:
        grown = False
        for v in net.voltages:
            if (v.start in tied) != (v.end in tied):
                tied |= {v.start, v.end}
                grown = True
    return frozenset(tied)


def chains_to_bases(net: Network) -> tuple[Chain, ...]:
    """All chains from collectors and emitters to bases.

    Parameters
    ----------
    net : Network
        The network; capacitors are open, so nodes that only they branch off belong to the chain.

    Returns
    -------
    tuple of Chain
    """
    touching: dict[int, int] = {}
    for group in (net.resistors, net.currents, net.voltages):
        for branch in group:
            for node in (branch.start, branch.end):
                touching[node] = touching.get(node, 0) + 1
    for d in net.diodes:
        for node in (d.anode, d.cathode):
            touching[node] = touching.get(node, 0) + 1
    bases: dict[int, str] = {}
    outputs: set[int] = set()
    for q in net.bipolars:
        bases.setdefault(q.base, q.name)
        outputs |= {q.collector, q.emitter}
    pins = outputs | set(bases)
    tied = tied_nodes(net)
    found = []
    for node in sorted(outputs - {-1}):
        for r in net.resistors:
            if node in (r.start, r.end):
                end, parts = _follow(net, node, r, touching, pins)
                if end in bases and end not in tied and end != node:
                    found.append(Chain(node, r, parts, bases[end]))
    return tuple(found)


def _follow(
    net: Network, node: int, first: Branch, touching: dict[int, int], pins: set[int]
) -> tuple[int, tuple[str, ...]]:
    """End and parts of the chain that starts with a resistor at a node."""
    at, r, parts = node, first, [first.name]
    while True:
        at = r.end if r.start == at else r.start
        if at == -1 or at in pins or touching.get(at) != 2:
            return at, tuple(parts)
        onward = [s for s in net.resistors if s.name != r.name and at in (s.start, s.end)]
        if len(onward) != 1 or onward[0].name in parts:
            return at, tuple(parts)
        r = onward[0]
        parts.append(r.name)
