"""Worst case against brute force on random stages, and its time for six parameters.

python benchmarks/worst_case.py [CIRCUITS]
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "spread"))

from one_stage_oracle import brute_force, random_stage

from steadypoint import Variation, arrangement, read_variation, worst_case

WIDTH = {"beta": (0.5, 2.0), "VCC": (0.9, 1.1)}


def main(circuits: int = 1000, inside: int = 2000) -> None:
    """Print the largest disagreement and the times."""
    rng = np.random.default_rng(11)
    worst, inner, short, proved, several, times = 0.0, 0.0, 0, 0, 0, []
    for _ in range(circuits):
        stage = random_stage(rng)
        limits = {}
        for name in stage.names:
            low, high = WIDTH.get(name, (0.95, 1.05))
            limits[name] = (stage.values[name] * low, stage.values[name] * high)
        box = [Variation(n, stage.values[n], *ends) for n, ends in limits.items()]
        start = time.process_time()
        found = worst_case(stage.circuit(), box)
        times.append(time.process_time() - start)
        proved += found.proved
        several += len(found.regions["Q1"]) > 1
        for name, (low, high) in brute_force(stage, limits, rng, inside).items():
            e = found.extremes[name]
            size = max(abs(e.low), abs(e.high), 1e-9)
            short += low < e.low - 1e-6 * size or high > e.high + 1e-6 * size
            at_corner = max(abs(e.low - low), abs(e.high - high)) / size
            if len(found.regions["Q1"]) > 1:
                inner = max(inner, at_corner)
            else:
                worst = max(worst, at_corner)
    print(f"{circuits} random stages, {several} with more than one region, {proved} proved")
    print(f"extremes that brute force passes: {short}")
    print(f"largest gap to brute force with one region: {worst:.1e} of the quantity")
    print(f"with a border inside, where the extreme is no corner: {inner:.1e}")
    ms = 1e3 * np.array(times)
    print(f"time: median {np.median(ms):.1f} ms, largest {ms.max():.0f} ms (processor time)")
    six(arrangement("voltage divider").circuit)


def six(circuit) -> None:
    """Time of a six-parameter stage, best of five."""
    words = ("R1 ±5%", "R2 ±5%", "RC ±5%", "RE ±5%", "beta 100..400", "temperature 0C..50C")
    box = [read_variation(circuit, text) for text in words]
    best = 1e9
    for _ in range(5):
        start = time.process_time()
        found = worst_case(circuit, box)
        best = min(best, time.process_time() - start)
    print(f"six parameters: {1e3 * best:.1f} ms, proved: {found.proved}")


if __name__ == "__main__":
    main(*(int(a) for a in sys.argv[1:2]))
