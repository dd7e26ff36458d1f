"""The values that a rule of thumb gives, to stand beside the proved best."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from steadypoint.choose._problem import Problem
from steadypoint.choose._wish import Wish, junction_voltage
from steadypoint.circuit import GROUND, Kind

_EMITTER_SHARE: Final = 0.1
_DIVIDER_TIMES: Final = 10.0


@dataclass(frozen=True, slots=True)
class RuleOfThumb:
    """Values by the usual rule.

    Parameters
    ----------
    words : str
        The rule.
    values : mapping of str to float
        Nearest values of the series. [Ω]
    spread : float
        Greatest relative distance of I_C from the wish over all corners on the hand rung. [-]
    meets : bool
        Whether all conditions of the wish hold.
    """

    words: str
    values: Mapping[str, float]
    spread: float
    meets: bool


def rule_of_thumb(wish: Wish, problem: Problem) -> RuleOfThumb | None:
    """Values that a lecturer's rule gives for the usual one-transistor arrangements.

    Parameters
    ----------
    wish : Wish
        What is wanted.
    problem : Problem
        The same as mathematics.

    Returns
    -------
    RuleOfThumb or None
        None for arrangements without a usual rule, or with resistors that are not free.

    Notes
    -----
    The rule for the divider, V_E a tenth of the supply and the current of the divider ten times the
    base current, is that of R. L. Boylestad, L. Nashelsky, Electronic Devices and Circuit Theory,
    4.15 (design operations). Base bias and collector feedback take the middle beta and half the
    supply across the transistor (common practice, no source).
    """
    shape = _shape(wish)
    if shape is None or set(shape.values()) != set(problem.names):
        return None
    ideal, words = _ideal(wish, shape)
    if ideal is None or min(ideal.values()) <= 0.0:
        return None
    places = []
    for name, lattice in zip(problem.names, problem.values, strict=True):
        places.append(int(np.abs(np.log(lattice / ideal[name])).argmin()))
    x = np.array([v[i] for v, i in zip(problem.values, places, strict=True)])
    found = problem.extremes(x[:, None])
    values = {n: float(v) for n, v in zip(problem.names, x, strict=True)}
    order = [r for r in problem.model.resistors if r in values]
    return RuleOfThumb(
        words, {n: values[n] for n in order}, float(found.J[0]), bool(found.feasible[0])
    )


def _shape(wish: Wish) -> dict[str, str] | None:
    """Resistors by their place: from rail to base, base to ground, collector, emitter, feedback."""
    circuit = wish.circuit
    if len(circuit.transistors) != 1:
        return None
    q = circuit.part(wish.transistor)
    collector, base, emitter = q.nodes
    rails = [p for p in circuit.parts if p.kind is Kind.SUPPLY and p.value is not None]
    if len(rails) != 1 or any(p.kind in (Kind.DIODE, Kind.ZENER) for p in circuit.parts):
        return None
    rail = rails[0].nodes[0]
    known = {
        frozenset((rail, base)): "top",
        frozenset((base, GROUND)): "bottom",
        frozenset((rail, collector)): "collector",
        frozenset((emitter, GROUND)): "emitter",
        frozenset((collector, base)): "feedback",
    }
    found: dict[str, str] = {}
    for part in circuit.parts:
        if part.kind is Kind.RESISTOR:
            place = known.get(frozenset(part.nodes))
            if place is None or place in found:
                return None
            found[place] = part.name
    return found


def _ideal(wish: Wish, shape: Mapping[str, str]) -> tuple[dict[str, float] | None, str]:
    rail = next(p for p in wish.circuit.parts if p.kind is Kind.SUPPLY)
    V_CC = abs(rail.value.value) if rail.value is not None else 0.0
    I_C = wish.collector_current
    beta = math.sqrt(wish.beta[0] * wish.beta[1])
    I_B, V_BE = I_C / beta, junction_voltage(wish.circuit, wish.transistor, I_C)
    V_CE = wish.V_CE if wish.V_CE is not None else 0.5 * V_CC
    places = set(shape)
    if places == {"top", "bottom", "collector", "emitter"}:
        V_E = _EMITTER_SHARE * V_CC
        V_B, I_D = V_E + V_BE, _DIVIDER_TIMES * I_B
        values = {
            shape["emitter"]: V_E / I_C,
            shape["collector"]: (V_CC - V_CE - V_E) / I_C,
            shape["bottom"]: V_B / I_D,
            shape["top"]: (V_CC - V_B) / (I_D + I_B),
        }
        return values, "V_E a tenth of the supply, the divider's current ten times the base current"
    if places == {"top", "collector"}:
        values = {shape["top"]: (V_CC - V_BE) / I_B, shape["collector"]: (V_CC - V_CE) / I_C}
        return values, "the middle beta, half the supply across the transistor"
    if places == {"feedback", "collector"}:
        values = {
            shape["feedback"]: (V_CE - V_BE) / I_B,
            shape["collector"]: (V_CC - V_CE) / (I_C + I_B),
        }
        return values, "the middle beta, half the supply across the transistor"
    return None, ""
