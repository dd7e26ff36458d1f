"""Words and figures of speech, notes and TeX: the same thing said in many ways is read alike."""

from __future__ import annotations

import pytest

from steadypoint.proof._numbers import figure_at
from steadypoint.proof._words import words

SAID = [
    ("two point five four milliamps", 2.54, 2, "A", 1e-3),
    ("2.54 mA", 2.54, 2, "A", 1e-3),
    ("twenty eight point two micro amps", 28.2, 1, "A", 1e-6),
    ("28.2 µA", 28.2, 1, "A", 1e-6),
    ("28.2 uA", 28.2, 1, "A", 1e-6),
    ("four seventy ohms", 470.0, 0, "Ω", 1.0),
    ("4.7k", 4.7, 1, "Ω", 1e3),
    ("4k7", 4.7, 1, "Ω", 1e3),
    ("three k three", 3.3, 1, "Ω", 1e3),
    ("330 kilo ohm", 330.0, 0, "Ω", 1e3),
    ("1,200 ohms", 1200.0, 0, "Ω", 1.0),
    ("five volts", 5.0, 0, "V", 1.0),
    ("ten per cent", 10.0, 0, "%", 0.01),
    ("nine and a half percent", 9.5, 1, "%", 0.01),
    (r"$29.7\,\mu\mathrm{A}$", 29.7, 1, "A", 1e-6),
    ("0.7 V", 0.7, 1, "V", 1.0),
]


@pytest.mark.parametrize(("text", "value", "decimals", "dimension", "scale"), SAID)
def test_a_figure_is_read_with_its_unit(
    text: str, value: float, decimals: int, dimension: str, scale: float
) -> None:
    found = figure_at([w.text for w in words(text)], 0)
    assert found is not None
    figure, _ = found
    assert figure.value == pytest.approx(value)
    assert figure.decimals == decimals
    assert figure.unit is not None
    assert (figure.unit.dimension, figure.unit.scale) == (dimension, scale)


@pytest.mark.parametrize("text", ["the base", "point", "and so on", "Q1 collector"])
def test_words_that_are_no_figure(text: str) -> None:
    assert figure_at([w.text for w in words(text)], 0) is None


@pytest.mark.parametrize(
    ("text", "read"),
    [
        (r"\frac{V_{CC} - V_{BE}}{R_B}", "( ( V_CC - V_BE ) / ( R_B ) )"),
        (r"I_C \approx \beta I_B", "I_C ≈ beta I_B"),
        ("V_E = I_E × R_E", "V_E = I_E × R_E"),
        ("| $I_C$ | 3.27 mA |", ". I_C = 3.27 mA ."),
        ("that's 9.3", "that is 9.3"),
        ("A *well-known* stage", "A well known stage"),
    ],
)
def test_prose_plain_and_tex_formulas_give_the_same_words(text: str, read: str) -> None:
    assert " ".join(w.text for w in words(text)) == read


@pytest.mark.parametrize("text", [t for t, *_ in SAID] + ["V_{CE} of the stage, and so on."])
def test_every_word_knows_its_place(text: str) -> None:
    places = [(w.start, w.end) for w in words(text)]
    assert all(0 <= a <= b <= len(text) for a, b in places)
    assert places == sorted(places)


def test_what_is_hidden_is_not_read() -> None:
    assert "secret" not in [w.text for w in words("Said <!-- secret --> aloud")]
    assert "VCC" not in [w.text for w in words("Said\n```circuit\nVCC = 9 V\n```\naloud")]
