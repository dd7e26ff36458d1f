"""The board rung against the formulas that lecturers write."""

from __future__ import annotations

import pytest
from circuits import divider, resistor, supply, transistor

from steadypoint.circuit import GROUND, Circuit, Kind
from steadypoint.errors import CircuitError, UnknownNameError
from steadypoint.solve import Assumptions, Region, neglects, operating_point


def board(circuit, **assumed):
    return operating_point(circuit, "board", assumptions=Assumptions(**assumed)).transistors["Q1"]


def test_stiff_divider_is_unloaded():
    # 12 V over 4.7 kΩ and 1 kΩ carries 2.1 mA against 14 µA of base current.
    q = board(divider(R_1=4.7e3, R_2=1e3))
    V_B = 12 * 1 / 5.7
    assert pytest.approx(V_B) == q.V_B
    assert q.I_C == q.I_E == pytest.approx((V_B - 0.7) / 1e3)
    assert pytest.approx(12 - q.I_C * 5.7e3) == q.V_CE
    assert pytest.approx(q.I_C / 100) == q.I_B


def test_weak_divider_is_loaded_with_beta_times_RE():
    q = board(divider(V_CC=12, R_1=470e3, R_2=150e3))
    V_th, R_th = 12 * 150 / 620, 470e3 * 150e3 / 620e3
    assert q.I_C == q.I_E == pytest.approx((V_th - 0.7) / (R_th / 100 + 1e3))


def test_collector_feedback_leaves_the_base_current_out_of_RC():
    circuit = Circuit(
        (
            supply("VCC", 9.0),
            resistor("RC", "VCC", "c", 3.3e3),
            resistor("RB", "c", "b", 330e3),
            transistor("Q1", "c", "b", GROUND, beta=120),
        )
    )
    point = operating_point(circuit, "board")
    q = point.transistors["Q1"]
    assert pytest.approx((9 - 0.7) / (3.3e3 + 330e3 / 120)) == q.I_C
    assert pytest.approx(q.I_C) == point.parts["RC"].I
    assert pytest.approx(q.I_B) == point.parts["RB"].I
    assert pytest.approx(9 - q.I_C * 3.3e3) == q.V_CE


def test_feedback_through_two_resistors_counts_as_one_chain():
    circuit = Circuit(
        (
            supply("VCC", 9.0),
            resistor("RC", "VCC", "c", 3.3e3),
            resistor("RB1", "c", "m", 150e3),
            resistor("RB2", "m", "b", 180e3),
            transistor("Q1", "c", "b", GROUND, beta=120),
        )
    )
    (chain,) = (n for n in neglects(circuit) if n.kind == "chain")
    assert chain.parts == ("RB1", "RB2")
    assert pytest.approx((9 - 0.7) / (3.3e3 + 330e3 / 120)) == board(circuit).I_C


def test_two_supply_bias_takes_beta_for_beta_plus_one():
    circuit = Circuit(
        (
            supply("VCC", 12.0),
            supply("VEE", -12.0),
            resistor("RB", "b", GROUND, 47e3),
            resistor("RC", "VCC", "c", 4.7e3),
            resistor("RE", "e", "VEE", 10e3),
            transistor("Q1", "c", "b", "e", beta=90),
        )
    )
    assert pytest.approx((12 - 0.7) / (10e3 + 47e3 / 90)) == board(circuit).I_C


def test_pnp_divider_is_the_npn_one_with_turned_signs():
    npn = board(divider(R_1=4.7e3, R_2=1e3))
    circuit = Circuit(
        (
            supply("VEE", 12.0),
            resistor("R1", "b", GROUND, 4.7e3),
            resistor("R2", "VEE", "b", 1e3),
            resistor("RC", "c", GROUND, 4.7e3),
            resistor("RE", "VEE", "e", 1e3),
            transistor("Q1", "c", "b", "e", Kind.PNP),
        )
    )
    pnp = board(circuit)
    assert pytest.approx(-npn.I_C) == pnp.I_C
    assert pytest.approx(-npn.V_CE) == pnp.V_CE


def test_darlington_multiplies_the_gains():
    circuit = Circuit(
        (
            supply("VCC", 15.0),
            resistor("RB", "VCC", "b", 1e6),
            resistor("RE", "e", GROUND, 470.0),
            transistor("Q1", "VCC", "b", "x", beta=50),
            transistor("Q2", "VCC", "x", "e", beta=40),
        )
    )
    point = operating_point(circuit, "board")
    I_B = (15 - 1.4) / (1e6 + 50 * 40 * 470.0)
    assert pytest.approx(I_B) == point.transistors["Q1"].I_B
    assert pytest.approx(2000 * I_B) == point.transistors["Q2"].I_E


def test_saturation_keeps_the_base_current_in_the_emitter():
    q = board(divider(R_1=4.7e3, R_2=4.7e3))
    assert q.region is Region.SATURATION
    assert pytest.approx(q.I_B + q.I_C) == q.I_E


def test_assumptions_force_the_rule():
    circuit = divider()
    V_th, R_th = 12 * 10 / 57, 47e3 * 10e3 / 57e3
    unloaded, loaded = (V_th - 0.7) / 1e3, (V_th - 0.7) / (1e3 + R_th / 100)
    assert pytest.approx(unloaded) == board(circuit).I_C  # R1 carries 16 times the base current
    assert pytest.approx(loaded) == board(circuit, loaded=("Q1",)).I_C
    assert pytest.approx(loaded) == board(circuit, threshold=20.0).I_C
    assert pytest.approx(unloaded) == board(circuit, unloaded=("*",), threshold=20.0).I_C
    kept = board(circuit, loaded=("Q1",), I_C_equals_I_E=False)
    assert pytest.approx((V_th - 0.7) / (1e3 + R_th / 101)) == kept.I_E
    infinite = board(circuit, beta_infinite=("Q1",))
    assert (0.0, pytest.approx(unloaded)) == (infinite.I_B, infinite.I_C)


def test_active_formula_kept_beyond_saturation():
    circuit = Circuit(
        (
            supply("VCC", 10.0),
            resistor("RB", "VCC", "b", 93e3),
            resistor("RC", "VCC", "c", 2e3),
            transistor("Q1", "c", "b", GROUND),
        )
    )
    q = board(circuit, stay_active=("Q1",))
    assert (q.region, q.I_C, q.V_CE) == (Region.ACTIVE, pytest.approx(10e-3), pytest.approx(-10.0))


def test_exact_base_current_carried_on():
    circuit = Circuit(
        (
            supply("VCC", 20.0),
            resistor("RB", "VCC", "b", 430e3),
            resistor("RC", "VCC", "c", 2e3),
            resistor("RE", "e", GROUND, 1e3),
            transistor("Q1", "c", "b", "e", beta=50),
        )
    )
    I_B = (20 - 0.7) / (430e3 + 51 * 1e3)
    q = board(circuit, exact_base_current=("Q1",))
    assert pytest.approx(I_B) == q.I_B
    assert pytest.approx(20 - 50 * I_B * 3e3) == q.V_CE


def test_base_loading_as_beta_times_RE_without_V_BE():
    q = board(divider(), loading_without_V_BE=("Q1",))
    R_2 = 1 / (1 / 10e3 + 1 / 100e3)
    V_B = 12 * R_2 / (R_2 + 47e3)
    assert pytest.approx(V_B) == q.V_B
    assert pytest.approx((V_B - 0.7) / 1e3) == q.I_C


def test_says_what_it_leaves_out():
    point = operating_point(divider(), "board")
    assert len(point.neglected) == 2
    assert "emitter current" in point.neglected[0]
    assert "base current of Q1" in point.neglected[1]
    assert operating_point(divider(), "exact").neglected == ()
    kinds = [(n.kind, n.transistor, n.node) for n in neglects(divider())]
    assert kinds == [("emitter", "Q1", ""), ("base", "Q1", "b")]


def test_refuses_assumptions_that_mean_nothing():
    with pytest.raises(UnknownNameError, match="'Q7'"):
        operating_point(divider(), "board", assumptions=Assumptions(unloaded=("Q7",)))
    with pytest.raises(CircuitError, match="board"):
        operating_point(divider(), "exact", assumptions=Assumptions())
