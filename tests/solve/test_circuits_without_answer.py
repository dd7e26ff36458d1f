"""Circuits that have no answer, and cautions about those that have one."""

from __future__ import annotations

import math

import pytest
from circuits import current, diode, divider, resistor, supply, transistor, zener

from steadypoint.circuit import GROUND, Circuit, Kind, Part
from steadypoint.errors import CircuitError, NoSolutionError, SteadypointError
from steadypoint.solve import Result, operating_point, solve
from steadypoint.values import Quantity

FIXED_BASE = Circuit(
    (
        supply("VCC", 12.0),
        supply("VBB", 5.0),
        resistor("RC", "VCC", "c", 2e3),
        transistor("Q1", "c", "VBB", GROUND),
    )
)


def test_base_tied_to_a_voltage_names_the_loop():
    with pytest.raises(NoSolutionError, match="loop of VBB and the base-emitter junction of Q1"):
        operating_point(FIXED_BASE)
    solution = solve(FIXED_BASE)
    assert solution.value is None
    assert solution.result is Result.NO_SOLUTION
    assert str(solution.result).endswith(".")
    with pytest.raises(NoSolutionError):
        solve(FIXED_BASE, throw=True)


def test_base_tied_below_its_drop_is_simply_cut_off():
    q = operating_point(FIXED_BASE.with_value("VBB", 0.5)).transistors["Q1"]
    assert q.region.value == "cutoff"


def test_diode_across_the_supply():
    circuit = Circuit(
        (supply("VCC", 5.0), diode("D1", "VCC", GROUND), resistor("R1", "VCC", GROUND, 1e3))
    )
    with pytest.raises(NoSolutionError, match="forward drop of D1"):
        operating_point(circuit)


def test_zener_across_the_supply():
    circuit = Circuit(
        (supply("VCC", 9.0), zener("Z1", GROUND, "VCC", 5.1), resistor("R1", "VCC", GROUND, 1e3))
    )
    with pytest.raises(NoSolutionError, match="zener voltage of Z1"):
        operating_point(circuit)


@pytest.mark.parametrize("model", ["board", "exact", "device"])
def test_current_that_finds_no_way(model):
    circuit = Circuit(
        (
            supply("VCC", 9.0),
            resistor("RC", "VCC", "c", 1e3),
            current("I1", "b", GROUND, 1e-3),
            transistor("Q1", "c", "b", GROUND),
        )
    )
    with pytest.raises(NoSolutionError, match="I1 finds no way"):
        operating_point(circuit, model)


def test_sources_in_a_loop_are_named():
    circuit = Circuit(
        (
            supply("VCC", 9.0),
            Part("V1", Kind.VOLTAGE_SOURCE, ("VCC", "x"), Quantity(3.0, "V")),
            Part("V2", Kind.VOLTAGE_SOURCE, ("x", GROUND), Quantity(3.0, "V")),
            resistor("R1", "x", GROUND, 1e3),
        )
    )
    with pytest.raises(CircuitError, match="V1, VCC and V2 form a loop"):
        operating_point(circuit)


@pytest.mark.parametrize("ohms", [0.0, -100.0, 1e30, math.nan, math.inf])
@pytest.mark.parametrize("model", ["board", "exact", "device"])
def test_resistances_out_of_reason(ohms, model):
    with pytest.raises(CircuitError, match=r"RC = .* out of reason"):
        operating_point(divider(R_C=ohms), model)


@pytest.mark.parametrize(
    "options", [{"beta": 0.0}, {"beta": -5.0}, {"V_A": 0.0}, {"I_S": -1e-15}, {"V_BE": math.nan}]
)
def test_parameters_that_make_no_physics(options):
    with pytest.raises(CircuitError, match=r"Q1: .* out of reason"):
        operating_point(divider(**options))


@pytest.mark.parametrize("temperature", [0.0, 100.0, 600.0, math.nan])
def test_temperatures_out_of_reason(temperature):
    with pytest.raises(CircuitError, match="out of reason"):
        operating_point(divider(), "device", temperature=temperature)


def test_missing_value_and_missing_ground():
    with pytest.raises(CircuitError, match="R1 has no value"):
        operating_point(divider().with_part(Part("R1", Kind.RESISTOR, ("VCC", "b"))))
    with pytest.raises(CircuitError, match="no ground"):
        operating_point(Circuit((resistor("R1", "a", "b", 1e3),)))


def test_unknown_model_is_a_sentence():
    with pytest.raises(SteadypointError, match="board, exact or device"):
        operating_point(divider(), "ideal")


def _warnings(circuit, model="exact"):
    return operating_point(circuit, model).warnings


def test_nothing_to_say_about_a_sound_stage():
    assert _warnings(divider()) == ()


def test_saturated_and_cut_off_are_said():
    assert any("Q1 is saturated" in w for w in _warnings(divider(R_C=47e3)))
    assert any("Q1 is cut off" in w for w in _warnings(divider(R_2=100.0)))


def test_touch_voltage_counts_between_rails():
    high = Circuit((supply("VCC", 40.0), supply("VEE", -40.0), resistor("R1", "VCC", "VEE", 1e4)))
    (sentence,) = _warnings(high)
    assert "IEC 61140" in sentence
    assert "local rules" in sentence
    assert _warnings(high.with_value("VEE", -20.0)) == ()


def test_large_current():
    circuit = Circuit((supply("VCC", 30.0), resistor("R1", "VCC", GROUND, 1.0)))
    assert any("30.0" in w and "carries" in w for w in _warnings(circuit))


def test_reversed_electrolytic():
    part = Part("C1", Kind.CAPACITOR, ("x", "VCC"), Quantity(1e-5, "F"), traits=("electrolytic",))
    circuit = Circuit((supply("VCC", 9.0), resistor("R1", "x", GROUND, 1e3), part))
    assert any("C1" in w and "wrong way round" in w for w in _warnings(circuit))


def test_ratings_that_are_stated_are_watched():
    warnings = _warnings(divider(V_CEO=3.0, I_C_max=1e-4, P_tot=1e-3))
    assert sum("rating" in w for w in warnings) == 3


def test_starved_zener():
    circuit = Circuit(
        (
            supply("VCC", 5.7),
            resistor("R1", "VCC", "z", 1e3),
            zener("Z1", GROUND, "z", 5.6, I_Z_min=1e-3),
        )
    )
    assert any("does not hold its zener voltage" in w for w in _warnings(circuit))


def test_floating_nodes_are_named_but_signal_terminals_are_not():
    coupled = divider().with_part(Part("C2", Kind.CAPACITOR, ("c", "x"), Quantity(1e-6, "F")))
    assert _warnings(coupled) == ()
    loose = coupled.with_part(resistor("RL", "x", "y", 1e3))
    assert any("x and y have no path" in w for w in _warnings(loose))
