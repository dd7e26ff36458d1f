"""The device rung against mpmath at 40 digits and scipy's root finder on independent equations."""

from __future__ import annotations

import math

import mpmath
import numpy as np
import pytest
from circuits import divider, latch, resistor, supply, transistor
from exponential_oracle import imbalances, polished, unknown_nodes
from random_circuits import random_circuit, random_large_circuit, random_mixed_circuit
from scipy.optimize import root

from steadypoint.circuit import GROUND, Circuit, Kind
from steadypoint.devices import thermal_voltage
from steadypoint.solve import Method, Result, operating_point, solve
from steadypoint.solve._network import network
from steadypoint.solve._newton import laws_of
from steadypoint.solve._plan import plan_of
from steadypoint.solve._ways import draw_starts, step_bulk


def _drawn(seed, count, most, draw=random_circuit):
    rng = np.random.default_rng(seed)
    for _ in range(count):
        circuit = draw(rng, most_transistors=most)
        yield circuit, float(rng.uniform(218.15, 423.15))


@pytest.mark.parametrize("draw", [random_circuit, random_mixed_circuit])
def test_random_circuits_agree_with_mpmath(draw):
    """Bipolar circuits, and such with field-effect transistors."""
    with mpmath.workdps(40):
        for circuit, T in _drawn(21, 25, 3, draw):
            names = unknown_nodes(circuit)
            point = operating_point(circuit, "device", temperature=T)
            x = [point.nodes[n] for n in names]
            exact = polished(circuit, x, T)
            assert exact is not None
            assert max(abs(a - b) for a, b in zip(exact, x, strict=True)) < 1e-7


@pytest.mark.parametrize("draw", [random_circuit, random_mixed_circuit])
def test_random_circuits_close_kirchhoffs_law_in_the_oracles_equations(draw):
    compared = 0
    for circuit, T in _drawn(22, 200, 4, draw):
        solution = solve(circuit, "device", temperature=T)
        if solution.value is None:
            assert solution.result is Result.NOT_SETTLED
            continue
        if any("carries" in w for w in solution.value.warnings):
            continue  # beyond 1 kA the tangent replaces the exponential of the oracle
        compared += 1
        x = [mpmath.mpf(solution.value.nodes[n]) for n in unknown_nodes(circuit)]
        with mpmath.workdps(30):
            off, size = imbalances(circuit, x, T, mpmath.mp)
        V = max(abs(v) for v in solution.value.nodes.values())
        hair = 1e-15 * V * max(1 / r for r in _resistances(circuit))
        # Where leakage alone flows, rounding of V times the steepest slope is all that is left.
        steep = 1e-15 * V * max(float(s) for s in size) / thermal_voltage(T)
        for a, b in zip(off, size, strict=True):
            assert abs(a) <= 1e-9 * b + 8 * (hair + steep) + 1e-17
    assert compared > 180


def _resistances(circuit):
    return [p.value.value for p in circuit.parts if p.name.startswith("R")]


def test_single_transistor_circuits_agree_with_scipy():
    # One transistor has one operating point, so two methods that settle must meet.
    met = 0
    for circuit, T in _drawn(23, 60, 1):
        point = operating_point(circuit, "device", temperature=T)
        names = unknown_nodes(circuit)
        start = [operating_point(circuit).nodes[n] for n in names]

        def balance(x, circuit=circuit, T=T):
            off, size = imbalances(circuit, list(x), T, np)
            return np.array(off) / (np.array(size) + 1e-15)

        with np.errstate(all="ignore"):
            found = root(balance, start, method="hybr", options={"xtol": 1e-14})
        if found.success and np.abs(found.fun).max() < 1e-9:
            met += 1
            assert found.x == pytest.approx([point.nodes[n] for n in names], abs=1e-6, rel=1e-6)
    assert met >= 15


def test_circuits_of_six_to_twelve_transistors_settle():
    rng = np.random.default_rng(32)
    for _ in range(60):
        solution = solve(random_large_circuit(rng), "device")
        assert solution.value is not None, solution.error
        largest = max(abs(p.I) for p in solution.value.parts.values())
        assert solution.value.residual <= 1e-9 * largest + 1e-15


def test_V_BE_falls_by_two_millivolts_per_kelvin_in_a_stage():
    # About -2 mV/K at constant current (Horowitz and Hill; from memory): held by a large R_E.
    circuit = divider(V_CC=30, R_1=15e3, R_2=15e3, R_C=1e3, R_E=14.3e3)
    cold, hot = (
        operating_point(circuit, "device", temperature=T).transistors["Q1"]
        for T in (288.15, 308.15)
    )
    assert -2.4e-3 < (hot.V_BE - cold.V_BE) / 20 < -1.7e-3


def test_transconductance_is_I_C_over_V_T():
    # g_m = I_C/V_T to first order: half a millivolt more at the base, from two fixed voltages.
    def I_C(V):
        circuit = Circuit(
            (supply("VCC", 5.0), supply("VB", V), transistor("Q1", "VCC", "VB", "ground"))
        )
        return operating_point(circuit, "device").transistors["Q1"].I_C

    g_m = (I_C(0.6505) - I_C(0.6495)) / 1e-3
    assert g_m == pytest.approx(I_C(0.65) / thermal_voltage(298.15), rel=1e-3)


def test_V_BE_is_as_stated_at_one_milliampere():
    circuit = Circuit(
        (supply("VCC", 5.0), supply("VB", 0.62), transistor("Q1", "VCC", "VB", "ground", V_BE=0.62))
    )
    assert pytest.approx(1e-3, rel=1e-6) == operating_point(circuit, "device").transistors["Q1"].I_C


def test_early_effect_raises_the_current_with_the_voltage():
    def I_C(V):
        parts = (
            supply("VCC", V),
            supply("VB", 0.65),
            transistor("Q1", "VCC", "VB", "ground", V_A=80.0),
        )
        return operating_point(Circuit(parts), "device").transistors["Q1"].I_C

    # Straight lines that meet the axis at -V_A (J. M. Early, 1952), counted from V_BC = 0.
    assert I_C(10.65) / I_C(0.65) == pytest.approx(1 + 10 / 80, rel=1e-6)


def test_a_latch_settles_in_each_of_its_points():
    solution = solve(latch(), "device")
    assert solution.result is Result.SEVERAL
    assert len(solution.others) == 2
    assert solution.value.transistors["Q1"].region != solution.value.transistors["Q2"].region


def test_tells_the_way_it_took():
    stats = solve(divider(), "device").stats
    assert stats.method is Method.NEWTON
    assert 0 < stats.steps < 20
    assert stats.residual < 1e-9


def test_a_pair_that_feeds_itself_without_limit_gives_no_numbers_or_a_warning():
    # A triggered regenerative pair straight across the supply.
    circuit = Circuit(
        (
            supply("VCC", 12.0),
            resistor("RT", "VCC", "b", 10e3),
            transistor("Q1", "b", "c", "VCC", Kind.PNP),
            transistor("Q2", "c", "b", GROUND),
        )
    )
    assert solve(circuit).result is Result.NO_SOLUTION
    solution = solve(circuit, "device")
    assert any("carries" in w for w in solution.value.warnings)
    assert all(math.isfinite(v) for v in solution.value.nodes.values())


def _pair_in_reverse() -> Circuit:
    """Two transistors in reverse that hold each other on across the supply; β_R1 β_R4 > 1."""
    return Circuit(
        (
            supply("VCC", 18.0),
            resistor("R1", "n0", GROUND, 910.0),
            resistor("R2", "n2", "n0", 22.0),
            transistor("Q1", "VCC", "n0", "n2", Kind.PNP, beta=60.0, beta_R=14.0),
            transistor("Q2", GROUND, "n2", "n0", beta=26.0, beta_R=0.11),
        )
    )


def test_a_pair_in_reverse_without_limit_is_found_and_called_no_prediction():
    solution = solve(_pair_in_reverse(), "device")
    assert solution.value is not None, solution.error
    largest = max(abs(p.I) for p in solution.value.parts.values())
    assert solution.value.residual <= 1e-9 * largest + 1e-15
    assert any(w.startswith("Q") and "no prediction" in w for w in solution.value.warnings)


def test_bulk_resistances_lead_to_the_point_that_newtons_method_finds():
    # A way that ends elsewhere than the others would be a wrong way.
    for circuit, T in _drawn(24, 40, 1):
        net = network(circuit, T)
        laws = laws_of(net, T)
        trial = step_bulk(plan_of(net), laws, net, T, None)
        assert trial.settled
        point = operating_point(circuit, "device", temperature=T)
        wanted = [point.nodes[n] for n in net.names]
        assert trial.V[: len(net.names)].tolist() == pytest.approx(wanted, abs=1e-6, rel=1e-6)


def test_drawn_starts_find_what_the_other_ways_may_miss():
    """The point is one of the oracle's equations."""
    for circuit, T in _drawn(23, 40, 4, random_mixed_circuit):
        net = network(circuit)
        plan, laws = plan_of(net), laws_of(net, T)
        trial = draw_starts(plan, laws)
        assert trial.settled
        at = dict(zip(net.names, trial.V.tolist(), strict=False))
        x = [mpmath.mpf(at[n]) for n in unknown_nodes(circuit)]
        with mpmath.workdps(30):
            off, size = imbalances(circuit, x, T, mpmath.mp)
        hair = 1e-14 * max(map(abs, at.values())) * max(1 / r for r in _resistances(circuit))
        assert all(abs(a) <= 1e-8 * b + hair + 1e-15 for a, b in zip(off, size, strict=True))
