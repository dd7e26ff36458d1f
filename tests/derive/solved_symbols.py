"""Values of the working's symbols taken from ``solve`` alone, and a check of every line by them.

Shares nothing with the working's own checks.
"""

from __future__ import annotations

import random

import pytest

from steadypoint.circuit import Circuit, Kind
from steadypoint.derive import Derivation, Line, Symbol, evaluate
from steadypoint.devices import bipolar_data, diode_data
from steadypoint.solve import OperatingPoint


def solved_symbols(point: OperatingPoint) -> dict[str, float]:
    """Symbols of a circuit with one transistor, as lecturers count them."""
    out: dict[str, float] = {}
    for part in point.circuit.parts:
        if part.kind.is_transistor:
            q, data = point.transistors[part.name], bipolar_data(part.option)
            sign = 1.0 if part.kind is Kind.NPN else -1.0
            pair = "BE" if part.kind is Kind.NPN else "EB"
            span = "CE" if part.kind is Kind.NPN else "EC"
            out |= {"beta": data.beta, f"V_{pair}": data.V_BE, f"V_{span}_sat": data.V_CE_sat}
            out |= {"I_B": sign * q.I_B, "I_C": sign * q.I_C, "I_E": sign * q.I_E}
            out |= {f"V_{span}": sign * q.V_CE, f"V_{pair}_open": sign * q.V_BE}
            out |= {"V_B": q.V_B, "V_C": q.V_C, "V_E": q.V_E}
        elif part.kind is Kind.DIODE:
            out[f"V_{part.name}"] = diode_data(part.option).V_F
        elif part.kind is Kind.ZENER:
            out["V_Z"] = part.value.value
        elif part.value is not None:
            out[part.name] = part.value.value
        if part.kind is Kind.RESISTOR:
            out[f"I_{part.name}"] = abs(point.parts[part.name].I)
    return out


def check_line(line: Line, values: dict[str, float], where: str) -> None:
    """The line holds at a solved point; definitions are taken over."""
    name = line.left.name if isinstance(line.left, Symbol) else ""
    right = evaluate(line.right, values)
    if name and name not in values:
        values[name] = right
    left = evaluate(line.left, values)
    scale = max(abs(left), abs(right), 1e-9)
    if name == "":
        scale = max(abs(v) for n, v in values.items() if n.startswith("V"))
    assert left == pytest.approx(right, abs=1e-6 * scale), where


def check_every_line(working: Derivation, point: OperatingPoint, start: int = 0) -> int:
    """Check all lines that speak of the point; gives their number."""
    values = solved_symbols(point)
    count = 0
    for step in working[start:]:
        for line in step.lines:
            if line.sign == "→" or getattr(line.left, "name", "") == "T":
                continue
            check_line(line, values, step.heading)
            count += 1
    return count


def shaken(circuit: Circuit, seed: int, by: float = 0.04) -> Circuit:
    """The circuit with every value and gain changed a little at random."""
    chance = random.Random(seed)  # noqa: S311  trial values
    for part in circuit.parts:
        if part.value is not None and part.kind is not Kind.CAPACITOR:
            factor = 1.0 + chance.uniform(-by, by)
            circuit = circuit.with_value(part.name, part.value.value * factor)
    return circuit
