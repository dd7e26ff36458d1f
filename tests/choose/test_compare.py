"""Arrangements at the same point: what textbooks say of them, and formulas of input resistance."""

from __future__ import annotations

import pytest

from steadypoint.choose import Purpose, compare, input_resistance
from steadypoint.circuit import apply_setting, arrangement
from steadypoint.devices import thermal_voltage
from steadypoint.errors import CircuitError
from steadypoint.solve import operating_point

NAMES = ("base bias", "collector feedback", "voltage divider", "two-supply emitter bias")


def at(name, volts=9.0):
    circuit = arrangement(name).circuit
    for part in circuit.parts:
        if part.kind.value == "supply":
            sign = "-" if part.value.value < 0 else ""
            circuit = apply_setting(circuit, f"{part.name}={sign}{volts}V")
    return circuit


@pytest.fixture(scope="module")
def result():
    return compare([(name, at(name)) for name in NAMES], 1e-3)


def test_all_are_brought_to_the_same_point(result):
    for c in result.contenders:
        q = c.point.transistors["Q1"]
        assert pytest.approx(1e-3, rel=0.07) == q.I_C
        assert pytest.approx(4.5, rel=0.15) == q.V_CE


def test_order_is_that_of_the_textbooks(result):
    """R. L. Boylestad, L. Nashelsky, Electronic Devices and Circuit Theory, bias stabilization:
    base bias depends most on beta, collector feedback less, the divider and emitter bias least.
    """
    doubled = {c.name: c.doubled.percent for c in result.contenders}
    assert doubled["base bias"] > 90
    assert 10 < doubled["collector feedback"] < 50
    assert doubled["voltage divider"] < 5
    assert doubled["two-supply emitter bias"] < 5
    assert result.best().name == "two-supply emitter bias"
    assert "base bias" in result.recommendation()


def test_purposes_differ(result):
    assert result.best(Purpose.SIMPLE).resistors == 2
    light = result.best(Purpose.LIGHT_LOAD)
    assert light.input_resistance == max(c.input_resistance for c in result.contenders)


def test_point_after_a_change_is_that_of_the_changed_circuit(result):
    for c in result.contenders:
        move = next(m for m in c.moves if m.words == "beta 400")
        again = operating_point(apply_setting(c.circuit, "beta=400"), "device", temperature=298.15)
        assert pytest.approx(again.transistors["Q1"].I_C) == move.point.transistors["Q1"].I_C


def test_as_given_leaves_the_values():
    circuit = arrangement("base bias").circuit
    result = compare([("base bias", circuit)], 2e-3, as_given=True)
    values = {p.name: p.value for p in result.contenders[0].circuit.parts}
    assert values["RB"] == circuit.part("RB").value
    assert not result.contenders[0].chosen


def test_what_cannot_be_brought_there_is_told():
    result = compare([(n, at(n)) for n in ("base bias", "current mirror")], 1e-3)
    assert [name for name, _ in result.left_out] == ["current mirror"]
    with pytest.raises(CircuitError, match="Nothing can be compared"):
        compare([("current mirror", at("current mirror"))], 1e-3)


def parallel(*values):
    return 1.0 / sum(1.0 / v for v in values)


def test_input_resistance_of_the_divider_with_bypassed_emitter():
    """R_in = R_1 ∥ R_2 ∥ r_π with r_π = β V_T/I_C: Sedra, Smith, Microelectronic Circuits, 5.8."""
    circuit = arrangement("voltage divider").circuit
    T = 298.15
    I_C = operating_point(circuit, "device", temperature=T).transistors["Q1"].I_C
    r_pi = circuit.part("Q1").option("beta") * thermal_voltage(T) / I_C
    R1, R2 = (circuit.part(n).value.value for n in ("R1", "R2"))
    found = input_resistance(circuit, temperature=T)
    assert found == pytest.approx(parallel(R1, R2, r_pi), rel=1e-3)


def test_input_resistance_of_the_follower():
    """R_in = R_1 ∥ R_2 ∥ (r_π + (β + 1) R_E): the same book, unloaded follower."""
    circuit = arrangement("emitter follower").circuit
    T = 298.15
    I_C = operating_point(circuit, "device", temperature=T).transistors["Q1"].I_C
    beta = circuit.part("Q1").option("beta")
    R1, R2, RE = (circuit.part(n).value.value for n in ("R1", "R2", "RE"))
    inside = beta * thermal_voltage(T) / I_C + (beta + 1) * RE
    found = input_resistance(circuit, temperature=T)
    assert found == pytest.approx(parallel(R1, R2, inside), rel=1e-3)
