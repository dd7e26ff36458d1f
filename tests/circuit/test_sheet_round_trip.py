"""What is written reads back as the same circuit."""

from __future__ import annotations

import contextlib
import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from random_sheets import mutated, sheets

from steadypoint.circuit import (
    GROUND,
    Circuit,
    Kind,
    Part,
    arrangements,
    read_sheet,
    write_sheet,
)
from steadypoint.circuit._figures import sheet_tolerance, sheet_value
from steadypoint.circuit._reader import lines_of
from steadypoint.errors import CircuitError, QuantityError, SheetError
from steadypoint.values import Quantity, read_quantity, read_tolerance


@pytest.mark.parametrize("one", arrangements(), ids=lambda one: one.name)
def test_arrangement_reads_back(one):
    assert read_sheet(write_sheet(one.circuit)) == one.circuit


@given(sheets())
@settings(max_examples=150, deadline=None)
def test_any_circuit_reads_back(text):
    try:
        circuit = read_sheet(text, checked=False)
    except SheetError as error:
        assert "short-circuits" in error.sentence or "same" in error.sentence  # noqa: PT017
        assume(False)
        return
    written = write_sheet(circuit)
    again = read_sheet(written, checked=False)
    assert again == circuit
    assert write_sheet(again) == written


@given(sheets())
@settings(max_examples=100, deadline=None)
def test_checks_end_in_a_sentence(text):
    try:
        read_sheet(text)
    except (SheetError, CircuitError) as error:
        assert str(error).rstrip()[-1] in ".?"  # noqa: PT017


@given(st.text(max_size=200))
@settings(max_examples=150, deadline=None)
def test_random_text_never_fails_otherwise(text):
    with contextlib.suppress(SheetError, CircuitError, QuantityError):
        read_sheet(text)


@given(st.data())
@settings(max_examples=200, deadline=None)
def test_mutated_sheets_never_fail_otherwise(data):
    one = data.draw(st.sampled_from(arrangements()))
    text = data.draw(mutated(one.sheet))
    try:
        circuit = read_sheet(text)
    except (SheetError, CircuitError, QuantityError) as error:
        if isinstance(error, SheetError):
            lines = lines_of(text)
            assert 1 <= error.line <= len(lines)  # noqa: PT017
            assert 1 <= error.column <= len(lines[error.line - 1]) + 1  # noqa: PT017
    else:
        assert read_sheet(write_sheet(circuit)) == circuit


@given(
    st.floats(1e-3, 1e11, allow_nan=False),
    st.sampled_from(["Ω", "V", "A", "F", "H", "W", "", "K"]),
)
@settings(max_examples=300, deadline=None)
def test_values_are_exact_on_reading_back(value, unit):
    if unit == "K":
        value = 100 + math.fmod(value, 400.0)
    text = sheet_value(Quantity(value, unit))
    assert read_quantity(text, unit).value == value


@given(st.floats(1e-6, 0.999))
def test_tolerances_are_exact_on_reading_back(tolerance):
    assert read_tolerance(sheet_tolerance(tolerance)) == tolerance


# Common practice of the trade, no source: the letter takes the place of the point.
@pytest.mark.parametrize(
    ("typed", "unit", "written"),
    [
        ("3300", "Ω", "3k3"),
        ("0.47", "Ω", "R47"),
        ("560", "Ω", "560"),
        ("4.7", "Ω", "4R7"),
        ("470 kΩ", "Ω", "470k"),
        ("1.5 MΩ", "Ω", "1M5"),
        ("0.00001", "F", "10u"),
        ("4.7 nF", "F", "4n7"),
        ("10 mH", "H", "10m"),
        ("9", "V", "9 V"),
        ("-9V", "V", "-9 V"),
        ("12.0 V", "V", "12.0 V"),
        ("3.30 kΩ", "Ω", "3k30"),
        ("0.65V", "V", "0.65 V"),
        ("25mV", "V", "25 mV"),
        ("25 °C", "K", "25 °C"),
        ("300 K", "K", "26.85 °C"),
        ("150", "", "150"),
    ],
)
def test_canonical_values(typed, unit, written):
    assert sheet_value(read_quantity(typed, unit)) == written


def resistor(name: str, one: str, other: str) -> Part:
    return Part(name, Kind.RESISTOR, (one, other), Quantity(1000.0, "Ω"))


SUPPLY = Part("VCC", Kind.SUPPLY, ("VCC", GROUND), Quantity(9.0, "V"))


def test_nodes_of_code_become_names_of_the_sheet():
    circuit = Circuit((SUPPLY, resistor("R1", "VCC", "n1"), resistor("R2", "n1", GROUND)))
    assert write_sheet(circuit) == (
        "VCC = 9 V\nfrom VCC through R1 1k to n1\nfrom n1 through R2 1k to ground\n"
    )
    assert read_sheet(write_sheet(circuit)) == circuit


def test_a_rail_under_another_name_is_joined():
    rail = Part("VCC", Kind.SUPPLY, ("vcc", GROUND), Quantity(9.0, "V"))
    text = write_sheet(Circuit((rail, resistor("R1", "vcc", GROUND))))
    assert read_sheet(text, checked=False).part("R1").nodes == ("VCC", GROUND)


@pytest.mark.parametrize(
    ("parts", "sentence"),
    [
        ((SUPPLY, resistor("R1", "VCC", "n 1")), "The node name 'n 1' cannot stand in a sheet."),
        ((SUPPLY, resistor("1R", "VCC", "n1")), "The name '1R' cannot stand in a sheet."),
        ((SUPPLY, resistor("R1", "VCC", "R1")), "'R1' is both a part and a node."),
        (
            (Part("VCC", Kind.SUPPLY, ("VCC", "low"), Quantity(9.0, "V")),),
            "The supply 'VCC' does not go to ground.",
        ),
    ],
)
def test_what_a_sheet_cannot_carry(parts, sentence):
    with pytest.raises(CircuitError, match=f"^{sentence}"):
        write_sheet(Circuit(parts))
