"""A million copies of a one-transistor stage with real devices, drawn, solved and counted.

    python benchmarks/spread.py [--copies 1000000]

Prints the best of three runs with NumPy alone and, where the extra ``steadypoint[fast]`` is
installed, with compiled lanes; for the ratio to a loop of ``scipy.optimize.root`` on the same work
see ``benchmarks/bulk.py``.
"""

from __future__ import annotations

import argparse
import importlib.util
import time

from steadypoint.circuit import arrangement
from steadypoint.spread import monte_carlo, read_variation

WORDS = ("beta 100..400 log-normal", "R1 ±5%", "R2 ±5%", "RE ±5%", "RC ±5%")


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--copies", type=int, default=1_000_000)
    n = parser.parse_args().copies
    circuit = arrangement("voltage divider").circuit
    variations = [read_variation(circuit, text) for text in WORDS]
    ways = [("NumPy", False)]
    if importlib.util.find_spec("numba") is not None:
        ways.append(("fast extra", True))
    for name, fast in ways:
        monte_carlo(circuit, variations, min(n, 200_000), fast=fast)
        seconds = []
        for _ in range(3):
            start = time.perf_counter()
            copies = monte_carlo(circuit, variations, n, fast=fast)
            seconds.append(time.perf_counter() - start)
        print(
            f"{name}: {n:,} copies in {min(seconds):.2f} s, {copies.without_point} without a point"
        )


if __name__ == "__main__":
    main()
