"""The transfer chart of field-effect stages against the textbook's graphical solution."""

from __future__ import annotations

import pytest

from steadypoint.circuit import arrangement
from steadypoint.draw import fet_transfer_chart
from steadypoint.errors import CircuitError, UnknownNameError
from steadypoint.solve import operating_point
from steadypoint.values import format_quantity

STAGES = (
    "JFET self bias",
    "JFET divider bias",
    "JFET two-supply bias",
    "MOSFET divider bias",
    "MOSFET drain feedback",
    "source follower",
    "JFET current source",
    "p-channel MOSFET divider bias",
)


@pytest.mark.parametrize("name", STAGES)
@pytest.mark.parametrize("model", ["exact", "device"])
def test_chart_names_the_point(name, model):
    circuit = arrangement(name).circuit
    point = operating_point(circuit, model)
    scene = fet_transfer_chart(circuit, point)
    assert "It meets the curve" in scene.description
    assert ("V_SG" in scene.description) == name.startswith("p-channel")
    assert "<svg" in scene.svg("print", standalone=True)


def test_bias_line_of_self_bias():
    """V_GS = -I_D R_S: Boylestad, Nashelsky, Electronic Devices and Circuit Theory, 7.3."""
    circuit = arrangement("JFET self bias").circuit
    R_S = circuit.part("RS").value.value
    said = fet_transfer_chart(circuit, operating_point(circuit)).description
    assert "starts at 0 V without" in said.replace("\u202f", " ")
    assert format_quantity(R_S, "Ω") in said


def test_bias_line_of_the_divider():
    """V_GS = V_G - I_D R_S with V_G = V_DD R_2/(R_1 + R_2): the same book, 7.4."""
    circuit = arrangement("JFET divider bias").circuit
    R1, R2, R_S = (circuit.part(n).value.value for n in ("R1", "R2", "RS"))
    V_G = circuit.part("VDD").value.value * R2 / (R1 + R2)
    said = fet_transfer_chart(circuit, operating_point(circuit)).description
    assert f"starts at {format_quantity(V_G, 'V')} without" in said
    assert format_quantity(R_S, "Ω") in said


def test_refusals():
    bipolar = arrangement("base bias").circuit
    with pytest.raises(CircuitError, match="no field-effect transistor"):
        fet_transfer_chart(bipolar, operating_point(bipolar))
    circuit = arrangement("JFET self bias").circuit
    with pytest.raises(UnknownNameError, match="Q1"):
        fet_transfer_chart(circuit, operating_point(circuit), "Q11")
