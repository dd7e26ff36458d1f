"""Random wishes against brute force over every set and every corner, by textbook formulas.

    python benchmarks/random_wishes.py --count 1000 --seed 1

Divider and collector feedback in turn, E3 or E6 over two decades; counted are optima that differ
and wishes that only one of the two can meet. The formulas are in tests/choose/test_search.py.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "choose"))
from test_search import SHAPES, brute_force, searched, wish


def main() -> None:
    """Compare and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    rng = np.random.default_rng(asked.seed)
    wrong = impossible = 0
    search = brute = 0.0
    for k in range(asked.count):
        shape = list(SHAPES)[k % len(SHAPES)]
        wanted = wish(rng, shape)
        start = time.process_time()
        J = float(brute_force(shape, wanted).min())
        middle = time.process_time()
        found = searched(shape, wanted)
        search, brute = search + time.process_time() - middle, brute + middle - start
        best = found.sets[0].J if found.sets else np.inf
        impossible += not np.isfinite(J)
        same = best == J if not np.isfinite(J) else abs(best - J) <= 1e-9 * max(1.0, J)
        wrong += not (same and found.optimal)
    print(
        f"{asked.count} wishes, {impossible} of them impossible: {wrong} differ; processor time "
        f"{search:.0f} s, brute force {brute:.0f} s"
    )


if __name__ == "__main__":
    main()
