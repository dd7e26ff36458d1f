"""Proven top 20 of standard values: time, boxes, and the optimum.

    python benchmarks/choosing.py [E12 E24 E96]
    python benchmarks/choosing.py --against    # differential evolution on the same wishes
    python benchmarks/choosing.py --first      # a fresh process, its very first question

Three decades for each resistor; processor time of the search, its second process left out, and time
by the clock. The circuits and wishes are invented.
"""

from __future__ import annotations

import subprocess
import sys
import time

import numpy as np

from steadypoint.choose._hand_model import hand_model
from steadypoint.choose._problem import Condition, Drive, Problem
from steadypoint.choose._search import Search
from steadypoint.circuit import read_sheet
from steadypoint.devices import thermal_voltage
from steadypoint.values import SERIES_TOLERANCE, series

HOT = thermal_voltage(343.15)
COLLECTOR, EMITTER = "V(Q1.collector)", "V(Q1.emitter)"
ONE = """VCC = 12 V
Q1 = npn
from VCC through R1 10k to Q1 base
from Q1 base through R2 10k to ground
from VCC through RC 1k to Q1 collector
"""
TWO = """Q1 = npn
Q2 = npn
from VCC through RC1 1k to Q1 collector
from Q1 collector to Q2 base
from Q1 emitter through RE1 1k to ground
from Q2 emitter through RE2 1k to ground
from VCC through RC2 1k to Q2 collector
"""
SECOND = [
    {"V(Q2.collector)": 1.0, "V(Q2.emitter)": -1.0, "": -2.3},
    {"V(VCC)": 1.0, "V(Q2.collector)": -1.0, "": -2.0},
]
CASES = {
    "divider, 4 resistors": (
        ONE + "from Q1 emitter through RE 1k to ground\n",
        {"R1": 1e3, "R2": 1e3, "RC": 1e2, "RE": 1e1},
        [
            {COLLECTOR: 1.0, EMITTER: -1.0, "": -2.3},
            {"V(VCC)": 1.0, COLLECTOR: -1.0, "": -max(2.0, 100.0 * HOT)},
            {"I(VCC)": 1.0, "I_C(Q1)": 1.0, "": 0.3e-3},
        ],
        "Q1",
    ),
    "split emitter resistor, 5": (
        ONE + "from Q1 emitter through RE1 1k to TAP\nfrom TAP through RE2 1k to ground\n",
        {"R1": 1e3, "R2": 1e3, "RC": 1e2, "RE1": 1e1, "RE2": 1e2},
        [
            {COLLECTOR: 1.0, EMITTER: -1.0, "": -2.3},
            {"V(VCC)": 1.0, COLLECTOR: -1.0, "": -2.0},
            {"V(VCC)": 1.0, COLLECTOR: -1.0, EMITTER: -8.0, "V(TAP)": 8.0, "": -8.0 * HOT},
            {"I(VCC)": 1.0, "I_C(Q1)": 1.0, "": 0.3e-3},
        ],
        "Q1",
    ),
    "feedback pair, 5": (
        "VCC = 12 V\n" + TWO + "from Q2 emitter through RF 10k to Q1 base\n",
        {"RF": 1e3, "RC1": 1e3, "RE1": 1e1, "RE2": 1e1, "RC2": 1e2},
        [
            {COLLECTOR: 1.0, EMITTER: -1.0, "": -0.5},
            *SECOND,
            {"I_C(Q1)": 1.0, "": -0.2e-3},
            {"I(VCC)": 1.0, "": 3.6e-3},
        ],
        "Q2",
    ),
    "two transistors, 6": (
        "VCC = 15 V\n"
        + TWO
        + "from VCC through R1 10k to Q1 base\nfrom Q1 base through R2 10k to ground\n",
        {"R1": 1e3, "R2": 1e3, "RC1": 1e3, "RE1": 1e2, "RE2": 1e2, "RC2": 1e2},
        [
            {COLLECTOR: 1.0, EMITTER: -1.0, "": -1.0},
            *SECOND,
            {"I_C(Q1)": 1.0, "": -0.3e-3},
            {"I_C(Q1)": -1.0, "": 1e-3},
            {"I(VCC)": 1.0, "": 4e-3},
        ],
        "Q2",
    ),
}


def lattice(name: str, start: float) -> np.ndarray:
    """Three decades of a series. [Ω]"""
    return np.array([float(f"{start * 10.0**d * m:.6g}") for d in range(3) for m in series(name)])


def problem(case: str, name: str) -> Problem:
    """One of the cases with the values of a series."""
    sheet, starts, conditions, last = CASES[case]
    model = hand_model(read_sheet(sheet))
    V_CC = 15.0 if "15 V" in sheet else 12.0
    drives = [Drive("VCC", V_CC, V_CC, {"VCC": 1.0})]
    for q in model.transistors:
        drives.append(Drive(f"V_BE of {q}", 0.53, 0.73, {f"V_BE({q})": 1.0}))
        drives.append(Drive(f"I_CBO of {q}", 0.0, 20e-9 * 2.0**4.5, {f"I_CBO({q})": 1.0}))
    tolerance = max(SERIES_TOLERANCE[name], 0.01) if name != "E12" else 0.05
    return Problem(
        model,
        {r: lattice(name, start) for r, start in starts.items()},
        dict.fromkeys(starts, tolerance),
        dict.fromkeys(model.transistors, (100.0, 400.0)),
        drives,
        {f"I_C({last})": 1.0},
        2e-3,
        [Condition(str(i), c) for i, c in enumerate(conditions)],
    )


def evolve(one: Problem, best: float, seed: int) -> tuple[float, float]:
    """What SciPy's differential evolution finds, and when it first has the best value. [s]"""
    from scipy.optimize import differential_evolution

    start, reached = time.perf_counter(), [np.inf]

    def cost(places: np.ndarray) -> np.ndarray:
        columns = places.reshape(one.n, -1).astype(int)
        x = np.array([v[i] for v, i in zip(one.values, columns, strict=True)])
        found = one.extremes(x)
        if (found.feasible & (best * (1.0 + 1e-9) >= found.J)).any():
            reached[0] = min(reached[0], time.perf_counter() - start)
        scale = np.maximum(np.abs(found.low[1:]), np.abs(found.high[1:])) + 1e-30
        return found.J + 10.0 * (np.maximum(0.0, -found.low[1:]) / scale).sum(axis=0)

    found = differential_evolution(
        cost,
        [(0, len(v) - 1) for v in one.values],
        integrality=[True] * one.n,
        vectorized=True,
        updating="deferred",
        popsize=40,
        polish=False,
        rng=seed,
    )
    return float(found.fun), reached[0]


def against() -> None:
    """Differential evolution on the same wishes with the same worst cases, five seeds."""
    for case in list(CASES)[:3]:
        one = problem(case, "E24")
        answer = Search(one, 1).run()
        best = answer.sets[0].J
        for seed in range(5):
            value, reached = evolve(one, best, seed)
            print(
                f"{case:27} seed {seed}: evolution ±{100 * value:.4f} % after {reached:5.2f} s; "
                f"search ±{100 * best:.4f} % after {answer.found:5.3f} s "
                f"({reached / answer.found:3.0f} times), proved after {answer.seconds:5.2f} s",
                flush=True,
            )


def first() -> None:
    """The command in a process of its own."""
    command = [sys.executable, "-m", "steadypoint", "choose", "voltage divider"]
    start = time.perf_counter()
    subprocess.run(  # noqa: S603  our own command
        [*command, "--collector-current", "1mA"], check=True, capture_output=True
    )
    print(f"first question of a fresh process: {time.perf_counter() - start:.2f} s")


def main() -> None:
    """Measure and print."""
    if sys.argv[1:] == ["--against"]:
        against()
        return
    if sys.argv[1:] == ["--first"]:
        first()
        return
    for case in CASES:
        for name in sys.argv[1:] or ("E12", "E24", "E96"):
            cpu, wall = time.process_time(), time.perf_counter()
            one = problem(case, name)
            found = Search(one, 20, seconds=120.0).run()
            cpu, wall = time.process_time() - cpu, time.perf_counter() - wall
            sets = float(np.prod([float(len(v)) for v in one.values]))
            best = f"{100 * found.sets[0].J:.4f} %" if found.sets else "none"
            print(
                f"{case:27} {name}: {sets:.1e} sets, {found.boxes:7,} boxes, {wall:6.2f} s "
                f"(processor {cpu:6.2f} s), best ±{best}, proved: {found.optimal}",
                flush=True,
            )


if __name__ == "__main__":
    main()
