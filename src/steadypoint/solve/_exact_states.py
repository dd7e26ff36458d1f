"""States of all junctions: where a search starts and how it moves."""

from __future__ import annotations

from steadypoint.solve._pieces import State
from steadypoint.solve._tableau import Tableau


def start_state(tab: Tableau) -> State:
    """Every transistor active, every diode blocking."""
    return complete(tab, [q.kind == "forward" and not q.never for q in tab.junctions])


def complete(tab: Tableau, state: list[bool]) -> State:
    """Give junctions that follow a leader the state of their leader."""
    return tuple(state[q.leader] and not tab.junctions[q.leader].never for q in tab.junctions)


def flipped(tab: Tableau, state: State, which: tuple[int, ...]) -> State:
    """State with some junctions swapped."""
    new = list(state)
    for j in which:
        new[j] = not new[j]
    return complete(tab, new)
