"""The point of a stage with one field-effect transistor against its assumption and ``solve``."""

from __future__ import annotations

from typing import Protocol

from steadypoint.circuit import Part
from steadypoint.derive._expr import Number, Relation, Symbol, add
from steadypoint.derive._working import Working
from steadypoint.errors import DerivationError
from steadypoint.solve import FetPoint

HELD = 1e-6
"""Largest relative miss of the point against ``solve``. [-]"""


class Stage(Protocol):
    """What is needed of a stage."""

    work: Working
    part: Part
    solved: FetPoint

    @property
    def n_channel(self) -> bool: ...

    @property
    def current(self) -> str: ...

    @property
    def opens(self) -> str: ...

    def pair(self, letters: str) -> str: ...


def in_saturation(stage: Stage, x: float, V_DS: float) -> None:
    """The figures against the assumption of saturation."""
    gate, span = Symbol(stage.pair("GS")), Symbol(stage.pair("DS"))
    over = add((1, gate), (-1, Symbol(stage.opens)))
    stage.work.add(
        "Check the region",
        Relation((Relation((span, Number(V_DS, "V"))), over), ">"),
        " = ",
        Number(x, "V"),
        " > 0: the channel is open and in saturation, as assumed.",
        reason="conditions of the region",
        loop=(stage.part.name,),
    )


def hold_point(stage: Stage) -> None:
    """The point against ``solve``, which solved it in another way."""
    values, solved = stage.work.values, stage.solved
    for symbol, true in (
        (stage.current, solved.I_D),
        (stage.pair("GS"), solved.V_GS),
        (stage.pair("DS"), solved.V_DS),
    ):
        sign = 1.0 if stage.n_channel else -1.0
        expected = abs(true) if symbol == stage.current else sign * true
        floor = 1e-9 if symbol == stage.current else 1e-3
        if abs(values[symbol] - expected) > HELD * max(abs(expected), floor):
            raise DerivationError(f"{symbol} does not agree with the solved point.")
