"""The blocks ``choose``, ``compare`` and ``drift`` show what the layers below find."""

from __future__ import annotations

import pytest

from steadypoint.choose import Wish, choose
from steadypoint.circuit import arrangement
from steadypoint.errors import LessonError
from steadypoint.lesson import lesson_html, parse_lesson
from steadypoint.values import letter_code

HEAD = "# Wind gauge\n\n```circuit\narrangement: voltage divider\nname: gauge\n```\n\n"


def built(block: str) -> str:
    return lesson_html(parse_lesson(HEAD + f"```{block}\n```\n"))


def test_choose_shows_the_proved_sets():
    html = built("choose\ncurrent: 1 mA\nsets: 2")
    answer = choose(Wish(arrangement("voltage divider").circuit, 1e-3), 2)
    for one in answer.sets:
        for ohms in one.values.values():
            assert letter_code(ohms) in html
    assert "none outside this list comes closer" in html


def test_impossible_choice_says_why():
    html = built("choose\ncurrent: 1 mA\nwithin: 1 %")
    assert "No values can meet this wish" in html


def test_compare_recommends():
    html = built("compare\narrangements: base bias, voltage divider")
    assert "take the voltage divider" in html
    assert "<svg" in html


@pytest.mark.parametrize(
    ("block", "words"),
    [
        ("drift\nover: beta 50..400", "The point over"),
        ("drift\ntolerance: 5 %\nvary: beta 100..300", "least with"),
        ("drift", "return ratio"),
    ],
)
def test_drift(block, words):
    assert words in built(block)


@pytest.mark.parametrize(
    ("block", "words"),
    [
        ("choose", "No collector current is wished for"),
        ("choose\ncurrent: much", "much"),
        ("choose\ncurrent: 1 mA\nbeta: 400..100", "no range of gains"),
        ("compare", "Nothing is compared"),
        ("compare\narrangements: base bais", "base bias"),
        ("drift\nover: bta 50..400", "bta"),
    ],
)
def test_faults_point_at_their_line(block, words):
    with pytest.raises(LessonError, match=words) as caught:
        built(block)
    assert caught.value.line > 7
