"""The price of the shortcuts one by one and together, and what a budget refuses."""

from __future__ import annotations

import pytest

from steadypoint.circuit import arrangements, read_sheet
from steadypoint.derive import derive
from steadypoint.errors import CircuitError
from steadypoint.solve import Assumptions, Region, neglects, operating_point

# R1 carries 13 times the base current, so the ten-times rule leaves I_B out; V_E is small, so that
# costs more than the rule suggests.
LOW_EMITTER = """
VCC = 9 V
Q1 = npn, beta 100
from VCC through R1 62k to Q1 base
from Q1 base through R2 12k to ground
from VCC through RC 4k7 to Q1 collector
from Q1 emitter through RE 680 to ground
"""


def by_hand(*, unloaded: bool, equal: bool) -> float:
    """I_C of the low-emitter divider by the textbook's formulas. [A]

    Thévenin at the base, I_B = (V_TH - V_BE) / (R_TH + k R_E) with k = β or β + 1; unloaded, the
    divider gives V_B and I_E = (V_B - V_BE) / R_E (voltage-divider bias, common practice).
    """
    beta, V_TH, R_TH, R_E = 100.0, 9.0 * 12 / 74, 62e3 * 12e3 / 74e3, 680.0
    k = beta if equal else beta + 1.0
    return beta * (V_TH - 0.7) / ((0.0 if unloaded else R_TH) + k * R_E)


def test_prices_one_by_one_are_those_of_the_hand_formulas():
    working = derive(read_sheet(LOW_EMITTER), "board")
    exact = by_hand(unloaded=False, equal=False)
    prices = {s.heading: s.approximation for s in working if s.approximation}
    equal = prices["Approximation: I_E ≈ I_C"]
    left_out = prices["Approximation: I_B left out at the base"]
    assert equal.error_I_C == pytest.approx(
        100 * (by_hand(unloaded=False, equal=True) / exact - 1), rel=1e-6
    )
    assert left_out.error_I_C == pytest.approx(
        100 * (by_hand(unloaded=True, equal=False) / exact - 1), rel=1e-6
    )


def test_the_whole_is_told_with_what_to_keep():
    said = derive(read_sheet(LOW_EMITTER), "board").text().replace("\xa0", " ")
    together = 100 * (by_hand(unloaded=True, equal=True) / by_hand(unloaded=False, equal=False) - 1)
    rest = 100 * (by_hand(unloaded=False, equal=True) / by_hand(unloaded=False, equal=False) - 1)
    assert f"(+{together:.2g} %)" in said
    assert "together they cost more than 8 %. With I_B at the base kept" in said
    assert f"falls to {rest:.2g} %" in said


def test_a_budget_refuses_what_would_break_it_and_says_so():
    circuit = read_sheet(LOW_EMITTER)
    working = derive(circuit, "board", budget=0.08)
    assert working.fallback == ()
    refused = working.step("Not allowed: I_B left out at the base")
    assert refused.approximation is not None
    assert not refused.approximation.holds
    text = working.text().replace("\u202f", " ").replace("\xa0", " ")
    assert "all shortcuts together would then change I_C by +16 %, more than the 8 %" in text
    assert working.value("I_C") == pytest.approx(by_hand(unloaded=False, equal=True), rel=1e-9)
    assert "together they cost" not in text


def test_the_board_point_with_the_same_budget_agrees():
    circuit = read_sheet(LOW_EMITTER)
    point = operating_point(circuit, "board", assumptions=Assumptions(budget=0.08))
    assert (
        pytest.approx(derive(circuit, "board", budget=0.08).value("I_C"), rel=1e-9)
        == point.transistors["Q1"].I_C
    )


@pytest.mark.parametrize("budget", [0.08, 0.02, 0.002])
@pytest.mark.parametrize(
    "circuit",
    [pytest.param(a.circuit, id=a.name) for a in arrangements() if a.circuit.transistors],
)
def test_no_arrangement_exceeds_its_budget(circuit, budget):
    exact = operating_point(circuit)
    board = operating_point(circuit, "board", assumptions=Assumptions(budget=budget))
    for name, solved in exact.transistors.items():
        if solved.region is Region.ACTIVE and abs(solved.I_C) > 1e-12:
            assert abs(board.transistors[name].I_C / solved.I_C - 1.0) <= budget


def test_a_wide_budget_changes_nothing():
    circuit = read_sheet(LOW_EMITTER)
    assert neglects(circuit, Assumptions(budget=0.5)) == neglects(circuit)
    wide, plain = derive(circuit, "board", budget=0.5), derive(circuit, "board")
    assert dict(wide.values) == dict(plain.values)


@pytest.mark.parametrize(("rung", "budget"), [("exact", 0.08), ("board", 0.0), ("board", -1.0)])
def test_a_budget_out_of_place_is_one_sentence(rung, budget):
    with pytest.raises(CircuitError, match="budget"):
        derive(read_sheet(LOW_EMITTER), rung, budget=budget)
