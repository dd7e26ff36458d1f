"""Gate and drain voltage by superposition, where no short way of loops leads from the gate."""

from __future__ import annotations

from typing import Protocol

from steadypoint.circuit import Part
from steadypoint.derive._algebra import Sort
from steadypoint.derive._expr import ZERO, Expr, Number, Symbol, add, multiply
from steadypoint.derive._nodal import solve_nodes
from steadypoint.derive._step import Line
from steadypoint.derive._working import Working
from steadypoint.errors import DerivationError

TRIAL = 1e-3
"""Drain current whose effect gives the resistances. [A]"""


class Stage(Protocol):
    """What superposition needs of a stage."""

    work: Working
    part: Part

    @property
    def n_channel(self) -> bool: ...

    @property
    def current(self) -> str: ...

    def pair(self, letters: str) -> str: ...


def by_superposition(stage: Stage) -> dict[str, Expr]:
    """Voltages of gate and drain against the source as straight lines of the drain current.

    Parameters
    ----------
    stage : Stage
        The stage, its transistor replaced by a source of the drain current.

    Returns
    -------
    dict of str to Expr
        ``gate`` and ``drain``.

    Raises
    ------
    DerivationError
        If something else dictates the drain current, or a terminal hangs free.
    """
    work, part = stage.work, stage.part
    known = {**work.given, **work.values}
    rest = solve_nodes(work.circuit, work.names, {}, {**known, stage.current: 0.0})
    moved = solve_nodes(work.circuit, work.names, {}, {**known, stage.current: TRIAL})
    if set(part.nodes) & rest.floating:
        raise DerivationError(f"A terminal of {part.name} hangs free.")
    sign = 1.0 if stage.n_channel else -1.0
    drain, gate, source = part.nodes
    out: dict[str, Expr] = {}
    lines = []
    for name, node, letters in (("gate", gate, "GS"), ("drain", drain, "DS")):
        start = sign * (rest.volts[node] - rest.volts[source])
        slope = (start - sign * (moved.volts[node] - moved.volts[source])) / TRIAL
        out[name] = straight_line(start, slope, stage.current)
        symbol = stage.pair(letters)
        work.atoms.declare(symbol, Sort.VOLTAGE)
        lines.append(Line(Symbol(symbol), out[name]))
    work.add(
        "Superposition",
        "Gate and drain hang together, so take the transistor out and put a source of its "
        "current in its place. What the supplies give alone, less what this current takes away:",
        lines=lines,
        reason="superposition",
        loop=(part.name,),
    )
    return out


def straight_line(start: float, slope: float, current: str) -> Expr:
    """``start - slope I_D`` with figures, the drain current by its symbol."""
    volts = Number(start, "V") if abs(start) > 1e-12 else ZERO
    if abs(slope) < 1e-9:
        return volts
    drop = multiply(Number(abs(slope), "Ω"), Symbol(current))
    return add((1, volts), (-1 if slope > 0 else 1, drop))
