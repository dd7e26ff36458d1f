"""Which root of the square law is physical, and the channel that stays closed."""

from __future__ import annotations

from typing import Protocol

from steadypoint.circuit import Part
from steadypoint.derive._expr import ZERO, Number, Relation, Symbol
from steadypoint.derive._step import Line
from steadypoint.derive._working import Working


class Stage(Protocol):
    """What is needed of a stage."""

    work: Working
    part: Part
    threshold: float

    @property
    def current(self) -> str: ...

    @property
    def over(self) -> str: ...

    def pair(self, letters: str) -> str: ...


def both_roots(stage: Stage, good: float, bad: float) -> None:
    """State both overdrives that solve the quadratic, and why one of them is rejected.

    Parameters
    ----------
    stage : Stage
        The stage; the good root is kept in its values.
    good, bad : float
        Overdrives. [V]
    """
    gate = stage.pair("GS")
    kept, other = good + stage.threshold, bad + stage.threshold
    stage.work.values[stage.over], stage.work.values[gate] = good, kept
    first, second = Number(good, "V", symbol=stage.over), Number(bad, "V")
    V_GS = Number(kept, "V", symbol=gate)
    stage.work.add(
        "Both roots" + (f" of {stage.part.name}" if stage.over != "V_ov" else ""),
        lines=[
            Line(Symbol(stage.over), first, None, first),
            Line(Symbol(stage.over), second, None, second),
            Line(Symbol(gate), V_GS, None, V_GS),
        ],
        result=gate,
        reason="quadratic formula",
        loop=(stage.part.name,),
        remark=(
            "The second root would put the gate at ",
            Relation((Symbol(gate), Number(other, "V"))),
            ", beyond the threshold on the closed side: no channel, so no current, and the "
            "square law does not hold there. Only the first root is physical.",
        ),
    )


def closed(stage: Stage, volts: float) -> None:
    """Say that the gate does not open the channel.

    Parameters
    ----------
    stage : Stage
        The stage; its current is put to zero.
    volts : float
        Gate voltage without drain current. [V]
    """
    gate = stage.pair("GS")
    stage.work.values |= {gate: volts, stage.current: 0.0}
    zero = Number(0.0, "A", symbol=stage.current)
    stage.work.add(
        "Is it enough to open the channel?",
        "Without drain current the gate stands at",
        lines=[
            Line(Symbol(gate), Number(volts, "V"), None, Number(volts, "V", symbol=gate)),
            Line(Symbol(stage.current), ZERO, None, zero),
        ],
        result=stage.current,
        reason="square law of the channel",
        loop=(stage.part.name,),
        remark=("That does not reach the threshold: the transistor is cut off.",),
    )
