"""Names of the ends of a load line, where the collector-emitter loop is simple enough for them."""

from __future__ import annotations

import math
from typing import NamedTuple

from steadypoint.circuit import GROUND, Circuit, Kind, Part
from steadypoint.draw._netlist import signal_parts
from steadypoint.draw._scene import Span
from steadypoint.draw._typography import designator, quantity_symbol
from steadypoint.values import shown

Line = tuple[Span, ...]


class EndNames(NamedTuple):
    """Formulas of both ends.

    Parameters
    ----------
    volts, amps : tuple of Span
        Formula, or empty where the loop is not that simple.
    same : bool
        True when the formula gives the end to three digits; on the exact rung it leaves out beta.
    """

    volts: Line = ()
    amps: Line = ()
    same: bool = True


def end_names(circuit: Circuit, part: Part, ends: tuple[float, float]) -> EndNames:
    """Names of both ends: V_CC and V_CC/(R_C + R_E) where the loop is that simple.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    part : Part
        The transistor.
    ends : tuple of float
        V_CE or V_DS at no current [V] and the current at no voltage [A], in magnitudes.
    """
    idle = signal_parts(circuit)
    loop: list[Part] = []
    rails: list[str] = []
    for node in (part.nodes[0], part.nodes[2]):
        here = [
            p
            for p in circuit.parts
            if node in p.nodes and p.name not in idle and p.name != part.name
        ]
        supply = any(p.kind is Kind.SUPPLY for p in here) or node == GROUND
        if supply:
            rails.append(node)
        elif len(here) == 1 and here[0].kind is Kind.RESISTOR:
            loop.append(here[0])
            rails.append(next(n for n in here[0].nodes if n != node))
    known = {GROUND: 0.0} | {
        p.nodes[0]: p.value.value for p in circuit.supplies if p.value is not None
    }
    if len(rails) != 2 or any(r not in known for r in rails):
        return EndNames()
    high, low = sorted(rails, key=lambda r: -known[r])
    V = known[high] - known[low]
    R = sum(p.value.value for p in loop if p.value is not None)
    if not math.isclose(V, ends[0], rel_tol=1e-3):
        return EndNames()
    volts = quantity_symbol(_rail(high)) if high != GROUND else ()
    if low != GROUND:
        minus = Span(" − " if volts else "−")
        volts = (*volts, minus, *quantity_symbol(_rail(low)))
    if not loop or not math.isclose(V / R, ends[1], rel_tol=0.03):
        return EndNames(volts)
    same = shown(V / R, "A") == shown(ends[1], "A")
    fraction = _fraction(volts, loop, split=GROUND not in (low, high))
    return EndNames(volts, fraction, same)


def _fraction(volts: Line, loop: list[Part], *, split: bool) -> Line:
    out: list[Span] = [*((Span("("),) if split else ()), *volts, *((Span(")"),) if split else ())]
    out.append(Span("/(" if len(loop) > 1 else "/"))
    for k, part in enumerate(loop):
        if k:
            out.append(Span(" + "))
        base, *rest = designator(part.name)
        out += [*quantity_symbol(f"{base.text}_{rest[0].text}" if rest else part.name)]
    if len(loop) > 1:
        out.append(Span(")"))
    return tuple(out)


def _rail(name: str) -> str:
    return f"V_{name[1:]}" if len(name) > 1 and name[0] == "V" and "_" not in name else name
