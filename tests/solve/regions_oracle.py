"""All operating points with constant drops, by trying every combination of regions.

Written from the table of regions in ``docs/solving.md`` with the terminal currents as unknowns; it
shares no code with the solver.
"""

from __future__ import annotations

from itertools import product

import numpy as np

from steadypoint.circuit import GROUND, Circuit, Kind, Part

Equation = tuple[dict[object, float], float]


def operating_points(circuit: Circuit, slack: float = 1e-9) -> list[dict[str, float]]:
    """Node voltages of every consistent combination of regions."""
    bent = [p for p in circuit.parts if p.kind in (Kind.NPN, Kind.PNP, Kind.DIODE, Kind.ZENER)]
    choices = [_pieces(p) for p in bent]
    found: list[dict[str, float]] = []
    for combination in product(*choices):
        x = _solve(circuit, dict(zip((p.name for p in bent), combination, strict=True)))
        if x is None:
            continue
        largest = max(abs(v) for k, v in x.items() if isinstance(k, tuple))
        if all(
            _holds(p, piece, x, slack, largest) for p, piece in zip(bent, combination, strict=True)
        ):
            V = {n: x.get(n, 0.0) for n in circuit.nodes}
            if all(max(abs(V[n] - f[n]) for n in V) > 1e-6 for f in found):
                found.append(V)
    return found


def is_operating_point(circuit: Circuit, V: dict[str, float], regions: dict[str, str]) -> bool:
    """Whether node voltages are the solution of these regions and keep all their promises."""
    pieces = dict(regions)
    for p in circuit.parts:
        if p.kind in (Kind.DIODE, Kind.ZENER):
            v = V[p.nodes[0]] - V[p.nodes[1]]
            V_F, V_Z = _option(p, "V_F", 0.7), p.value.value if p.value else np.inf
            at_edge = {"on": abs(v - V_F) < 1e-7, "zener": abs(v + V_Z) < 1e-7}
            pieces[p.name] = next((name for name, there in at_edge.items() if there), "off")
    x = _solve(circuit, pieces)
    if x is None:
        return False
    largest = max(abs(v) for k, v in x.items() if isinstance(k, tuple))
    same = all(abs(x.get(n, 0.0) - v) < 1e-6 for n, v in V.items())
    bent = [p for p in circuit.parts if p.name in pieces]
    return same and all(_holds(p, pieces[p.name], x, 1e-7, largest) for p in bent)


def _pieces(part: Part) -> tuple[str, ...]:
    if part.kind in (Kind.NPN, Kind.PNP):
        return ("active", "saturation", "cutoff", "reverse")
    return ("on", "off", "zener") if part.kind is Kind.ZENER else ("on", "off")


def _option(part: Part, symbol: str, default: float) -> float:
    value = part.option(symbol)
    return default if value is None else value


def _between(a: str, b: str, sign: float = 1.0) -> dict[object, float]:
    row: dict[object, float] = {a: sign}
    row[b] = row.get(b, 0.0) - sign
    return row


def _laws(part: Part, piece: str) -> list[Equation]:
    name = part.name
    if part.kind in (Kind.DIODE, Kind.ZENER):
        a, k = part.nodes
        drop = {"on": _option(part, "V_F", 0.7), "zener": -(part.value.value if part.value else 0)}
        return [({(name, "I"): 1.0}, 0.0)] if piece == "off" else [(_between(a, k), drop[piece])]
    c, b, e = part.nodes
    s = 1.0 if part.kind is Kind.NPN else -1.0
    V_BE, V_CE_sat = _option(part, "V_BE", 0.7), _option(part, "V_CE_sat", 0.2)
    beta, beta_R = _option(part, "beta", 100.0), _option(part, "beta_R", 1.0)
    I_C, I_B = (name, "I_C"), (name, "I_B")
    return {
        "active": [(_between(b, e, s), V_BE), ({I_C: 1.0, I_B: -beta}, 0.0)],
        "saturation": [(_between(b, e, s), V_BE), (_between(c, e, s), V_CE_sat)],
        "cutoff": [({I_C: 1.0}, 0.0), ({I_B: 1.0}, 0.0)],
        "reverse": [(_between(b, c, s), V_BE - V_CE_sat), ({I_C: 1.0, I_B: beta_R + 1.0}, 0.0)],
    }[piece]


def _holds(part: Part, piece: str, x: dict[object, float], slack: float, largest: float) -> bool:
    hair = 1e-10 * largest + 1e-15

    def V(a: str, b: str) -> float:
        return x.get(a, 0.0) - x.get(b, 0.0)

    if part.kind in (Kind.DIODE, Kind.ZENER):
        a, k = part.nodes
        I = x[(part.name, "I")]  # noqa: E741
        V_Z = part.value.value if part.kind is Kind.ZENER and part.value else np.inf
        return {
            "on": -hair <= I,
            "zener": hair >= I,
            "off": -V_Z - slack <= V(a, k) <= _option(part, "V_F", 0.7) + slack,
        }[piece]
    c, b, e = part.nodes
    s = 1.0 if part.kind is Kind.NPN else -1.0
    V_BE, V_CE_sat = _option(part, "V_BE", 0.7), _option(part, "V_CE_sat", 0.2)
    beta, beta_R = _option(part, "beta", 100.0), _option(part, "beta_R", 1.0)
    I_C, I_B = s * x[(part.name, "I_C")], s * x[(part.name, "I_B")]
    return {
        "active": -hair <= I_B and s * V(c, e) >= V_CE_sat - slack,
        "saturation": beta * I_B + hair * beta >= I_C and -(beta_R + 1.0) * I_B - hair <= I_C,
        "cutoff": s * V(b, e) <= V_BE + slack and s * V(b, c) <= V_BE - V_CE_sat + slack,
        "reverse": -hair <= I_B and s * V(b, e) <= V_BE + slack,
    }[piece]


def _solve(circuit: Circuit, pieces: dict[str, str]) -> dict[object, float] | None:
    sums: dict[str, dict[object, float]] = {n: {} for n in circuit.nodes if n != GROUND}
    laws: list[Equation] = []

    def leaves(node: str, unknown: object, share: float) -> None:
        if GROUND not in (node, unknown):
            sums[node][unknown] = sums[node].get(unknown, 0.0) + share

    for part in circuit.parts:
        name, value = part.name, part.value.value if part.value else 0.0
        if part.kind is Kind.RESISTOR:
            a, b = part.nodes
            for x, y in ((a, b), (b, a)):
                leaves(x, x, 1.0 / value)
                leaves(x, y, -1.0 / value)
        elif part.kind is Kind.SUPPLY:
            leaves(part.nodes[0], (name, "I"), -1.0)
            laws.append(({part.nodes[0]: 1.0}, value))
        elif part.kind in (Kind.DIODE, Kind.ZENER):
            leaves(part.nodes[0], (name, "I"), 1.0)
            leaves(part.nodes[1], (name, "I"), -1.0)
            laws += _laws(part, pieces[name])
        else:
            c, b, e = part.nodes
            for current, node in (("I_C", c), ("I_B", b)):
                leaves(node, (name, current), 1.0)
                leaves(e, (name, current), -1.0)
            laws += _laws(part, pieces[name])
    equations = [*((row, 0.0) for row in sums.values()), *laws]
    unknowns = list(dict.fromkeys(u for row, _ in equations for u in row if u != GROUND))
    at = {u: i for i, u in enumerate(unknowns)}
    if len(unknowns) != len(equations):
        return None
    A, rhs = np.zeros((len(at), len(at))), np.zeros(len(at))
    for i, (row, right) in enumerate(equations):
        for u, factor in row.items():
            if u != GROUND:
                A[i, at[u]] = factor
        rhs[i] = right
    size = np.abs(A).max(axis=1)
    if not size.all():
        return None
    # Currents counted in mA, rows brought to one: then a singular matrix shows by its condition.
    scale = np.array([1e-3 if isinstance(u, tuple) else 1.0 for u in unknowns])
    A, rhs = A * scale / (size * 1e-3)[:, None], rhs / (size * 1e-3)
    if np.linalg.cond(A) > 1e13:
        return None
    return dict(zip(unknowns, np.linalg.solve(A, rhs) * scale, strict=True))
