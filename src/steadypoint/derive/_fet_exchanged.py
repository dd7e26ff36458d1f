"""A channel whose drain acts as the source, because the rest of the circuit pulls it so."""

from __future__ import annotations

from dataclasses import replace
from typing import Protocol

from steadypoint.circuit import Part
from steadypoint.derive._algebra import Sort
from steadypoint.derive._expr import Symbol, add
from steadypoint.derive._step import Prose
from steadypoint.derive._working import Working
from steadypoint.solve import FetPoint, Region

EXCHANGED = str.maketrans("DS", "SD")
"""Letters of drain and source, one for the other."""


class Stage(Protocol):
    """What is needed of a stage."""

    work: Working
    part: Part

    @property
    def index(self) -> str: ...

    @property
    def n_channel(self) -> bool: ...

    @property
    def current(self) -> str: ...

    def pair(self, letters: str) -> str: ...

    def terminals(self, letters: str) -> str: ...


def exchange(part: Part, solved: FetPoint) -> tuple[Part, FetPoint]:
    """The same transistor and point with drain and source exchanged.

    Parameters
    ----------
    part : Part
        The transistor.
    solved : FetPoint
        Its point.

    Returns
    -------
    tuple of Part and FetPoint
    """
    drain, gate, source = part.nodes
    turned = replace(
        solved,
        I_D=-solved.I_S,
        I_S=-solved.I_D,
        V_GS=solved.V_GS - solved.V_DS,
        V_DS=-solved.V_DS,
        V_D=solved.V_S,
        V_S=solved.V_D,
        region=Region.SATURATION if solved.region is Region.REVERSE else solved.region,
    )
    return replace(part, nodes=(source, gate, drain)), turned


def turned_words(stage: Stage) -> Prose:
    """Why drain and source have other roles here than their names say."""
    side = "below" if stage.n_channel else "above"
    return (
        f"The rest of the circuit puts the drain {side} the source. A channel has no preferred "
        "direction, so the drain acts as the source and the source as the drain: ",
        Symbol(stage.pair("GS")),
        " stands where ",
        Symbol(stage.terminals("GS")),
        " would, and ",
        Symbol(stage.pair("DS")),
        " where ",
        Symbol(stage.terminals("DS")),
        " would. ",
    )


def back_to_terminals(stage: Stage) -> None:
    """The figures in the letters of the terminals.

    Parameters
    ----------
    stage : Stage
        The stage, solved.
    """
    work, index = stage.work, stage.index
    lines = [
        work.solved(f"I_D{index}", add((-1, Symbol(stage.current))), Sort.CURRENT),
        work.solved(stage.terminals("DS"), add((-1, Symbol(stage.pair("DS")))), Sort.VOLTAGE),
        work.solved(
            stage.terminals("GS"),
            add((1, Symbol(stage.pair("GS"))), (-1, Symbol(stage.pair("DS")))),
            Sort.VOLTAGE,
        ),
    ]
    work.add(
        "Back to the terminals" + (f" of {stage.part.name}" if index else ""),
        "Counted as in a channel whose drain is the drain:",
        lines=lines,
        result=f"I_D{index}",
        reason="drain and source exchanged",
        loop=(stage.part.name,),
    )
