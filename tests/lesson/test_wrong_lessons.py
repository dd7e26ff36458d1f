"""Every wrong lesson of the catalogue earns its sentence, at its place, and writes nothing."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from steadypoint.errors import LessonError, SheetError, SteadypointError, TextFileError
from steadypoint.lesson import build_lesson, parse_lesson

# Ten lines, so that the wrong part starts in line 11.
OPENING = """# Title

```circuit
name: stage
VCC = 9 V
Q1 = npn, beta 150
from VCC through RC 2k2 to Q1 collector
from VCC through RB 620k to Q1 base
from Q1 emitter to ground
```
"""
SHEET = "VCC = 9 V\nQ1 = npn\nfrom VCC through RB 620k to Q1 base\nfrom VCC to Q1 collector\n"
CATALOGUE = tomllib.loads((Path(__file__).parent / "wrong_lessons.toml").read_text("utf-8"))


@pytest.mark.parametrize("wrong", CATALOGUE["wrong"], ids=lambda w: w["why"])
def test_a_wrong_lesson_earns_its_sentence(tmp_path: Path, wrong: dict[str, Any]) -> None:
    (tmp_path / "stage.circuit").write_text(SHEET + "from Q1 emitter to ground\n")
    text = wrong.get("whole", OPENING + wrong.get("lesson", "") + "\n")
    with pytest.raises(LessonError) as caught:
        parse_lesson(text, "lesson.md", tmp_path)
    fault = caught.value
    assert wrong["sentence"] in fault.sentence
    assert (fault.line, fault.column) == (wrong["line"], wrong["column"])
    assert fault.sentence.endswith((".", "?", "."))
    assert "\n" not in fault.sentence


def test_the_catalogue_has_no_twins() -> None:
    names = [w["why"] for w in CATALOGUE["wrong"]]
    assert len(set(names)) == len(names)


def test_a_lesson_without_circuit_says_so() -> None:
    with pytest.raises(LessonError, match="the lesson has none"):
        parse_lesson("# Title\n\nNow {{I_C}} flows.\n")


def test_a_fault_in_a_sheet_file_names_that_file(tmp_path: Path) -> None:
    (tmp_path / "bad.circuit").write_text("VCC = 9 V\nQ1 = npm\n")
    with pytest.raises(SheetError) as caught:
        parse_lesson("# T\n\n```circuit\nfile: bad.circuit\n```\n", "lesson.md", tmp_path)
    assert "bad.circuit" in caught.value.source
    assert caught.value.line == 2


def test_a_link_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    inside = tmp_path / "lesson"
    inside.mkdir()
    (tmp_path / "secret.circuit").write_text(SHEET)
    (inside / "stage.circuit").symlink_to(tmp_path / "secret.circuit")
    with pytest.raises(LessonError, match="outside the lesson's folder"):
        parse_lesson("# T\n\n```circuit\nfile: stage.circuit\n```\n", "lesson.md", inside)


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"\xff\xfe\x00bad", "is not text in UTF-8"),
        (b"# T\n\0", "is not a text file"),
        (None, "There is no lesson"),
    ],
)
def test_a_file_that_is_no_lesson(tmp_path: Path, content: bytes | None, sentence: str) -> None:
    file = tmp_path / "lesson.md"
    if content is not None:
        file.write_bytes(content)
    with pytest.raises(TextFileError, match=sentence):
        build_lesson(file)
    with pytest.raises(TextFileError, match="is a folder"):
        build_lesson(tmp_path)


def test_nothing_is_written_when_a_lesson_is_wrong(tmp_path: Path) -> None:
    file = tmp_path / "lesson.md"
    file.write_text("# T\n\n{{I_C}}\n", "utf-8")
    with pytest.raises(SteadypointError):
        build_lesson(file, into=tmp_path / "out")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["lesson.md"]
