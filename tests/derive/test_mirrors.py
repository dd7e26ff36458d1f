"""Mirrors and what belongs to them, against the closed forms of the textbooks."""

from __future__ import annotations

import pytest

from steadypoint.circuit import read_sheet
from steadypoint.derive import derive, to_text

MIRROR = """
VCC = 12 V
Q1 = npn, beta 120
Q2 = npn, matched to Q1
from VCC through RX 1k1 to Q1 collector
from Q1 collector to Q1 base
from Q1 emitter to ground
from Q1 base to Q2 base
from Q2 emitter to ground
from VCC through RC 470 to Q2 collector
"""

WIDLAR = """
VCC = 10 V
Q1 = npn, beta 1000
Q2 = npn, matched to Q1
from VCC through R1 9k3 to Q1 collector
from Q1 collector to Q1 base
from Q1 emitter to ground
from Q1 base to Q2 base
from Q2 emitter through R2 11k5 to ground
from VCC through RC 100k to Q2 collector
"""

WILSON = """
VCC = 12 V
Q1 = npn, beta 100
Q2 = npn, matched to Q1
Q3 = npn, beta 100
from VCC through RX 10k to Q2 collector
from Q2 collector to Q3 base
from Q3 emitter to Q1 collector
from Q1 collector to Q1 base
from Q1 base to Q2 base
from Q1 emitter to ground
from Q2 emitter to ground
from VCC through RC 4k7 to Q3 collector
"""


def test_base_current_error_of_the_mirror():
    # A. S. Sedra, K. C. Smith, "Microelectronic Circuits", 6th ed., 2010, section 7.4, from memory:
    # I_O / I_REF = 1 / (1 + 2/β).
    working = derive(read_sheet(MIRROR))
    step = working.step("Base-current error of the mirror")
    assert step.lines[1].result.value == pytest.approx(1.0 / (1.0 + 2.0 / 120.0), rel=1e-12)
    assert working.value("I_C2") / working.value("I_RX") == pytest.approx(120.0 / 122.0, rel=1e-9)
    assert not working.fallback


def test_sedra_widlar_current_source():
    # Sedra & Smith, 6th ed., ex. 7.6 (Widlar source), from memory: I_REF = 1 mA, V_BE = 0.7 V at
    # 1 mA, V_T = 25 mV; 10 µA wants R = V_T ln(100) / 10 µA = 11.5 kΩ.
    working = derive(read_sheet(WIDLAR))
    step = working.step("One transcendental equation")
    assert to_text(step.lines[0].right) == "V_T ln(I_C1/I_C2)"
    assert working.value("I_C2") == pytest.approx(10e-6, rel=0.03)
    assert not working.fallback


def test_wilson_mirror():
    # Sedra & Smith, 6th ed., section 7.5, from memory: I_O / I_REF = 1 / (1 + 2/(β (β + 2))).
    working = derive(read_sheet(WILSON))
    ratio = working.value("I_C3") / (working.value("I_C2") + working.value("I_B3"))
    assert ratio == pytest.approx(1.0 / (1.0 + 2.0 / (100.0 * 102.0)), rel=1e-9)
    assert not working.fallback


def test_divider_in_a_feedback_path_names_the_base_voltage():
    circuit = read_sheet("""
VCC = 15 V
Q1 = npn, beta 140
from VCC through RC 3k9 to Q1 collector
from Q1 collector through R1 39k to Q1 base
from Q1 base through R2 8k2 to ground
from Q1 emitter through RE 1k to ground
""")
    step = derive(circuit).step("Voltage at the base, and I_R2")
    assert [to_text(line.right) for line in step.lines] == ["I_E R_E + V_BE", "V_B/R_2"]
