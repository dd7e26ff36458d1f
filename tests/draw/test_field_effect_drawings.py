"""Field-effect transistors in drawings: symbols, words, values; what is not drawn says so."""

from __future__ import annotations

import pytest

from steadypoint import load_line, operating_point, read_sheet, schematic
from steadypoint.circuit import Kind
from steadypoint.draw._symbols import place_transistor
from steadypoint.errors import CircuitError

STAGE = """
VDD = 12 V
Q1 = {}
from VDD through {} to Q1 {}
from Q1 gate through RG 1M to {}
from Q1 {} through {} to ground
from IN through C1 100n to Q1 gate
"""
N_CHANNEL = ("RD 2k7", "drain", "ground", "source", "RS 820")
P_CHANNEL = ("RS 820", "source", "VDD", "drain", "RD 2k7")
KINDS = [
    ("n-channel JFET, I_DSS 4 mA, V_GS_off -3 V", N_CHANNEL),
    ("n-channel depletion MOSFET, I_DSS 4 mA, V_GS_off -3 V", N_CHANNEL),
    ("p-channel JFET, I_DSS 4 mA, V_GS_off 3 V", P_CHANNEL),
    ("BF245A", N_CHANNEL),
]


@pytest.mark.parametrize(("words", "stands"), KINDS)
def test_a_stage_is_drawn_with_its_values(words, stands):
    circuit = read_sheet(STAGE.format(words, *stands))
    scene = schematic(circuit, operating_point(circuit))
    svg = scene.svg()
    assert f'class="part {circuit.part("Q1").kind.value.replace(" ", "-")}' in svg
    assert "I_D" in svg
    assert "in saturation" in svg


# IEC 60617-5: an enhancement type has a broken channel, a depletion type a solid one (from memory).
def test_channels_and_arrows():
    def plates(kind: Kind, *, depletion: bool = False) -> int:
        placed = place_transistor(
            kind, (0.0, 0.0), mirrored=False, emitter_up=False, depletion=depletion
        )
        return sum(getattr(s, "role", "") == "plate" for s in placed.shapes)

    assert plates(Kind.N_MOSFET) == 4
    assert plates(Kind.N_MOSFET, depletion=True) == 2
    assert plates(Kind.P_JFET) == 1


def test_a_load_line_is_not_drawn_yet():
    circuit = read_sheet(STAGE.format(KINDS[0][0], *N_CHANNEL))
    with pytest.raises(CircuitError, match="Q1 is a field-effect transistor"):
        load_line(circuit, operating_point(circuit))
