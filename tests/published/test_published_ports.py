"""Ends of load lines and Thévenin pairs of published examples."""

from __future__ import annotations

import pytest
from worked_examples import HAIR, HERE, Item, circuit_of, compare, items, sheet, value_of

from steadypoint.circuit import GROUND, Kind, Part
from steadypoint.errors import NoSolutionError
from steadypoint.solve import Region, load_line_ends, operating_point, thevenin
from steadypoint.values import Quantity

ITEMS = items("ports.toml")
SHEETS = sorted(path.stem for path in (HERE / "sheets").glob("*.circuit"))
FORCED = (  # a current source or another transistor sets the current of Q1
    "kumar_ex_5_15_third",
    "kuphaldt_cascode",
    "kuphaldt_cascode_dividers",
    "wang_homework_10_problem_2",
)


@pytest.mark.parametrize("item", ITEMS, ids=str)
def test_port(item: Item) -> None:
    circuit = circuit_of(item.case)
    q1 = circuit.part("Q1")
    port, quantity = item.case.data["port"], item.data["quantity"]
    if port == "load line of Q1":
        if item.case.data.get("hold") == "Q1.V_E":
            V_E = Quantity(value_of(operating_point(circuit), "Q1.V_E"), "V")
            source = Part("V_E", Kind.VOLTAGE_SOURCE, (q1.node("emitter"), GROUND), V_E)
            circuit = circuit.with_part(source)
        ends = load_line_ends(circuit, "Q1")
        compare({"V_CE at I_C = 0": ends.V_CE, "I_C at V_CE = 0": ends.I_C}[quantity], item)
        if "full_solution" in item.data:
            whole = load_line_ends(circuit_of(item.case), "Q1").I_C
            assert abs(whole / item.data["full_solution"] - 1.0) < HAIR
    else:
        terminal = port.removeprefix("Q1.").removesuffix(" to ground")
        pair = thevenin(circuit, q1.node(terminal), without=["Q1"])
        compare(getattr(pair, quantity), item)


def test_number_of_published_ports() -> None:
    assert len(ITEMS) == 34


# A load line that does not go through its own operating point would be drawn wrong.
@pytest.mark.parametrize("rung", ["board", "exact"])
@pytest.mark.parametrize("name", SHEETS)
def test_operating_point_lies_on_its_load_line(name: str, rung: str) -> None:
    circuit = sheet(name)
    point = operating_point(circuit, rung)
    for q in point.transistors.values():
        if q.region is not Region.ACTIVE or name in FORCED:
            continue
        ends = load_line_ends(circuit, q.name, rung, point=point)
        on_line = ends.V_CE * (1.0 - q.I_C / ends.I_C)
        assert on_line == pytest.approx(q.V_CE, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("name", FORCED)
def test_forced_current_has_no_load_line(name: str) -> None:
    with pytest.raises(NoSolutionError, match="forces the current of Q1"):
        load_line_ends(sheet(name), "Q1")
