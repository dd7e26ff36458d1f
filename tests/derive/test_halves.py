"""Two equal halves worked as one, against printed closed forms, SymPy and ``solve``."""

from __future__ import annotations

import pytest
import sympy
from as_sympy import as_sympy, symbols

from steadypoint.circuit import read_sheet
from steadypoint.derive import derive, to_text
from steadypoint.solve import operating_point

PAIR = """
VCC = 10 V
VEE = -8 V
Q1 = npn, beta 120
Q2 = npn, beta 120
from VCC through RC1 8k2 to Q1 collector
from VCC through RC2 8k2 to Q2 collector
from Q1 base through RB1 2k2 to ground
from Q2 base through RB2 2k2 to ground
from Q1 emitter to Q2 emitter
from Q1 emitter through RE 6k8 to VEE
"""
TAIL = PAIR.replace("through RE 6k8", "through ITAIL 1 mA")
DEGENERATED = PAIR.replace(
    "from Q1 emitter to Q2 emitter\nfrom Q1 emitter through RE",
    "from Q1 emitter through RE1 150 to tail\nfrom Q2 emitter through RE2 150 to tail\n"
    "from tail through RE",
)
ONE_LOAD = PAIR.replace("through RC1 8k2 ", "")
PNP = """
VCC = 10 V
Q1 = pnp, beta 90
Q2 = pnp, beta 90
from VCC through RE 4k7 to Q1 emitter
from Q1 emitter to Q2 emitter
from Q1 base through RB1 47k to mid
from Q2 base through RB2 47k to mid
from VCC through R1 22k to mid
from mid through R2 22k to ground
from Q1 collector through RC1 3k9 to ground
from Q2 collector through RC2 3k9 to ground
"""
BRIDGED = PAIR.replace(
    "to ground\nfrom Q2 base", "to ground\nfrom Q1 base through RX 10k to Q2 base\nfrom Q2 base"
)
FLIP_FLOP = """
VCC = 6 V
Q1 = npn, beta 60
Q2 = npn, beta 60
from VCC through RC1 1k to Q1 collector
from VCC through RC2 1k to Q2 collector
from Q1 collector through R1 120k to Q2 base
from Q2 collector through R2 120k to Q1 base
from Q1 emitter to ground
from Q2 emitter to ground
"""
EQUAL = {
    "pair": PAIR,
    "tail": TAIL,
    "degenerated": DEGENERATED,
    "one load": ONE_LOAD,
    "pnp": PNP,
    "bridged": BRIDGED,
}


@pytest.mark.parametrize("rung", ["exact", "board"])
@pytest.mark.parametrize("sheet", EQUAL.values(), ids=EQUAL)
def test_both_halves_agree_with_solve(sheet, rung):
    circuit = read_sheet(sheet)
    working = derive(circuit, rung)
    point = operating_point(circuit, rung)
    assert working[0].heading == "Symmetry"
    for name, solved in point.transistors.items():
        number = name[1:]
        span = f"V_CE{number}" if f"V_CE{number}" in working.values else f"V_EC{number}"
        assert working.value(f"I_C{number}") == pytest.approx(abs(solved.I_C), rel=1e-6)
        assert working.value(f"I_B{number}") == pytest.approx(abs(solved.I_B), rel=1e-6)
        assert working.value(span) == pytest.approx(abs(solved.V_CE), rel=1e-6)


def test_closed_form_of_the_pair():
    # half circuit with 2 R_E: common practice (A. S. Sedra, K. C. Smith, Microelectronic Circuits,
    # differential pair; from memory). Loop by hand: |V_EE| = I_B R_B + V_BE + 2 (β + 1) I_B R_E
    line = derive(read_sheet(PAIR)).step("Solve for I_B1").lines[0]
    V_EE, V_BE, RB, RE, b = symbols("abs_VEE V_BE1 RB1 RE beta_1")
    form = (V_EE - V_BE) / (RB + 2 * (b + 1) * RE)
    assert sympy.simplify(as_sympy(line.right) - form) == 0
    assert to_text(line.right) == "(|V_EE| − V_BE1)/(R_B1 + 2 (β_1 + 1) R_E)"


def test_half_the_tail_flows_in_each_half():
    # the tail current divides evenly between matched halves (same book; from memory)
    working = derive(read_sheet(TAIL))
    assert working.value("I_E1") == pytest.approx(0.5e-3, rel=1e-12)
    assert working.value("I_E2") == pytest.approx(0.5e-3, rel=1e-12)
    assert "I_TAIL/2" in working.text()


def test_a_bridge_between_equal_nodes_carries_nothing():
    working = derive(read_sheet(BRIDGED))
    assert "RX joins two nodes of equal voltage" in working.text()
    assert working.value("I_C1") == pytest.approx(derive(read_sheet(PAIR)).value("I_C1"), rel=1e-12)


def test_one_collector_on_the_rail_is_told_and_worked_apart():
    working = derive(read_sheet(ONE_LOAD))
    assert "What stands in the collectors differs" in working.text()
    lines = working.step("The other half").lines
    assert [to_text(x.right) for x in lines[1:]] == ["V_CC − I_C2 R_C2", "V_C2 − V_E1"]
    assert working.find("V_CE2")[-1].heading in ("The other half", "Check the region")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("RB2 2k2", "RB2 3k3"), "R_B1 = 2.2 kΩ and R_B2 = 3.3 kΩ"),
        (("Q2 = npn, beta 120", "Q2 = npn, beta 80"), "β_1 = 120 and β_2 = 80"),
    ],
)
def test_broken_symmetry_is_said_and_the_whole_worked(change, said):
    working = derive(read_sheet(PAIR.replace(*change)))
    assert working[0].heading == "Broken symmetry"
    assert said in working.text().replace("\u202f", " ").replace("\xa0", " ")
    assert working.fallback == ()
    assert working.value("I_C1") != pytest.approx(working.value("I_C2"), rel=1e-3)


def test_doubling_speaks_of_both_gains():
    working = derive(read_sheet(PAIR))
    said = working.step("Feedback on both halves")
    assert "both gains together" in str(said.sentence[0])
    twice = operating_point(read_sheet(PAIR.replace("beta 120", "beta 240")))
    change = twice.transistors["Q1"].I_C / working.value("I_C1") - 1.0
    assert f"(+{100 * change:.2g} %)" in working.text().replace("\u202f", " ").replace("\xa0", " ")


def test_a_flip_flop_is_not_taken_for_two_halves():
    assert derive(read_sheet(FLIP_FLOP))[0].heading != "Symmetry"


def test_the_rounded_chain_keeps_the_shared_resistor():
    working = derive(read_sheet(PAIR), rounded=True)
    assert working.value("RE") == pytest.approx(6.8e3)
    assert "2 × " in working.text()
