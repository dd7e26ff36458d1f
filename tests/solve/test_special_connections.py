"""Mirrors, logarithmic laws, zeners, several supplies and other connections, on paper."""

from __future__ import annotations

import math
from dataclasses import replace

import mpmath
import pytest
from circuits import current, diode, divider, resistor, supply, transistor, zener

from steadypoint.circuit import GROUND, Circuit, Kind, Part
from steadypoint.devices import thermal_voltage
from steadypoint.solve import Region, operating_point, to_dict
from steadypoint.values import Quantity

V_T = thermal_voltage(298.15)


def mirror(ratio=1.0, beta=80.0, **second):
    return Circuit(
        (
            supply("VCC", 10.0),
            resistor("RR", "VCC", "b", 9.3e3),
            resistor("RL", "VCC", "c2", 4.7e3),
            transistor("Q1", "b", "b", GROUND, beta=beta, V_BE=0.7, I_S=1e-15),
            transistor(
                "Q2", "c2", "b", GROUND, matched_to="Q1", beta=beta, V_BE=0.7, I_S=1e-15 * ratio
            ),
        )
    )


@pytest.mark.parametrize("ratio", [1.0, 2.0, 0.5])
def test_mirror_of_stated_areas(ratio):
    # I_ref = I_C1 + I_B1 + I_B2 with I_C2 = ratio I_C1.
    q = operating_point(mirror(ratio)).transistors
    I_C1 = 1e-3 / (1 + (1 + ratio) / 80)
    assert pytest.approx(I_C1) == q["Q1"].I_C
    assert pytest.approx(ratio * I_C1) == q["Q2"].I_C


def test_parallel_transistors_that_nobody_calls_matched_are_mentioned():
    circuit = mirror()
    assert operating_point(circuit).warnings == ()
    parts = [replace(p, matched_to="", options=()) for p in circuit.parts]
    point = operating_point(Circuit(tuple(parts)))
    q = point.transistors
    assert pytest.approx(q["Q2"].I_C) == q["Q1"].I_C
    assert any("Q1 and Q2" in w and "matched" in w for w in point.warnings)


def test_mirror_output_saturates_while_the_reference_stays():
    q = operating_point(mirror(4.0)).transistors
    assert q["Q1"].region is Region.ACTIVE
    assert q["Q2"].region is Region.SATURATION
    assert pytest.approx(0.2) == q["Q2"].V_CE


def test_widlar_source_follows_the_logarithm():
    circuit = Circuit(
        (
            supply("VCC", 10.0),
            resistor("RR", "VCC", "b", 9.3e3),
            resistor("RE", "e", GROUND, 5e3),
            transistor("Q1", "b", "b", GROUND, beta=1e9, V_BE=0.7),
            transistor("Q2", "VCC", "b", "e", matched_to="Q1", beta=1e9, V_BE=0.7),
        )
    )
    # R. J. Widlar's relation I_C2 R_E = V_T ln(I_C1/I_C2), solved by mpmath.
    I = mpmath.findroot(lambda i: i * 5e3 - V_T * mpmath.log(1e-3 / i), 2e-5)  # noqa: E741
    assert pytest.approx(float(I), rel=1e-6) == operating_point(circuit).transistors["Q2"].I_C


def test_stated_I_S_replaces_the_constant_drop():
    circuit = Circuit(
        (
            supply("VCC", 5.0),
            resistor("RB", "VCC", "b", 430e3),
            resistor("RC", "VCC", "c", 1e3),
            transistor("Q1", "c", "b", GROUND, I_S=2e-16),
        )
    )
    q = operating_point(circuit).transistors["Q1"]
    V = mpmath.findroot(lambda v: V_T * mpmath.log(100 * (5 - v) / 430e3 / 2e-16) - v, 0.7)
    assert pytest.approx(float(V), abs=1e-9) == q.V_BE
    assert q.region is Region.ACTIVE


@pytest.mark.parametrize(
    ("V_B", "region"), [(0.1, Region.CUTOFF), (0.9, Region.ACTIVE), (4.0, Region.SATURATION)]
)
def test_stated_I_S_in_every_region(V_B, region):
    circuit = Circuit(
        (
            supply("VCC", 5.0),
            supply("VB", V_B),
            resistor("RB", "VB", "b", 22e3),
            resistor("RC", "VCC", "c", 1e3),
            transistor("Q1", "c", "b", GROUND, I_S=2e-16),
        )
    )
    q = operating_point(circuit).transistors["Q1"]
    assert q.region is region
    if region is Region.SATURATION:
        assert pytest.approx(0.2) == q.V_CE
        assert pytest.approx(4.8e-3) == q.I_C
    device = operating_point(circuit, "device").transistors["Q1"]
    assert device.region is region
    assert pytest.approx(q.I_C, rel=0.05, abs=1e-9) == device.I_C


def test_matched_pair_on_grounded_bases_halves_the_current():
    circuit = Circuit(
        (
            supply("VCC", 10.0),
            current("I0", "e", "VEE", 2e-3),
            supply("VEE", -10.0),
            resistor("RC1", "VCC", "c1", 5e3),
            resistor("RC2", "VCC", "c2", 5e3),
            transistor("Q1", "c1", GROUND, "e"),
            transistor("Q2", "c2", GROUND, "e", matched_to="Q1"),
        )
    )
    for model in ("exact", "device"):
        q = operating_point(circuit, model).transistors
        assert pytest.approx(1e-3 * 100 / 101, rel=1e-6) == q["Q1"].I_C
        assert pytest.approx(q["Q1"].I_C) == q["Q2"].I_C


def test_matched_pair_with_a_base_apart_divides_by_the_exponential():
    circuit = Circuit(
        (
            supply("VCC", 10.0),
            supply("VB", 0.03),
            current("I0", "e", "VEE", 2e-3),
            supply("VEE", -10.0),
            transistor("Q1", "VCC", GROUND, "e"),
            transistor("Q2", "VCC", "VB", "e", matched_to="Q1"),
        )
    )
    q = operating_point(circuit).transistors
    assert pytest.approx(math.exp(0.03 / V_T), rel=1e-6) == q["Q2"].I_C / q["Q1"].I_C


def test_compensating_diode_cancels_V_BE():
    circuit = Circuit(
        (
            supply("VCC", 12.0),
            resistor("R1", "VCC", "b", 10e3),
            diode("D1", "b", "d"),
            resistor("R2", "d", GROUND, 2.2e3),
            resistor("RC", "VCC", "c", 2.2e3),
            resistor("RE", "e", GROUND, 1e3),
            transistor("Q1", "c", "b", "e", beta=1e9),
        )
    )
    q = operating_point(circuit).transistors["Q1"]
    assert pytest.approx((12 - 0.7) * 2.2 / 12.2 / 1e3) == q.I_E


@pytest.mark.parametrize("model", ["board", "exact", "device"])
def test_zener_holds_the_base(model):
    circuit = Circuit(
        (
            supply("VCC", 12.0),
            resistor("R1", "VCC", "b", 1e3),
            zener("Z1", GROUND, "b", 5.6),
            resistor("RE", "e", GROUND, 1e3),
            transistor("Q1", "VCC", "b", "e"),
        )
    )
    point = operating_point(circuit, model)
    assert point.nodes["b"] == pytest.approx(5.6, abs=0.03)
    assert point.parts["Z1"].I < -4e-3


def test_zener_resistance_adds_to_its_voltage():
    circuit = Circuit(
        (
            supply("VCC", 12.0),
            resistor("R1", "VCC", "z", 1e3),
            zener("Z1", GROUND, "z", 5.6, r_Z=20.0),
        )
    )
    point = operating_point(circuit)
    I_Z = (12 - 5.6) / 1020
    assert point.nodes["z"] == pytest.approx(5.6 + 20 * I_Z)


def test_leakage_is_multiplied_with_an_open_base():
    # I_CEO = (β + 1) I_CBO
    circuit = Circuit(
        (
            supply("VCC", 10.0),
            resistor("RC", "VCC", "c", 1e3),
            Part("CB", Kind.CAPACITOR, ("b", GROUND), Quantity(1e-6, "F")),
            transistor("Q1", "c", "b", GROUND, I_CBO=1e-6, beta=100),
        )
    )
    q = operating_point(circuit).transistors["Q1"]
    assert pytest.approx(101e-6) == q.I_C
    assert pytest.approx(0.0, abs=1e-15) == q.I_B


def test_reverse_transistor_is_solved_and_named():
    circuit = Circuit(
        (
            supply("VCC", 9.0),
            resistor("RB", "VCC", "b", 100e3),
            resistor("RC", "VCC", "e", 1e6),
            transistor("Q1", GROUND, "b", "e", beta_R=2.0),
        )
    )
    assert operating_point(circuit).transistors["Q1"].region is Region.SATURATION
    circuit = circuit.with_value("RC", 100.0)
    q = operating_point(circuit).transistors["Q1"]
    assert q.region is Region.REVERSE
    assert pytest.approx(-3.0 * q.I_B) == q.I_C
    q = operating_point(circuit, "device").transistors["Q1"]
    assert q.region is Region.REVERSE
    assert pytest.approx(-3.0 * q.I_B, rel=1e-3) == q.I_C


def test_darlington_without_drive_floats_and_is_cut_off():
    circuit = Circuit(
        (
            supply("VCC", 9.0),
            resistor("RB", "b", GROUND, 100e3),
            resistor("RC", "VCC", "c", 1e3),
            transistor("Q1", "c", "b", "x"),
            transistor("Q2", "c", "x", GROUND),
        )
    )
    for model in ("exact", "device"):
        q = operating_point(circuit, model).transistors
        assert {t.region for t in q.values()} == {Region.CUTOFF}


def test_headrooms_end_at_saturation_and_at_the_load_line():
    q = operating_point(divider()).transistors["Q1"]
    assert q.headroom_saturation == pytest.approx(q.V_CE - 0.2)
    assert q.headroom_cutoff == pytest.approx(12 - q.V_CE)
    device = operating_point(divider(), "device").transistors["Q1"]
    assert device.headroom_cutoff == pytest.approx(12 - device.V_CE, rel=1e-3)


def test_inductor_is_a_short_and_capacitor_open():
    circuit = Circuit(
        (
            supply("VCC", 9.0),
            Part("L1", Kind.INDUCTOR, ("VCC", "c"), Quantity(1e-3, "H")),
            resistor("RB", "VCC", "b", 830e3),
            Part("C1", Kind.CAPACITOR, ("IN", "b"), Quantity(1e-6, "F")),
            transistor("Q1", "c", "b", GROUND),
        )
    )
    for model in ("exact", "device"):
        point = operating_point(circuit, model)
        q = point.transistors["Q1"]
        assert point.nodes["c"] == pytest.approx(9.0)
        assert pytest.approx(q.I_C) == point.parts["L1"].I
        assert point.parts["L1"].P == 0.0
        assert point.parts["C1"].I == 0.0
        assert point.warnings == ()


def test_source_between_two_free_nodes():
    circuit = Circuit(
        (
            supply("VCC", 9.0),
            resistor("RB", "VCC", "a", 100e3),
            Part("VX", Kind.VOLTAGE_SOURCE, ("a", "b"), Quantity(1.5, "V")),
            transistor("Q1", "VCC", "b", GROUND),
        )
    )
    for model in ("exact", "device"):
        point = operating_point(circuit, model)
        assert point.nodes["a"] - point.nodes["b"] == pytest.approx(1.5)
        assert pytest.approx(-point.parts["RB"].I) == point.parts["VX"].I


def test_plain_data_has_the_agreed_shape():
    data = to_dict(operating_point(divider()))
    assert list(data) == [
        "model",
        "temperature",
        "supplies",
        "nodes",
        "parts",
        "transistors",
        "fets",
        "warnings",
    ]
    assert data["supplies"]["VCC"].keys() == data["parts"]["RC"].keys() == {"V", "I", "P"}
    assert set(data["transistors"]["Q1"]) == {
        *("I_B", "I_C", "I_E", "V_BE", "V_CE", "V_B", "V_C", "V_E", "P", "region", "polarity")
    }
    assert "VCC" not in data["parts"]
