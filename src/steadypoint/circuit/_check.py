"""Structural checks of a circuit."""

from __future__ import annotations

from dataclasses import dataclass

from steadypoint.circuit._model import Circuit
from steadypoint.circuit._reason import part_fault
from steadypoint.errors import CircuitError


@dataclass(frozen=True, slots=True)
class Found:
    """A fault of a circuit: its sentence, and the parts or nodes it is about."""

    sentence: str
    subjects: tuple[str, ...]


def check(circuit: Circuit) -> None:
    """Check that a circuit makes sense before it is solved.

    Raises
    ------
    CircuitError
        With one sentence on the first fault that is found.
    """
    found = first_fault(circuit)
    if found is not None:
        raise CircuitError(found.sentence)


def first_fault(circuit: Circuit) -> Found | None:
    """First fault of a circuit, or None."""
    for part in circuit.parts:
        sentence = part_fault(part)
        if sentence:
            return Found(sentence, (part.name,))
    return None
