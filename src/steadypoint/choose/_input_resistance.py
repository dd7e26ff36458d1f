"""Small-signal input resistance at mid frequencies, found by moving the input a little."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

from steadypoint.circuit import GROUND, Circuit, Kind, Part
from steadypoint.errors import SolveError
from steadypoint.solve import operating_point
from steadypoint.values import Quantity

_INPUT: Final = "IN"
_PROBE: Final = "probe"
_STEP: Final = 1e-4


def input_resistance(circuit: Circuit, *, temperature: float | None = None) -> float:
    """Resistance that a signal sees at the node IN, capacitors as short circuits.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    temperature : float, optional
        Junction temperature. [K]

    Returns
    -------
    float
        V/I for a small current into IN on the device rung; NaN when there is no such node. [Ω]

    Notes
    -----
    Every capacitor is put in as a source of the voltage that it holds at rest, which a signal of
    middle frequency does not change.
    """
    if _INPUT not in circuit.nodes:
        return math.nan
    point = operating_point(circuit, "device", temperature=temperature)
    base = max(abs(q.I_B) for q in point.transistors.values()) if point.transistors else 0.0
    if base == 0.0:
        return math.nan
    held = _held(circuit, point.nodes)
    step = _STEP * base
    try:
        up, down = (
            operating_point(_driven(held, current), "device", temperature=temperature).nodes[_INPUT]
            for current in (step, -step)
        )
    except SolveError:
        return math.nan
    return (up - down) / (2.0 * step)


def _held(circuit: Circuit, nodes: object) -> Circuit:
    """The circuit with each capacitor as a source of its voltage at rest."""
    at = dict(nodes)  # type: ignore[call-overload]
    parts: list[Part] = []
    for part in circuit.parts:
        if part.kind is Kind.CAPACITOR:
            first, second = (_voltage(at, n) for n in part.nodes)
            parts.append(
                Part(
                    part.name,
                    Kind.VOLTAGE_SOURCE,
                    part.nodes,
                    Quantity(first - second, "V"),
                )
            )
        else:
            parts.append(part)
    return replace(circuit, parts=tuple(parts))


def _voltage(at: dict[str, float], node: str) -> float:
    value = at.get(node, 0.0)
    return value if math.isfinite(value) else 0.0


def _driven(circuit: Circuit, current: float) -> Circuit:
    probe = Part(_PROBE, Kind.CURRENT_SOURCE, (GROUND, _INPUT), Quantity(current, "A"))
    return replace(circuit, parts=(*circuit.parts, probe))
