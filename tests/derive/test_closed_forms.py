"""The working's equations against the closed forms of textbooks, equal up to algebra.

The forms are those of R. L. Boylestad, L. Nashelsky, Electronic Devices and Circuit Theory, 11th
ed., Pearson 2013, chapter 4 (DC biasing - BJTs), and A. S. Sedra, K. C. Smith, Microelectronic
Circuits, from memory; section and equation numbers were not looked up. Circuits and values are
our own.
"""

from __future__ import annotations

import pytest
import sympy
from as_sympy import as_sympy, symbols

from steadypoint.circuit import read_sheet
from steadypoint.derive import Derivation, derive, to_text

BASE = """
VCC = 11 V
Q1 = npn, beta 130
from VCC through RB 560k to Q1 base
from VCC through RC 2k7 to Q1 collector
from Q1 emitter to ground
"""
BASE_RE = BASE.replace("from Q1 emitter to", "from Q1 emitter through RE 680 to")
DIVIDER = """
VCC = 14 V
Q1 = npn, beta 130
from VCC through R1 56k to Q1 base
from Q1 base through R2 10k to ground
from VCC through RC 3k9 to Q1 collector
from Q1 emitter through RE 820 to ground
"""
FEEDBACK = """
VCC = 10 V
Q1 = npn, beta 110
from VCC through RC 3k3 to Q1 collector
from Q1 collector through RB 220k to Q1 base
from Q1 emitter to ground
"""
FEEDBACK_RE = FEEDBACK.replace("from Q1 emitter to", "from Q1 emitter through RE 470 to")
FED_DIVIDER = """
VCC = 10 V
Q1 = npn, beta 110
from VCC through RC 3k3 to Q1 collector
from Q1 collector through R1 68k to Q1 base
from Q1 base through R2 12k to ground
from Q1 emitter through RE 330 to ground
"""
TWO_SUPPLIES = """
VCC = 8 V
VEE = -8 V
Q1 = npn, beta 110
from VCC through RC 3k3 to Q1 collector
from Q1 base through RB 33k to ground
from Q1 emitter through RE 5k6 to VEE
"""
COMMON_BASE = """
VCC = 8 V
VEE = -5 V
Q1 = npn, beta 110
from VCC through RC 3k3 to Q1 collector
from Q1 base to ground
from Q1 emitter through RE 3k9 to VEE
"""
PNP = """
VCC = 14 V
Q1 = pnp, beta 130
from VCC through R1 10k to Q1 base
from Q1 base through R2 56k to ground
from VCC through RE 820 to Q1 emitter
from Q1 collector through RC 3k9 to ground
"""
PNP_FEEDBACK = """
VCC = 10 V
Q1 = pnp, beta 110
from VCC through RE 470 to Q1 emitter
from Q1 collector through RB 220k to Q1 base
from Q1 collector through RC 3k3 to ground
"""
ZENER = """
VCC = 14 V
Q1 = npn, beta 130
from VCC through R1 1k8 to Q1 base
from ground through DZ zener 4.7 V to Q1 base
from VCC through RC 1k5 to Q1 collector
from Q1 emitter through RE 1k8 to ground
"""
DIODE = DIVIDER.replace("through R2 10k to", "through R2 10k, D1 to")

V_CC, V_BE, V_EB, V_TH, R_TH, b = symbols("VCC V_BE V_EB V_thev R_thev beta")
RB, RC, RE, R1, R2, V_EE, V_Z, V_D = symbols("RB RC RE R1 R2 abs_VEE V_Z V_D1")
I_B, I_C, I_E = symbols("I_B I_C I_E")
R_F = RC + R1 + R2

FORMS = [
    # Boylestad & Nashelsky, fixed-bias configuration
    ("base bias", BASE, "I_B", (V_CC - V_BE) / RB),
    ("base bias, output", BASE, "V_CE", V_CC - I_C * RC),
    # emitter-bias configuration
    ("base bias with RE", BASE_RE, "I_B", (V_CC - V_BE) / (RB + (b + 1) * RE)),
    ("base bias with RE, output", BASE_RE, "V_CE", V_CC - I_C * RC - I_E * RE),
    # voltage-divider bias, exact analysis
    ("divider, V_TH", DIVIDER, "V_thev", R2 * V_CC / (R1 + R2)),
    ("divider, R_TH", DIVIDER, "R_thev", R1 * R2 / (R1 + R2)),
    ("divider, I_B", DIVIDER, "I_B", (V_TH - V_BE) / (R_TH + (b + 1) * RE)),
    # collector feedback; the book's approximate form has β(R_C + R_E), see the board forms
    ("collector feedback", FEEDBACK, "I_B", (V_CC - V_BE) / (RB + (b + 1) * RC)),
    ("feedback with RE", FEEDBACK_RE, "I_B", (V_CC - V_BE) / (RB + (b + 1) * (RC + RE))),
    # two loops by hand: I_2 R_2 = V_BE + I_E R_E, then the outer loop
    (
        "collector-fed divider",
        FED_DIVIDER,
        "I_B",
        (V_CC - V_BE * R_F / R2) / (R1 + (b + 1) * RC + (b + 1) * RE * R_F / R2),
    ),
    ("two supplies", TWO_SUPPLIES, "I_B", (V_EE - V_BE) / (RB + (b + 1) * RE)),
    ("common base", COMMON_BASE, "I_E", (V_EE - V_BE) / RE),
    ("pnp divider", PNP, "I_B", (V_CC - V_EB - V_TH) / (R_TH + (b + 1) * RE)),
    ("pnp feedback", PNP_FEEDBACK, "I_B", (V_CC - V_EB) / (RB + (b + 1) * (RC + RE))),
    ("zener", ZENER, "I_E", (V_Z - V_BE) / RE),
    ("compensating diode", DIODE, "V_thev", V_D + (V_CC - V_D) * R2 / (R1 + R2)),
]

BOARD_FORMS = [
    # Boylestad & Nashelsky, collector-feedback configuration (approximate)
    ("feedback with RE", FEEDBACK_RE, "I_B", (V_CC - V_BE) / (RB + b * (RC + RE))),
    ("collector feedback", FEEDBACK, "I_B", (V_CC - V_BE) / (RB + b * RC)),
    # voltage divider, approximate analysis: V_B from the unloaded divider, I_E = V_E / R_E
    (
        "divider, V_B",
        DIVIDER.replace("R2 10k", "R2 4k7").replace("56k", "27k"),
        "V_B",
        R2 * V_CC / (R1 + R2),
    ),
    ("zener", ZENER, "I_E", (V_Z - V_BE) / RE),
]


def solved_for(working: Derivation, symbol: str) -> sympy.Expr:
    """Right side of the first line that solves for a symbol with a figure."""
    lines = [line for step in working for line in step.lines]
    found = next(
        line
        for line in lines
        if getattr(line.left, "name", "") == symbol and line.result is not None
    )
    return as_sympy(found.right)


@pytest.mark.parametrize(("name", "sheet", "symbol", "form"), FORMS, ids=[f[0] for f in FORMS])
def test_exact_form(name, sheet, symbol, form):
    working = derive(read_sheet(sheet))
    assert working.fallback == ()
    assert sympy.simplify(solved_for(working, symbol) - form) == 0


@pytest.mark.parametrize(
    ("name", "sheet", "symbol", "form"), BOARD_FORMS, ids=[f[0] for f in BOARD_FORMS]
)
def test_board_form(name, sheet, symbol, form):
    working = derive(read_sheet(sheet), "board")
    assert working.fallback == ()
    assert sympy.simplify(solved_for(working, symbol) - form) == 0


def test_term_order_is_the_books_own():
    working = derive(read_sheet(FEEDBACK_RE))
    line = working.step("Solve for I_B").lines[0]
    assert to_text(line.right) == "(V_CC − V_BE)/(R_B + (β + 1) (R_C + R_E))"
    line = derive(read_sheet(DIVIDER)).step("Solve for I_B").lines[0]
    assert to_text(line.right) == "(V_TH − V_BE)/(R_TH + (β + 1) R_E)"


def test_return_ratio_and_limit_of_the_divider():
    # T = β R_E / (R_TH + R_E), from I_B = (V_TH - V_BE - I_C R_E) / (R_TH + R_E) with I_C held
    working = derive(read_sheet(DIVIDER))
    assert sympy.simplify(solved_for(working, "T") - b * RE / (R_TH + RE)) == 0
    limit = working.step("Limit").lines[0]
    assert sympy.simplify(as_sympy(limit.right) - (V_TH - V_BE) / RE) == 0
