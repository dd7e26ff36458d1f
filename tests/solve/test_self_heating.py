"""Junctions that heat themselves, against closed forms and scipy on independent equations."""

from __future__ import annotations

import math

import numpy as np
import pytest
from circuits import divider, latch, resistor, supply, transistor
from exponential_oracle import _currents, unknown_nodes
from scipy import constants
from scipy.optimize import brentq, root

from steadypoint import read_sheet
from steadypoint.circuit import GROUND, Circuit, Kind
from steadypoint.errors import CircuitError, ThermalRunawayError
from steadypoint.solve import Result, operating_point, solve, to_dict

T_A = 298.15
V_BE, V_CC, BETA = 0.65, 10.0, 100.0


def fixed_drop(R_thJA: float) -> Circuit:
    """A transistor between fixed voltages: nothing but the temperature moves its current."""
    parts = (
        supply("VCC", V_CC),
        supply("VB", V_BE),
        transistor("Q1", "VCC", "VB", GROUND, V_BE=0.7, beta=BETA, R_thJA=R_thJA),
    )
    return Circuit(parts)


def slope(T: float) -> float:
    """d ln I_C / dT at constant V_BE for I_S ∝ T^3.2 exp(−1.205 V/V_T); by hand. [1/K]"""
    V_T = constants.k * T / constants.e
    return (3.2 + (1.205 - V_BE) / V_T) / T


def power(T: float) -> float:
    """P of `fixed_drop` at a junction temperature, from the laws in docs/solving.md. [W]"""
    V_T, V_T0 = (constants.k * t / constants.e for t in (T, 298.15))
    I_S = 1e-3 * math.exp(-0.7 / V_T0)
    I_S *= (T / 298.15) ** 3.2 * math.exp(1.205 / V_T0 - 1.205 / V_T)
    return I_S * math.exp(V_BE / V_T) * (V_CC + V_BE / BETA)


# The condition dP/dT_J · R_thJA < 1 of the textbooks (J. Millman and C. C. Halkias, Integrated
# Electronics, 1972, thermal stability; from memory). Here P grows like I_C, so the largest
# resistance that still has a steady temperature is where the line (T − T_A)/R_thJA touches P(T):
# (T − T_A) d ln P/dT = 1.
T_TOUCH = brentq(lambda T: (T - T_A) * slope(T) - 1.0, T_A + 1.0, T_A + 60.0)
R_TOUCH = (T_TOUCH - T_A) / power(T_TOUCH)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.999])
def test_below_the_textbook_limit_the_junction_stays(share: float):
    R = share * R_TOUCH
    wanted = brentq(lambda T: T - T_A - R * power(T), T_A, T_TOUCH, xtol=1e-9)
    point = operating_point(fixed_drop(R), "device", self_heating=True)
    assert point.junction_temperatures["Q1"] == pytest.approx(wanted, abs=1e-3)
    assert R * slope(wanted) * power(wanted) < 1.0


@pytest.mark.parametrize("share", [1.001, 1.5, 20.0])
def test_above_the_textbook_limit_it_runs_away(share: float):
    solution = solve(fixed_drop(share * R_TOUCH), "device", self_heating=True)
    assert solution.value is None
    assert solution.result is Result.RUNAWAY
    assert isinstance(solution.error, ThermalRunawayError)
    assert str(solution.error).startswith("Q1 runs away thermally")
    with pytest.raises(ThermalRunawayError):
        operating_point(fixed_drop(share * R_TOUCH), "device", self_heating=True)


def test_below_half_the_supply_a_stage_cannot_run_away():
    # With V_CE < V_CC/2 more current brings less power (the principle of half the supply; Millman
    # and Halkias as above, from memory), however large R_thJA.
    parts = (
        supply("VCC", 10.0),
        supply("VB", 0.73),
        resistor("RC", "VCC", "c", 1e3),
        transistor("Q1", "c", "VB", GROUND, R_thJA=5e3),
    )
    point = operating_point(Circuit(parts), "device", self_heating=True)
    assert point.transistors["Q1"].V_CE < 5.0
    cool = operating_point(Circuit(parts), "device").transistors["Q1"]
    assert point.transistors["Q1"].P < cool.P


def test_emitter_resistance_prevents_the_runaway():
    unprotected = fixed_drop(1.5 * R_TOUCH)
    protected = Circuit(
        (
            supply("VCC", V_CC),
            supply("VB", V_BE + 0.1),
            resistor("RE", "e", GROUND, 1e3),
            transistor("Q1", "VCC", "VB", "e", V_BE=0.7, beta=BETA, R_thJA=1.5 * R_TOUCH),
        )
    )
    assert solve(unprotected, "device", self_heating=True).value is None
    assert solve(protected, "device", self_heating=True).value is not None


def _by_scipy(circuit: Circuit, start: list[float]) -> tuple[dict[str, float], dict[str, float]]:
    """Node voltages and temperatures together by scipy, on the oracle's laws."""
    names = unknown_nodes(circuit)
    hot = [p for p in circuit.parts if p.kind.is_bipolar]
    tied = {p.nodes[0]: p.value.value for p in circuit.supplies} | {GROUND: 0.0}

    def off(x):
        V = tied | dict(zip(names, x[: len(names)], strict=True))
        T = dict(zip([p.name for p in hot], 100 * x[len(names) :], strict=True))
        sums = dict.fromkeys(circuit.nodes, 0.0)
        rises = []
        for p in circuit.parts:
            if p.kind is Kind.SUPPLY:
                continue
            into = _currents(p, [V[n] for n in p.nodes], T.get(p.name, T_A), np)
            for node, current in zip(p.nodes, into, strict=True):
                sums[node] += current
            if p.name in T:
                P = sum(V[n] * i for n, i in zip(p.nodes, into, strict=True))
                rises.append(T[p.name] - T_A - p.option("R_thJA") * P)
        return [1e3 * sums[n] for n in names] + rises

    found = root(off, start, method="hybr", options={"xtol": 1e-13})
    assert found.success, found.message
    V, T = found.x[: len(names)], 100 * found.x[len(names) :]
    return dict(zip(names, V, strict=True)), dict(zip([p.name for p in hot], T, strict=True))


def coupled() -> Circuit:
    """Two stages of unequal heat, one after the other."""
    options = {"beta": 100.0, "beta_R": 1.0, "V_BE": 0.7, "V_A": 80.0}
    return Circuit(
        (
            supply("VCC", 15.0),
            resistor("R1", "VCC", "b", 22e3),
            resistor("R2", "b", GROUND, 6.8e3),
            resistor("RC", "VCC", "c", 820.0),
            resistor("RE", "e", GROUND, 560.0),
            transistor("Q1", "c", "b", "e", R_thJA=250.0, **options),
            resistor("RL", "out", GROUND, 220.0),
            transistor("Q2", "VCC", "c", "out", R_thJA=120.0, **options),
        )
    )


def test_two_stages_agree_with_scipy():
    circuit = coupled()
    point = operating_point(circuit, "device", self_heating=True)
    start = [point.nodes[n] + 1e-3 for n in unknown_nodes(circuit)] + [3.0, 3.2]
    V, T = _by_scipy(circuit, start)
    assert point.junction_temperatures == pytest.approx(T, abs=1e-3)
    assert {n: point.nodes[n] for n in V} == pytest.approx(V, abs=1e-6)
    assert T["Q2"] - T_A > 25.0


def test_each_temperature_is_that_of_the_air_plus_rise():
    for circuit in (divider(V_CC=30, R_C=1e3, R_thJA=200.0), coupled()):
        point = operating_point(circuit, "device", temperature=310.0, self_heating=True)
        for name, T in point.junction_temperatures.items():
            R = circuit.part(name).option("R_thJA")
            assert pytest.approx(310.0 + R * point.transistors[name].P, abs=1e-3) == T
        assert to_dict(point)["junction_temperatures"] == point.junction_temperatures
        assert point.temperature == 310.0


def test_without_self_heating_the_data_say_nothing_of_it():
    point = operating_point(divider(R_thJA=200.0), "device")
    assert point.junction_temperatures == {}
    assert "junction_temperatures" not in to_dict(point)


def test_all_points_of_a_latch_are_warmed():
    parts = [
        transistor(p.name, *p.nodes, R_thJA=300.0) if p.kind.is_bipolar else p
        for p in latch().parts
    ]
    solution = solve(Circuit(tuple(parts)), "device", self_heating=True)
    assert solution.result is Result.SEVERAL
    assert len(solution.others) == 2
    for point in (solution.value, *solution.others):
        for name, T in point.junction_temperatures.items():
            assert pytest.approx(T_A + 300.0 * point.transistors[name].P, abs=1e-3) == T


def test_a_registered_type_brings_its_thermal_resistance_and_limit():
    sheet = (
        "VCC = 24 V\nQ1 = 2N3904\nfrom VCC through RC 100 to Q1 collector\n"
        "from VCC through R1 10k to Q1 base\nfrom Q1 base through R2 3k3 to ground\n"
        "from Q1 emitter through RE {} to ground\n"
    )
    warm = operating_point(read_sheet(sheet.format(220)), "device", self_heating=True)
    P = warm.transistors["Q1"].P
    # 200 K/W and 150 °C stand in the record of the type.
    assert warm.junction_temperatures["Q1"] == pytest.approx(T_A + 200.0 * P, abs=1e-3)
    assert 373 < warm.junction_temperatures["Q1"] < 423.15
    assert any("hot to touch" in w and "local rules" in w for w in warm.warnings)
    assert not any("rated for" in w for w in warm.warnings)
    beyond = operating_point(read_sheet(sheet.format(110)), "device", self_heating=True)
    assert any("that it is rated for" in w for w in beyond.warnings)


def test_a_mosfet_warms_up_and_carries_what_its_law_says():
    sheet = (
        "VDD = 20 V\nQ1 = n-channel MOSFET, V_GS_th 2 V, K 20 mA/V², R_thJA 150 K/W\n"
        "from VDD through RD 50 to Q1 drain\nfrom VDD through R1 1M to Q1 gate\n"
        "from Q1 gate through R2 200k to ground\nfrom Q1 source through RS 10 to ground\n"
    )
    point = operating_point(read_sheet(sheet), "device", self_heating=True)
    T = point.junction_temperatures["Q1"]
    f = point.fets["Q1"]
    assert pytest.approx(T_A + 150.0 * f.P, abs=1e-3) == T
    # −4 mV/K of the threshold and T^−2 of K, as docs/solving.md states them.
    assert f.V_GS_th == pytest.approx(2.0 - 4e-3 * (T - T_A), abs=1e-6)
    overdrive = f.V_GS - f.V_GS_th
    assert pytest.approx(20e-3 * (T_A / T) ** 2 * overdrive**2, rel=1e-4) == f.I_D


def test_says_what_is_missing_or_does_not_fit():
    with pytest.raises(CircuitError, match=r"How warm Q1 gets .* R_thJA 200 K/W\.$"):
        operating_point(divider(), "device", self_heating=True)
    with pytest.raises(CircuitError, match="Choose the model device"):
        operating_point(divider(R_thJA=200.0), self_heating=True)


def test_power_beyond_every_heat_sink_is_told_apart_from_runaway():
    # A large R_E fixes the current: the loop gain is small, yet no temperature below 200 °C fits.
    circuit = divider(V_CC=40, R_C=100.0, R_E=1e3, R_thJA=1000.0)
    with pytest.raises(ThermalRunawayError, match="Q1 would heat its junction beyond 200"):
        operating_point(circuit, "device", self_heating=True)
