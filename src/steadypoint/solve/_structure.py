"""A circuit without its values."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from steadypoint.errors import NoSolutionError
from steadypoint.solve._network import Network

Pairs = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Structure:
    """A circuit without its values; equal structures share a plan."""

    nodes: int
    resistors: Pairs
    currents: Pairs
    voltages: Pairs
    bipolars: tuple[tuple[int, int, int, int], ...]
    diodes: tuple[tuple[int, int, bool], ...]
    fets: tuple[tuple[int, int, int, int], ...] = ()


_latest: list[tuple[Network, Structure]] = []


def structure_of(net: Network) -> Structure:
    """Structure of a network; the latest is kept, since one solution asks for it several times."""
    known = _latest[-1:]
    if known and known[0][0] is net:
        return known[0][1]
    found = _structure_of(net)
    _latest[:] = [(net, found)]
    return found


def _structure_of(net: Network) -> Structure:
    return Structure(
        len(net.names),
        tuple((r.start, r.end) for r in net.resistors),
        tuple((c.start, c.end) for c in net.currents),
        tuple((v.start, v.end) for v in net.voltages),
        tuple((q.collector, q.base, q.emitter, q.sign) for q in net.bipolars),
        tuple((d.anode, d.cathode, math.isfinite(d.data.V_Z)) for d in net.diodes),
        tuple((f.drain, f.gate, f.source, f.sign) for f in net.fets),
    )


@lru_cache(maxsize=512)
def floating_groups(s: Structure) -> tuple[frozenset[int], ...]:
    """Groups of nodes without a path for direct current to ground.

    Parameters
    ----------
    s : Structure
        The structure; junctions and channels count as paths, capacitors, current sources and gates
        do not.

    Returns
    -------
    tuple of frozenset of int
    """
    parent = list(range(s.nodes + 1))

    def root(i: int) -> int:
        while parent[i] != i:
            i = parent[i]
        return i

    edges: list[tuple[int, int]] = [*s.resistors, *s.voltages]
    edges += [(a, k) for a, k, _ in s.diodes]
    edges += [(d, k) for d, _, k, _ in s.fets]
    for c, b, e, _ in s.bipolars:
        edges += [(c, b), (b, e)]
    for a, b in edges:
        parent[root(a % (s.nodes + 1))] = root(b % (s.nodes + 1))
    groups: dict[int, set[int]] = {}
    for i in range(s.nodes):
        groups.setdefault(root(i), set()).add(i)
    groups.pop(root(s.nodes), None)
    return tuple(frozenset(group) for group in groups.values())


def refuse_stuck_currents(net: Network) -> None:
    """Refuse current sources that drive into nodes without a path for direct current.

    Raises
    ------
    NoSolutionError
        Naming the source and the node.
    """
    for group in floating_groups(structure_of(net)):
        for c in net.currents:
            if (c.start in group) != (c.end in group):
                node = c.start if c.start in group else c.end
                raise NoSolutionError(
                    f"The current of {c.name} finds no way: {net.names[node]} has no path for "
                    "direct current to ground. Give this current a resistor or a conducting "
                    "junction to flow through."
                )
