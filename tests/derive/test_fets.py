"""One field-effect transistor: bias line, both roots, region, against print and ``solve``."""

from __future__ import annotations

import random

import pytest

from steadypoint.circuit import read_sheet
from steadypoint.derive import derive, to_text
from steadypoint.errors import DerivationError
from steadypoint.solve import operating_point

SELF_BIAS = """
VDD = 20 V
Q1 = n-channel JFET, I_DSS 8 mA, V_GS_off -6 V
from Q1 gate through RG 1M to ground
from VDD through RD 3k3 to Q1 drain
from Q1 source through RS 1k to ground
"""

DIVIDER = """
VDD = 40 V
Q1 = n-channel MOSFET, V_GS_th 5 V, K 120 µA/V²
from VDD through R1 22M to Q1 gate
from Q1 gate through R2 18M to ground
from VDD through RD 3k to Q1 drain
from Q1 source through RS 820 to ground
"""


# R. L. Boylestad, L. Nashelsky, "Electronic Devices and Circuit Theory", JFET self-bias example and
# E-MOSFET divider example, from memory; both are read from a graph there.
@pytest.mark.parametrize(
    ("sheet", "V_GS", "I_D"), [(SELF_BIAS, -2.6, 2.6e-3), (DIVIDER, 12.5, 6.7e-3)]
)
def test_boylestad_field_effect_examples(sheet, V_GS, I_D):
    working = derive(read_sheet(sheet))
    assert working.value("V_GS") == pytest.approx(V_GS, abs=0.05)
    assert working.value("I_D") == pytest.approx(I_D, abs=0.05e-3)


def test_both_roots_solve_the_quadratic_and_one_is_rejected():
    # self bias: V_GS = -I_D R_S, so K R_S x² + x - |V_GS_off| = 0 for the overdrive x
    a, c = 8e-3 / 36.0 * 1e3, -6.0
    step = derive(read_sheet(SELF_BIAS)).step("Both roots")
    first, second = (line.result.value for line in step.lines[:2])
    for x in (first, second):
        assert a * x * x + x + c == pytest.approx(0.0, abs=1e-9)
    assert first > 0.0 > second
    assert "Only the first root is physical" in to_text(step.remark)


KINDS = {
    "n-channel JFET": "I_DSS {I_DSS} mA, V_GS_off -{V} V",
    "p-channel JFET": "I_DSS {I_DSS} mA, V_GS_off {V} V",
    "n-channel MOSFET": "V_GS_th {V} V, K {K} mA/V²",
    "p-channel MOSFET": "V_GS_th -{V} V, K {K} mA/V²",
}


@pytest.mark.parametrize("kind", KINDS)
def test_random_stages_agree_with_solve(kind):
    chance = random.Random(kind)  # noqa: S311  trial values
    worked = 0
    for _ in range(60):
        data = KINDS[kind].format(
            I_DSS=chance.randint(2, 15), V=chance.randint(1, 5), K=chance.choice((0.1, 0.5, 2))
        )
        rail = 20 if kind.startswith("n") else -20
        circuit = read_sheet(f"""
VDD = {rail} V
Q1 = {kind}, {data}
from VDD through R1 {chance.randint(1, 40)}00k to Q1 gate
from Q1 gate through R2 {chance.randint(1, 40)}00k to ground
from VDD through RD {chance.choice((470, 1000, 2200))} to Q1 drain
from Q1 source through RS {chance.choice((470, 1000, 3300))} to ground
""")
        q = operating_point(circuit).fets["Q1"]
        if q.region.value in ("triode", "reverse"):
            continue
        working = derive(circuit)
        worked += 1
        assert working.value("I_D") == pytest.approx(abs(q.I_D), rel=1e-6, abs=1e-12)
        span = "V_DS" if kind.startswith("n") else "V_SD"
        assert working.value(span) == pytest.approx(abs(q.V_DS), rel=1e-6)
    assert worked >= 15


def test_triode_says_that_no_working_is_known():
    with pytest.raises(DerivationError, match="triode"):
        derive(read_sheet(DIVIDER.replace("RD 3k", "RD 30k")))
