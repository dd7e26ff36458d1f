"""What a notebook shows: circuits, points, workings, drawings and choices show themselves."""

from __future__ import annotations

import pytest

import steadypoint
from steadypoint import Wish, arrangement, arrangements, operating_point, schematic
from steadypoint.choose import choose
from steadypoint.derive import derive


@pytest.mark.parametrize("name", [a.name for a in arrangements()])
def test_circuit_and_point_show_themselves(name: str) -> None:
    circuit = arrangement(name).circuit
    shown = circuit._repr_mimebundle_()
    assert shown["image/svg+xml"].startswith("<svg")
    assert shown["text/plain"] == str(circuit).rstrip("\n")
    point = operating_point(circuit)
    html = point._repr_mimebundle_()["text/html"]
    for part in (*circuit.transistors, *circuit.fets):
        assert f'<th scope="row">{part.name}</th>' in html
    first = next(iter({**point.transistors, **point.fets}.values()))
    assert first.region.value in html
    assert str(point.model.value) in point._repr_mimebundle_()["text/plain"]


def test_working_drawing_and_choice_show_themselves() -> None:
    circuit = arrangement("voltage divider").circuit
    assert "<math" in derive(circuit)._repr_mimebundle_()["text/html"]
    assert schematic(circuit)._repr_mimebundle_()["image/svg+xml"].startswith("<svg")
    answer = choose(Wish(circuit, 1e-3), 2)
    html = answer._repr_mimebundle_()["text/html"]
    assert html.count("<tr>") == 3
    assert answer.sets[0].why.replace("'", "&#x27;") in html
    none = choose(Wish(circuit, 1e-3, input_resistance=1e6), 1)
    assert "No values can meet this wish" in none._repr_mimebundle_()["text/plain"]


def test_a_figure_shows_its_number_as_written() -> None:
    assert "mA" in steadypoint.read_quantity("1 mA", "A")._repr_mimebundle_()["text/plain"]
