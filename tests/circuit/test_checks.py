"""Structural checks: what they refuse, and what they must let pass."""

from __future__ import annotations

from dataclasses import replace

import pytest

from steadypoint.circuit import GROUND, Circuit, Kind, Part, arrangement, check, read_sheet
from steadypoint.circuit._check import faults
from steadypoint.errors import CircuitError, SheetError
from steadypoint.values import Quantity

STAGE = """\
VCC = 9 V
Q1 = npn, beta 150
from VCC through RC 3k3 to Q1 collector
from VCC through RB 470k to Q1 base
from Q1 emitter to ground
"""


def resistor(name: str, one: str, other: str, value: float = 1e3) -> Part:
    return Part(name, Kind.RESISTOR, (one, other), Quantity(value, "Ω"))


def supply(name: str, value: float, node: str = "") -> Part:
    return Part(name, Kind.SUPPLY, (node or name, GROUND), Quantity(value, "V"))


VCC = supply("VCC", 9.0)
LOAD = resistor("RL", "VCC", GROUND)


# Circuits in use in the trade that a strict checker might refuse (common practice, no source).
SOUND = {
    "signal terminal behind a capacitor": "from IN through C1 10u to Q1 base",
    "source resistance before the capacitor": "from IN through RS 600, C1 10u to Q1 base",
    "load behind a capacitor": (
        "from Q1 collector through C2 10u to OUT\nfrom OUT through RL 8 to ground"
    ),
    "bypassed part of a chain": (
        "from Q1 base through R1 1k, R2 2k to ground\nfrom R1 end through C1 1u to ground"
    ),
    "signal source with both ends": "from Q1 base through C1 10u, V1 10 mV to ground",
    "node given a name": "from Q1 collector to OUT",
    "capacitor across a resistor": "from VCC through C3 100n to ground",
    "current source from the rail": "from VCC through I1 1 mA to Q1 base",
    "negative rail alone": "VEE = -9 V\nfrom Q1 base through R3 1M to VEE",
    "rail of no volts": "VBB = 0 V\nfrom Q1 base through R3 1M to VBB",
    "zener standing upright": "from Q1 base through DZ 5.1 V reversed to ground",
    "choke as load": "from VCC through L1 10 mH to MID\nfrom MID through R4 1k to Q1 collector",
    "diode-connected partner": (
        "Q2 = npn, matched to Q1\nfrom VCC through R5 10k to Q2 collector\n"
        "from Q2 collector to Q2 base\nfrom Q2 emitter to ground"
    ),
    "inductors in series across the supply": (
        "from VCC through L1 1 mH R_S 12, L2 1 mH R_S 15, R6 1k to ground"
    ),
}


@pytest.mark.parametrize("more", SOUND.values(), ids=SOUND)
def test_sound_circuits_pass(more):
    circuit = read_sheet(STAGE + more)
    check(circuit)
    assert list(faults(circuit)) == []


def test_inductor_with_winding_resistance_may_lie_across_a_supply():
    read_sheet("VCC = 9 V\nfrom VCC through L1 10 mH R_S 30 to ground")
    with pytest.raises(SheetError, match="VCC and L1 are in conflict"):
        read_sheet("VCC = 9 V\nfrom VCC through L1 10 mH to ground")


@pytest.mark.parametrize(
    ("parts", "sentence"),
    [
        ((), "The circuit has no parts."),
        ((LOAD, LOAD, VCC), "The name 'RL' is used twice."),
        ((VCC, replace(LOAD, nodes=("VCC", "VCC"))), "RL is joined to itself"),
        ((VCC, replace(LOAD, nodes=("VCC",))), "RL has 1 of the 2 nodes of a resistor"),
        ((VCC, replace(LOAD, value=None)), "RL has no resistance."),
        ((VCC, replace(LOAD, value=Quantity(float("inf"), "Ω"))), "out of reason"),
        ((VCC, replace(LOAD, value=Quantity(1e3, "V"))), "in 'V' where 'Ω' is wanted"),
        ((VCC, replace(LOAD, tolerance=2.0)), "tolerance out of reason"),
        ((VCC, replace(LOAD, options=(("beta", Quantity(3.0)),))), "which has no 'beta'"),
        ((LOAD,), "Nothing supplies the circuit."),
        ((VCC, supply("VDD", 12.0, "VCC"), LOAD), "VCC and VDD are in conflict"),
        ((VCC,), "VCC supplies nothing."),
        ((VCC, LOAD, resistor("R1", "VCC", "grund")), "Node 'grund' is touched once only, by R1"),
        (
            (VCC, LOAD, Part("Q1", Kind.NPN, ("VCC", "VCC", GROUND), matched_to="Q7")),
            "Q1 is matched to 'Q7', which is no other npn",
        ),
        (
            (VCC, Part("I1", Kind.CURRENT_SOURCE, ("VCC", "x"), Quantity(1e-3, "A")), LOAD,
             Part("C1", Kind.CAPACITOR, ("x", GROUND), Quantity(1e-6, "F"))),
            "Node 'x' has no DC path to ground for the current of I1.",
        ),
        (
            (VCC, LOAD, Part("C1", Kind.CAPACITOR, ("VCC", "base"), Quantity(1e-6, "F")),
             resistor("R1", "base", "b2"), resistor("R2", "base", "b2")),
            "Node 'base' has no DC path to ground",
        ),
    ],
)  # fmt: skip
def test_circuits_of_code_are_checked_too(parts, sentence):
    with pytest.raises(CircuitError) as caught:
        check(Circuit(parts))
    assert sentence in str(caught.value)


def test_lone_rail_of_a_floating_source_needs_ground():
    battery = Part("V1", Kind.VOLTAGE_SOURCE, ("a", "b"), Quantity(9.0, "V"))
    with pytest.raises(CircuitError, match="Nothing leads to ground"):
        check(Circuit((battery, resistor("R1", "a", "b"))))


def test_each_removed_line_of_an_arrangement_is_noticed_or_harmless():
    """Whatever line a student forgets, the answer is a sentence or a circuit, never a crash."""
    one = arrangement("voltage divider")
    lines = one.sheet.splitlines()
    noticed = 0
    for left_out in range(2, len(lines)):
        sheet = "\n".join(line for i, line in enumerate(lines) if i != left_out)
        try:
            read_sheet(sheet)
        except (SheetError, CircuitError):
            noticed += 1
    # Supply, transistor, collector and emitter path are indispensable; of the divider one arm
    # suffices, and the capacitors carry no direct current.
    assert noticed == 4


def test_fault_of_structure_points_at_its_line():
    with pytest.raises(SheetError) as caught:
        read_sheet(STAGE + "from Q1 base through C1 10u to grond\n", "stage.circuit")
    fault = caught.value
    assert (fault.line, fault.column, fault.length) == (6, 32, 5)
    assert fault.sentence.endswith("Did you mean 'ground'?")
