"""What would meet the condition for independence of beta, and what it costs."""

from __future__ import annotations

import pytest

from steadypoint.circuit import read_sheet
from steadypoint.derive import Number, derive, to_text

DIVIDER = """
VCC = 9 V
Q1 = npn, beta 40
from VCC through R1 47k to Q1 base
from Q1 base through R2 10k to ground
from VCC through RC 3k3 to Q1 collector
from Q1 emitter through RE 560 to ground
"""
EMITTER_BIAS = """
VCC = 12 V
Q1 = npn, beta 100
from VCC through RB 470k to Q1 base
from VCC through RC 2k2 to Q1 collector
from Q1 emitter through RE 1k to ground
"""


def figures(sheet: str) -> list[float]:
    step = derive(read_sheet(sheet)).step("To meet the condition")
    return [p.value for p in step.sentence if isinstance(p, Number)]


def test_both_remedies_of_a_divider_by_hand():
    """R_TH = beta R_E/10; I_B = (V_TH - V_BE)/(R_TH + (beta + 1) R_E).

    Boylestad & Nashelsky, Electronic Devices and Circuit Theory, voltage-divider bias, exact
    analysis; that "much larger" means ten times is common practice (both from memory).
    """
    factor, R1, R2, I_C, V_CE, I_VCC, before, *second = figures(DIVIDER)
    V = 9 * 10 / 57
    R = R1 * R2 / (R1 + R2)
    assert pytest.approx(40 * 560 / 10) == R
    assert factor == pytest.approx(47e3 / R1)
    assert pytest.approx(40 * (V - 0.7) / (R + 41 * 560)) == I_C
    assert pytest.approx(9 - I_C * 3.3e3 - I_C * 41 / 40 * 560) == V_CE
    V_B = 0.7 + I_C * 41 / 40 * 560
    assert pytest.approx(I_C + (9 - V_B) / R1) == I_VCC
    assert before < I_VCC
    by, R_E, I_C, *_ = second
    R = 470e3 / 57
    assert pytest.approx(10 * R / 40) == R_E
    assert by == pytest.approx(R_E / 560)
    assert pytest.approx(40 * (V - 0.7) / (R + 41 * R_E)) == I_C


def test_saturation_is_named_as_the_price():
    step = derive(read_sheet(EMITTER_BIAS)).step("To meet the condition")
    said = to_text(step.sentence)
    assert "the transistor saturates: too high a price" in said.partition("Or with")[0]
    assert "saturates" not in said.partition("Or with")[2]


def test_nothing_is_proposed_where_the_condition_is_met():
    stiff = DIVIDER.replace("beta 40", "beta 200")
    assert "To meet the condition" not in [s.heading for s in derive(read_sheet(stiff))]


def test_the_remedy_is_no_part_of_the_chain_to_a_quantity():
    chain = derive(read_sheet(DIVIDER)).find("V_CE")
    assert "To meet the condition" not in [s.heading for s in chain]
