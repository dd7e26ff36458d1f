"""Pairs of transistors: what the base currents take from a mirror, and two drops that differ."""

from __future__ import annotations

from collections.abc import Iterable

from steadypoint.circuit import Part
from steadypoint.derive._algebra import Sort
from steadypoint.derive._branches import Role
from steadypoint.derive._equations import Equations
from steadypoint.derive._expr import (
    ONE,
    Function,
    Number,
    PartName,
    Symbol,
    add,
    divide,
    evaluate,
    multiply,
    substitute,
)
from steadypoint.derive._loops import Loop
from steadypoint.derive._step import Line
from steadypoint.derive._working import Working

EXPONENTIAL = "exponential law, solved numerically"
"""Reason of a line that holds at the solved point only, not at values drawn at random."""


def base_current_error(work: Working, eq: Equations, loops: Iterable[Loop]) -> None:
    """What the base currents of a mirror take from the reference current.

    Parameters
    ----------
    work : Working
        With all currents found.
    eq : Equations
        The marked network.
    loops : iterable of Loop
        The loops; those of two junctions alone are the matched pairs.
    """
    followers: dict[str, list[Part]] = {}
    for loop in loops:
        pair = eq.matched(loop)
        if pair is not None:
            followers.setdefault(pair[0].name, []).append(pair[1])
    for name, copies in followers.items():
        leader = work.circuit.part(name)
        if leader.node("collector") == leader.node("base"):
            _error_of(work, eq, leader, copies)
            if len(copies) == 1:
                _error_of_three(work, eq, leader, copies[0])


def _error_of(work: Working, eq: Equations, leader: Part, copies: list[Part]) -> None:
    names = work.names
    whole = {names.current("C", leader): 1}
    whole |= {names.current("B", part): 1 for part in (leader, *copies)}
    carrier = next(
        (
            b
            for b in eq.marked.branches.values()
            if b.role is Role.RESISTOR and eq.marked.kcl[b.name] == whole
        ),
        None,
    )
    if carrier is None:
        return
    symbol = names.branch_current(carrier.name)
    line = work.solved(symbol, eq.current_expr(whole), Sort.CURRENT)
    shares = [(1, divide(ONE, Symbol(names.beta(part)))) for part in (leader, *copies)]
    ratio = divide(ONE, add((1, ONE), *shares))
    value = evaluate(ratio, work.values)
    copy = names.current("C", copies[0])
    error = Line(
        divide(Symbol(copy), Symbol(symbol)),
        ratio,
        substitute(ratio, work.number),
        Number(value),
    )
    resistor = PartName(carrier.name) if carrier.parts else Symbol(carrier.symbol)
    parts = (leader.name, *(part.name for part in copies))
    work.add(
        "Base-current error of the mirror",
        resistor,
        f" feeds the collector of {leader.name} and all bases as well:",
        lines=[line, error],
        result=symbol,
        reason="Kirchhoff's current law",
        loop=(*carrier.parts, *parts),
        remark=(
            "The copy falls short of the reference current by ",
            Number(100.0 * (1.0 - value), digits=2),
            " %. The larger the gain, the smaller this error.",
        ),
    )


def _error_of_three(work: Working, eq: Equations, leader: Part, copy: Part) -> None:
    """Mirror whose output transistor stands on the pair and draws its base current from the input.

    Notes
    -----
    With I_C1 = I_C2 and a = 1 + 1/beta_1 + 1/beta_2 the output's emitter carries a I_C1, so the
    copy is beta_3 a / (beta_3 + 1 + a) of the input; for equal gains 1 / (1 + 2 / (beta² + 2 beta))
    (Wilson mirror; A. S. Sedra, K. C. Smith, Microelectronic Circuits, from memory).
    """
    names = work.names
    output = next(
        (
            q
            for q in eq.marked.transistors
            if q.node("emitter") == leader.node("base") and q.node("base") == copy.node("collector")
        ),
        None,
    )
    if output is None or output.kind is not leader.kind:
        return
    whole = {names.current("C", copy): 1, names.current("B", output): 1}
    carrier = next(
        (
            b
            for b in eq.marked.branches.values()
            if b.role is Role.RESISTOR and eq.marked.kcl[b.name] == whole
        ),
        None,
    )
    alone = [
        b
        for b in eq.marked.branches.values()
        if b.role is Role.RESISTOR and leader.node("base") in (b.start, b.end)
    ]
    if carrier is None or alone:
        return
    symbol, out = names.branch_current(carrier.name), Symbol(names.current("C", output))
    line = work.solved(symbol, eq.current_expr(whole), Sort.CURRENT)
    shares = [(1, divide(ONE, Symbol(names.beta(q)))) for q in (leader, copy)]
    beta = Symbol(names.beta(output))
    over = multiply(beta, add((1, ONE), *shares))
    ratio = divide(over, add((1, beta), (1, Number(2.0)), *shares))
    value = evaluate(ratio, work.values)
    error = Line(
        divide(out, Symbol(symbol)), ratio, substitute(ratio, work.number), Number(value, digits=5)
    )
    plain = 1.0 - 1.0 / (1.0 + sum(evaluate(s, work.values) for _, s in shares))
    resistor = PartName(carrier.name) if carrier.parts else Symbol(carrier.symbol)
    work.add(
        "Base-current error of the mirror",
        resistor,
        f" feeds the collector of {copy.name} and the base of {output.name}, which gives back what "
        "the other two bases take:",
        lines=[line, error],
        result=symbol,
        reason="Kirchhoff's current law",
        loop=(*carrier.parts, leader.name, copy.name, output.name),
        remark=(
            "The two errors all but cancel: ",
            Number(100.0 * abs(1.0 - value), digits=2),
            " % is left, where a mirror of two transistors would lose ",
            Number(100.0 * plain, digits=2),
            " %.",
        ),
    )


def unequal_drops(work: Working, eq: Equations, loop: Loop) -> None:
    """Two matched junctions at different currents: the one equation that algebra cannot solve."""
    owners = [b.parts[0] for b, _ in loop if b.role is Role.JUNCTION]
    if len(owners) != 2 or not work.log_law & set(owners) or "V_T" not in work.given:
        return
    first, second = (work.circuit.part(n) for n in owners)
    if first.name in work.log_law and second.name not in work.log_law:
        first, second = second, first
    if second.matched_to != first.name:
        return
    names = work.names
    drops = [Symbol(names.junction(p)) for p in (first, second)]
    currents = [Symbol(names.current("C", p)) for p in (first, second)]
    log = multiply(Symbol("V_T"), Function("ln", divide(*currents)))
    law = Line(add((1, drops[0]), (-1, drops[1])), log)
    work.add(
        "One transcendental equation",
        "The difference of two drops decides here, so 0.7 V for both would be too coarse. "
        f"{first.name} and {second.name} are matched and equally warm; by the exponential law "
        "of the junction",
        lines=[law],
        reason=EXPONENTIAL,
        loop=(first.name, second.name),
        remark=(
            "Together with the loop this is an equation with the current inside and outside a "
            "logarithm. No algebra solves it; solved numerically, with ",
            Symbol("V_T"),
            " = ",
            Number(work.given["V_T"], "V", symbol="V_T"),
            ", it gives ",
            drops[1],
            " = ",
            work.number(drops[1].name),
            ".",
        ),
    )


__all__ = ["EXPONENTIAL", "base_current_error", "unequal_drops"]
