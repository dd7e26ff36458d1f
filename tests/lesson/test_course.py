"""Courses: order, faults, what is built anew, glossary and search."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import html5lib
import pytest

from steadypoint.errors import LessonError, SteadypointError
from steadypoint.lesson import build_course, read_course
from steadypoint.lesson._course_terms import terms

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "examples" / "course"
FIRST = """# One

```circuit
VCC = 9 V
Q1 = npn, beta 100
from VCC through RB 820k to Q1 base
from VCC through RC 3k to Q1 collector
from Q1 emitter to ground
```

The pickup rests at {{I_C}}.
"""
SECOND = "# Two\n\n## Words only\n\nNothing is computed of the hydrophone here.\n"
COURSE = "# Both\n\n- author: A. Lecturer\n\n1. [First](a.md)\n2. [Second](b.md), needs 1\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name, text in (("a.md", FIRST), ("b.md", SECOND), ("course.md", COURSE)):
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def test_lessons_are_linked_and_take_what_the_course_states(folder: Path) -> None:
    done = build_course(folder)
    pages = {p.name: p.read_text(encoding="utf-8") for p in done.paths}
    assert list(pages) == ["index.html", "glossary.html", "search.html", "a.html", "b.html"]
    assert 'Where we go:</strong> <a href="b.html">2. Second</a>' in pages["a.html"]
    assert 'Where we were:</strong> <a href="a.html">1. First</a>' in pages["b.html"]
    assert "This was the last lesson" in pages["b.html"]
    assert all('<meta name="author" content="A. Lecturer">' in text for text in pages.values())
    for text in pages.values():  # the HTML living standard, by an independent parser
        html5lib.HTMLParser(strict=True).parse(text)


def test_every_link_leads_somewhere(folder: Path) -> None:
    pages = {p.name: p.read_text(encoding="utf-8") for p in build_course(folder).paths}
    for text in pages.values():
        for target in re.findall(r'<a[^>]* href="([^"]+)"', text):
            page, _, anchor = target.partition("#")
            where = pages[page] if page else text
            assert not anchor or f'id="{anchor}"' in where


def test_glossary_and_search_hold_what_the_lessons_say(folder: Path) -> None:
    done = build_course(folder)
    glossary, search = (p.read_text(encoding="utf-8") for p in done.paths[1:3])
    assert '<tr id="I_C">' in glossary
    assert terms()["I_C"][0] in glossary
    assert '<tr id="I_DSS">' not in glossary
    data = re.search(r'id="sections">(.*?)</script>', search, re.DOTALL)
    assert data is not None
    entries = json.loads(data[1])
    assert any("hydrophone" in e["words"] and e["page"] == "b.html#words-only" for e in entries)
    assert any("pickup rests at" in e["words"] for e in entries)


def test_only_what_changed_is_built_anew(folder: Path) -> None:
    assert build_course(folder).built == ("a.md", "b.md")
    before = {p: p.read_bytes() for p in (folder / "built").iterdir()}
    again = build_course(folder)
    assert (again.built, again.kept) == ((), ("a.md", "b.md"))
    assert {p: p.read_bytes() for p in (folder / "built").iterdir()} == before
    (folder / "b.md").write_text(SECOND.replace("hydrophone", "kalimba"), encoding="utf-8")
    assert build_course(folder).built == ("b.md",)
    (folder / "built" / "a.html").write_text("spoilt", encoding="utf-8")
    assert build_course(folder).built == ("a.md",)
    (folder / "stage.circuit").write_text("VCC = 9 V\n", encoding="utf-8")
    assert build_course(folder).built == ("a.md", "b.md")
    (folder / "built" / ".steadypoint-course.json").write_text("[]", encoding="utf-8")
    assert build_course(folder).built == ("a.md", "b.md")


def test_side_by_side_gives_the_same_bytes(folder: Path) -> None:
    alone = {p.name: p.read_bytes() for p in build_course(folder, into=folder / "one").paths}
    many = build_course(folder, into=folder / "two", workers=2, to="page,slides")
    both = {p.name: p.read_bytes() for p in many.paths}
    assert {n: d for n, d in both.items() if n in alone} == alone
    assert any("slides" in name for name in both)


@pytest.mark.parametrize(
    ("course", "sentence"),
    [
        ("No title\n", "A course begins with its title"),
        ("# T\n\nWords.\n", "A course lists its lessons"),
        ("# T\n\n1. a.md\n", "named by a link to its file"),
        ("# T\n\n1. [A](c.md)\n", "There is no file 'c.md' here. Did you mean"),
        ("# T\n\n1. [A](../a.md)\n", "outside the lesson's folder"),
        ("# T\n\n1. [A](a.md), needs 2\n2. [B](b.md)\n", "Lesson 1 cannot need lesson 2"),
        ("# T\n\n1. [A](a.md), needs 1\n", "Lesson 1 cannot need lesson 1"),
        ("# T\n\n1. [A](a.md) soon\n", "'soon' is not understood"),
        ("# T\n\n- colour: red\n\n1. [A](a.md)\n", "A course states its author"),
    ],
)
def test_faults_are_told_with_their_place(folder: Path, course: str, sentence: str) -> None:
    (folder / "course.md").write_text(course, encoding="utf-8")
    with pytest.raises(LessonError, match=re.escape(sentence)) as fault:
        read_course(folder)
    assert "course.md, line" in str(fault.value)


def test_a_fault_in_one_lesson_leaves_everything_as_it_was(folder: Path) -> None:
    build_course(folder)
    before = {p: p.read_bytes() for p in (folder / "built").iterdir()}
    (folder / "a.md").write_text(FIRST.replace("Q1 base", "Q1 bass"), encoding="utf-8")
    (folder / "b.md").write_text(SECOND + "More.\n", encoding="utf-8")
    with pytest.raises(SteadypointError):
        build_course(folder)
    assert {p: p.read_bytes() for p in (folder / "built").iterdir()} == before


def test_the_example_course_is_built_by_the_command(tmp_path: Path) -> None:
    shutil.copytree(EXAMPLE, tmp_path / "course", ignore=shutil.ignore_patterns("built"))
    done = subprocess.run(
        [sys.executable, "-m", "steadypoint", "course", "build", "course", "--json"],
        cwd=tmp_path,
        check=True,
        capture_output=True,
        text=True,
    )
    data = json.loads(done.stdout)
    assert len(data["built"]) == 8
    assert all((tmp_path / name).is_file() for name in data["files"])


def test_the_glossary_is_that_of_the_nomenclature() -> None:
    done = subprocess.run(
        [sys.executable, str(ROOT / "tools" / "glossary.py"), "--check"], check=False
    )
    assert done.returncode == 0, "run tools/glossary.py"


def test_heads_that_are_formulas_have_a_name_to_hear(folder: Path) -> None:
    """A row head of MathML alone has no text for some readers (axe-core: empty-table-header)."""
    text = FIRST + "\n```before and after\nchange: beta = 200\n```\n"
    (folder / "a.md").write_text(text, encoding="utf-8")
    pages = {p.name: p.read_text(encoding="utf-8") for p in build_course(folder).paths}
    for name in ("glossary.html", "a.html"):
        heads = re.findall(r'<th scope="row"([^>]*)>(.*?)</th>', pages[name], re.DOTALL)
        assert heads
        for attributes, content in heads:
            words = re.sub(r"<math.*?</math>|<[^>]*>", "", content, flags=re.DOTALL)
            assert words.strip() or "aria-label=" in attributes
    assert 'aria-label="I C"' in pages["glossary.html"]
