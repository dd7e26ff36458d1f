"""Every wrong example of the catalogue earns its sentence, and only that sentence."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from steadypoint.errors import QuantityError, SteadypointError
from steadypoint.values import (
    Quantity,
    read_colour_code,
    read_letter_code,
    read_quantity,
    read_tolerance,
    reasonable,
)
from steadypoint.values._units import UNITS

CATALOGUE = tomllib.loads(
    Path(__file__).with_name("wrong_examples.toml").read_text(encoding="utf-8")
)

READERS = {
    "quantity": lambda e: read_quantity(e["text"], e["unit"]).value,
    "tolerance": lambda e: read_tolerance(e["text"]),
    "letter_code": lambda e: read_letter_code(e["text"], e["unit"]).value,
    "colour_code": lambda e: read_colour_code(e["text"]).value,
    "reasonable": lambda e: reasonable(Quantity(e["value"], e["unit"]), e["name"]).value,
}

ENTRIES = [(kind, entry) for kind, entries in CATALOGUE.items() for entry in entries]


@pytest.mark.parametrize(
    ("kind", "entry"),
    ENTRIES,
    ids=[f"{k}-{e.get('text', e.get('value'))}-{e.get('unit', '')}" for k, e in ENTRIES],
)
def test_the_sentence_of_a_wrong_example(kind: str, entry: dict[str, Any]) -> None:
    if "sentence" not in entry:  # a right neighbour of a wrong example
        assert READERS[kind](entry) == entry["value"]
        return
    with pytest.raises(SteadypointError) as caught:
        READERS[kind](entry)
    assert str(caught.value) == entry["sentence"]


PAGE = (Path(__file__).parents[2] / "docs" / "reference-values.md").read_text(encoding="utf-8")
REFUSED = re.findall(r"^\| `(.+?)` \| (an? .+?) \| ('.+?\.)(?: <!--.*-->)? \|$", PAGE, re.MULTILINE)


@pytest.mark.parametrize(("text", "what", "sentence"), REFUSED)
def test_the_sentences_of_the_page(text: str, what: str, sentence: str) -> None:
    unit = next(u.symbol for u in UNITS.values() if u.name == what)
    with pytest.raises(QuantityError) as caught:
        read_quantity(text, unit)
    assert str(caught.value) == sentence


def test_the_page_has_its_table_of_sentences() -> None:
    assert len(REFUSED) == 5


@pytest.mark.parametrize("text", ["\x1b[31m9", "9\n9", "\x00", "9" * 5000 + "q", "\u202e9 V"])
def test_a_hostile_text_is_quoted_in_one_short_line(text: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read_quantity(text, "V")
    assert str(caught.value).isprintable()
    assert len(str(caught.value)) < 140


def test_a_thousand_digits_are_a_number_and_not_a_crash() -> None:
    assert read_quantity("0." + "1" * 1000, "V").value == pytest.approx(0.1111111, rel=1e-6)
