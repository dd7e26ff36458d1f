"""Operating points of published field-effect examples: one test for each printed figure."""

from __future__ import annotations

from dataclasses import replace

import pytest
from worked_examples import HAIR, Item, circuit_of, compare, items, read_printed

from steadypoint.circuit import Circuit, Kind, Part
from steadypoint.solve import OperatingPoint, operating_point
from steadypoint.values import Quantity

ITEMS = items("field_effect.toml")
FULL = [i for i in ITEMS if "full_solution" in i.data]
DEVICE = [i for i in ITEMS if "carry" not in i.case.data and "erratum" not in i.data]


def figure(point: OperatingPoint, quantity: str) -> float:
    """Figure of Q1, or of the places where it stood."""
    symbol = quantity.removeprefix("Q1.")
    if "Q1" in point.fets:
        return getattr(point.fets["Q1"], symbol)
    V_D, V_G, V_S = (point.nodes[n] for n in STANDS)
    return {"V_D": V_D, "V_G": V_G, "V_S": V_S, "V_DS": V_D - V_S, "V_GS": V_G - V_S}[symbol]


STANDS: list[str] = []


def carried(item: Item, circuit: Circuit) -> Circuit:
    """Circuit in which the drain current that the source rounds and carries on is held."""
    held, half_unit = read_printed(item.case.data["carry"])
    q1 = circuit.part("Q1")
    found = operating_point(circuit).fets["Q1"].I_D
    assert abs(found - held) <= half_unit * (1 + HAIR) * 1.001, found
    STANDS[:] = q1.nodes
    source = Part("I_D", Kind.CURRENT_SOURCE, (q1.nodes[0], q1.nodes[2]), Quantity(held, "A"))
    return circuit.without("Q1").with_part(source)


@pytest.mark.parametrize("item", ITEMS, ids=str)
def test_operating_point(item: Item) -> None:
    circuit = circuit_of(item.case)
    if item.case.data.get("read_from_curve"):  # a drawn curve is no better than 2 %
        item = Item(item.case, {**item.data, "tolerance": 0.02 * item.data["value"]})
    if "carry" in item.case.data:
        circuit = carried(item, circuit)
    compare(figure(operating_point(circuit), item.data["quantity"]), item)


# Not printed: the full solution of the same circuit, by an independent calculation made when the
# examples were collected.
@pytest.mark.parametrize("item", FULL, ids=str)
def test_full_solution(item: Item) -> None:
    result = figure(operating_point(circuit_of(item.case)), item.data["quantity"])
    assert result == pytest.approx(item.data["full_solution"], rel=1e-9)


# None of the sources states a channel-length modulation, so the device rung must agree.
@pytest.mark.parametrize("item", DEVICE, ids=str)
def test_device_rung_agrees(item: Item) -> None:
    circuit = replace(circuit_of(item.case), temperature=None)
    result = figure(operating_point(circuit, "device"), item.data["quantity"])
    exact = figure(operating_point(circuit, "exact"), item.data["quantity"])
    assert result == pytest.approx(exact, rel=1e-4, abs=1e-5)


def test_number_of_published_field_effect_figures() -> None:
    assert len(ITEMS) == 50
    assert len({i.case.example for i in ITEMS}) == 20
