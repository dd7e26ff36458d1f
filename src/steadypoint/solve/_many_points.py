"""Operating points of many value sets, as arrays."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from enum import IntEnum
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from steadypoint.circuit import Circuit
from steadypoint.solve._point import Region
from steadypoint.solve._tableau import FloatArray

REGIONS: Final = (
    Region.ACTIVE,
    Region.SATURATION,
    Region.CUTOFF,
    Region.REVERSE,
    Region.TRIODE,
)
"""Regions in the order of their codes in the columns."""


class Outcome(IntEnum):
    """What became of one value set; ``sentence`` says it."""

    FOUND = 0
    SEVERAL = 1
    NO_SOLUTION = 2
    NOT_SETTLED = 3
    OUT_OF_REASON = 4

    @property
    def sentence(self) -> str:
        """What people read."""
        return _SENTENCES[self]

    @property
    def has_point(self) -> bool:
        """Whether there are numbers for this set."""
        return self in (Outcome.FOUND, Outcome.SEVERAL)


_SENTENCES: Final = {
    Outcome.FOUND: "The operating point was found.",
    Outcome.SEVERAL: "The circuit has several operating points; this is one of them.",
    Outcome.NO_SOLUTION: "The circuit has no operating point with these values.",
    Outcome.NOT_SETTLED: "The search for an operating point did not settle.",
    Outcome.OUT_OF_REASON: "A value is no number or out of reason.",
}


@dataclass(frozen=True, slots=True)
class TransistorColumns:
    """Quiescent values of one transistor over all value sets, signs as in ``TransistorPoint``.

    Parameters
    ----------
    I_C, I_B : ndarray, shape (n,)
        Currents into collector and base. [A]
    V_CE, V_BE : ndarray, shape (n,)
        Collector and base voltage against the emitter. [V]
    region : ndarray of uint8, shape (n,)
        0 active, 1 saturation, 2 cutoff, 3 reverse; 255 where there is no point.
    """

    I_C: FloatArray
    I_B: FloatArray
    V_CE: FloatArray
    V_BE: FloatArray
    region: NDArray[np.uint8]

    @property
    def I_E(self) -> FloatArray:
        """Currents out of the emitter, shape (n,). [A]"""
        return self.I_C + self.I_B


@dataclass(frozen=True, slots=True)
class FetColumns:
    """Quiescent values of one field-effect transistor over all value sets, signs as in
    ``FetPoint``.

    Parameters
    ----------
    I_D, I_G : ndarray, shape (n,)
        Currents into drain and gate. [A]
    V_DS, V_GS : ndarray, shape (n,)
        Drain and gate voltage against the source. [V]
    region : ndarray of uint8, shape (n,)
        1 saturation, 2 cutoff, 3 reverse, 4 triode; 255 where there is no point.
    """

    I_D: FloatArray
    I_G: FloatArray
    V_DS: FloatArray
    V_GS: FloatArray
    region: NDArray[np.uint8]

    @property
    def I_S(self) -> FloatArray:
        """Currents out of the source, shape (n,). [A]"""
        return self.I_D + self.I_G


@dataclass(frozen=True, slots=True)
class ManyPoints:
    """Operating points of the value sets of one circuit on the device rung.

    Parameters
    ----------
    circuit : Circuit
        The nominal circuit.
    start : int
        Position of the first set in the whole run. [-]
    nodes : mapping of str to ndarray, shape (n,)
        Node voltages against ground, ground included. [V]
    transistors : mapping of str to TransistorColumns
        Bipolar transistors in the order of the sheet.
    outcome : ndarray of uint8, shape (n,)
        Codes of :class:`Outcome`.
    steps : ndarray of int32, shape (n,)
        Linear systems solved for each set. [-]
    reasons : mapping of int to str
        Position (from ``start``) of each set without a point, with the sentence that says why; at
        most a thousand are kept, ``outcome`` tells of all.
    complete : bool
        False when the run was stopped before all sets were solved.
    fets : mapping of str to FetColumns
        Field-effect transistors in the order of the sheet.

    Notes
    -----
    A set without a point has NaN in its columns, False in ``converged`` and its sentence in
    ``reasons``.
    """

    circuit: Circuit
    start: int
    nodes: Mapping[str, FloatArray]
    transistors: Mapping[str, TransistorColumns]
    outcome: NDArray[np.uint8]
    steps: NDArray[np.int32]
    reasons: Mapping[int, str]
    complete: bool = True
    fets: Mapping[str, FetColumns] = field(default_factory=dict)

    def __len__(self) -> int:
        """Value sets. [-]"""
        return len(self.outcome)

    @property
    def converged(self) -> NDArray[np.bool_]:
        """Sets that have a point, shape (n,)."""
        return np.asarray(self.outcome <= Outcome.SEVERAL)

    def summary(self) -> str:
        """Sentence on how many sets have a point, and why others have none."""
        n, found = len(self), int(self.converged.sum())
        text = f"{found:,} of {n:,} value sets have an operating point."
        for kind in Outcome:
            count = int((self.outcome == kind).sum())
            if count and not kind.has_point:
                text += f" {count:,}: {kind.sentence}"
        return text if self.complete else f"{text} The run was stopped before its end."


MOST_REASONS: Final = 1000
"""Sentences kept for sets without a point. [-]"""


def joined_points(circuit: Circuit, chunks: Sequence[ManyPoints], *, complete: bool) -> ManyPoints:
    """Chunks in a row as one result."""

    def column(parts: list[NDArray[np.float64]]) -> FloatArray:
        return np.concatenate(parts) if parts else np.empty(0)

    reasons: dict[int, str] = {}
    for chunk in chunks:
        for at, sentence in chunk.reasons.items():
            if len(reasons) < MOST_REASONS:
                reasons[at] = sentence
    return ManyPoints(
        circuit,
        chunks[0].start if chunks else 0,
        {name: column([c.nodes[name] for c in chunks]) for name in circuit.nodes},
        {
            part.name: _joined_columns(
                TransistorColumns, [c.transistors[part.name] for c in chunks]
            )
            for part in circuit.transistors
        },
        np.concatenate([np.empty(0, np.uint8), *(c.outcome for c in chunks)]),
        np.concatenate([np.empty(0, np.int32), *(c.steps for c in chunks)]),
        reasons,
        complete,
        {
            part.name: _joined_columns(FetColumns, [c.fets[part.name] for c in chunks])
            for part in circuit.fets
        },
    )


C = TypeVar("C", TransistorColumns, FetColumns)


def empty_columns(kind: type[C], n: int) -> C:
    """Room for the columns of one transistor."""
    names = [f.name for f in fields(kind)]
    return kind(*(np.zeros(n, np.uint8 if name == "region" else float) for name in names))


def _joined_columns(kind: type[C], parts: Sequence[C]) -> C:
    """Columns of one transistor in a row."""
    none = empty_columns(kind, 0)
    names = [f.name for f in fields(kind)]
    return kind(*(np.concatenate([getattr(p, name) for p in (none, *parts)]) for name in names))
