"""A registered type on a sheet brings its typical figures and its ratings."""

from __future__ import annotations

import pytest

from steadypoint import apply_setting, operating_point, read_sheet, write_sheet
from steadypoint.devices import typical_options
from steadypoint.errors import SheetError

SHEET = """
VCC = 9 V
Q1 = 2N3904
from VCC through RC 2k2 to Q1 collector
from Q1 collector through RB 330k to Q1 base
from Q1 emitter to ground
"""


def test_the_type_brings_polarity_gain_and_ratings():
    part = read_sheet(SHEET).part("Q1")
    assert part.kind.value == "npn"
    assert part.options == ()
    # ON Semiconductor 2N3903/D p. 2: 100 to 300 at 10 mA, 70 at least at 1 mA; Motorola p. 1: 40 V.
    assert 70 < (part.option("beta") or 0) < 300
    assert part.option("V_CEO") == 40.0
    assert part.option("V_CE_sat") is None


def test_what_the_sheet_states_goes_before_the_catalogue():
    circuit = read_sheet(SHEET)
    assert apply_setting(circuit, "beta=120").part("Q1").option("beta") == 120.0
    stated = read_sheet(SHEET.replace("2N3904", "npn 2N3904, beta 150")).part("Q1")
    assert stated.option("beta") == 150.0
    assert stated.option("V_A") == typical_options("2N3904")["V_A"]


def test_an_unknown_type_brings_nothing():
    part = read_sheet(SHEET.replace("2N3904", "npn 2N9939, beta 150", 1)).part("Q1")
    assert part.option("V_A") is None


def test_a_type_of_another_kind_is_refused():
    with pytest.raises(SheetError, match="Q1 is a pnp transistor, but 2N3904 is an npn transistor"):
        read_sheet(SHEET.replace("2N3904", "pnp 2N3904, beta 150", 1))


def test_the_sheet_is_written_as_it_was_read():
    circuit = read_sheet(SHEET)
    text = write_sheet(circuit)
    assert "beta" not in text
    assert read_sheet(text) == circuit


@pytest.mark.parametrize("model", ["board", "exact", "device"])
def test_all_rungs_take_the_figures_of_the_type(model: str):
    typed = operating_point(read_sheet(SHEET), model).transistors["Q1"]
    figures = typical_options("2N3904")
    line = "Q1 = npn, " + ", ".join(
        f"{symbol} {figures[symbol]!r}" for symbol in ("beta", "V_BE", "V_A")
    )
    stated = operating_point(read_sheet(SHEET.replace("Q1 = 2N3904", line)), model).transistors[
        "Q1"
    ]
    # The device rung takes the whole model: beta at this current, knee and series resistances.
    near = 5e-2 if model == "device" else 2e-2
    assert pytest.approx(stated.I_C, rel=near) == typed.I_C


def test_a_rating_exceeded_is_told():
    hot = SHEET.replace("9 V", "48 V")
    warnings = operating_point(apply_setting(read_sheet(hot), "RB=100M")).warnings
    assert any("V_CEO" in w or "rating" in w for w in warnings)
