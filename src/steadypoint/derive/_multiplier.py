"""A transistor that multiplies its own base-emitter drop."""

from __future__ import annotations

from steadypoint.circuit import Part
from steadypoint.derive._branches import Branch, Role
from steadypoint.derive._equations import Equations
from steadypoint.derive._expr import (
    ONE,
    Expr,
    Number,
    PartName,
    Relation,
    Symbol,
    add,
    divide,
    evaluate,
    multiply,
    substitute,
)
from steadypoint.derive._names import ACTIVE
from steadypoint.derive._step import Line, Prose
from steadypoint.derive._working import Working


def multiplier(work: Working, eq: Equations, part: Part) -> None:
    """Write V_CE as a multiple of V_BE where two resistors alone hang on the base.

    Parameters
    ----------
    work : Working
        With all currents found.
    eq : Equations
        The marked network.
    part : Part
        A transistor.
    """
    names, span = work.names, work.names.span(part)
    if work.states.get(part.name) != ACTIVE or span not in work.values:
        return
    pair = _pair(list(eq.marked.branches.values()), part)
    if pair is None:
        return
    over, under = (Symbol(b.symbol) for b in pair)
    drop, I_B = Symbol(names.junction(part)), Symbol(names.current("B", part))
    bare: Expr = multiply(drop, add((1, ONE), (1, divide(over, under))))
    left_out = any(n.kind == "base" and n.transistor == part.name for n in work.neglects)
    whole = bare if left_out else add((1, bare), (1, multiply(I_B, over)))
    figure = Number(work.values[span], "V", symbol=span)
    sign = "≈" if left_out else "="
    line = Line(Symbol(span), whole, substitute(whole, work.number), figure, sign)
    multiple = Number(evaluate(bare, work.values), "V")
    said: Prose = (
        "Across ",
        PartName(pair[1].name),
        " stands ",
        drop,
        ". Its current",
        *(() if left_out else (", and ", I_B, " with it,")),
        " comes through ",
        PartName(pair[0].name),
        ":",
    )
    work.add(
        "A multiple of the base–emitter drop" + ("" if names.single else f" of {part.name}"),
        *said,
        lines=[line],
        result=span,
        reason="Kirchhoff's voltage law",
        loop=(*pair[0].parts, *pair[1].parts, part.name),
        remark=()
        if left_out
        else (
            "Without ",
            I_B,
            " the transistor would hold ",
            Relation((bare, multiple)),
            " whatever current it is fed.",
        ),
    )


def _pair(branches: list[Branch], part: Part) -> tuple[Branch, Branch] | None:
    """Resistors from collector to base and from base to emitter, nothing else at the base."""
    collector, base, emitter = part.nodes
    there = [b for b in branches if base in (b.start, b.end)]
    resistors = [b for b in there if b.role is Role.RESISTOR and b.parts]
    if len(there) != 3 or len(resistors) != 2 or collector in (base, emitter):
        return None
    by_end = {b.end if b.start == base else b.start: b for b in resistors}
    if set(by_end) != {collector, emitter}:
        return None
    return by_end[collector], by_end[emitter]
