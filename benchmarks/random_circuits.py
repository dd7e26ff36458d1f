"""Solve random circuits on the device rung and count what comes out.

The generator is that of the tests: 1 to 4 transistors, up to two diodes or zeners, resistors of
E24, at -55 °C to 150 °C; every second circuit has field-effect transistors among them. Counted are
the ways that found the points, circuits of several points, circuits without a result, and answers
whose imbalance at a node passes 1e-9 of the largest current in a part, plus the floor that
docs/solving.md states: 8 rounding units of the steepest conductance times the highest voltage, and
1 fA.

Run ``python benchmarks/random_circuits.py --count 20000``; ``--json`` prints plain data;
``--digits 1000`` compares so many points with mpmath at 40 digits instead, on node equations that
share no code with the solver.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections import Counter
from pathlib import Path

import mpmath
import numpy as np

from steadypoint.circuit import Circuit, Kind, write_sheet
from steadypoint.solve import solve

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "solve"))
from exponential_oracle import polished, unknown_nodes
from random_circuits import random_circuit, random_mixed_circuit

EPSILON = float(np.finfo(float).eps)


def campaign(count: int, seed: int) -> tuple[Counter[str], list[str]]:
    """Counts by outcome, and a sentence with its sheet for each circuit without a right answer."""
    rng, counts, told = np.random.default_rng(seed), Counter[str](), []
    shown = time.monotonic()
    for k in range(count):
        draw = random_mixed_circuit if k % 2 else random_circuit
        circuit = draw(rng, most_transistors=4)
        T = float(rng.uniform(218.15, 423.15))
        solution = solve(circuit, "device", temperature=T)
        counts["circuits"] += 1
        if solution.value is None:
            counts["no result"] += 1
            told.append(f"{solution.error}\nat {T!r} K:\n{write_sheet(circuit)}")
            continue
        counts[solution.stats.method.value] += 1
        counts["several points"] += bool(solution.others)
        for point in (solution.value, *solution.others):
            largest = max(abs(p.I) for p in point.parts.values())
            highest = max(abs(V) for V in point.nodes.values())
            rounding = 8 * EPSILON * highest * steepest(circuit)
            if not point.residual <= 1e-9 * largest + rounding + 1e-15:
                counts["wrong"] += 1
                told.append(f"imbalance {point.residual:g} A at {T!r} K:\n{write_sheet(circuit)}")
        if time.monotonic() - shown > 2.0 and sys.stderr.isatty():
            shown = time.monotonic()
            sys.stderr.write(f"\r{k + 1} of {count}")
    return counts, told


def steepest(circuit: Circuit) -> float:
    """Largest sum of the conductances of resistors at a node. [S]"""
    sums = Counter[str]()
    for part in circuit.parts:
        if part.kind is Kind.RESISTOR and part.value is not None:
            for node in part.nodes:
                sums[node] += 1.0 / part.value.value  # type: ignore[assignment]
    return float(max(sums.values()))


def against_mpmath(count: int, seed: int) -> tuple[int, float]:
    """Points compared at 40 digits, and the largest distance of a node voltage. [V]"""
    rng, compared, worst = np.random.default_rng(seed), 0, 0.0
    with mpmath.workdps(40):
        while compared < count:
            draw = random_mixed_circuit if compared % 2 else random_circuit
            circuit = draw(rng, most_transistors=4)
            T = float(rng.uniform(218.15, 423.15))
            solution = solve(circuit, "device", temperature=T)
            point = solution.value
            if point is None or any("carries" in w for w in point.warnings):
                continue  # beyond 1 kA the tangent replaces the exponential of the oracle
            x = [point.nodes[n] for n in unknown_nodes(circuit)]
            if not x:
                continue
            exact = polished(circuit, x, T)
            compared += 1
            off = max(abs(a - b) for a, b in zip(exact, x, strict=True)) if exact else np.inf
            worst = max(worst, float(off))
    return compared, worst


def main() -> None:
    """Solve, count and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=2000, help="how many circuits")
    parser.add_argument("--seed", type=int, default=1, help="seed of the generator")
    parser.add_argument("--digits", type=int, default=0, help="points to compare with mpmath")
    parser.add_argument("--json", action="store_true", help="print plain data")
    asked = parser.parse_args()
    if asked.digits:
        compared, worst = against_mpmath(asked.digits, asked.seed)
        sys.stdout.write(f"{compared} points at 40 digits, off by at most {worst:.2g} V\n")
        return
    counts, told = campaign(asked.count, asked.seed)
    if asked.json:
        sys.stdout.write(json.dumps({**counts, "told": told}, indent=2) + "\n")
        return
    for name, number in counts.items():
        sys.stdout.write(f"{number:9d}  {name}\n")
    for sentence in told:
        sys.stdout.write(f"\n{sentence}")


if __name__ == "__main__":
    main()
