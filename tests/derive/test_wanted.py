"""A resistor for a wanted current, against design equations of textbooks and against ``solve``."""

from __future__ import annotations

import pytest

from steadypoint.circuit import Kind, arrangements, read_sheet
from steadypoint.derive import evaluate, resistor_for
from steadypoint.errors import CircuitError, DerivationError
from steadypoint.solve import Region, operating_point

FIXED = """
VCC = 12 V
Q1 = npn, beta 100
from VCC through RB 470k to Q1 base
from VCC through RC 2k2 to Q1 collector
from Q1 emitter to ground
"""
FEEDBACK = FIXED.replace("VCC through RB", "Q1 collector through RB")
DIVIDER = """
VCC = 9 V
Q1 = npn, beta 150
from VCC through R1 47k to Q1 base
from Q1 base through R2 10k to ground
from VCC through RC 3k3 to Q1 collector
from Q1 emitter through RE 560 to ground
"""


# Boylestad & Nashelsky, Electronic Devices and Circuit Theory, chapter on DC biasing (from memory):
# fixed bias R_B = (V_CC - V_BE)/I_B, collector feedback I_B = (V_CC - V_BE)/(R_B + (beta + 1) R_C).
def test_fixed_bias_by_the_book():
    working = resistor_for(read_sheet(FIXED), "RB", "I_C", 2e-3)
    assert working.value("RB") == pytest.approx((12 - 0.7) / (2e-3 / 100))


def test_collector_feedback_by_the_book():
    working = resistor_for(read_sheet(FEEDBACK), "RB", "I_C", 2e-3)
    I_B = 2e-3 / 100
    assert working.value("RB") == pytest.approx((12 - 0.7) / I_B - 101 * 2.2e3)
    of_RC = resistor_for(read_sheet(FEEDBACK), "RC", "I_B", 20e-6)
    assert of_RC.value("RC") == pytest.approx(((12 - 0.7) / 20e-6 - 470e3) / 101)


def test_loaded_divider_by_thevenin():
    working = resistor_for(read_sheet(DIVIDER), "RE", "I_C", 1e-3)
    V, R = 9 * 10 / 57, 47e3 * 10e3 / 57e3
    I_B = 1e-3 / 150
    assert working.value("RE") == pytest.approx((V - 0.7 - I_B * R) / (151 * I_B))


def cases():
    for one in arrangements():
        transistors = one.circuit.transistors
        if len(transistors) == 1:
            for part in one.circuit.parts:
                if part.kind is Kind.RESISTOR:
                    yield pytest.param(one.circuit, part.name, id=f"{one.name}-{part.name}")


@pytest.mark.parametrize(("circuit", "name"), list(cases()))
def test_the_resistor_gives_the_current_and_every_line_holds(circuit, name):
    (part,) = circuit.transistors
    if part.kind not in (Kind.NPN, Kind.PNP):
        pytest.skip("no bipolar transistor")
    (now,) = operating_point(circuit).transistors.values()
    wanted = 0.9 * abs(now.I_C)
    try:
        working = resistor_for(circuit, name, "I_C", wanted)
    except (CircuitError, DerivationError):
        pytest.skip("no way from the current to this resistor")
    changed = circuit.with_value(name, working.value(name))
    (then,) = operating_point(changed).transistors.values()
    assert then.region is Region.ACTIVE
    assert abs(then.I_C) == pytest.approx(wanted, rel=1e-6)
    for step in working:
        for line in step.lines:
            right = evaluate(line.right, working.values)
            assert right == pytest.approx(evaluate(line.left, working.values), rel=1e-9)
            assert line.result.value == pytest.approx(right, rel=1e-9)


def test_most_arrangements_have_a_resistor_that_sets_the_current():
    """At least one resistor of each bipolar one-transistor arrangement can be found."""
    served: dict[str, bool] = {}
    for one in arrangements():
        if len(one.circuit.transistors) != 1:
            continue
        (part,) = one.circuit.transistors
        if part.kind not in (Kind.NPN, Kind.PNP) or any(
            p.kind is Kind.ZENER for p in one.circuit.parts
        ):
            continue
        (now,) = operating_point(one.circuit).transistors.values()
        if now.region is not Region.ACTIVE:
            continue
        served[one.name] = False
        for r in one.circuit.parts:
            if r.kind is not Kind.RESISTOR:
                continue
            try:
                resistor_for(one.circuit, r.name, "I_C", 0.95 * abs(now.I_C))
                served[one.name] = True
            except (CircuitError, DerivationError):
                continue
    assert served
    assert all(served.values()), served


def test_standard_values_are_the_neighbours_in_the_series():
    step = resistor_for(read_sheet(FIXED), "RB", "I_C", 2e-3)[-1]
    figures = [p.value for p in step.sentence if getattr(p, "unit", "") == "Ω"]
    assert figures[:4] == [560e3, 680e3, 560e3, 620e3]  # IEC 60063: E12, E24 about 565 kΩ


@pytest.mark.parametrize(
    ("name", "current", "value", "said"),
    [
        ("RC", "I_C", 1e-3, "does not set this current"),
        ("RE", "I_C", 10e-3, "No RE gives"),
        ("R9", "I_C", 1e-3, "no resistor of this circuit"),
        ("RE", "V_CE", 1.0, "Use I_B, I_C or I_E"),
        ("RE", "I_C", -1e-3, "greater than zero"),
        ("RE", "I_C", float("nan"), "greater than zero"),
    ],
)
def test_what_cannot_be_found_earns_a_sentence(name, current, value, said):
    with pytest.raises((CircuitError, DerivationError), match=said):
        resistor_for(read_sheet(DIVIDER), name, current, value)
