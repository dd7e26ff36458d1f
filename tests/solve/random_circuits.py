"""Random small circuits with a seed: every node has a resistor path, values from E24."""

from __future__ import annotations

import math

import numpy as np

from steadypoint.circuit import GROUND, Circuit, Kind, Part
from steadypoint.values import Quantity, series

SERIES = tuple(series("E24"))


def random_circuit(rng: np.random.Generator, *, most_transistors: int = 3) -> Circuit:
    """A circuit of 1 to ``most_transistors`` transistors, up to two diodes and resistors."""
    while True:
        circuit = _draw(rng, most_transistors)
        if circuit is not None:
            return circuit


def random_mixed_circuit(rng: np.random.Generator, *, most_transistors: int = 4) -> Circuit:
    """The same with field-effect transistors in the places of about half the bipolar ones."""
    while True:
        circuit = _draw(rng, most_transistors)
        if circuit is None:
            continue
        parts = [
            _field_effect(rng, p) if p.kind.is_bipolar and rng.random() < 0.5 else p
            for p in circuit.parts
        ]
        if not _clamped(parts):
            return Circuit(tuple(parts))


def random_large_circuit(rng: np.random.Generator) -> Circuit:
    """A circuit of 6 to 12 transistors."""
    while True:
        circuit = _draw(rng, int(rng.integers(6, 13)))
        if circuit is not None and len(circuit.transistors) >= 6:
            return circuit


def _draw(rng: np.random.Generator, most_transistors: int) -> Circuit | None:
    count = int(rng.integers(1, most_transistors + 1))
    inner = [f"n{i}" for i in range(int(rng.integers(1, 2 * count + 2)))]
    nodes = [GROUND, "VCC", *inner]
    transistors = [_transistor(rng, nodes, k) for k in range(count)]
    diodes = [_diode(rng, nodes, k) for k in range(int(rng.integers(0, 3)))]
    junctions = [(p.kind, p.nodes[1], n) for p in transistors for n in (p.nodes[0], p.nodes[2])] + [
        (Kind.DIODE, *p.nodes) for p in diodes
    ]
    if len(set(junctions)) < len(junctions) or _short(transistors, diodes):
        return None
    resistors = _resistors(rng, nodes, inner, count)
    parts = (_supply(rng), *resistors, *transistors, *diodes)
    touched = [n for p in parts for n in p.nodes]
    if any(touched.count(n) < 2 for n in inner):
        return None
    return Circuit(parts)


def _supply(rng: np.random.Generator) -> Part:
    V = float(np.exp(rng.uniform(math.log(1.5), math.log(50.0))))
    return Part("VCC", Kind.SUPPLY, ("VCC", GROUND), Quantity(V, "V"))


def _transistor(rng: np.random.Generator, nodes: list[str], k: int) -> Part:
    while True:
        c, b, e = (nodes[int(i)] for i in rng.integers(0, len(nodes), 3))
        if e not in (b, c) and (b != c or rng.random() < 0.3):
            break
    options = (
        ("beta", Quantity(float(np.exp(rng.uniform(math.log(20), math.log(800)))))),
        ("beta_R", Quantity(float(np.exp(rng.uniform(math.log(0.1), math.log(20)))))),
        ("V_A", Quantity(float(np.exp(rng.uniform(math.log(20), math.log(500)))), "V")),
        ("V_BE", Quantity(float(rng.uniform(0.55, 0.75)), "V")),
        ("V_CE_sat", Quantity(float(rng.uniform(0.1, 0.3)), "V")),
    )
    kind = Kind.NPN if rng.random() < 0.5 else Kind.PNP
    return Part(f"Q{k + 1}", kind, (c, b, e), options=tuple(sorted(options)))


def _field_effect(rng: np.random.Generator, part: Part) -> Part:
    """A field-effect transistor at the nodes (drain, gate, source) of a bipolar one."""
    n = part.kind is Kind.NPN
    lam = ("lambda", Quantity(float(np.exp(rng.uniform(math.log(1e-3), math.log(0.05)))), "V⁻¹"))
    if rng.random() < 0.5:
        V_off = float(rng.uniform(0.6, 6.0)) * (-1.0 if n else 1.0)
        I_DSS = float(np.exp(rng.uniform(math.log(0.5e-3), math.log(20e-3))))
        options = (("I_DSS", Quantity(I_DSS, "A")), ("V_GS_off", Quantity(V_off, "V")), lam)
        kind = Kind.N_JFET if n else Kind.P_JFET
        return Part(part.name, kind, part.nodes, options=tuple(sorted(options)))
    V_th = float(rng.uniform(0.6, 4.0)) * (1.0 if n else -1.0)
    K = float(np.exp(rng.uniform(math.log(0.2e-3), math.log(0.2))))
    options = (("K", Quantity(K, "A/V²")), ("V_GS_th", Quantity(V_th, "V")), lam)
    kind = Kind.N_MOSFET if n else Kind.P_MOSFET
    return Part(part.name, kind, part.nodes, options=tuple(sorted(options)))


def _clamped(parts: list[Part]) -> bool:
    """Whether junctions alone, those of channels too, lead from supply to ground."""
    diodes = [p for p in parts if p.kind in (Kind.DIODE, Kind.ZENER)]
    for p in parts:
        drain, gate, source = p.nodes if p.kind.is_fet else ("", "", "")
        if p.kind in (Kind.N_JFET, Kind.P_JFET):
            ends = [(gate, source), (gate, drain)]
        else:
            ends = [(source, drain)] if p.kind.is_fet else []
        for a, b in ends:
            way = (a, b) if p.kind in (Kind.N_JFET, Kind.N_MOSFET) else (b, a)
            diodes.append(Part("D", Kind.DIODE, way))
    return _short([p for p in parts if p.kind.is_bipolar], diodes)


def _diode(rng: np.random.Generator, nodes: list[str], k: int) -> Part:
    a, b = (nodes[int(i)] for i in rng.choice(len(nodes), 2, replace=False))
    V_F = (("V_F", Quantity(float(rng.uniform(0.55, 0.75)), "V")),)
    if rng.random() < 0.3:
        V_Z = Quantity(float(rng.uniform(2.4, 12.0)), "V")
        return Part(f"Z{k + 1}", Kind.ZENER, (a, b), V_Z, options=V_F)
    return Part(f"D{k + 1}", Kind.DIODE, (a, b), options=V_F)


def _resistors(
    rng: np.random.Generator, nodes: list[str], inner: list[str], count: int
) -> list[Part]:
    tied, pairs = [GROUND, "VCC"], []
    for i in rng.permutation(len(inner)):
        pairs.append((inner[int(i)], tied[int(rng.integers(len(tied)))]))
        tied.append(inner[int(i)])
    for _ in range(int(rng.integers(1, 3 * count + 1))):
        a, b = (nodes[int(i)] for i in rng.choice(len(nodes), 2, replace=False))
        if {a, b} != {GROUND, "VCC"}:
            pairs.append((a, b))
    return [
        Part(f"R{k + 1}", Kind.RESISTOR, pair, Quantity(_resistance(rng), "Ω"))
        for k, pair in enumerate(pairs)
    ]


def _resistance(rng: np.random.Generator) -> float:
    return float(SERIES[int(rng.integers(len(SERIES)))]) * 10.0 ** int(rng.integers(1, 6))


def _short(transistors: list[Part], diodes: list[Part]) -> bool:
    """Whether junctions alone lead forward from the supply to ground, or a zener stands across."""
    forward: dict[str, set[str]] = {}
    for q in transistors:
        c, b, e = q.nodes
        for n in (c, e):
            a, k = (b, n) if q.kind is Kind.NPN else (n, b)
            forward.setdefault(a, set()).add(k)
    for d in diodes:
        forward.setdefault(d.nodes[0], set()).add(d.nodes[1])
        if d.kind is Kind.ZENER:
            forward.setdefault(d.nodes[1], set()).add(d.nodes[0])
    seen, stack = {"VCC"}, ["VCC"]
    while stack:
        for n in forward.get(stack.pop(), set()) - seen:
            seen.add(n)
            stack.append(n)
    return GROUND in seen
