"""Charts of registered types: complete, inside their frame, with the figures of the sheet."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from steadypoint.devices import part_record, part_types
from steadypoint.draw import Circle, Group, Path, part_curves
from steadypoint.errors import UnknownNameError


@pytest.mark.parametrize("name", part_types())
def test_every_type_has_its_chart(name: str):
    scene = part_curves(name)
    ET.fromstring(scene.svg(standalone=True))  # noqa: S314  our own output
    assert name in scene.title
    assert "25\u202f°C" in scene.description
    curves = [m for m in scene.marks if isinstance(m, Path) and m.role.startswith("curve")]
    assert len(curves) == 6, "two panels, three temperatures"
    for curve in curves:
        for _, x, y in curve.commands:
            assert scene.box.x0 < float(x) < scene.box.x1
            assert scene.box.y0 < float(y) < scene.box.y1


@pytest.mark.parametrize("name", ["2N3904", "BC547B", "AC128", "TIP31C"])
def test_figures_of_the_sheet_stand_on_the_chart(name: str):
    record, scene = part_record(name), part_curves(name)
    groups = [m for m in scene.marks if isinstance(m, Group) and m.role == "sheet"]
    wanted = (*record.of("h_FE"), *record.of("V_BE"))
    assert len(groups) == len(wanted)
    for group, figure in zip(groups, wanted, strict=True):
        assert figure.at in group.label
        discs = [c for c in group.children if isinstance(c, Circle)]
        assert len(discs) == (figure.typ is not None)


def test_a_typical_gain_stands_near_its_curve():
    scene = part_curves("BC547B")
    curve = next(m for m in scene.marks if isinstance(m, Path) and m.role == "curve")
    group = next(m for m in scene.marks if isinstance(m, Group) and "I_C = 2 mA" in m.label)
    disc = next(c for c in group.children if isinstance(c, Circle))
    near = min(abs(float(x) - disc.x) + abs(float(y) - disc.y) for _, x, y in curve.commands)
    assert near < 10.0


def test_an_unknown_type_has_no_chart():
    with pytest.raises(UnknownNameError, match="Did you mean '2N3906'"):
        part_curves("2N3905")
