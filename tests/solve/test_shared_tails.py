"""A constant V_BE gives one of two joined emitters the whole current, and the point says so.

In truth the exponential law shares it: I_C2/I_C1 = exp(Δ/V_T), the large-signal law of the
differential pair (Gray and Meyer, *Analysis and Design of Analog Integrated Circuits*; memory).
"""

from __future__ import annotations

import math
import re

import pytest

from steadypoint.circuit import apply_setting, arrangements, read_sheet
from steadypoint.devices import thermal_voltage
from steadypoint.solve import operating_point

PAIR = """
VCC = 12 V
VEE = -12 V
Q1 = npn, beta 100
Q2 = npn, beta 100
from VCC through RC1 4k7 to Q1 collector
from VCC through RC2 4k7 to Q2 collector
from Q1 emitter to TAIL
from Q2 emitter to TAIL
from TAIL through RE 5k6 to VEE
from Q1 base to ground
from Q2 base through V1 30 mV to ground
"""


def said(circuit, rung, temperature=None):
    warnings = operating_point(circuit, rung, temperature=temperature).warnings
    return [w for w in warnings if "share an emitter node" in w]


@pytest.mark.parametrize("rung", ["exact", "board"])
@pytest.mark.parametrize("celsius", [0, 25, 70])
def test_the_share_is_that_of_the_exponential_law(rung, celsius):
    T = 273.15 + celsius
    (sentence,) = said(read_sheet(PAIR), rung, T)
    share = float(re.search(r"about (\d+\.\d+) times", sentence.replace("\u202f", " "))[1])
    assert share == pytest.approx(math.exp(-30e-3 / thermal_voltage(T)), abs=0.006)
    t = operating_point(read_sheet(PAIR), "device", temperature=T).transistors
    assert share == pytest.approx(t["Q1"].I_C / t["Q2"].I_C, rel=0.03)
    assert sentence.startswith("Q2 and Q1 share an emitter node, and V_BE of Q1 lacks only 30.0")


def test_pnp_pair_is_named_by_V_EB():
    turned = PAIR.replace("npn", "pnp").replace("VCC = 12", "VCC = -12")
    turned = turned.replace("VEE = -12", "VEE = 12").replace("V1 30 mV", "V1 -30 mV")
    assert "V_EB of Q1 lacks only" in said(read_sheet(turned), "exact")[0]


def test_no_sentence_where_the_pair_is_far_off_or_the_law_is_exponential():
    assert not said(apply_setting(read_sheet(PAIR), "V1=0.2V"), "exact")
    assert not said(read_sheet(PAIR), "device")
    for each in arrangements():
        assert not said(each.circuit, "exact"), each.name
