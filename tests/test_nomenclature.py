"""Every letter symbol that the code uses stands in docs/nomenclature.md, set as it says there."""

from __future__ import annotations

import dataclasses
import re
from pathlib import Path

import pytest

from steadypoint.circuit._trade import OPTIONS
from steadypoint.solve import PartPoint, TransistorPoint
from steadypoint.values import split_symbol

PAGE = (Path(__file__).parents[1] / "docs" / "nomenclature.md").read_text(encoding="utf-8")
SYMBOLS_PART = PAGE.partition("\n## Symbols\n")[2].partition("\n## One meaning each")[0]
ROWS = re.findall(r"^\| (`.+?`) \| (.+?) \| (.+?) \| (.+?) \|$", SYMBOLS_PART, re.MULTILINE)
LISTED = [name for row in ROWS for name in re.findall(r"`([^`]+)`", row[0])]

FIELDS = {
    field.name
    for kind in (PartPoint, TransistorPoint)
    for field in dataclasses.fields(kind)
    if field.name not in ("name", "polarity", "region")
}
SHEET = {symbol for options in OPTIONS.values() for symbol in options}


@pytest.mark.parametrize("symbol", sorted(FIELDS | SHEET))
def test_a_symbol_of_the_code_is_explained(symbol: str) -> None:
    assert symbol in LISTED, f"add {symbol} to docs/nomenclature.md"


def test_each_symbol_is_explained_once() -> None:
    assert len(LISTED) == len(set(LISTED))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_a_row_has_meaning_unit_and_source(row: tuple[str, ...]) -> None:
    _, meaning, unit, source = row
    assert len(meaning) > 5
    assert re.fullmatch(r"(?:A|V|Ω|W|S|K|F|H|A/V²|V⁻¹|V/K|K⁻¹|K/W|-)(?:, Ω)?", unit)
    assert re.search(r"IEC|IEEE|ISO|common|our own", source)


SET_AS = re.findall(r"^\| (`.+?`) \| (.*?\*.+?) \| (.+?) \|$", PAGE, re.MULTILINE)


@pytest.mark.parametrize(("names", "forms", "spoken"), SET_AS, ids=lambda cell: cell)
def test_names_are_set_and_spoken_as_the_page_says(names: str, forms: str, spoken: str) -> None:
    symbols = [split_symbol(n) for n in re.findall(r"`([^`]+)`", names)]
    html = [re.sub(r"\*(.)\*", r"<i>\1</i>", form) for form in forms.split(", ")]
    assert list(dict.fromkeys(s.html for s in symbols)) == html
    assert list(dict.fromkeys(s.spoken for s in symbols)) == spoken.split(", ")


def test_the_page_has_its_table_of_settings() -> None:
    assert len(SET_AS) >= 9
    assert len(ROWS) >= 45
