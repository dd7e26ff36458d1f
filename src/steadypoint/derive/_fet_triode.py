"""The triode region of one field-effect transistor: the contradiction, and the way from there."""

from __future__ import annotations

import math
from typing import NamedTuple, Protocol

from steadypoint.circuit import Part
from steadypoint.derive._algebra import Sort
from steadypoint.derive._expr import (
    ZERO,
    Expr,
    Number,
    Power,
    Relation,
    Symbol,
    add,
    evaluate,
    multiply,
)
from steadypoint.derive._fet_pairs import straight_line
from steadypoint.derive._step import Line
from steadypoint.derive._working import Working
from steadypoint.errors import DerivationError


class Stage(Protocol):
    """What the restart needs of a stage."""

    work: Working
    part: Part
    threshold: float
    K: float

    @property
    def opens(self) -> str: ...

    @property
    def current(self) -> str: ...

    @property
    def over(self) -> str: ...

    @property
    def gain(self) -> str: ...

    def pair(self, letters: str) -> str: ...


class Straight(NamedTuple):
    """A voltage as a straight line of the drain current: ``start - slope I_D``, and its letters."""

    start: float
    slope: float
    expr: Expr


def straight(work: Working, expr: Expr, current: str) -> Straight:
    """The straight line that an expression is of the drain current."""
    start = evaluate(expr, {**work.values, current: 0.0})
    return Straight(start, start - evaluate(expr, {**work.values, current: 1.0}), expr)


def start_again_in_triode(stage: Stage, gate: Straight, output: Straight, x: float) -> None:
    """Name the contradiction, take the triode law, solve its quadratic, check.

    Parameters
    ----------
    stage : Stage
        The stage, worked as if in saturation.
    gate, output : Straight
        V_GS and V_DS as straight lines of the drain current.
    x : float
        Overdrive that saturation would need. [V]

    Raises
    ------
    DerivationError
        If no root lies in the triode region.
    """
    _contradiction(stage, x)
    in_triode(stage, gate, output, anew=True)


def in_triode(stage: Stage, gate: Straight, output: Straight, *, anew: bool) -> None:
    """Take the triode law, solve its quadratic, check.

    Parameters
    ----------
    stage : Stage
        The stage.
    gate, output : Straight
        V_GS and V_DS as straight lines of the drain current.
    anew : bool
        True after another assumption that failed.

    Raises
    ------
    DerivationError
        If no root lies in the triode region.
    """
    _assume(stage, gate, output, anew=anew)
    roots = _roots(stage, gate, output)
    good = [i for i in roots if _fits(stage, gate, output, i)]
    if len(good) != 1:
        raise DerivationError("No single root of the quadratic lies in the triode region.")
    _say_roots(stage, good[0], [i for i in roots if i != good[0]], gate, output)
    _voltages(stage, gate, output)


def _contradiction(stage: Stage, x: float) -> None:
    span, V_GS = stage.pair("DS"), stage.pair("GS")
    need = add((1, Symbol(V_GS)), (-1, Symbol(stage.opens)))
    stage.work.add(
        "Check the region",
        Relation((Symbol(span), Number(stage.work.values[span], "V"))),
        ", but saturation needs more than ",
        Relation((need, Number(x, "V"))),
        ". The assumption was wrong; the channel is in the triode region. Start again from there.",
        reason="conditions of the region",
        loop=(stage.part.name,),
    )


def _assume(stage: Stage, gate: Straight, output: Straight, *, anew: bool) -> None:
    work, span, over = stage.work, Symbol(stage.pair("DS")), Symbol(stage.over)
    work.values[stage.gain] = stage.K
    work.atoms.declare(stage.over, Sort.VOLTAGE)
    inside = add((1, multiply(Number(2.0), over, span)), (-1, Power(span, 2)))
    V_GS = Symbol(stage.pair("GS"))
    lines = [
        Line(Symbol(stage.current), multiply(Symbol(stage.gain), inside)),
        Line(over, add((1, V_GS), (-1, Symbol(stage.opens)))),
        Line(V_GS, straight_line(gate.start, gate.slope, stage.current)),
        Line(span, straight_line(output.start, output.slope, stage.current)),
    ]
    work.add(
        "New assumption" if anew else f"Triode region of {stage.part.name}",
        "In the triode region the drain voltage counts too. With ",
        Relation((Symbol(stage.gain), Number(stage.K, "A/V²"))),
        " and both voltages as straight lines of the drain current:",
        lines=lines,
        reason="square law of the channel",
        loop=(stage.part.name,),
    )


def _coefficients(stage: Stage, gate: Straight, output: Straight) -> tuple[float, float, float]:
    """Of 0 = a V² + b V + c for the drain-source voltage."""
    room, B = gate.start - stage.threshold, gate.slope
    C, D, K = output.start, output.slope, stage.K
    return K * (2.0 * B - D), 1.0 + 2.0 * K * (D * room - B * C), -C


def _roots(stage: Stage, gate: Straight, output: Straight) -> list[float]:
    """Drain-source voltages that solve the set."""
    if not output.slope:
        return [output.start]
    a, b, c = _coefficients(stage, gate, output)
    square = b * b - 4.0 * a * c
    if square < 0.0:
        raise DerivationError("The quadratic of the triode region has no real root.")
    q = -0.5 * (b + math.copysign(math.sqrt(square), b))
    if abs(a * c) < 1e-14 * b * b:
        return [-c / b]
    return sorted((q / a, c / q))


def _amps(stage: Stage, gate: Straight, output: Straight, volts: float) -> float:
    if output.slope:
        return (output.start - volts) / output.slope
    room, K = gate.start - stage.threshold, stage.K
    return K * volts * (2.0 * room - volts) / (1.0 + 2.0 * K * gate.slope * volts)


def _over(stage: Stage, gate: Straight, amps: float) -> float:
    return gate.start - gate.slope * amps - stage.threshold


def _fits(stage: Stage, gate: Straight, output: Straight, volts: float) -> bool:
    over = _over(stage, gate, _amps(stage, gate, output, volts))
    return over > 0.0 and -1e-12 <= volts <= over * (1.0 + 1e-9)


def _say_roots(
    stage: Stage, good: float, others: list[float], gate: Straight, output: Straight
) -> None:
    work, span = stage.work, Symbol(stage.pair("DS"))
    amps = _amps(stage, gate, output, good)
    work.values |= {stage.current: amps, span.name: good}
    first, current = Number(good, "V", symbol=span.name), Number(amps, "A", symbol=stage.current)
    found = [Line(span, first, None, first), Line(Symbol(stage.current), current, None, current)]
    if not output.slope:
        work.add(
            "Solve the set",
            "The drain voltage is known, so the rest is linear in the drain current:",
            lines=found,
            result=stage.current,
            reason="algebra",
            loop=(stage.part.name,),
        )
        return
    lines = [_quadratic(span, *_coefficients(stage, gate, output)), found[0]]
    remark: tuple[str | Expr, ...] = ()
    for other in others:
        second, over = Number(other, "V"), _over(stage, gate, _amps(stage, gate, output, other))
        lines.append(Line(span, second, None, second))
        remark = (
            "The second root would need ",
            Relation((Symbol(stage.over), Number(over, "V"))),
            ", outside the triode region, where its law does not hold. Only the first is physical.",
        )
    work.add(
        "Both roots" if others else "Solve the set",
        "With the drain current from the last line put into the others one quadratic is left:",
        lines=[*lines, found[1]],
        result=stage.current,
        reason="quadratic formula",
        loop=(stage.part.name,),
        remark=remark,
    )


def _quadratic(span: Symbol, a: float, b: float, c: float) -> Line:
    terms: list[tuple[int, Expr]] = []
    if a < 0:
        a, b, c = -a, -b, -c
    for size, unit, power in ((a, "V⁻¹", Power(span, 2)), (b, "", span), (c, "V", None)):
        if size:
            figure = Number(abs(size), unit)
            terms.append((1 if size > 0 else -1, multiply(figure, power) if power else figure))
    return Line(add(*terms), ZERO)


def _voltages(stage: Stage, gate: Straight, output: Straight) -> None:
    work = stage.work
    V_GS, span = stage.pair("GS"), stage.pair("DS")
    lines = [
        work.solved(V_GS, gate.expr, Sort.VOLTAGE),
        work.solved(span, output.expr, Sort.VOLTAGE),
    ]
    over = work.values[V_GS] - stage.threshold
    work.values[stage.over] = over
    work.add(
        "Gate and output loop",
        "The two loops give the voltages:",
        lines=lines,
        result=span,
        reason="Kirchhoff's voltage law",
        loop=(stage.part.name,),
    )
    need = add((1, Symbol(V_GS)), (-1, Symbol(stage.opens)))
    work.add(
        "Check the region",
        Relation((Symbol(span), Number(work.values[span], "V"))),
        " is less than ",
        Relation((need, Number(over, "V"))),
        ": the channel is open from end to end, in the triode region, as assumed.",
        reason="conditions of the region",
        loop=(stage.part.name,),
    )
