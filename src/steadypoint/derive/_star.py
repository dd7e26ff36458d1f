"""The star that a transistor sees: its leads' resistances with the sources replaced by shorts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from steadypoint.derive._algebra import Sort
from steadypoint.derive._branches import Branch, Role
from steadypoint.derive._expr import ONE, ZERO, Expr, Symbol, add, divide, multiply, parallel
from steadypoint.derive._step import Line
from steadypoint.derive._working import Working
from steadypoint.errors import DerivationError


@dataclass
class _Edge:
    start: str
    end: str
    ohms: Expr

    def other(self, node: str) -> str:
        return self.end if node == self.start else self.start


@dataclass
class Star:
    """Resistances in the three leads, found by peeling, and by star and delta where that ends.

    Parameters
    ----------
    work : Working
        Receives the figures of delta sums and mesh resistances.
    branches : iterable of Branch
        The network without the transistor.
    terminals : dict of str to str
        Node of each of the letters ``B``, ``C`` and ``E``.
    """

    work: Working
    branches: Iterable[Branch]
    terminals: dict[str, str]
    arms: dict[str, Expr] = field(default_factory=dict)
    lines: list[Line] = field(default_factory=list)

    def __post_init__(self) -> None:
        parent: dict[str, str] = {}

        def find(node: str) -> str:
            while node in parent:
                node = parent[node]
            return node

        branches = list(self.branches)
        for branch in branches:
            if branch.role in (Role.SOURCE, Role.DROP):
                first, second = find(branch.start), find(branch.end)
                if first != second:
                    parent[first] = second
        self.edges = [
            _Edge(find(b.start), find(b.end), Symbol(b.symbol))
            for b in branches
            if b.role is Role.RESISTOR
        ]
        self.at = {letter: find(node) for letter, node in self.terminals.items()}
        self.arms = dict.fromkeys(self.at, ZERO)
        self._reduce()

    def _reduce(self) -> None:
        while len(set(self.at.values())) > 1:
            if self._tidy() or self._peel():
                continue
            inner = {n for e in self.edges for n in (e.start, e.end)} - set(self.at.values())
            if inner:
                self._mesh(min(sorted(inner), key=lambda n: len(self._touching(n))))
            elif len(self.edges) == 3:
                self._delta()
            else:
                raise DerivationError("A lead of the transistor ends in no resistance.")

    def _touching(self, node: str) -> list[_Edge]:
        return [e for e in self.edges if node in (e.start, e.end)]

    def _tidy(self) -> bool:
        """Loops on themselves, parallels, dead ends and series, one at a time."""
        for edge in self.edges:
            if edge.start == edge.end:
                self.edges.remove(edge)
                return True
            twins = [e for e in self.edges if {e.start, e.end} == {edge.start, edge.end}]
            if len(twins) > 1:
                ohms = parallel(*(e.ohms for e in twins))
                rest = [e for e in self.edges if e not in twins]
                self.edges = [*rest, _Edge(edge.start, edge.end, ohms)]
                return True
        for node in sorted({n for e in self.edges for n in (e.start, e.end)}):
            if node in self.at.values():
                continue
            touching = self._touching(node)
            if len(touching) > 2:
                continue
            rest = [e for e in self.edges if e not in touching]
            if len(touching) == 2:
                first, second = touching
                ohms = add((1, first.ohms), (1, second.ohms))
                rest.append(_Edge(first.other(node), second.other(node), ohms))
            self.edges = rest
            return True
        return False

    def _peel(self) -> bool:
        """A lead that meets one resistor only: it belongs to that lead's arm alone."""
        for letter in "BEC":
            node = self.at[letter]
            if list(self.at.values()).count(node) > 1:
                continue
            touching = self._touching(node)
            if len(touching) == 1:
                (edge,) = touching
                self.arms[letter] = add((1, edge.ohms), (1, self.arms[letter]))
                self.at[letter] = edge.other(node)
                self.edges.remove(edge)
                return True
            if not touching:
                raise DerivationError("A lead of the transistor ends in no resistance.")
        return False

    def _name(self, ohms: Expr) -> Symbol:
        name = f"r_{len(self.lines) + 1}"
        self.lines.append(self.work.solved(name, ohms, Sort.RESISTANCE))
        return Symbol(name)

    def _mesh(self, node: str) -> None:
        """Replace the star at an inner node by resistances between its neighbours."""
        rays = self._touching(node)
        siemens = add(*((1, divide(ONE, r.ohms)) for r in rays))
        self.edges = [e for e in self.edges if e not in rays]
        for place, one in enumerate(rays):
            for two in rays[place + 1 :]:
                ohms = self._name(multiply(one.ohms, two.ohms, siemens))
                self.edges.append(_Edge(one.other(node), two.other(node), ohms))

    def _delta(self) -> None:
        """Replace the delta between three leads by a star."""
        whole = self._name(add(*((1, e.ohms) for e in self.edges)))
        for letter, node in self.at.items():
            touching = self._touching(node)
            arm = divide(multiply(*(e.ohms for e in touching)), whole)
            self.arms[letter] = add((1, arm), (1, self.arms[letter]))
        self.edges, self.at = [], dict.fromkeys(self.at, "centre")
