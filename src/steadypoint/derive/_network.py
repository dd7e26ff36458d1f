"""From the parts to a network with marked currents: everything before the first loop."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from steadypoint.circuit import Kind
from steadypoint.derive._branches import (
    Branch,
    Picture,
    Role,
    branches_of,
    without_dead_ends,
)
from steadypoint.derive._currents import Marked, leave_out, mark, way_to_ground
from steadypoint.derive._equations import Equations
from steadypoint.derive._expr import ZERO, Expr, PartName, Relation, Symbol
from steadypoint.derive._loops import Loop, independent
from steadypoint.derive._names import CUTOFF
from steadypoint.derive._nodal import LeftOut, Nodal
from steadypoint.derive._step import Prose
from steadypoint.derive._thevenin import merge_parallel, reduce_ports
from steadypoint.derive._twins import ties
from steadypoint.derive._unloaded import unloaded_dividers
from steadypoint.derive._working import Working, join_words
from steadypoint.errors import DerivationError


def build(work: Working, picture: Picture) -> tuple[Marked, list[Loop]]:
    """Reduce the network, turn the arrows, choose the loops and mark the currents.

    Parameters
    ----------
    work : Working
        The working; Thévenin and parallel steps are written on it.
    picture : Picture
        The direct-current picture.

    Returns
    -------
    tuple of (Marked, list of Loop)
    """
    transistors = tuple(p for p in picture.parts if p.kind.is_transistor)
    pins = {n for p in transistors for n in p.nodes}
    pairs = ties(work.circuit, work.names, work.states, work.given)
    work.tied = frozenset(j.part.name for pair in pairs for j in pair)
    branches = branches_of(picture.parts, work.names, work.states, work.values)
    branches = without_dead_ends(branches, pins)
    branches = merge_parallel(work, branches)
    branches = unloaded_dividers(work, branches, transistors)
    branches = reduce_ports(work, branches, transistors)
    branches = without_dead_ends(branches, pins)
    branches = turn_arrows(work, branches)
    work.branches = tuple(branches)
    conducting = tuple(p for p in transistors if work.states[p.name] != CUTOFF)
    marked = Marked({b.name: b for b in branches}, conducting, work.names)
    marked.equal_I_E = work.equal_I_E & {p.name for p in conducting}
    for name in marked.branches:
        from steadypoint.derive._algebra import Sort

        work.atoms.declare(work.names.branch_current(name), Sort.CURRENT)
    loops = independent(marked)
    mark(marked, [[b.name for b, _ in loop] for loop in loops])
    chains = [n for n in work.neglects if n.kind == "chain"]
    if any(n.parts[0] in way_to_ground(marked, n.node) for n in chains):
        # a current that a node leaves out must not be the way on which it is sent to ground
        marked.wanted = frozenset(n.parts[0] for n in chains)
        mark(marked, [[b.name for b, _ in loop] for loop in loops])
    loops = independent(marked)
    approximate(work, marked)
    return marked, loops


def turn_arrows(work: Working, branches: Sequence[Branch]) -> list[Branch]:
    """Point every resistor's arrow the way its current flows.

    Raises
    ------
    DerivationError
        If no figures are known yet.
    """
    if work.nodal is None:
        raise DerivationError("No figures are known yet.")
    volts = potentials_with_equivalents(branches, work.nodal.volts, work.values)
    return [
        b.turned() if b.role is Role.RESISTOR and volts[b.start] < volts[b.end] - 1e-12 else b
        for b in branches
    ]


def branch_currents(
    work: Working, branches: Sequence[Branch], nodal: Nodal, values: Mapping[str, float]
) -> dict[str, float]:
    """Currents of all resistors along their arrows, by symbol. [A]"""
    volts = potentials_with_equivalents(branches, nodal.volts, values)
    return {
        work.names.branch_current(b.name): (volts[b.start] - volts[b.end]) / values[b.symbol]
        for b in branches
        if b.role is Role.RESISTOR
    }


def potentials_with_equivalents(
    branches: Sequence[Branch], known: Mapping[str, float], values: Mapping[str, float]
) -> dict[str, float]:
    """Node voltages, also of the nodes inside Thévenin equivalents. [V]"""
    volts = dict(known)
    for branch in branches:
        if branch.role is Role.SOURCE and branch.start not in volts and branch.end in volts:
            volts[branch.start] = volts[branch.end] + values[branch.symbol]
    inner = list(dict.fromkeys(n for b in branches for n in (b.start, b.end) if n not in volts))
    if inner:
        volts |= _inner(branches, volts, values, inner)
    return volts


def _inner(
    branches: Sequence[Branch],
    volts: Mapping[str, float],
    values: Mapping[str, float],
    inner: list[str],
) -> dict[str, float]:
    at = {n: i for i, n in enumerate(inner)}
    A, b = np.zeros((len(inner), len(inner))), np.zeros(len(inner))
    for branch in branches:
        if branch.role is not Role.RESISTOR:
            continue
        siemens = 1.0 / values[branch.symbol]
        for node, other in ((branch.start, branch.end), (branch.end, branch.start)):
            if node in at:
                A[at[node], at[node]] += siemens
                if other in at:
                    A[at[node], at[other]] -= siemens
                else:
                    b[at[node]] += siemens * volts[other]
    return dict(zip(inner, map(float, np.linalg.solve(A, b)), strict=True))


def approximate(work: Working, marked: Marked) -> None:
    """Leave the neglected currents out of their nodes' sums."""
    # an emitter's sum leaves out what the base's sum has left in, so emitters come last
    for item in sorted(work.neglects, key=lambda n: n.kind == "emitter"):
        if item.kind == "emitter":
            _equal_currents(work, marked, item)
        else:
            _left_out_at_node(work, marked, item)


def _equal_currents(work: Working, marked: Marked, item: LeftOut) -> None:
    part = work.circuit.part(item.transistor)
    I_B = work.names.current("B", part)
    before = {n: dict(c) for n, c in marked.kcl.items()}
    sign = -1 if part.kind is Kind.NPN else 1
    sums = marked.kcl.get(f"{part.name}:BE", {})
    if f"{part.name}:BE" in marked.links:
        leave_out(marked, part.node("emitter"), {I_B: sign})
    elif work.names.current("C", part) not in sums:
        leave_out(marked, part.node("emitter"), {n: sign * c for n, c in sums.items()})
    _touch(work, marked, before)


def _left_out_at_node(work: Working, marked: Marked, item: LeftOut) -> None:
    part = work.circuit.part(item.transistor)
    node, current = item.node, {work.names.current("B", part): 1}
    if part.kind is Kind.PNP:
        current = {n: -c for n, c in current.items()}
    if item.kind == "chain":
        first = marked.branches.get(item.parts[0])
        if first is None:
            return
        away = 1 if first.start == node else -1
        current = {n: c * away for n, c in marked.kcl[first.name].items()}
    before = {n: dict(c) for n, c in marked.kcl.items()}
    leave_out(marked, node, current)
    _touch(work, marked, before)


def _touch(work: Working, marked: Marked, before: Mapping[str, Mapping[str, int]]) -> None:
    work.touched |= {name for name, sums in marked.kcl.items() if sums != before[name]}


def say_currents(work: Working, eq: Equations) -> None:
    """The step that marks the currents on the drawing."""
    out: list[str | Expr] = []
    idle: list[str | Expr] = []
    parts: list[str] = []
    carriers: dict[Expr, list[str | Expr]] = {}
    for branch in eq.marked.branches.values():
        if branch.role is not Role.RESISTOR:
            continue
        expr = eq.current_expr(eq.marked.shown(branch.name))
        name: Expr = PartName(branch.name) if branch.parts else Symbol(branch.symbol)
        where = idle if expr == ZERO else carriers.setdefault(expr, [])
        where.append(name)
        parts += branch.parts or work.aliases.get(branch.name, ())
    apart = "; " if any(len(names) > 1 for names in carriers.values()) else ", "
    for expr, names in carriers.items():
        verb = " flows through " if not out else " through "
        out += [apart if out else "", expr, verb, *join_words(names)]
    if idle:
        out += ["; none through " if out else "No current flows through ", *join_words(idle, "or")]
    out += _node_equations(work, eq)
    if not out:
        return
    work.add(
        "Mark the currents",
        "Draw every arrow the way the current flows and express each by Kirchhoff’s current law: ",
        *out,
        ".",
        reason="Kirchhoff's current law",
        loop=tuple(dict.fromkeys(parts)),
    )


def _node_equations(work: Working, eq: Equations) -> Prose:
    out: list[str | Expr] = []
    for part in eq.marked.transistors:
        name = f"{part.name}:BE"
        if name in eq.marked.links or name not in eq.marked.kcl:
            continue
        I_B, I_C, I_E = (work.names.current(letter, part) for letter in "BCE")
        sums = eq.marked.base_sum(part)
        rest = {n: c for n, c in sums.items() if n != I_C}
        left = I_E if I_C in sums else I_B
        where = "emitter" if I_C in sums else "base"
        out += [f"; at the {where} ", Relation((Symbol(left), eq.current_expr(rest)))]
    return tuple(out)
