"""Every wrong sheet earns its sentence, at its place."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from steadypoint.circuit import read_sheet
from steadypoint.errors import CircuitError, SheetError

HEAD = """\
VCC = 9 V
Q1 = npn, beta 150
from VCC through RC 3k3 to Q1 collector
from VCC through RB 470k to Q1 base
from Q1 emitter to ground
"""
CATALOGUE = Path(__file__).with_name("wrong_sheets.toml")
WRONG = tomllib.loads(CATALOGUE.read_text("utf-8"))["wrong"]


def sheet_of(entry: dict) -> str:
    sheet = entry["sheet"]
    return HEAD + sheet[1:] if sheet.startswith("+") else sheet


@pytest.mark.parametrize("entry", WRONG, ids=[e["sheet"][:40] for e in WRONG])
def test_wrong_sheet_earns_its_sentence(entry):
    with pytest.raises((SheetError, CircuitError)) as caught:
        read_sheet(sheet_of(entry), "stage.circuit")
    fault = caught.value
    if "at" not in entry:
        assert isinstance(fault, CircuitError)
        assert str(fault) == f"stage.circuit: {entry['sentence']}"
        return
    assert isinstance(fault, SheetError)
    assert fault.sentence == entry["sentence"]
    assert [fault.line, fault.column, fault.length] == entry["at"]


@pytest.mark.parametrize("entry", WRONG, ids=[e["sheet"][:40] for e in WRONG])
def test_sentences_are_for_people(entry):
    sentence = entry["sentence"]
    assert sentence[-1] in ".?"
    assert "\n" not in sentence
    assert len(sentence) < 170
    assert not re.search(r"\b(WORD|EQUALS|COMMA|token|Token|None|lark|Kind|RULE)\b", sentence)


def test_catalogue_is_rich():
    assert len(WRONG) >= 100
    assert len({e["sentence"] for e in WRONG}) >= 80


def test_fault_shows_line_and_caret():
    with pytest.raises(SheetError) as caught:
        read_sheet("VCC = 9 V\nfrom VCC through RC 3kk3 to OUT\n", "recorder.circuit")
    assert str(caught.value) == (
        "recorder.circuit, line 2, column 21\n"
        "    from VCC through RC 3kk3 to OUT\n"
        "                        ^^^^\n"
        "'3kk3' is not a resistance. Write 3k3, 3.3k or 3300."
    )


def test_sound_head_is_sound():
    assert read_sheet(HEAD).transistors[0].name == "Q1"
