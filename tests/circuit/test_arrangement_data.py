"""The arrangements: all there, findable, sound and well placed."""

from __future__ import annotations

import math

import pytest

from steadypoint.circuit import Kind, arrangement, arrangements, check, read_sheet, write_sheet
from steadypoint.errors import UnknownNameError
from steadypoint.solve import Model, Region, operating_point

ALL = arrangements()
each = pytest.mark.parametrize("one", ALL, ids=lambda one: one.name)

# Names as lecturers and textbooks use them (common practice, no source).
WANTED = [
    "base bias",
    "base bias with emitter resistor",
    "collector feedback",
    "collector feedback with emitter resistor",
    "collector-fed divider",
    "voltage divider",
    "divider bias with emitter resistor",
    "two-supply emitter bias",
    "emitter follower",
    "common base",
    "pnp divider",
    "pnp collector feedback",
    "Darlington follower",
    "direct-coupled pair",
    "feedback pair",
    "current mirror",
    "differential pair",
    "divider with compensating diode",
    "zener-referenced current source",
    "cascode",
    "JFET self bias",
    "JFET divider bias",
    "JFET two-supply bias",
    "MOSFET divider bias",
    "drain feedback",
    "source follower",
    "FET current source",
    "p-channel divider",
]

# IEC 60063, series E24, of which E12 is part; from memory.
E24 = {10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30}
E24 |= {33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91}


@pytest.mark.parametrize("name", WANTED)
def test_wanted_names_are_found(name):
    assert arrangement(name) in ALL
    assert arrangement(name.upper().replace("-", " ")) is arrangement(name)


def test_names_are_unique():
    names = [n.lower() for one in ALL for n in (one.name, *one.aliases)]
    assert len(names) == len(set(names))
    assert [one.teaching_order for one in ALL] == list(range(1, len(ALL) + 1))


@each
def test_data_are_complete(one):
    assert one.title
    assert one.circuit.title == one.title
    assert len(one.circuit.transistors) + len(one.circuit.fets) == one.transistors
    assert len(one.good_at) >= 2
    assert len(one.bad_at) >= 2
    for sentence in (one.description, *one.good_at, *one.bad_at):
        assert sentence.endswith(".")
        assert 20 <= len(sentence) <= 120


@each
def test_sheet_is_sound_and_reads_back(one):
    circuit = read_sheet(one.sheet, one.name)
    check(circuit)
    assert read_sheet(write_sheet(circuit)) == circuit
    assert one.sheet.endswith("\n")
    assert "  " not in one.sheet


@each
def test_values_are_preferred(one):
    for part in one.circuit.parts:
        if part.kind in (Kind.RESISTOR, Kind.CAPACITOR):
            value = part.value.value
            figure = value / 10 ** (math.floor(math.log10(value) + 1e-9) - 1)
            assert any(math.isclose(figure, e, rel_tol=1e-6) for e in E24), part.name


@each
@pytest.mark.parametrize("model", Model)
def test_every_transistor_is_active(one, model):
    point = operating_point(one.circuit, model)
    for transistor in point.transistors.values():
        assert transistor.region is Region.ACTIVE
    for fet in point.fets.values():
        assert fet.region is Region.SATURATION
        assert fet.headroom_triode > 0.9
    for part in one.circuit.parts:
        if part.kind is Kind.ZENER:
            # Data sheets of small zener diodes state V_Z at 5 mA; 1 mA keeps one regulating
            # (common practice, no source).
            assert point.parts[part.name].I < -1e-3


# These transistors stand where a junction beside them puts their collector.
HELD = {("current mirror", "Q1"), ("feedback pair", "Q1")}


@each
def test_point_has_room_on_both_sides(one):
    point = operating_point(one.circuit, "exact")
    rails = [0.0, *(part.value.value for part in one.circuit.supplies)]
    span = max(rails) - min(rails)
    for name, transistor in point.transistors.items():
        if (one.name, name) not in HELD:
            assert 0.2 <= abs(transistor.V_CE) / span <= 0.75
    for fet in point.fets.values():
        assert 0.2 <= abs(fet.V_DS) / span <= 0.75


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        (
            "voltage dividor",
            "There is no arrangement 'voltage dividor'. Did you mean 'voltage divider'?",
        ),
        ("cascade", "There is no arrangement 'cascade'. Did you mean 'cascode'?"),
        ("Colector Feedback", "Did you mean 'collector feedback'?"),
    ],
)
def test_unknown_name_suggests_the_nearest(typed, sentence):
    with pytest.raises(UnknownNameError) as caught:
        arrangement(typed)
    assert sentence in str(caught.value)


def test_strange_name_lists_them_all():
    with pytest.raises(UnknownNameError, match=r"Known are base bias, .*cascode, .*bias\.$"):
        arrangement("xyzzy")
