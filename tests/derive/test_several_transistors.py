"""Cascode, V_BE multiplier and three-transistor mirror against the closed forms of textbooks."""

from __future__ import annotations

import pytest
import sympy
from as_sympy import as_sympy, symbols

from steadypoint.circuit import read_sheet
from steadypoint.derive import derive, evaluate, to_text
from steadypoint.solve import operating_point

CASCODE = """
VCC = 15 V
Q1 = npn, beta 150
Q2 = npn, beta 150
from VCC through R1 5k6 to Q2 base
from Q2 base through R2 4k7 to Q1 base
from Q1 base through R3 3k9 to ground
from VCC through RC 1k5 to Q2 collector
from Q2 emitter to Q1 collector
from Q1 emitter through RE 1k2 to ground
"""
BELOW_GROUND = CASCODE.replace("VCC = 15 V", "VCC = 9 V\nVEE = -6 V").replace("to ground", "to VEE")
MULTIPLIER = """
VCC = 10 V
Q1 = npn, beta 120
from VCC through RX 3k3 to Q1 collector
from Q1 collector through R1 3k9 to Q1 base
from Q1 base through R2 1k5 to Q1 emitter
from Q1 emitter to ground
"""
THREE = """
VCC = 10 V
Q1 = npn, beta 60
Q2 = npn, matched to Q1
Q3 = npn, beta 60
from Q1 collector to Q1 base
from Q1 base to Q2 base
from Q1 emitter to ground
from Q2 emitter to ground
from Q3 emitter to Q1 collector
from VCC through RX 8k2 to Q2 collector
from Q2 collector to Q3 base
from VCC through RC 3k3 to Q3 collector
"""


@pytest.mark.parametrize("sheet", [CASCODE, BELOW_GROUND])
def test_one_unloaded_divider_sets_both_bases_of_the_cascode(sheet):
    # Boylestad & Nashelsky, cascode configuration: V_B1 = R_B3 V_CC / (R_B1 + R_B2 + R_B3) and
    # V_B2 = (R_B2 + R_B3) V_CC / (...), base currents ignored; from memory
    circuit = read_sheet(sheet)
    working = derive(circuit, "board")
    assert working.fallback == ()
    low = -6.0 if "VEE" in sheet else 0.0
    whole = 5.6e3 + 4.7e3 + 3.9e3
    assert working.value("V_B1") == pytest.approx(low + 15 * 3.9e3 / whole, rel=1e-12)
    assert working.value("V_B2") == pytest.approx(low + 15 * 8.6e3 / whole, rel=1e-12)
    I_E = (15 * 3.9e3 / whole - 0.7) / 1.2e3
    for symbol in ("I_C1", "I_C2"):
        assert working.value(symbol) == pytest.approx(I_E, rel=1e-9)
    point = operating_point(circuit, "board")
    assert working.value("V_CE1") == pytest.approx(point.transistors["Q1"].V_CE, rel=1e-6)


def test_the_cascode_has_no_loop_of_its_divider_on_the_board():
    headings = [s.heading for s in derive(read_sheet(CASCODE), "board")]
    assert "Voltages at the bases" in headings
    assert not [h for h in headings if h.startswith("Loop through")]


def test_multiplier_form():
    # V_CE = V_BE (1 + R1/R2), base current ignored (A. S. Sedra, K. C. Smith, Microelectronic
    # Circuits, class AB output stage; from memory). With the base current, which also comes
    # through R1, I_B R1 is added.
    working = derive(read_sheet(MULTIPLIER))
    line = working.step("A multiple of the base–emitter drop").lines[0]
    V_BE, R1, R2, I_B = symbols("V_BE R1 R2 I_B")
    assert sympy.simplify(as_sympy(line.right) - (V_BE * (1 + R1 / R2) + I_B * R1)) == 0
    assert to_text(line.right) == "V_BE (1 + R_1/R_2) + I_B R_1"
    assert line.result is not None
    solved = operating_point(read_sheet(MULTIPLIER)).transistors["Q1"]
    assert line.result.value == pytest.approx(solved.V_CE, rel=1e-9)


def test_a_resistor_in_the_emitter_is_no_multiplier():
    sheet = MULTIPLIER.replace("R2 1k5 to Q1 emitter", "R2 1k5 to ground").replace(
        "from Q1 emitter to", "from Q1 emitter through RE 100 to"
    )
    headings = [s.heading for s in derive(read_sheet(sheet))]
    assert "A multiple of the base–emitter drop" not in headings


def test_error_of_the_mirror_of_three():
    # Wilson mirror with equal gains: I_O / I_REF = 1 / (1 + 2 / (β² + 2 β)) (Sedra & Smith; from
    # memory)
    working = derive(read_sheet(THREE))
    line = working.step("Base-current error of the mirror").lines[1]
    b = sympy.Symbol("beta", positive=True)
    form = as_sympy(line.right).subs(
        {sympy.Symbol(f"beta_{i}", positive=True): b for i in (1, 2, 3)}
    )
    assert sympy.simplify(form - 1 / (1 + 2 / (b**2 + 2 * b))) == 0
    assert line.result is not None
    ratio = working.value("I_C3") / working.value("I_RX")
    assert line.result.value == pytest.approx(ratio, rel=1e-9)


def test_two_loops_that_would_fill_the_board_are_collected_with_figures():
    sheet = """
    VCC = 16 V
    Q1 = npn, beta 150
    Q2 = npn, beta 150
    from VCC through R1 120k to Q1 collector
    from Q1 collector to Q2 base
    from Q1 emitter through RE1 390 to ground
    from VCC through RC2 8k2 to Q2 collector
    from Q2 emitter through RE2 1k2 to foot
    from foot through RE3 1k2 to ground
    from foot through RF 82k to Q1 base
    """
    working = derive(read_sheet(sheet))
    assert working.fallback == ()
    step = working.step("Solve the set with figures")
    one, two = step.lines[:2]
    # collected by hand: the loop through RF, and the one through R1 (loops as written above them)
    left = sympy.Matrix(
        [
            [1.2e3 + 82e3 + 151 * 390, -151 * 1.2e3],
            [150 * 120e3 - 1.2e3, 120e3 + 151 * 2.4e3],
        ]
    )
    I_B1, I_B2 = left.LUsolve(sympy.Matrix([-0.7, 16 - 0.7]))
    found = {"I_B1": float(I_B1), "I_B2": float(I_B2)}
    for symbol, amps in found.items():
        assert working.value(symbol) == pytest.approx(amps, rel=1e-9)
    for line in (one, two):
        assert evaluate(line.left, found) == pytest.approx(evaluate(line.right, {}), rel=1e-9)
    assert to_text(step.lines[2].left) == "I_B1"
