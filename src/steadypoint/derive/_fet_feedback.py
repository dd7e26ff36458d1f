"""How a stage with a field-effect transistor holds its point: the drain current at work on V_GS."""

from __future__ import annotations

from typing import Protocol

from steadypoint.circuit import Kind, Part
from steadypoint.derive._expr import (
    ONE,
    Expr,
    Number,
    PartName,
    Relation,
    Symbol,
    add,
    divide,
    multiply,
    substitute,
    symbols,
)
from steadypoint.derive._step import Line, Prose
from steadypoint.derive._working import Working


class Stage(Protocol):
    """What is needed of a stage."""

    work: Working
    part: Part

    @property
    def current(self) -> str: ...

    @property
    def over(self) -> str: ...

    def pair(self, letters: str) -> str: ...


def feedback_of_channel(stage: Stage, gate: Expr, slope: float, over: float) -> None:
    """The causal chain through the bias line, its return ratio, and what it is good for.

    Parameters
    ----------
    stage : Stage
        The stage, solved, its channel in saturation.
    gate : Expr
        V_GS as the gate loop gives it.
    slope : float
        What a change of the drain current takes from V_GS. [Ω]
    over : float
        Overdrive of the gate. [V]
    """
    work, current = stage.work, Symbol(stage.current)
    if slope <= 0.0:
        work.add(
            "Feedback",
            "A change of ",
            current,
            " alters nothing between gate and source, so nothing opposes it: it follows the data "
            "of the transistor as they are.",
            reason="return ratio",
            loop=(stage.part.name,),
        )
        return
    amps = work.values[stage.current]
    g_m, T = 2.0 * amps / over, 2.0 * amps / over * slope
    work.values |= {stage.over: over, "g_m": g_m, "T": T}
    ratio = divide(multiply(Number(2.0), current), Symbol(stage.over))
    resistor = _carrier(stage, gate, slope)
    ohms: Expr = Symbol(resistor) if resistor else Number(slope, "Ω")
    share = multiply(Symbol("g_m"), ohms)
    lines = [
        Line(Symbol("g_m"), ratio, substitute(ratio, work.number), Number(g_m, "S", symbol="g_m")),
        Line(
            Symbol("T"),
            share,
            multiply(
                Number(g_m, "S", symbol="g_m"),
                work.number(resistor) if resistor else Number(slope, "Ω"),
            ),
            Number(T, symbol="T"),
        ),
    ]
    work.add(
        "Feedback",
        "Suppose ",
        current,
        " rises a little. ",
        *_chain(stage, resistor),
        "The change is opposed: negative feedback. With the slope of the square law, ",
        Symbol("g_m"),
        ", once round the loop this is the return ratio",
        lines=lines,
        reason="return ratio",
        loop=(stage.part.name, *((resistor,) if resistor else ())),
        remark=(
            "A small relative change of the transistor's current at a given gate voltage reaches ",
            current,
            " divided by ",
            Relation((add((1, ONE), (1, Symbol("T"))), Number(1.0 + T))),
            ".",
        ),
    )


def _chain(stage: Stage, resistor: str) -> Prose:
    current = Symbol(stage.current)
    out: list[str | Expr] = [current, " ↑ → "]
    if resistor:
        out += ["drop across ", PartName(resistor), " ↑ → "]
    return (*out, Symbol(stage.pair("GS")), " ↓ → ", current, " ↓. ")


def _carrier(stage: Stage, gate: Expr, slope: float) -> str:
    """The one resistor of the gate loop in which the drain current makes the whole drop."""
    used, values = set(symbols(gate)), stage.work.values
    resistors = [p.name for p in stage.work.circuit.parts if p.kind is Kind.RESISTOR]
    found = [r for r in resistors if r in used and abs(values[r] - slope) < 1e-9 * slope]
    return found[0] if len(found) == 1 else ""
