"""The page on circuit sheets holds every word of the language, and its examples hold."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from steadypoint.circuit import Kind, check, read_sheet, write_sheet
from steadypoint.circuit._trade import (
    GATES,
    KIND_WORDS,
    NOT_YET,
    OPTIONS,
    POLARITIES,
    RESERVED,
    TRAITS,
)

PAGE = (Path(__file__).parents[2] / "docs" / "circuit-sheet.md").read_text("utf-8")
SHEETS = re.findall(r"^```circuit[^\n]*\n(.*?)^```", PAGE, re.MULTILINE | re.DOTALL)
CODE = " ".join(re.findall(r"`([^`\n]+)`", PAGE))
WORDS = {
    *(symbol for options in OPTIONS.values() for symbol in options),
    *(trait for traits in TRAITS.values() for trait in traits),
    *(word for kind in Kind for word in kind.terminals),
    *KIND_WORDS,
    *NOT_YET,
    *GATES,
    "n-channel",
    "p-channel",
    "enhancement",
    *POLARITIES,
    *RESERVED,
    "reversed",
    "matched to",
}


@pytest.mark.parametrize("sheet", SHEETS, ids=[s.split("\n")[0] for s in SHEETS])
def test_example_is_a_sound_circuit(sheet):
    circuit = read_sheet(sheet)
    check(circuit)
    assert read_sheet(write_sheet(circuit)) == circuit


def test_page_has_examples():
    assert len(SHEETS) >= 5


@pytest.mark.parametrize("word", sorted(WORDS))
def test_word_stands_on_the_page(word):
    assert re.search(rf"(?<!\w){re.escape(word)}(?!\w)", CODE, re.IGNORECASE)


def test_rows_of_parts_are_as_the_page_says():
    rows = re.findall(r"^\| (?:`[A-Z]+`(?:, )?)+ \| .* \| (.+) \|$", PAGE, re.MULTILINE)
    assert len(rows) == 10
    for row in rows:
        for example in re.findall(r"`([^`]+)`", row):
            circuit = read_sheet(f"VCC = 9 V\nfrom VCC through {example} to A", checked=False)
            assert len(circuit.parts) == 2
