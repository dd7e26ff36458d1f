"""The way round a loop: by which node each part is entered and left."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from steadypoint.circuit import Circuit, Kind, Part
from steadypoint.errors import CircuitError

_MOST: Final = 10  # parts of which every selection is tried
_LEAST_PARTS: Final = 2
_WAYS: Final[tuple[tuple[int, int], ...]] = ((0, 2), (2, 0), (1, 2), (2, 1), (0, 1), (1, 0))
"""Terminals by which a loop passes a transistor, the usual ones first."""


@dataclass(frozen=True, slots=True)
class Leg:
    """A part on the way, with the numbers of the terminals where it is entered and left."""

    part: Part
    enter: int
    leave: int

    @property
    def start(self) -> str:
        """Node where the part is entered."""
        return self.part.nodes[self.enter]

    @property
    def end(self) -> str:
        """Node where the part is left."""
        return self.part.nodes[self.leave]


def loop_of(circuit: Circuit, names: Sequence[str]) -> tuple[str, ...]:
    """The loop that parts named in order go round.

    Steps of a working name all parts they deal with; a step on a Thévenin equivalent names both
    resistors of the divider, of which the drawn mesh has one. The loop is the longest selection, in
    the given order, that closes and passes a transistor.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    names : sequence of str
        Names of parts, for instance the ``loop`` of a step.

    Returns
    -------
    tuple of str
        Names of the parts on the loop, empty when they make none.

    Raises
    ------
    UnknownNameError
        If the circuit has no part of a name.
    """
    parts = [circuit.part(name) for name in dict.fromkeys(names)]
    if len(parts) > _MOST:
        return ()
    for count in range(len(parts), _LEAST_PARTS - 1, -1):
        for chosen in combinations(parts, count):
            passes = any(p.kind.is_transistor for p in chosen)
            if passes and _closed(chosen) is not None:
                return tuple(p.name for p in chosen)
    return ()


def way_round(circuit: Circuit, names: Sequence[str]) -> tuple[Leg, ...]:
    """Legs of a loop in its direction.

    Raises
    ------
    UnknownNameError
        If the circuit has no part of a name.
    CircuitError
        If the parts, in this order, do not go round and come back.
    """
    parts = [circuit.part(name) for name in names]
    legs = _closed(parts)
    if legs is None:
        raise CircuitError(
            f"{', '.join(names)} do not close a loop in this order. Name the parts as one meets "
            "them going round, supply included, such as VCC, RC, Q1, RE."
        )
    return legs


def _closed(parts: Sequence[Part]) -> tuple[Leg, ...] | None:
    if len(parts) < _LEAST_PARTS:
        return None
    for first in _passes(parts[0]):
        legs = _onward([first], parts[1:], {first.start})
        if legs is not None:
            return legs
    return None


def _onward(legs: list[Leg], rest: Sequence[Part], seen: set[str]) -> tuple[Leg, ...] | None:
    here = legs[-1].end
    if not rest:
        return tuple(legs) if here == legs[0].start else None
    if here in seen:
        return None
    for leg in _passes(rest[0]):
        if leg.start == here:
            found = _onward([*legs, leg], rest[1:], seen | {here})
            if found is not None:
                return found
    return None


def _passes(part: Part) -> Iterator[Leg]:
    """Ways through a part; a supply is preferably left by its plus."""
    if part.kind.is_transistor:
        ways = _WAYS
    else:
        ways = ((1, 0), (0, 1)) if part.kind is Kind.SUPPLY else ((0, 1), (1, 0))
    for enter, leave in ways:
        if part.nodes[enter] != part.nodes[leave]:
            yield Leg(part, enter, leave)
