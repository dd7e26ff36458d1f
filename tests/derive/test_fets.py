"""One field-effect transistor: bias line, both roots, region, against print and ``solve``."""

from __future__ import annotations

import random

import pytest

from steadypoint.circuit import read_sheet
from steadypoint.derive import derive, evaluate, to_text
from steadypoint.derive._begin import begin
from steadypoint.derive._expr import symbols
from steadypoint.derive._fet_nodes import fet_node_equations
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
        if q.region.value == "reverse":
            continue
        working = derive(circuit)
        worked += 1
        assert working.value("I_D") == pytest.approx(abs(q.I_D), rel=1e-6, abs=1e-12)
        span = "V_DS" if kind.startswith("n") else "V_SD"
        assert working.value(span) == pytest.approx(abs(q.V_DS), rel=1e-6)
    assert worked >= 15


TRIODE = DIVIDER.replace("RD 3k", "RD 30k")

# Sedra & Smith, Microelectronic Circuits, example of a drain at 0.1 V: V_DD = 5 V on gate and
# load, V_t = 1 V, k' W/L = 1 mA/V² (K is half of it), R_D = 12.4 kΩ, I_D = 0.395 mA; from memory.
SWITCH = """
VDD = 5 V
Q1 = n-channel MOSFET, V_GS_th 1 V, K 500 µA/V²
from VDD to Q1 gate
from VDD through RD 12.4k to Q1 drain
from Q1 source to ground
"""


def test_sedra_smith_triode_example():
    working = derive(read_sheet(SWITCH))
    assert working.value("I_D") == pytest.approx(0.395e-3, abs=0.001e-3)
    assert working.value("V_DS") == pytest.approx(0.1, abs=0.002)


@pytest.mark.parametrize("sheet", [TRIODE, SWITCH])
def test_triode_is_found_by_a_contradiction_and_solved_anew(sheet):
    circuit = read_sheet(sheet)
    working, q = derive(circuit), operating_point(circuit).fets["Q1"]
    assert working.fallback == ()
    headings = [step.heading for step in working]
    assert headings.index("New assumption") > headings.index("Check the region")
    assert "triode region" in to_text(working[-1].sentence)
    for symbol, true in (("I_D", q.I_D), ("V_GS", q.V_GS), ("V_DS", q.V_DS)):
        assert working.value(symbol) == pytest.approx(true, rel=1e-6)


SOURCE_FED_PAIR = """
VDD = 12 V
VSS = -12 V
Q1 = n-channel JFET, I_DSS 8 mA, V_GS_off -3 V
Q2 = n-channel JFET, I_DSS 8 mA, V_GS_off -3 V
from Q1 gate to ground
from Q2 gate through RG 1M to ground
from VDD through RD1 2k2 to Q1 drain
from VDD through RD2 2k2 to Q2 drain
from Q1 source to Q2 source
from Q1 source through IT 4 mA to VSS
"""

MIXED = """
VDD = 15 V
Q1 = n-channel JFET, I_DSS 6 mA, V_GS_off -3 V
Q2 = pnp, beta 120
from Q1 gate through RG 1M to ground
from VDD through RD 1k to Q1 drain
from Q1 source through RS 1k to ground
from Q1 drain to Q2 base
from VDD through D1 to Q2 emitter
from Q2 collector through RC 100 to ground
"""


def test_a_pair_on_a_current_source_shares_it_equally():
    # by symmetry each carries half, and K (V_GS - V_GS,off)² = 2 mA gives V_GS
    working = derive(read_sheet(SOURCE_FED_PAIR))
    assert working.value("I_D1") == pytest.approx(2e-3, rel=1e-6)
    assert working.value("V_GS1") == pytest.approx(-3.0 + 3.0 * (2.0 / 8.0) ** 0.5, rel=1e-6)


@pytest.mark.parametrize("sheet", [SOURCE_FED_PAIR, MIXED])
def test_node_equations_of_several_devices_hold_at_the_solved_point(sheet):
    circuit = read_sheet(sheet)
    point = operating_point(circuit)
    work = begin(circuit, point, board=False)
    fet_node_equations(work, point)
    steps = {step.heading: step for step in work.steps}
    laws = steps["Laws of the transistors"].lines
    for line in (*steps["Node equations"].lines, *laws):
        left, right = (evaluate(side, work.values) for side in (line.left, line.right))
        assert left == pytest.approx(right, abs=1e-6)


CASCODE = """
VDD = 15 V
Q1 = n-channel MOSFET, V_GS_th 1 V, K 1 mA/V²
Q2 = n-channel MOSFET, V_GS_th 1 V, K 4 mA/V²
from VDD through R1 470k to Q1 gate
from Q1 gate through R2 82k to ground
from VDD through R3 470k to Q2 gate
from Q2 gate through R4 470k to ground
from VDD through RD 4k7 to Q2 drain
from Q2 source to Q1 drain
from Q1 source through RS 390 to ground
"""

FET_MIRROR = """
VDD = 10 V
Q1 = n-channel MOSFET, V_GS_th 1.5 V, K 0.5 mA/V²
Q2 = n-channel MOSFET, V_GS_th 1.5 V, K 1 mA/V²
from VDD through R1 6k8 to Q1 drain
from Q1 drain to Q1 gate
from Q1 gate to Q2 gate
from Q1 source to ground
from Q2 source to ground
from VDD through R2 1k5 to Q2 drain
"""


@pytest.mark.parametrize(
    ("sheet", "rung"),
    [
        (SOURCE_FED_PAIR, "exact"),
        (MIXED, "exact"),
        (CASCODE, "exact"),
        (FET_MIRROR, "exact"),
        (SOURCE_FED_PAIR, "board"),
        (FET_MIRROR, "board"),
    ],
)
def test_several_devices_are_worked_one_after_the_other(sheet, rung):
    circuit = read_sheet(sheet)
    working, point = derive(circuit, rung), operating_point(circuit, rung)
    assert working.fallback == ()
    for part in circuit.fets:
        digit = part.name[1:] if len(circuit.fets) > 1 else ""
        assert working.value(f"I_D{digit}") == pytest.approx(point.fets[part.name].I_D, rel=1e-6)
        assert working.value(f"V_DS{digit}") == pytest.approx(point.fets[part.name].V_DS, rel=1e-6)
    for name, q in point.transistors.items():
        assert working.value("I_C") == pytest.approx(abs(q.I_C), rel=1e-6), name
    names = {part.name for part in circuit.parts}
    assert {n for step in working for n in step.loop} <= names
    for step in working:
        for line in step.lines:
            if line.result is not None and all(s in working.values for s in symbols(line.right)):
                found = evaluate(line.right, working.values)
                assert found == pytest.approx(line.result.value, rel=1e-6, abs=1e-12), step.heading


# a mirror of field-effect transistors: A. S. Sedra, K. C. Smith, "Microelectronic Circuits", from
# memory: the currents stand as the conductance parameters (W/L there)
def test_a_mirror_of_channels_copies_by_the_ratio_of_its_parameters():
    working = derive(read_sheet(FET_MIRROR))
    line = working.step("Mirror: Q2 copies Q1").lines[0]
    assert to_text(line.right) == "K_2/K_1 I_D1"
    assert working.value("I_D2") == pytest.approx(2.0 * working.value("I_D1"))


def test_a_cascode_of_channels_is_solved_from_the_lower_one():
    # the same current in both; the upper has four times K, so half the overdrive
    working = derive(read_sheet(CASCODE))
    assert working.value("I_D2") == pytest.approx(working.value("I_D1"))
    assert working.value("V_ov2") == pytest.approx(working.value("V_ov1") / 2.0)
    assert working.step("Gate of Q2 from its current").result.symbol == "V_S2"


EXCHANGED = """
VDD = 12 V
Q1 = {kind}, {data}
from VDD through R1 100k to Q1 gate
from Q1 gate through R2 {R2} to ground
from VDD through R3 1k to Q1 {upper}
from Q1 {lower} through R4 {R4} to ground
"""


@pytest.mark.parametrize(
    ("kind", "data", "R2", "R4"),
    [
        ("n-channel MOSFET", "V_GS_th 2 V, K 1 mA/V²", "100k", "1k5"),
        ("n-channel MOSFET", "V_GS_th 2 V, K 1 mA/V²", "470k", "2k2"),
        ("n-channel MOSFET", "V_GS_th 9 V, K 1 mA/V²", "100k", "2k2"),
        ("n-channel JFET", "I_DSS 8 mA, V_GS_off -3 V", "10k", "820"),
        ("p-channel MOSFET", "V_GS_th -2 V, K 1 mA/V²", "100k", "2k2"),
        ("p-channel JFET", "I_DSS 8 mA, V_GS_off 3 V", "680k", "1k"),
    ],
)
def test_a_drain_that_acts_as_the_source_equals_the_device_turned_round(kind, data, R2, R4):
    # a channel has no preferred direction: the same sheet with drain and source exchanged
    wrong, right = ("source", "drain") if kind[0] == "n" else ("drain", "source")
    fields = {"kind": kind, "data": data, "R2": R2, "R4": R4}
    turned = derive(read_sheet(EXCHANGED.format(upper=wrong, lower=right, **fields)))
    usual = derive(read_sheet(EXCHANGED.format(upper=right, lower=wrong, **fields)))
    assert not turned.fallback
    assert not usual.fallback
    span = "V_DS" if kind[0] == "n" else "V_SD"
    assert turned.value("I_D") == pytest.approx(-usual.value("I_D"), abs=1e-12)
    assert turned.value(span) == pytest.approx(-usual.value(span))
    assert "acts as the source" in to_text(turned.steps[0].sentence)


@pytest.mark.parametrize("sheet", [SELF_BIAS, DIVIDER])
def test_the_return_ratio_says_what_a_change_of_the_transistor_does(sheet):
    # g_m = 2 I_D / V_ov (A. S. Sedra, K. C. Smith, "Microelectronic Circuits", from memory); a
    # small relative change of K reaches I_D divided by 1 + T, found by solving again
    working = derive(read_sheet(sheet))
    stated = "I_DSS 8 mA" if "I_DSS" in sheet else "K 120 µA/V²"
    more = sheet.replace(stated, stated.replace("8 mA", "8.0008 mA").replace("120", "120.012"))
    before, after = (operating_point(read_sheet(s)).fets["Q1"].I_D for s in (sheet, more))
    T = working.value("T")
    assert (after / before - 1.0) == pytest.approx(1e-4 / (1.0 + T), rel=1e-3)
    step = working.step("Feedback")
    assert "drop across RS ↑ → V_GS ↓ → I_D ↓" in to_text(step.sentence)
    assert "RS" in step.loop
