"""Operating points per second in bulk, against a loop of ``scipy.optimize.root`` on the same work.

Work: every resistor ±5 %, the supply ±2 %, β 0.35 and I_S 0.2 (natural logarithm, one standard
deviation), −10 to 70 °C. The loop solves the node equations of each circuit, written out by hand on
plain floats with their Jacobian, from the nominal point, to a tolerance of 1e-12; its time leaves
the drawing of values aside, ours includes everything.

    python benchmarks/bulk.py [--sets 400000] [--loop 500]
"""

from __future__ import annotations

import argparse
import importlib.util
import math
import time
from collections.abc import Callable

import numpy as np
from scipy.optimize import root

from steadypoint.circuit import GROUND, Circuit, Kind, read_sheet
from steadypoint.devices import saturation_current, saturation_current_at, thermal_voltage
from steadypoint.solve import operating_point, solve_many

SHEETS = {
    "base bias": """
        VCC = 12 V
        Q1 = npn, beta 200, V_A 80 V
        from VCC through RB 1M to Q1 base
        from VCC through RC 2k2 to Q1 collector
        from Q1 emitter to ground
    """,
    "collector feedback": """
        VCC = 12 V
        Q1 = npn, beta 200, V_A 80 V
        from VCC through RC 4k7 to Q1 collector
        from Q1 collector through RB 470k to Q1 base
        from Q1 emitter through RE 470 to ground
    """,
    "divider": """
        VCC = 12 V
        Q1 = npn, beta 200, V_A 80 V
        from VCC through R1 47k to Q1 base
        from Q1 base through R2 10k to ground
        from VCC through RC 4k7 to Q1 collector
        from Q1 emitter through RE 1k to ground
    """,
    "pair": """
        VCC = 18 V
        Q1 = npn, beta 200, V_A 80 V
        Q2 = npn, beta 200, V_A 80 V
        from VCC through RC1 100k to Q1 collector
        from Q1 collector to Q2 base
        from Q1 emitter through RE1 470 to ground
        from VCC through RC2 10k to Q2 collector
        from Q2 emitter through RE2 1k to TAP
        from TAP through RE3 1k to ground
        from TAP through RF 100k to Q1 base
    """,
    "mirror": """
        VCC = 12 V
        Q1 = npn, beta 200, V_A 80 V
        Q2 = npn, beta 200, V_A 80 V
        from VCC through RREF 10k to Q1 collector
        from Q1 collector to Q1 base
        from Q1 base to Q2 base
        from Q1 emitter through RE1 100 to ground
        from Q2 emitter through RE2 100 to ground
        from VCC through RL 4k7 to Q2 collector
    """,
}


def sampler(circuit: Circuit) -> Callable[[np.random.Generator, int], dict[str, np.ndarray]]:
    """Draws the work described above."""

    def draw(rng: np.random.Generator, n: int) -> dict[str, np.ndarray]:
        values = {"temperature": rng.uniform(263.15, 343.15, n)}
        for p in circuit.parts:
            if p.kind is Kind.RESISTOR:
                values[p.name] = p.value.value * rng.uniform(0.95, 1.05, n)
            elif p.kind is Kind.SUPPLY:
                values[p.name] = p.value.value * rng.uniform(0.98, 1.02, n)
            elif p.kind.is_transistor:
                values[f"{p.name}.beta"] = 200.0 * np.exp(0.35 * rng.standard_normal(n))
                I_S = saturation_current(0.7)
                values[f"{p.name}.I_S"] = I_S * np.exp(0.2 * rng.standard_normal(n))
        return values

    return draw


class Equations:
    """Node equations of a circuit of resistors, one rail and npn transistors, on plain floats."""

    def __init__(self, circuit: Circuit) -> None:
        self.unknown = [x for x in circuit.nodes if x not in (GROUND, "VCC")]
        at = {x: k for k, x in enumerate(self.unknown)} | {GROUND: -1, "VCC": -2}
        self.resistors = [p for p in circuit.parts if p.kind is Kind.RESISTOR]
        self.transistors = list(circuit.transistors)
        self.ends = [tuple(at[x] for x in p.nodes) for p in self.resistors]
        self.legs = [tuple(at[x] for x in p.nodes) for p in self.transistors]

    def take(self, values: dict[str, np.ndarray], s: int) -> None:
        """Figures of one set."""
        T = float(values["temperature"][s])
        self.V_T, self.VCC = thermal_voltage(T), float(values["VCC"][s])
        self.g = [1.0 / float(values[p.name][s]) for p in self.resistors]
        self.data = [
            (
                saturation_current_at(float(values[f"{p.name}.I_S"][s]), T),
                1.0 / float(values[f"{p.name}.beta"][s]),
            )
            for p in self.transistors
        ]

    def balance(self, x: np.ndarray) -> tuple[list[float], list[list[float]]]:
        """Imbalance of every node and its derivatives. [A, S]"""
        size = len(self.unknown)
        V = [*x.tolist(), self.VCC, 0.0]
        F = [0.0] * (size + 2)
        J = [[0.0] * (size + 2) for _ in range(size + 2)]
        for (a, b), G in zip(self.ends, self.g, strict=True):
            i = G * (V[a] - V[b])
            F[a] += i
            F[b] -= i
            J[a][a] += G
            J[b][b] += G
            J[a][b] -= G
            J[b][a] -= G
        for (c, b, e), (I_S, by) in zip(self.legs, self.data, strict=True):
            for node, (i, by_F, by_R) in zip(
                (c, b, e), self.bipolar(V, c, b, e, I_S, by), strict=True
            ):
                F[node] += i
                row = J[node]
                row[b] += by_F + by_R
                row[e] -= by_F
                row[c] -= by_R
        return F[:size], [row[:size] for row in J[:size]]

    def bipolar(
        self, V: list[float], c: int, b: int, e: int, I_S: float, by: float
    ) -> tuple[tuple[float, float, float], ...]:
        """Currents into collector, base and emitter with their slopes. [A, S, S]"""
        V_T, v_F, v_R = self.V_T, V[b] - V[e], V[b] - V[c]
        e_F, e_R = math.exp(min(v_F / V_T, 80.0)), math.exp(min(v_R / V_T, 80.0))
        j_F, j_R, early = I_S * (e_F - 1.0), I_S * (e_R - 1.0), 1.0 - v_R / 80.0
        d_F, d_R = I_S * e_F / V_T, I_S * e_R / V_T
        I_C = (j_F - j_R) * early - j_R - 1e-12 * v_R
        I_B = j_F * by + j_R + 1e-12 * (v_F + v_R)
        C_F, C_R = d_F * early, -d_R * early - (j_F - j_R) / 80.0 - d_R - 1e-12
        B_F, B_R = d_F * by + 1e-12, d_R + 1e-12
        return (I_C, C_F, C_R), (I_B, B_F, B_R), (-I_C - I_B, -C_F - B_F, -C_R - B_R)


def loop(circuit: Circuit, values: dict[str, np.ndarray], n: int) -> tuple[float, np.ndarray]:
    """Seconds of the loop, the figures of each set left aside, and its node voltages."""
    equations = Equations(circuit)
    nominal = operating_point(circuit, "device")
    start = np.array([nominal.nodes[x] for x in equations.unknown])
    out, spent = np.full((n, len(start)), np.nan), 0.0
    for s in range(n):
        equations.take(values, s)
        begun = time.process_time()
        found = root(equations.balance, start, jac=True, method="hybr", options={"xtol": 1e-12})
        spent += time.process_time() - begun
        if found.success:
            out[s] = found.x
    return spent, out


def best(work: Callable[[], object], times: int = 3) -> float:
    """Shortest of a few runs. [s]"""
    spent = []
    for _ in range(times):
        begun = time.process_time()
        work()
        spent.append(time.process_time() - begun)
    return min(spent)


def main() -> None:
    """Print one line per circuit and way."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sets", type=int, default=400_000)
    parser.add_argument("--loop", type=int, default=500)
    chosen = parser.parse_args()
    ways = {"NumPy lanes": False}
    if importlib.util.find_spec("numba") is not None:
        ways["compiled lanes"] = True
    print("points per second of processor time on one core; ratio to the loop; agreement with it")
    for name, sheet in SHEETS.items():
        circuit = read_sheet(sheet)
        values = sampler(circuit)(np.random.default_rng(1), chosen.sets)
        spent, V = loop(circuit, values, chosen.loop)
        slow = chosen.loop / spent
        print(f"{name:20s} {'loop':15s} {slow:12,.0f}")
        for way, fast in ways.items():

            def work(circuit=circuit, values=values, fast=fast):
                return solve_many(circuit, values, fast=fast)

            points = work()
            quick = chosen.sets / best(work)
            nodes = [points.nodes[x][: chosen.loop] for x in Equations(circuit).unknown]
            apart = np.nanmax(np.abs(np.column_stack(nodes) - V))
            lost = int((~points.converged).sum())
            print(
                f"{name:20s} {way:15s} {quick:12,.0f} {quick / slow:7,.0f}×  {apart:.0e} V, "
                f"{lost} without a point, {points.steps.mean():.2f} steps"
            )


if __name__ == "__main__":
    main()
