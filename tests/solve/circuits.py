"""Short ways to write circuits in tests."""

from __future__ import annotations

from steadypoint.circuit import GROUND, Circuit, Kind, Part
from steadypoint.values import Quantity


def resistor(name: str, a: str, b: str, ohms: float) -> Part:
    return Part(name, Kind.RESISTOR, (a, b), Quantity(ohms, "Ω"))


def supply(name: str, volts: float) -> Part:
    return Part(name, Kind.SUPPLY, (name, GROUND), Quantity(volts, "V"))


def current(name: str, a: str, b: str, amperes: float) -> Part:
    return Part(name, Kind.CURRENT_SOURCE, (a, b), Quantity(amperes, "A"))


def transistor(
    name: str, c: str, b: str, e: str, kind: Kind = Kind.NPN, matched_to: str = "", **options: float
) -> Part:
    stated = tuple(sorted((k, Quantity(v)) for k, v in options.items()))
    return Part(name, kind, (c, b, e), options=stated, matched_to=matched_to)


def diode(name: str, a: str, k: str, **options: float) -> Part:
    stated = tuple(sorted((n, Quantity(v)) for n, v in options.items()))
    return Part(name, Kind.DIODE, (a, k), options=stated)


def zener(name: str, a: str, k: str, volts: float, **options: float) -> Part:
    stated = tuple(sorted((n, Quantity(v)) for n, v in options.items()))
    return Part(name, Kind.ZENER, (a, k), Quantity(volts, "V"), options=stated)


def divider(
    V_CC: float = 12.0,
    R_1: float = 47e3,
    R_2: float = 10e3,
    R_C: float = 4.7e3,
    R_E: float = 1e3,
    **options: float,
) -> Circuit:
    """A voltage divider stage."""
    return Circuit(
        (
            supply("VCC", V_CC),
            resistor("R1", "VCC", "b", R_1),
            resistor("R2", "b", GROUND, R_2),
            resistor("RC", "VCC", "c", R_C),
            resistor("RE", "e", GROUND, R_E),
            transistor("Q1", "c", "b", "e", **options),
        )
    )


def latch() -> Circuit:
    """Two transistors that hold each other: two resting points and one that does not last."""
    return Circuit(
        (
            supply("VCC", 5.0),
            resistor("RC1", "VCC", "c1", 1e3),
            resistor("RC2", "VCC", "c2", 1e3),
            resistor("RB1", "c1", "b2", 20e3),
            resistor("RB2", "c2", "b1", 20e3),
            transistor("Q1", "c1", "b1", GROUND),
            transistor("Q2", "c2", "b2", GROUND),
        )
    )


def mirrored(circuit: Circuit) -> Circuit:
    """The same circuit with every polarity turned: npn for pnp, all sources and diodes reversed."""
    turned = {Kind.NPN: Kind.PNP, Kind.PNP: Kind.NPN}
    parts = []
    for p in circuit.parts:
        nodes, value = p.nodes, p.value
        if p.kind in (Kind.DIODE, Kind.ZENER):
            nodes = nodes[::-1]
        if p.kind in (Kind.SUPPLY, Kind.VOLTAGE_SOURCE, Kind.CURRENT_SOURCE) and value:
            value = Quantity(-value.value, value.unit)
        kind = turned.get(p.kind, p.kind)
        parts.append(Part(p.name, kind, nodes, value, options=p.options, matched_to=p.matched_to))
    return Circuit(tuple(parts))
