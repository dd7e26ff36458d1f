"""The exact rung against an enumeration of all regions that shares no code with it."""

from __future__ import annotations

import numpy as np
import pytest
from circuits import latch
from random_circuits import random_circuit, random_large_circuit
from regions_oracle import is_operating_point, operating_points

from steadypoint.solve import Result, solve


@pytest.mark.parametrize("seed", range(8))
def test_random_circuits_have_the_points_of_the_enumeration(seed):
    rng = np.random.default_rng(seed)
    for _ in range(25):
        circuit = random_circuit(rng)
        expected = operating_points(circuit)
        solution = solve(circuit)
        found = [solution.value, *solution.others] if solution.value else []
        assert len(found) == len(expected), circuit
        for point in found:
            off = min(max(abs(point.nodes[n] - V[n]) for n in V) for V in expected)
            assert off < 1e-6, circuit


def test_circuits_of_six_to_twelve_transistors_are_solved_and_proved():
    rng = np.random.default_rng(31)
    for _ in range(60):
        circuit = random_large_circuit(rng)
        point = solve(circuit).value
        if point is None:  # junctions alone across the supply: amperes without limit
            device = solve(circuit, "device").value
            assert device is None or any("carries" in w for w in device.warnings), circuit
            continue
        regions = {n: t.region.value for n, t in point.transistors.items()}
        assert is_operating_point(circuit, dict(point.nodes), regions), circuit


def test_random_circuits_balance():
    rng = np.random.default_rng(99)
    for _ in range(150):
        point = solve(random_circuit(rng)).value
        if point is not None:
            largest = max(abs(p.I) for p in point.parts.values())
            assert point.residual <= 1e-9 * largest + 1e-15


def test_a_latch_has_three_points_and_rests_in_one_of_two():
    solution = solve(latch())
    assert solution.result is Result.SEVERAL
    assert len(solution.others) == len(operating_points(latch())) - 1 == 2
    assert "unstable" in solution.value.warnings[-1]
    regions = {t.region.value for t in solution.value.transistors.values()}
    assert regions == {"cutoff", "saturation"}
