"""The error tree and its located faults."""

from __future__ import annotations

import pickle

import pytest

from steadypoint import errors
from steadypoint.errors import LessonError, SheetError, SteadypointError, did_you_mean


def test_every_error_is_of_the_tree_and_a_value_error() -> None:
    for name in errors.__all__:
        thing = getattr(errors, name)
        if isinstance(thing, type):
            assert issubclass(thing, SteadypointError)
            assert issubclass(thing, ValueError)


def test_a_located_fault_shows_line_and_caret() -> None:
    line = "from VCC through RC 3kk3 to Q1 collector"
    fault = SheetError(
        "'3kk3' is not a resistance. Write 3k3, 3.3k or 3300.",
        source="recorder.circuit",
        line=4,
        column=line.index("3kk3") + 1,
        length=4,
        text=line,
    )
    assert str(fault).splitlines() == [
        "recorder.circuit, line 4, column 21",
        "    from VCC through RC 3kk3 to Q1 collector",
        "                        ^^^^",
        "'3kk3' is not a resistance. Write 3k3, 3.3k or 3300.",
    ]


def test_the_caret_stays_inside_the_line_and_tabs_count_one() -> None:
    fault = LessonError("No.", source="a.md", line=1, column=3, length=99, text="a\tb c")
    assert str(fault).splitlines()[1:3] == ["    a b c", "      ^^^"]


def test_a_fault_without_text_has_no_caret() -> None:
    fault = SheetError("The sheet is empty.", source="a.circuit", line=1, column=1)
    assert str(fault) == "a.circuit, line 1, column 1\nThe sheet is empty."


def test_the_caret_stands_under_wide_and_combining_letters() -> None:
    # East Asian wide letters take two columns of a terminal, combining marks none.
    fault = SheetError("No.", source="s", line=1, column=4, length=1, text="録e\u0301x")
    assert str(fault).splitlines()[2] == "    " + "   " + "^"


def test_located_faults_survive_pickling() -> None:
    fault = SheetError("No.", source="s", line=2, column=3, length=1, text="abcd")
    again = pickle.loads(pickle.dumps(fault))  # noqa: S301  our own bytes
    assert type(again) is SheetError
    assert str(again) == str(fault)
    assert (again.line, again.column, again.sentence) == (2, 3, "No.")


@pytest.mark.parametrize(
    ("name", "hint"),
    [
        ("emiter", " Did you mean 'emitter'?"),
        ("EMITTER", " Did you mean 'emitter'?"),
        ("lemon", ""),
        ("", ""),
    ],
)
def test_did_you_mean(name: str, hint: str) -> None:
    assert did_you_mean(name, ["collector", "base", "emitter"]) == hint


@pytest.mark.parametrize("place", [0, 60, 250, 496])
def test_a_long_line_is_shown_about_the_fault_only(place: int) -> None:
    line = "a" * place + "wxyz" + "b" * (496 - place)
    fault = SheetError("No.", source="long", line=1, column=place + 1, length=4, text=line)
    _, shown, caret, _ = str(fault).splitlines()
    assert len(shown) < 110
    assert shown[caret.index("^") : caret.rindex("^") + 1] == "wxyz"
