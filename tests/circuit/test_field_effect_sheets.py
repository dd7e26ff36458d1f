"""Field-effect transistors on sheets: kinds, data, defaults, registered types."""

from __future__ import annotations

import pytest

from steadypoint.circuit import Kind, apply_setting, read_sheet, write_sheet
from steadypoint.devices import fet_data, part_types, registered_kind, typical_options

STAGE = """
VDD = 12 V
Q1 = {}
from VDD through RD 1k to Q1 drain
from Q1 gate through RG 1M to ground
from Q1 source through RS 470 to ground
"""


def part(words: str):
    return read_sheet(STAGE.format(words), checked=False).part("Q1")


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ("n-channel JFET", Kind.N_JFET),
        ("P-channel jfet", Kind.P_JFET),
        ("n-channel MOSFET", Kind.N_MOSFET),
        ("p-channel MOSFET, enhancement", Kind.P_MOSFET),
        ("2N7000", Kind.N_MOSFET),
        ("BF245A", Kind.N_JFET),
        ("BS250", Kind.P_MOSFET),
    ],
)
def test_kind_of_a_declaration(words, kind):
    found = part(words)
    assert found.kind is kind
    assert found.kind.is_fet
    assert found.kind.is_transistor
    assert not found.kind.is_bipolar
    assert found.kind.terminals == ("drain", "gate", "source")


def data(words: str):
    found = part(words)
    junction = found.kind in (Kind.N_JFET, Kind.P_JFET)
    sign = -1.0 if found.kind in (Kind.P_JFET, Kind.P_MOSFET) else 1.0
    return fet_data(found.option, sign, junction=junction, depletion="depletion" in found.traits)


# I_D = I_DSS (1 - V_GS/V_GS_off)² = K (V_GS - V_GS_off)², hence K = I_DSS/V_GS_off² (Sedra and
# Smith, Microelectronic Circuits, JFET and depletion MOSFET; from memory).
def test_data_come_in_the_signs_of_an_n_channel():
    assert pytest.approx(0.5e-3) == data("n-channel JFET, I_DSS 8 mA, V_GS_off -4 V").K
    assert data("p-channel JFET, I_DSS 8 mA, V_GS_off 4 V").V_GS_th == -4.0
    assert data("p-channel MOSFET, V_GS_th -1.5 V, K 2 mA/V^2").V_GS_th == 1.5
    assert pytest.approx(1e-3) == data("p-channel depletion MOSFET, I_DSS 9 mA, V_GS_off 3 V").K
    assert pytest.approx(50.0) == data("n-channel MOSFET, lambda 0.02").V_A


# Enhancement MOSFET with I_D(on) = 6 mA at V_GS(on) = 8 V and V_GS(Th) = 3 V: k = 0.24 mA/V²
# (Boylestad and Nashelsky, Electronic Devices and Circuit Theory, drain-feedback example; from
# memory).
def test_a_point_of_the_data_sheet_gives_K():
    found = data("n-channel MOSFET, V_GS(th) 3 V, I_D(on) 6 mA, V_GS(on) 8 V")
    assert pytest.approx(0.24e-3) == found.K


def test_every_registered_fet_stands_on_a_sheet():
    types = [t for t in part_types() if "channel" in registered_kind(t)]
    assert len(types) >= 10
    for name in types:
        circuit = read_sheet(STAGE.format(name))
        assert read_sheet(write_sheet(circuit)) == circuit
        figures = typical_options(name)
        assert circuit.part("Q1").option("V_A") == figures["V_A"]
        assert data(name).K > 0


def test_what_the_sheet_states_goes_before_the_catalogue():
    assert part("n-channel MOSFET 2N7000, V_GS_th 1.8 V").option("V_GS_th") == 1.8
    assert part("n-channel MOSFET BF245A").option("V_A") is None


def test_settings_reach_a_fet():
    circuit = read_sheet(STAGE.format("n-channel JFET, I_DSS 8 mA"))
    assert apply_setting(circuit, "I_DSS=5mA").part("Q1").option("I_DSS") == 5e-3
    assert apply_setting(circuit, "Q1.V_GS_off=-2V").part("Q1").option("V_GS_off") == -2.0


def test_a_matched_fet_takes_what_its_twin_states():
    text = STAGE.format("n-channel depletion MOSFET, I_DSS 4 mA, V_GS_off -2 V")
    text += "Q2 = n-channel MOSFET, matched to Q1\nfrom Q1 gate to Q2 gate\n"
    circuit = read_sheet(text, checked=False)
    assert circuit.part("Q2").option("I_DSS") == 4e-3
    assert circuit.part("Q2").traits == ("depletion",)
    assert read_sheet(write_sheet(circuit), checked=False) == circuit
