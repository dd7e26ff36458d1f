"""Saturated, cut off, reverse; diodes, sources; what is said and in which order."""

from __future__ import annotations

import pytest

from steadypoint.circuit import read_sheet
from steadypoint.derive import derive, price, to_text
from steadypoint.errors import CircuitError
from steadypoint.solve import operating_point

SATURATED = """
VCC = 12 V
Q1 = npn, beta 140
from VCC through RB 120k to Q1 base
from VCC through RC 2k2 to Q1 collector
from Q1 emitter to ground
"""
CUT_OFF = """
VCC = 9 V
Q1 = npn, beta 140
from VCC through R1 150k to Q1 base
from Q1 base through R2 8k2 to ground
from VCC through RC 2k2 to Q1 collector
from Q1 emitter through RE 1k to ground
"""
REVERSE = """
VCC = 9 V
Q1 = npn, beta 140
from VCC through RE 4k7 to Q1 emitter
from VCC through RB 100k to Q1 base
from Q1 collector to ground
"""
BRIDGED = """
VCC = 12 V
Q1 = npn, beta 140
from VCC through RC 1k to Q1 collector
from Q1 collector through R1 47k to M
from M through R2 47k to Q1 base
from M through R3 100k to N
from N through R4 10k to Q1 emitter
from N through R5 220k to Q1 base
from N through R6 22k to Q1 collector
from Q1 emitter through RE 220 to ground
from M through R7 1M to Q1 emitter
"""
CURRENT_SOURCE = """
VCC = 9 V
VEE = -9 V
Q1 = npn, beta 99
from VCC through RC 3k3 to Q1 collector
from Q1 base through RB 10k to ground
from Q1 emitter through I1 1 mA to VEE
"""


def headings(working):
    return [step.heading for step in working]


def test_saturation_is_found_by_contradiction():
    working = derive(read_sheet(SATURATED))
    heads = headings(working)
    assert heads.index("Check the region") < heads.index("New assumption")
    contradiction = working.step("Check the region")
    # by hand: I_B = 11.3 V / 120 kΩ = 94.2 µA, I_C = 13.18 mA, V_CE = 12 V - 29.0 V = -17.0 V
    assert "−17.0" in to_text(contradiction.sentence)
    assert "impossible" in to_text(contradiction.sentence)
    # I_C = (12 V - 0.2 V) / 2.2 kΩ
    assert working.value("I_C") == pytest.approx(11.8 / 2200.0)
    assert working.value("I_B") == pytest.approx(11.3 / 120e3)
    assert "saturated, as assumed" in to_text(working[-1].sentence)


def test_cut_off_is_seen_before_conduction_is_assumed():
    working = derive(read_sheet(CUT_OFF))
    assert "Assumptions" not in headings(working)
    question = working.step("Is it enough to conduct?")
    # 9 V × 8.2 / 158.2
    assert question.result.value == pytest.approx(9.0 * 8.2 / 158.2)
    assert "less than V_BE = 0.7" in to_text(question.remark)
    assert working.value("I_C") == 0.0
    assert working.value("V_CE") == pytest.approx(9.0)


def test_reverse_swaps_the_roles_of_collector_and_emitter():
    working = derive(read_sheet(REVERSE))
    assert working.fallback == ()
    # V_BC = 0.7 V - 0.2 V; β_R = 1 where the sheet states none: I_C = 2 I_B
    assert working.value("I_B") == pytest.approx(8.5 / 100e3)
    assert working.value("I_C") == pytest.approx(2 * 8.5 / 100e3)
    assert "works in reverse, as assumed" in to_text(working[-1].sentence)


def test_four_loops_are_solved_with_figures():
    working = derive(read_sheet(BRIDGED))
    assert working.fallback == ()
    assert "Solve the set with figures" in headings(working)
    assert working.value("I_C") > 0


def test_equal_junctions_in_parallel_carry_equal_currents():
    # a diode across the base-emitter junction: a mirror, I_D1 = I_C and I_R = (β + 1) I_B + I_D1
    # with I_R = (9 V - 0.7 V)/150 kΩ; J. J. Ebers, J. L. Moll, Proc. IRE 42 (1954), from memory
    sheet = CUT_OFF.replace("R2 8k2 to ground", "D1 to ground").replace("through RE 1k to", "to")
    circuit = read_sheet(sheet)
    working = derive(circuit)
    assert working.fallback == ()
    beta, R1 = 140.0, circuit.part("R1").value.value
    I_R = (9.0 - 0.7) / R1
    assert working.value("I_B") == pytest.approx(I_R / (beta + 1.0))
    (line,) = working.step("Equal junctions").lines
    assert (to_text(line.left), to_text(line.right)) == ("I_D1", "I_C")


def test_both_junctions_of_a_saturated_transistor_are_told_apart():
    # Q2 lies across the base-emitter junction of the saturated Q1: I_C2 = I_BE1, and by Ebers and
    # Moll I_B1 = I_BE1/β + I_BC1, I_C1 = I_BE1 - (β_R + 1) I_BC1
    circuit = read_sheet("""
VCC = 15 V
Q1 = npn, beta 30
Q2 = npn, beta 50
from VCC through R1 10k to Q1 base
from VCC through R2 2k2 to Q1 collector
from Q1 emitter through R3 330 to ground
from Q1 base to Q2 base
from VCC through R4 120 to Q2 collector
from Q2 emitter to Q1 emitter
""")
    point, working = operating_point(circuit), derive(circuit)
    assert working.fallback == ()
    assert [str(q.region.value) for q in point.transistors.values()] == ["saturation", "active"]
    I_BE = working.value("I_C2")
    I_BC = working.value("I_B1") - I_BE / 30.0
    assert working.value("I_C1") == pytest.approx(I_BE - 2.0 * I_BC)
    assert working.value("I_C1") == pytest.approx(point.transistors["Q1"].I_C)


def test_current_source_fixes_the_emitter_current():
    working = derive(read_sheet(CURRENT_SOURCE))
    assert working.fallback == ()
    # I_E = 1 mA, I_B = I_E / (β + 1)
    assert working.value("I_B") == pytest.approx(1e-5)
    assert to_text(working.step("Base current").lines[0].right) == "I_E/(β + 1)"


def test_base_bias_has_nothing_that_opposes_a_change():
    sheet = SATURATED.replace("120k", "820k")
    feedback = derive(read_sheet(sheet)).step("Feedback")
    assert "nothing opposes" in to_text(feedback.sentence)


def test_feedback_chain_runs_through_the_collector():
    sheet = SATURATED.replace("from VCC through RB 120k", "from Q1 collector through RB 120k")
    chain = to_text(derive(read_sheet(sheet)).step("Feedback").sentence).replace("\u202f", " ")
    assert "I_C ↑ → drop across RC ↑ → V_C ↓ → less current through RB → I_B ↓ → I_C ↓" in chain


def test_zener_below_breakdown_is_said():
    sheet = CUT_OFF.replace("R2 8k2 to ground", "R2 39k to ground") + (
        "from ground through DZ zener 6.8 V to Q1 base\n"
    )
    working = derive(read_sheet(sheet))
    assert working.fallback == ()
    assert "DZ is below breakdown" in to_text(working.step("Assumptions").sentence)


def test_exponential_law_takes_its_drop_from_the_point():
    sheet = CUT_OFF.replace("beta 140", "beta 140, I_S 2 fA").replace("8k2", "39k")
    working = derive(read_sheet(sheet))
    assert working.fallback == ()
    assert "exponential law" in to_text(working.step("Assumptions").sentence)
    assert "Limit" not in headings(working)


def test_board_names_its_shortcuts_with_their_price():
    sheet = CUT_OFF.replace("150k", "15k").replace("8k2", "2k7")
    working = derive(read_sheet(sheet), "board")
    taken = [s.approximation for s in working if s.approximation]
    assert [a.name for a in taken] == ["I_E ≈ I_C", "I_B left out at the base"]
    assert all(a.holds and a.met >= 10 for a in taken)
    # exact: V_TH = 1.373 V, R_TH = 2.288 kΩ: I_C = 140 × 0.673 V / (2.288 kΩ + 141 kΩ) = 657 µA;
    # I_E = I_C alone: 140 × 0.673 / 142.288 kΩ, which is 143.288 / 142.288 - 1 = 0.703 % more
    assert taken[0].error_I_C == pytest.approx(0.7028, abs=1e-3)
    assert "met" in price(taken[0])
    assert "on the board against" in to_text(working[-1].sentence)


def test_board_refuses_what_does_not_hold():
    sheet = CUT_OFF.replace("8k2", "39k").replace("beta 140", "beta 60")
    working = derive(read_sheet(sheet), "board")
    refused = [s for s in working if s.approximation and not s.approximation.holds]
    assert len(refused) == 1
    assert "may not be left out" in to_text(refused[0].sentence)
    assert refused[0].approximation.met < 10


def test_capacitors_and_idle_parts_are_named():
    sheet = CUT_OFF + "from Q1 collector through C2 10u to OUT\nfrom OUT through RL 10k to ground\n"
    said = to_text(derive(read_sheet(sheet)).step("Direct-current picture").sentence)
    assert said == (
        "For direct current C2 is an open circuit. "
        "No direct current can flow in RL, so it drops out of the bias problem."
    )


def test_unknown_rung_is_refused_in_a_sentence():
    with pytest.raises(CircuitError, match="Use exact or board"):
        derive(read_sheet(SATURATED), "device")


def test_circuit_without_transistor_is_refused():
    with pytest.raises(CircuitError, match="no transistor"):
        derive(read_sheet("VCC = 9 V\nfrom VCC through R1 1k to ground\n"))
