"""How a solution came about."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from steadypoint.errors import SolveError
from steadypoint.solve._point import OperatingPoint


class Result(StrEnum):
    """Outcome of a search; the value is the sentence that people read."""

    FOUND = "The operating point was found and every region is proved."
    SEVERAL = "The circuit has several operating points; this is one of them."
    NO_SOLUTION = "The circuit has no operating point under this model."
    RUNAWAY = "The junctions find no temperature at which they could stay."
    NOT_SETTLED = "The search for an operating point did not settle."


class Method(StrEnum):
    """The way a point was found; the value is the word that people read."""

    STRAIGHT = "straight pieces"
    NEWTON = "Newton's method"
    SOURCES = "source stepping"
    CONDUCTANCE = "conductance stepping"
    SETTLING = "settling in pseudo-time"
    BULK = "bulk resistances taken away"
    DRAWN = "Newton's method from drawn starts"


@dataclass(frozen=True, slots=True)
class Stats:
    """Figures of a search.

    Parameters
    ----------
    method : Method or None
        The way the point was found; None when there is none.
    steps : int
        Linear systems solved. [-]
    residual : float
        Largest imbalance of Kirchhoff's current law. [A]
    """

    method: Method | None = None
    steps: int = 0
    residual: float = 0.0


@dataclass(frozen=True, slots=True)
class Solution:
    """Outcome of :func:`steadypoint.solve.solve`.

    Parameters
    ----------
    value : OperatingPoint or None
        The point; None when there is none, never a point that does not hold.
    result : Result
        Why the search ended.
    stats : Stats
        Figures of the search.
    others : tuple of OperatingPoint
        Further operating points of the same circuit.
    error : SolveError or None
        What ``operating_point`` would raise.
    stable : tuple of bool
        For ``value`` and each of ``others``: False where the sign of the determinant tells that a
        circuit would leave the point whatever its capacitances are.
    """

    value: OperatingPoint | None
    result: Result
    stats: Stats
    others: tuple[OperatingPoint, ...] = ()
    error: SolveError | None = None
    stable: tuple[bool, ...] = ()
