"""Loops: which ones to go round, where to begin, in which direction, and how to say so."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TypeAlias

from steadypoint.circuit import GROUND, Kind
from steadypoint.derive._branches import Branch, Role
from steadypoint.derive._currents import Marked
from steadypoint.derive._expr import Expr, PartName, Symbol
from steadypoint.derive._graph import Edge, loops, path
from steadypoint.derive._step import Prose

Loop: TypeAlias = tuple[tuple[Branch, int], ...]
"""Branches in the order they are met; +1 where the walk follows the branch's arrow."""

_WEIGHT = {
    Role.RESISTOR: 1.0,
    Role.SOURCE: 0.2,
    Role.JUNCTION: 0.35,
    Role.DROP: 0.3,
    Role.SATURATED: 0.5,
}


def independent(marked: Marked) -> list[Loop]:
    """The loops to write Kirchhoff's voltage law for, oriented."""
    edges = []
    for branch in marked.branches.values():
        if branch.role not in _WEIGHT:
            continue
        weight = _WEIGHT[branch.role]
        if branch.role is Role.RESISTOR and marked.kcl:
            weight = 0.3 + 0.7 * len(marked.tidy(marked.kcl[branch.name]))
        edges.append(Edge(branch.name, branch.start, branch.end, weight))
    return [orient(walk(marked.branches, names)) for names in loops(edges)]


def walk(branches: Mapping[str, Branch], names: Sequence[str]) -> Loop:
    """Give each branch of a closed way its direction; names are in order round."""
    left = [branches[n] for n in names]
    first = left.pop(0)
    out = [(first, 1)]
    at = first.end
    while left:
        for branch in left:
            if at in (branch.start, branch.end):
                direction = 1 if branch.start == at else -1
                out.append((branch, direction))
                at = branch.end if direction > 0 else branch.start
                left.remove(branch)
                break
        else:
            return walk_back(branches, names)
    return tuple(out)


def walk_back(branches: Mapping[str, Branch], names: Sequence[str]) -> Loop:
    """As ``walk``, leaving the first branch at its start."""
    left = [branches[n] for n in names]
    first = left.pop(0)
    out = [(first, -1)]
    at = first.start
    while left:
        branch = next(b for b in left if at in (b.start, b.end))
        direction = 1 if branch.start == at else -1
        out.append((branch, direction))
        at = branch.end if direction > 0 else branch.start
        left.remove(branch)
    return tuple(out)


def reverse(loop: Loop) -> Loop:
    """The same loop the other way round."""
    return tuple((branch, -direction) for branch, direction in reversed(loop))


def rises(step: tuple[Branch, int]) -> bool:
    """True where the walk goes up through a source."""
    return step[0].role is Role.SOURCE and step[1] < 0


def entry(step: tuple[Branch, int]) -> str:
    """Node at which the walk enters a branch."""
    return step[0].start if step[1] > 0 else step[0].end


def orient(loop: Loop) -> Loop:
    """Go with the base-emitter arrow and begin at a source, from ground where possible."""
    leading = None
    for roles in ((Role.JUNCTION,), (Role.SATURATED,), (Role.DROP,)):
        leading = next((d for b, d in loop if b.role in roles), None)
        if leading is not None:
            break
    if leading is None:
        leading = 1 if any(rises(s) for s in loop) else -1
    if leading < 0:
        loop = reverse(loop)

    def worth(turn: Loop) -> float:
        score = 2.0 if rises(turn[0]) and not rises(turn[-1]) else 0.0
        score += 1.0 if entry(turn[0]) == GROUND else 0.0
        if rises(turn[0]) and not turn[0][0].parts:
            score += 0.5
        return score

    turns = [loop[i:] + loop[:i] for i in range(len(loop))]
    return max(turns, key=worth)


def between(
    marked: Marked, start: str, goal: str, *, without: Iterable[str] = (), controlled: bool = False
) -> Loop | None:
    """The easiest way from one node to another, for output loops and node voltages."""
    weights = {Role.SOURCE: 0.1, Role.JUNCTION: 1.2, Role.DROP: 0.8, Role.SATURATED: 0.8}
    edges = []
    for branch in marked.branches.values():
        if branch.name in without:
            continue
        if branch.role is Role.RESISTOR:
            weight = 0.6 + 0.4 * len(marked.tidy(marked.kcl[branch.name]))
        elif branch.role is Role.CONTROLLED and controlled:
            weight = 1.6
        elif branch.role in weights:
            weight = weights[branch.role]
        else:
            continue
        edges.append(Edge(branch.name, branch.start, branch.end, weight))
    way = path(edges, start, goal)
    if way is None:
        return None
    out: list[tuple[Branch, int]] = []
    at = start
    for edge in way:
        branch = marked.branches[edge.name]
        direction = 1 if branch.start == at else -1
        out.append((branch, direction))
        at = branch.end if direction > 0 else branch.start
    return tuple(out)


def place_name(node: str, sources: Iterable[Branch]) -> Prose:
    """A node as a lecturer calls it in a sentence."""
    if node == GROUND:
        return ("ground",)
    for branch in sources:
        if branch.role is Role.SOURCE and branch.start == node and branch.end == GROUND:
            return (_name(branch),)
        if branch.role is Role.SOURCE and branch.end == node and branch.start == GROUND:
            return ("the negative rail ", _name(branch))
    return (node.replace(".", " "),)


def _name(branch: Branch) -> Expr:
    return PartName(branch.parts[0]) if len(branch.parts) == 1 else Symbol(branch.symbol)


def itinerary(loop: Loop, marked: Marked) -> Prose:
    """The way round in words: ``from ground: up through V_TH, R_TH, the base-emitter junction``."""
    many = len(marked.names.index) > 1
    start = place_name(entry(loop[0]), marked.branches.values())
    out: list[str | Expr] = ["from ", *start]
    for place, (branch, direction) in enumerate(loop):
        out.append(": " if place == 0 else ", ")
        owner = f" of {branch.parts[0]}" if many and branch.parts else ""
        if branch.role is Role.SOURCE:
            out += ["up through " if direction < 0 else "down through ", _name(branch)]
            if direction < 0 and branch.start == GROUND:
                out.append(" to ground")
        elif branch.role is Role.JUNCTION:
            part = marked.names.circuit.part(branch.parts[0])
            out.append(f"the base–{marked.names.word('emitter', part)} junction{owner}")
        elif branch.role in (Role.SATURATED, Role.CONTROLLED):
            part = marked.names.circuit.part(branch.parts[0])
            ends = [marked.names.word(t, part) for t in ("collector", "emitter")]
            if (part.kind is Kind.NPN) != (direction > 0):
                ends.reverse()
            out.append(f"{ends[0]} to {ends[1]}{owner}")
        else:
            out.append(_name(branch))
    back = ("the rail",) if len(start) > 1 else start
    return (*out, ", back to ", *back)


def parts_round(loop: Loop, aliases: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    """Names of the sheet's parts on a loop, in order; equivalents stand for what they replace."""
    out: list[str] = []
    for branch, _ in loop:
        out += branch.parts or aliases.get(branch.name, ())
    return tuple(dict.fromkeys(out))
