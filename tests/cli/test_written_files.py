"""Commands that write: files whole or not at all, and faults in a sentence."""

from __future__ import annotations

import base64
import errno
import io
import json
import os
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from command_runs import RECORDER, Outcome, Run, assert_one_sentence
from fontTools.ttLib import TTFont

PNG = b"\x89PNG\r\n\x1a\n"


def tree(folder: Path) -> dict[str, bytes]:
    """Every file below a folder with its content."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() if path.is_file() else b""
        for path in folder.rglob("*")
    }


def svg_text(path: Path) -> str:
    return " ".join("".join(ET.fromstring(path.read_bytes()).itertext()).split())  # noqa: S314


@pytest.mark.parametrize(("suffix", "start"), [("svg", b"<svg"), ("png", PNG), ("pdf", b"%PDF-")])
@pytest.mark.parametrize("what", [[], ["--load-line"]])
def test_drawing_is_written_as_its_suffix_says(
    run: Run, recorder: Path, suffix: str, start: bytes, what: list[str]
):
    target = recorder.with_name(f"stage.{suffix}")
    said = run("draw", recorder, "-o", target, *what)
    assert (said.code, said.err) == (0, "")
    assert said.out == f"{target}\n"
    assert target.read_bytes().startswith(start)
    assert sorted(tree(recorder.parent)) == ["recorder.circuit", f"stage.{suffix}"]


def test_drawing_shows_what_was_asked(run: Run, recorder: Path):
    def drawn(*words: str) -> str:
        target = recorder.with_name("stage.svg")
        assert run("draw", recorder, "-o", target, *words).code == 0
        return svg_text(target)

    full, bare = drawn(), drawn("--show", "nothing")
    assert "mA" in full
    assert "3.3" in full
    assert "C" in bare
    assert len(bare) < len(full)
    assert "3k3" in drawn("--as-written")
    assert drawn("--direct-current") != full
    assert drawn("--set", "RC=2k2") != full
    assert "was" in drawn("--set", "beta=300", "--before")
    assert "↑" in drawn("--set", "beta=300", "--show", "currents", "--show", "changes")
    assert "↑" not in drawn("--set", "beta=300")


def test_drawing_marks_a_loop_and_fades_what_is_open(run: Run, recorder: Path):
    target = recorder.with_name("stage.svg")
    assert run("draw", recorder, "-o", target, "--loop", "VCC, RC, Q1, RE", "--faded").code == 0
    text = target.read_text("utf-8")
    assert 'data-loop="VCC RC Q1 RE"' in text
    assert "faded" in text
    said = run("draw", recorder, "-o", target, "--loop", "RC,RE")
    assert said.code == 1
    assert "do not close a loop" in said.err


def test_themes_give_different_files(run: Run, recorder: Path):
    pictures = set()
    for theme in ("light", "dark", "projector", "print"):
        for suffix in ("svg", "png"):
            target = recorder.with_name(f"{theme}.{suffix}")
            words = ("--theme", theme, "--width", "300")
            assert run("draw", recorder, "-o", target, *words).code == 0
            pictures.add(target.read_bytes())
    assert len(pictures) == 8


def test_same_sheet_gives_the_same_bytes(run: Run, recorder: Path):
    for suffix in ("svg", "png", "pdf"):
        first, second = recorder.with_name(f"a.{suffix}"), recorder.with_name(f"b.{suffix}")
        run("draw", recorder, "-o", first)
        run("draw", recorder, "-o", second)
        assert first.read_bytes() == second.read_bytes()


@pytest.mark.parametrize("name", ["stage.bmp", "stage", "stage.svg.", ".svg", "stage.SVGZ"])
def test_unknown_suffix_writes_nothing(run: Run, recorder: Path, name: str):
    before = tree(recorder.parent)
    assert_one_sentence(run("draw", recorder, "-o", recorder.with_name(name)), ".svg, .png or .pdf")
    assert tree(recorder.parent) == before


def faulty_writes(run: Run, recorder: Path, folder: Path) -> list[Outcome]:
    lesson = recorder.with_name("lesson.md")
    lesson.write_text("# A lesson\n\nWords.\n", encoding="utf-8")
    return [
        run("draw", recorder, "-o", folder / "stage.svg"),
        run("lesson", "build", lesson, "--into", folder / "sub"),
        run("demo", "--into", folder / "sub"),
    ]


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may write anywhere")
def test_folder_without_permission(run: Run, recorder: Path, tmp_path: Path):
    folder = tmp_path / "locked"
    folder.mkdir(mode=0o500)
    for said in faulty_writes(run, recorder, folder):
        assert_one_sentence(said, "permission")
    assert tree(folder) == {}


@pytest.mark.parametrize("number", [errno.EACCES, errno.EROFS, errno.ENOSPC, errno.EIO])
def test_refusal_of_the_system_leaves_nothing_half_written(
    run: Run, recorder: Path, monkeypatch: pytest.MonkeyPatch, number: int
):
    target = recorder.with_name("stage.svg")
    target.write_text("the old drawing", encoding="utf-8")
    before = tree(recorder.parent)

    def refuse(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr("os.fsync", refuse)
    assert_one_sentence(run("draw", recorder, "-o", target), "stage.svg")
    assert tree(recorder.parent) == before


def test_file_in_the_way_of_a_folder(run: Run, recorder: Path):
    for said in faulty_writes(run, recorder, recorder):
        assert_one_sentence(said, "recorder.circuit")
    assert recorder.read_text(encoding="utf-8") == RECORDER


def test_drawing_into_a_folder_that_is_missing(run: Run, recorder: Path):
    target = recorder.parent / "missing" / "stage.svg"
    assert_one_sentence(run("draw", recorder, "-o", target), "missing")
    assert not target.parent.exists()


def test_drawing_over_a_folder(run: Run, recorder: Path):
    folder = recorder.with_name("stage.svg")
    folder.mkdir()
    assert_one_sentence(run("draw", recorder, "-o", folder), "folder")


def test_faulty_sheet_keeps_the_last_drawing(run: Run, recorder: Path):
    target = recorder.with_name("stage.svg")
    run("draw", recorder, "-o", target)
    kept = target.read_bytes()
    recorder.write_text(RECORDER.replace("3k3", "3kk3"), encoding="utf-8")
    assert_one_sentence(run("draw", recorder, "-o", target), "3kk3")
    assert target.read_bytes() == kept


LESSON = """\
# What the level says

```circuit
VCC = 9 V
Q1 = npn, beta 150
from VCC through RC 3k3 to Q1 collector
from Q1 collector through RB 470k to Q1 base
from Q1 emitter to ground
```

The collector current is {{I_C}}.
"""


def test_lesson_is_built_beside_its_text(run: Run, tmp_path: Path):
    lesson = tmp_path / "level.md"
    lesson.write_text(LESSON, encoding="utf-8")
    said = run("lesson", "build", lesson)
    assert (said.code, said.err) == (0, "")
    assert sorted(tree(tmp_path)) == ["level.html", "level.md", "level.pdf"]
    for name in ("level.html", "level.pdf"):
        assert str(tmp_path / name) in said.out


@pytest.mark.parametrize(("to", "names"), [("page", ["level.html"]), ("handout", ["level.pdf"])])
def test_lesson_is_built_as_asked(run: Run, tmp_path: Path, to: str, names: list[str]):
    lesson = tmp_path / "level.md"
    lesson.write_text(LESSON, encoding="utf-8")
    into = tmp_path / "out" / "deep"
    said = run("lesson", "build", lesson, "--to", to, "--into", into, "--json")
    assert said.code == 0
    assert sorted(tree(into)) == names
    data = json.loads(said.out)
    assert data["files"] == [str(into / name) for name in names]
    assert data["points"][0]["region"] == "active"


@pytest.mark.parametrize(
    ("old", "new", "needle"),
    [
        ("3k3", "3kk3", "3kk3"),
        ("{{I_C}}", "{{I_X}}", "I_X"),
        ("```circuit", "```ciruit", "ciruit"),
        ("from Q1 emitter to ground\n", "", "Q1"),
    ],
)
def test_fault_in_a_lesson_writes_nothing(
    run: Run, tmp_path: Path, old: str, new: str, needle: str
):
    lesson = tmp_path / "level.md"
    assert old in LESSON
    lesson.write_text(LESSON.replace(old, new), encoding="utf-8")
    said = run("lesson", "build", lesson, "--into", tmp_path / "out")
    assert said.code == 1
    assert "level.md, line" in said.err
    assert needle in said.err
    assert "Traceback" not in said.err
    assert sorted(tree(tmp_path)) == ["level.md"]


def test_lesson_files_that_cannot_be_read(run: Run, tmp_path: Path):
    binary = tmp_path / "photo.md"
    binary.write_bytes(bytes(range(256)))
    for path in (tmp_path, binary, tmp_path / "no.md"):
        assert_one_sentence(run("lesson", "build", path), path.name)
    assert sorted(tree(tmp_path)) == ["photo.md"]


def test_demo_ends_with_page_and_pdf_and_a_summary(process: Run, tmp_path: Path):
    into = tmp_path / "demo"
    said = process("demo", "--into", into)
    assert (said.code, said.err) == (0, "")
    pages = [path for path in into.iterdir() if path.suffix in (".html", ".pdf")]
    assert len(pages) == 2
    *_, page, pdf = said.out.splitlines()
    assert page.endswith(".html")
    assert pdf.endswith(".pdf")
    assert {page.split()[-1], pdf.split()[-1]} == {str(path) for path in pages}
    assert "active" in said.out
    again = process("demo", "--into", into)
    assert again.out == said.out


def test_drawing_carries_every_character_it_shows(run: Run, recorder: Path):
    """The font files themselves are asked, after a round through WOFF2."""
    target = recorder.with_name("stage.svg")
    run("draw", recorder, "-o", target)
    svg = target.read_text(encoding="utf-8")
    fonts = [
        TTFont(io.BytesIO(base64.b64decode(code))).getBestCmap()
        for code in re.findall(r"base64,([A-Za-z0-9+/=]+)\)", svg)
    ]
    assert len(fonts) == 3
    root = ET.fromstring(svg)  # noqa: S314
    texts = [element for element in root.iter() if element.tag.endswith("}text")]
    shown = {ord(c) for element in texts for c in "".join(element.itertext()) if c.isprintable()}
    assert ord("Ω") in shown
    assert all(any(character in font for font in fonts) for character in shown)
    assert target.stat().st_size < 60_000


def test_moving_picture_is_a_folder_of_frames(run: Run, recorder: Path):
    target = recorder.with_name("drift")
    words = ("--moving", "beta=50..300", "--frames", "3", "--width", "320")
    said = run("draw", recorder, "-o", target, *words)
    assert (said.code, said.out, said.err) == (0, f"{target}\n", "")
    frames = sorted(target.iterdir())
    assert [p.name for p in frames] == [f"frame-{k:04d}.png" for k in (1, 2, 3)]
    assert all(p.read_bytes().startswith(PNG) for p in frames)
    for wrong in (("--moving", "beta"), ("--moving", "beta=9..9"), (*words, "--load-line")):
        assert_one_sentence(run("draw", recorder, "-o", target, *wrong))
