"""Milliseconds per operating point of small circuits, for each rung.

Run ``python benchmarks/one_point.py``; ``--json`` prints plain data.
"""

from __future__ import annotations

import argparse
import json
import statistics
import sys
import time

from steadypoint.circuit import Circuit, read_sheet
from steadypoint.solve import Model, operating_point

SHEETS = {
    "voltage divider, one transistor": """
        VCC = 12 V
        Q1 = npn, beta 180
        from VCC through R1 47k to Q1 base
        from Q1 base through R2 10k to ground
        from VCC through RC 4k7 to Q1 collector
        from Q1 emitter through RE 1k to ground
        """,
    "collector feedback, one transistor": """
        VCC = 9 V
        Q1 = npn, beta 150
        from VCC through RC 3k3 to Q1 collector
        from Q1 collector through RB 470k to Q1 base
        from Q1 emitter to ground
        """,
    "feedback pair, two transistors": """
        VCC = 18 V
        Q1 = npn, beta 200
        Q2 = npn, beta 200
        from VCC through R1 100k to Q1 collector
        from Q1 collector to Q2 base
        from Q1 emitter through RE1 470 to ground
        from VCC through RC2 10k to Q2 collector
        from Q2 emitter through RE2 1k to foot
        from foot through RE3 1k to ground
        from foot through RF 100k to Q1 base
        """,
    "follower amplifier, six transistors": """
        VCC = 15 V
        VEE = -15 V
        Q1 = npn, beta 200
        Q2 = npn, beta 200
        Q3 = npn, beta 200
        Q4 = pnp, beta 150
        Q5 = npn, beta 100
        Q6 = pnp, beta 100
        from Q1 base through R1 47k to ground
        from VCC through R2 3k3 to Q1 collector
        from VCC through R3 3k3 to Q2 collector
        from Q1 emitter to Q3 collector
        from Q2 emitter to Q3 collector
        from Q3 emitter through R4 2k2 to VEE
        from ground through R5 22k to Q3 base
        from Q3 base through R6 4k7 to VEE
        from Q1 collector to Q4 base
        from VCC through R7 1k to Q4 emitter
        from Q4 collector through D1, D2 to low
        from low through R8 10k to VEE
        from VCC to Q5 collector
        from Q4 collector to Q5 base
        from Q5 emitter through R9 10 to OUT
        from VEE to Q6 collector
        from low to Q6 base
        from Q6 emitter through R10 10 to OUT
        from OUT through RL 1k to ground
        from OUT through R11 47k to Q2 base
        from Q2 base through R12 4k7 to ground
        """,
}


def milliseconds(circuit: Circuit, model: Model, seconds: float = 0.4) -> float:
    """Median time of one solution; the first, which plans the structure, is not counted. [ms]"""
    operating_point(circuit, model)
    taken: list[float] = []
    until = time.perf_counter() + seconds
    while time.perf_counter() < until:
        start = time.perf_counter()
        operating_point(circuit, model)
        taken.append(time.perf_counter() - start)
    return 1e3 * statistics.median(taken)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print plain data")
    as_json = parser.parse_args().json
    table = {}
    for name, text in SHEETS.items():
        circuit = read_sheet("\n".join(line.strip() for line in text.splitlines()), name)
        table[name] = {m.value: round(milliseconds(circuit, m), 3) for m in Model}
    if as_json:
        sys.stdout.write(json.dumps(table, indent=2) + "\n")
        return
    sys.stdout.write(f"{'ms per operating point':38}" + "".join(f"{m:>9}" for m in Model) + "\n")
    for name, row in table.items():
        sys.stdout.write(f"{name:38}" + "".join(f"{v:9.2f}" for v in row.values()) + "\n")


if __name__ == "__main__":
    main()
