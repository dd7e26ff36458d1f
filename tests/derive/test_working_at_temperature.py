"""The working takes thermistors and the like at the temperature of the sheet, and says so."""

from __future__ import annotations

import math

import pytest

from steadypoint.circuit import apply_setting, read_sheet
from steadypoint.derive import derive, to_text
from steadypoint.solve import operating_point

SHEET = """
temperature = 50 °C
VCC = 9 V
Q1 = npn, beta 150
from VCC through RT NTC 10k B 3950 K to Q1 base
from Q1 base through R2 2k2 TCR 0.4 %/K to ground
from VCC through LED1 red, RC 1k to Q1 collector
from Q1 emitter through RE 2k2 to ground
"""


@pytest.mark.parametrize("rung", ["exact", "board"])
def test_working_holds_at_the_temperature(rung):
    circuit = read_sheet(SHEET)
    working = derive(circuit, rung)
    # IEC 60539-1: R = R25 exp(B (1/T - 1/T25)).
    assert working.value("RT") == pytest.approx(1e4 * math.exp(3950 * (1 / 323.15 - 1 / 298.15)))
    assert working.value("R2") == pytest.approx(2420.0)
    assert working.value("I_C") == pytest.approx(
        operating_point(circuit, rung).transistors["Q1"].I_C
    )
    assert working.circuit == circuit


def test_first_step_names_the_values():
    first = derive(read_sheet(SHEET)).steps[0]
    assert first.heading.replace("\u202f", " ") == "Values at 50 °C"
    assert to_text(first.sentence).replace("\u202f", " ") == (
        "What the sheet states holds at 25 °C. RT, an NTC thermistor of 10 kΩ there, has 3.59 kΩ "
        "at 50 °C; R2, a resistor of 2.2 kΩ there, has 2.42 kΩ at 50 °C."
    )


def test_figures_are_rounded_and_steps_rest_where_they_did():
    circuit = read_sheet(SHEET)
    warm, cool = derive(circuit), derive(apply_setting(circuit, "temperature=25C"))
    assert "3.588" not in to_text(warm.steps[2].lines[0].numbers)
    assert len(warm) == len(cool) + 1
    for one, other in zip(warm.steps[1:], cool.steps, strict=True):
        assert tuple(r - 1 for r in one.rests_on) == other.rests_on


def test_working_of_a_zener_with_its_coefficient():
    sheet = """
temperature = 75 °C
VCC = 12 V
Q1 = npn, beta 150
from VCC through R1 1k5 to Q1 base
from Q1 base through DZ 6.2 V S_Z 2.3 mV/K reversed to ground
from Q1 emitter through RE 2k2 to ground
from VCC through RL 1k to Q1 collector
"""
    working = derive(read_sheet(sheet))
    # 6.2 V + 50 K × 2.3 mV/K less V_BE over R_E.
    assert working.value("I_E") == pytest.approx((6.2 + 0.115 - 0.7) / 2200)
    assert "6.2 V there" in to_text(working.steps[0].sentence).replace("\u202f", " ")
