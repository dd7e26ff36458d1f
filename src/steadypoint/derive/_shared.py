"""Shared parts as one of two halves meets them: 2 R for a resistor, I/2 for a current."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from steadypoint.circuit import Kind, Part
from steadypoint.derive._expr import (
    Expr,
    Fraction,
    Function,
    Number,
    Parallel,
    PartName,
    Product,
    Relation,
    Sum,
    Symbol,
    divide,
    multiply,
)
from steadypoint.derive._step import Prose, Step


def as_shared(step: Step, shared: Mapping[str, Part]) -> Step:
    """A step with the shared parts written as one half meets them.

    Parameters
    ----------
    step : Step
        In which the symbol of a shared part stands for twice its resistance or half its current.
    shared : mapping of str to Part
        The shared parts by name.
    """
    if not shared:
        return step

    def prose(said: Prose) -> Prose:
        out: list[str | Expr] = []
        for piece in said:
            named = isinstance(piece, PartName) and step.heading == "Mark the currents"
            if isinstance(piece, PartName) and named and piece.name in shared:
                out.append(_doubled(Symbol(piece.name), shared))
            else:
                out.append(piece if isinstance(piece, str) else _doubled(piece, shared))
        return tuple(out)

    lines = tuple(
        replace(
            line,
            left=_doubled(line.left, shared),
            right=_doubled(line.right, shared),
            numbers=None if line.numbers is None else _doubled(line.numbers, shared),
        )
        for line in step.lines
    )
    return replace(step, sentence=prose(step.sentence), lines=lines, remark=prose(step.remark))


def _doubled(expr: Expr, shared: Mapping[str, Part]) -> Expr:
    """Write 2 R for a shared resistor and I/2 for a shared current."""

    def inner(one: Expr) -> Expr:
        return _doubled(one, shared)

    match expr:
        case Symbol() if expr.name in shared:
            return _as_met(expr, shared[expr.name])
        case Number() if expr.symbol in shared and expr.given:
            part = shared[expr.symbol]
            factor = 2.0 if part.kind is Kind.RESISTOR else 0.5
            return _as_met(replace(expr, value=expr.value / factor), part)
        case Sum():
            return Sum(tuple((sign, inner(term)) for sign, term in expr.terms))
        case Product():
            return multiply(*_numbers_first(tuple(map(inner, expr.factors))))
        case Fraction():
            return Fraction(inner(expr.over), inner(expr.under))
        case Parallel():
            return Parallel(tuple(map(inner, expr.branches)))
        case Function():
            return replace(expr, argument=inner(expr.argument))
        case Relation():
            return replace(expr, sides=tuple(map(inner, expr.sides)))
        case _:
            return expr


def _as_met(expr: Expr, part: Part) -> Expr:
    two = Number(2.0)
    return multiply(two, expr) if part.kind is Kind.RESISTOR else divide(expr, two)


def _numbers_first(factors: tuple[Expr, ...]) -> tuple[Expr, ...]:
    """``(β + 1) 2 R`` reads ``2 (β + 1) R``."""
    two = Number(2.0)
    flat = [f for x in factors for f in (x.factors if isinstance(x, Product) else (x,))]
    front = [f for f in flat if f == two]
    return (*front, *(f for f in flat if f != two))
