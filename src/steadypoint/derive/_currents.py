"""Marking the currents: which ones are unknowns, and every branch current by Kirchhoff's law.

A spanning tree is taken through the network; the branches left over are links, and their currents
are the unknowns. Base currents are wanted as links, and among the rest those that give each
resistor few terms without mixed signs.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

from steadypoint.circuit import GROUND, Part
from steadypoint.derive._branches import Branch, Role, potentials
from steadypoint.derive._graph import Edge, components, path
from steadypoint.derive._names import Names
from steadypoint.errors import DerivationError

Currents: TypeAlias = dict[str, int]
"""A branch current as a sum of named currents, each with its whole factor."""

_TREE_FIRST = (Role.SOURCE, Role.DROP, Role.RESISTOR, Role.SATURATED, Role.JUNCTION)
_FORCED = (Role.CONTROLLED, Role.CURRENT)


@dataclass
class Marked:
    """A network with its currents marked.

    Parameters
    ----------
    branches : dict of str to Branch
        Branches by name.
    transistors : tuple of Part
        Conducting transistors.
    names : Names
        Letter symbols.
    links : tuple of str
        Branches whose currents are the unknowns (forced ones left out).
    kcl : dict of str to Currents
        Current of each branch.
    tree : tuple of str
        Branches of the spanning tree.
    emitter_side : dict of str to str
        Resistors that carry an emitter current, with the name of the transistor.
    equal_I_E : frozenset of str
        Transistors whose I_E is taken equal to I_C.
    wanted : frozenset of str
        Branches whose currents should be unknowns, because a node leaves them out.
    """

    branches: dict[str, Branch]
    transistors: tuple[Part, ...]
    names: Names
    links: tuple[str, ...] = ()
    kcl: dict[str, Currents] = field(default_factory=dict)
    tree: tuple[str, ...] = ()
    emitter_side: dict[str, str] = field(default_factory=dict)
    equal_I_E: frozenset[str] = frozenset()
    wanted: frozenset[str] = frozenset()

    def name_of(self, branch: Branch) -> str:
        """Name of a branch's own current."""
        if branch.role is Role.CURRENT:
            return branch.symbol
        if branch.role in (Role.JUNCTION, Role.CONTROLLED, Role.SATURATED):
            letter = "B" if branch.role is Role.JUNCTION else "C"
            return self.names.current(letter, self.names.circuit.part(branch.parts[0]))
        return self.names.branch_current(branch.name)

    def junction(self, part: Part) -> Currents:
        """Base current of a transistor in named currents."""
        return self.kcl.get(f"{part.name}:BE", {})

    def tidy(self, currents: Mapping[str, int]) -> Currents:
        """Write I_E where I_C + I_B of one transistor stand together."""
        out = dict(currents)
        changed = True
        while changed:
            changed = False
            for part in self.transistors:
                shape = self._emitter_shape(part, out)
                if len(shape) < 2:
                    continue
                ratios = {out.get(n, 0) / c for n, c in shape.items()}
                if len(ratios) != 1 or abs(next(iter(ratios))) != 1:
                    continue
                factor = int(next(iter(ratios)))
                kept: Currents = {}
                for name, count in out.items():
                    if name not in shape:
                        kept[name] = count
                    else:
                        kept.setdefault(self.names.current("E", part), factor)
                out, changed = kept, True
        return out

    def _emitter_shape(self, part: Part, wanted: Mapping[str, int]) -> Currents:
        I_B, I_C = self.names.current("B", part), self.names.current("C", part)
        if I_B in wanted and I_C in wanted:
            return {I_B: 1, I_C: 1}
        base = self.junction(part)
        if not base:
            return {}
        shape = dict(base) if list(base) == [I_B] else self.base_sum(part)
        shape[I_C] = shape.get(I_C, 0) + 1
        return {n: c for n, c in shape.items() if c}

    def shown(self, branch: str) -> Currents:
        """Current of a branch as it is written: I_E on the emitter's side, I_C + I_B elsewhere."""
        exact = self.kcl[branch]
        owner = self.emitter_side.get(branch)
        if owner is None:
            return self._spread(self.tidy(exact), exact)
        part = self.names.circuit.part(owner)
        if owner in self.equal_I_E:
            I_C, I_E = self.names.current("C", part), self.names.current("E", part)
            return {I_E if n == I_C else n: c for n, c in exact.items()}
        return self.tidy(exact)

    def _spread(self, tidy: Currents, exact: Currents) -> Currents:
        """Take I_E apart again where both its parts are marked by themselves."""
        out: Currents = {}
        for name, count in tidy.items():
            part = next((p for p in self.transistors if self.names.current("E", p) == name), None)
            if part is None:
                out[name] = count
                continue
            I_C, I_B = self.names.current("C", part), self.names.current("B", part)
            if I_C in exact and I_B in exact:
                out[I_C] = out.get(I_C, 0) + count
                out[I_B] = out.get(I_B, 0) + count
            else:
                out[name] = count
        return out

    def base_sum(self, part: Part) -> Currents:
        """Base current in named currents, with I_E of the transistors before it."""
        out = dict(self.junction(part))
        for other in self.transistors:
            if other is part:
                continue
            I_B, I_C = self.names.current("B", other), self.names.current("C", other)
            if (
                list(self.junction(other)) == [I_B]
                and out.get(I_B)
                and out.get(I_B) == out.get(I_C)
            ):
                out[self.names.current("E", other)] = out.pop(I_B)
                out.pop(I_C)
        return out


def mark(marked: Marked, loops: Sequence[Sequence[str]]) -> None:
    """Choose the links of a network and express every branch current.

    Parameters
    ----------
    marked : Marked
        The network; ``links`` and ``kcl`` are filled in.
    loops : sequence of sequences of str
        Loops of the network, to prefer unknowns that one of them gives directly.

    Raises
    ------
    DerivationError
        If current sources cut a node off, so that a current is given twice.
    """
    branches = list(marked.branches.values())
    forced = [b for b in branches if b.role in _FORCED]
    free = sorted(
        (b for b in branches if b.role not in _FORCED), key=lambda b: _TREE_FIRST.index(b.role)
    )
    nodes = {n for b in branches for n in (b.start, b.end)}
    if len(components(nodes, _edges(free))) != len(components(nodes, _edges(branches))):
        raise DerivationError(
            "Current sources alone meet in a node, so one current is given twice."
        )
    tree: list[Branch] = []
    for branch in free:
        if path(_edges(tree), branch.start, branch.end) is None:
            tree.append(branch)
    links = [b for b in free if b not in tree]
    best = _score(marked, tree, links, forced, loops)
    improving = True
    while improving:
        improving = False
        for link, inner in _swaps(tree, links):
            new_tree = [b for b in tree if b is not inner] + [link]
            new_links = [inner if b is link else b for b in links]
            score = _score(marked, new_tree, new_links, forced, loops)
            if score < best - 1e-9:
                tree, links, best, improving = new_tree, new_links, score, True
                break
    marked.kcl = _laws(marked, tree, [*links, *forced])
    marked.links = tuple(b.name for b in links)
    marked.tree = tuple(b.name for b in tree)
    name_base_currents(marked)
    marked.emitter_side = _emitter_sides(marked)


def name_base_currents(marked: Marked) -> None:
    """Write I_B where a difference such as I_C1 - I_C2 stands for it (cascode, current source)."""
    for part in marked.transistors:
        own = f"{part.name}:BE"
        pattern = marked.kcl.get(own, {})
        if own in marked.links or pattern.get(marked.names.current("C", part)) != -1:
            continue
        if len(pattern) < 2:
            continue
        for name, sums in marked.kcl.items():
            if name == own:
                continue
            for factor in (1, -1):
                if all(sums.get(n) == factor * c for n, c in pattern.items()):
                    rest = {n: c for n, c in sums.items() if n not in pattern}
                    marked.kcl[name] = {**rest, marked.names.current("B", part): factor}
                    break


def _emitter_sides(marked: Marked) -> dict[str, str]:
    """Resistors joined to one emitter, and to no collector, without passing a fixed node."""
    fixed = set(potentials(marked.branches.values()))
    ends = {
        b.name: [n if n not in fixed else f"{n}|{b.name}" for n in (b.start, b.end)]
        for b in marked.branches.values()
        if b.role in (Role.RESISTOR, Role.DROP)
    }
    groups = components((), [Edge(name, a, b) for name, (a, b) in ends.items()])
    out: dict[str, str] = {}
    for part in marked.transistors:
        for group in groups:
            if part.node("emitter") not in group:
                continue
            if any(q.node("collector") in group for q in marked.transistors):
                continue
            if part.node("base") in group:
                continue
            out |= {name: part.name for name, (a, b) in ends.items() if a in group or b in group}
    return out


def way_to_ground(marked: Marked, node: str) -> list[str]:
    """Branches of the tree from a node to ground."""
    edges = _edges(marked.branches[n] for n in marked.tree)
    return [edge.name for edge in path(edges, node, GROUND) or []]


def leave_out(marked: Marked, node: str, current: Currents) -> None:
    """Leave a current that goes off at a node out of that node's sum.

    The sum then balances as if the current came in from outside: it goes down the tree to ground.
    """
    edges = _edges(marked.branches[n] for n in marked.tree)
    at = node
    for edge in path(edges, node, GROUND) or []:
        branch = marked.branches[edge.name]
        sign = 1 if branch.start == at else -1
        at = branch.end if branch.start == at else branch.start
        sums = dict(marked.kcl[branch.name])
        for name, count in current.items():
            sums[name] = sums.get(name, 0) + sign * count
        marked.kcl[branch.name] = {n: c for n, c in sums.items() if c}


def _edges(branches: Iterable[Branch]) -> list[Edge]:
    return [Edge(b.name, b.start, b.end) for b in branches]


def _swaps(tree: list[Branch], links: list[Branch]) -> list[tuple[Branch, Branch]]:
    by_name = {b.name: b for b in tree}
    out = []
    for link in links:
        way = path(_edges(tree), link.start, link.end) or []
        out += [
            (link, by_name[edge.name])
            for edge in way
            if by_name[edge.name].role not in (Role.SOURCE,)
        ]
    return out


def _laws(marked: Marked, tree: list[Branch], links: list[Branch]) -> dict[str, Currents]:
    kcl: dict[str, Currents] = {b.name: {} for b in tree}
    by_name = {b.name: b for b in tree}
    edges = _edges(tree)
    for link in links:
        name = marked.name_of(link)
        kcl[link.name] = {name: 1}
        node = link.end
        for edge in path(edges, link.end, link.start) or []:
            branch = by_name[edge.name]
            sign = 1 if branch.start == node else -1
            node = branch.end if branch.start == node else branch.start
            kcl[branch.name][name] = kcl[branch.name].get(name, 0) + sign
    return {b: {n: c for n, c in sums.items() if c} for b, sums in kcl.items()}


def _score(
    marked: Marked,
    tree: list[Branch],
    links: list[Branch],
    forced: list[Branch],
    loops: Sequence[Sequence[str]],
) -> float:
    """How the marking would read: the lower the better."""
    trial = Marked(marked.branches, marked.transistors, marked.names, wanted=marked.wanted)
    trial.kcl = _laws(trial, tree, [*links, *forced])
    chosen = {b.name for b in links}
    score = 0.0
    for name, currents in trial.kcl.items():
        branch = trial.branches[name]
        if branch.role is Role.RESISTOR:
            shown = trial.tidy(currents)
            score += len(shown) + (2.0 if len(set(shown.values())) > 1 else 0.0)
        elif branch.role is Role.JUNCTION and name not in chosen:
            own = trial.names.current("C", trial.names.circuit.part(branch.parts[0]))
            score += 1.0 if currents == {} else 0.0
            score += 50.0 if currents.get(own, 0) > 0 else 0.0
            score += 3.0 if min(currents.values(), default=0) < 0 else 0.0
    score -= 100.0 * sum(b.name in trial.wanted for b in links)
    score -= 6.0 * sum(b.role in (Role.JUNCTION, Role.SATURATED) for b in links)
    for link in links:
        if link.role is Role.RESISTOR:
            own = trial.name_of(link)
            for loop in loops:
                users = [
                    n
                    for n in loop
                    if trial.branches[n].role is Role.RESISTOR and own in trial.kcl[n]
                ]
                if users == [link.name]:
                    score -= 1.5
                    break
    return score
