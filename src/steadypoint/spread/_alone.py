"""Each variation alone: how far one quantity moves while everything else stays as stated."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from steadypoint.circuit import Circuit
from steadypoint.errors import SolveError
from steadypoint.solve import operating_point
from steadypoint.spread._readings import reading
from steadypoint.spread._variation import Variation
from steadypoint.spread._warming import Warming
from steadypoint.spread._worst_case import circuit_at


@dataclass(frozen=True, slots=True)
class Alone:
    """What one variation does by itself.

    Parameters
    ----------
    setting : str
        What varies.
    at_low, at_high : float
        Its limits. [SI]
    low, high : float
        The quantity with it at its lower and at its upper limit, magnitudes for pnp. [SI]
    """

    setting: str
    at_low: float
    at_high: float
    low: float
    high: float

    @property
    def span(self) -> float:
        """How far the quantity moves. [SI]"""
        return abs(self.high - self.low)


def each_alone(
    circuit: Circuit,
    variations: Sequence[Variation],
    quantity: str,
    *,
    assumed: Warming | None = None,
) -> tuple[Alone, ...]:
    """Move each variation from limit to limit by itself, on the exact rung.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    variations : sequence of Variation
        What varies.
    quantity : str
        As for :func:`steadypoint.spread.reading`.
    assumed : Warming, optional
        What a varied temperature does, as for :func:`steadypoint.spread.worst_case`.

    Returns
    -------
    tuple of Alone
        The one that moves the quantity most first; those without a point at a limit are left out.

    Raises
    ------
    UnknownNameError
        If the circuit has no such quantity.

    Examples
    --------
    >>> from steadypoint.circuit import arrangement
    >>> from steadypoint.spread import read_variation
    >>> circuit = arrangement("base bias").circuit
    >>> box = [read_variation(circuit, "RB ±5%"), read_variation(circuit, "beta 100..200")]
    >>> [one.setting for one in each_alone(circuit, box, "I_C")]
    ['beta', 'RB']
    """
    wanted, rules = reading(circuit, quantity), assumed or Warming()
    found = []
    for v in variations:
        try:
            ends = [
                wanted.of(operating_point(circuit_at(circuit, {v.setting: at}, rules)))
                for at in (v.low, v.high)
            ]
        except SolveError:
            continue
        found.append(Alone(v.setting, v.low, v.high, *ends))
    return tuple(sorted(found, key=lambda one: -one.span))
