"""Field-effect transistors in drawings: symbols, words, values, load line, level, drift."""

from __future__ import annotations

import pytest

from steadypoint import drift_chart, level, load_line, operating_point, read_sheet, schematic
from steadypoint.circuit import Kind
from steadypoint.draw._fet_curves import square_law
from steadypoint.draw._symbols import place_transistor

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


@pytest.mark.parametrize(("words", "stands"), KINDS)
def test_a_load_line_has_the_boundary_of_the_triode_region(words, stands):
    circuit = read_sheet(STAGE.format(words, *stands))
    point = operating_point(circuit)
    scene = load_line(circuit, point)
    svg = scene.svg()
    assert 'class="boundary"' in svg
    assert "in saturation" in scene.description
    assert "I_C" not in svg
    assert ("V_SD" if words.startswith("p") else "V_DS") in level(point).description


# Shockley 1952 (from memory): the channel is pinched off where V_DS = V_GS - V_GS_th.
def test_curves_pass_through_the_point_and_bend_on_the_boundary():
    circuit = read_sheet(STAGE.format(KINDS[0][0], *N_CHANNEL))
    for rung in ("exact", "device"):
        point = operating_point(circuit, rung)
        own, part = point.fets["Q1"], circuit.part("Q1")
        law = square_law(part, point)
        assert law.current(own.V_GS, own.V_DS) == pytest.approx(own.I_D, rel=1e-4)
        over = own.V_GS - own.V_GS_th
        assert law.edge(over) == pytest.approx(law.current(own.V_GS, over))


def test_drift_of_a_field_effect_transistor_names_its_triode_stretch():
    circuit = read_sheet(STAGE.format(KINDS[0][0], *N_CHANNEL))
    scene = drift_chart(circuit, "VDD", 2.0, 20.0)
    assert scene.description.startswith("Drain current and V_DS of Q1 against VDD")
    assert "In the triode region from 2" in scene.description
