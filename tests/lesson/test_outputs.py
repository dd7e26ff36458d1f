"""Outputs of a lesson: their register, their names, where answers stand, the same bytes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from steadypoint.errors import UnknownNameError
from steadypoint.lesson import (
    BuildOptions,
    build_demo,
    build_lesson,
    demo_files,
    lesson_html,
    lesson_pdf,
    outputs,
    parse_lesson,
)
from steadypoint.lesson._outputs import chosen_outputs

DOCS = Path(__file__).resolve().parents[2] / "docs"
SHEET = """VCC = 9 V
Q1 = npn, beta 120
from VCC through RC 3k3 to Q1 collector
from Q1 collector through RB 470k to Q1 base
from Q1 emitter to ground
"""
LESSON = (
    f"# Level stage\n\n```circuit\n{SHEET}```\n\n```exercise\nask: I_C\n\nFind it.\n```\n\n"
    "```exercise\nask: V_CE\nchange: beta = 200\n\nAnd now?\n```\n"
)


def test_every_output_is_documented() -> None:
    text = (DOCS / "lesson.md").read_text(encoding="utf-8")
    for output in outputs():
        assert re.search(rf"^\| `{output.name}` \| `{re.escape(output.suffix)}", text, re.M)
        assert output.help in text


def test_words_choose_outputs_in_the_order_of_the_register() -> None:
    assert [o.name for o in chosen_outputs(None)] == ["page", "handout"]
    assert [o.name for o in chosen_outputs("handout,page")] == ["page", "handout"]
    assert [o.name for o in chosen_outputs(["Handout ", "page"])] == ["page", "handout"]
    assert chosen_outputs(["page", "all"]) == outputs()


@pytest.mark.parametrize(
    ("words", "needle"),
    [("handuot", "Did you mean 'handout'"), ("zzz", "Choose page, "), (",", "Name an output")],
)
def test_unknown_output_is_told(words: str, needle: str) -> None:
    with pytest.raises(UnknownNameError, match=needle):
        chosen_outputs(words)


def test_same_lesson_same_bytes() -> None:
    for output in outputs():
        first, second = (output.build(parse_lesson(LESSON), BuildOptions()) for _ in range(2))
        assert first == second, output.name
        assert first
        assert all(end.startswith(output.suffix.split(".")[0]) for end in first)


def test_answers_on_the_page() -> None:
    document = parse_lesson(LESSON)
    folded = lesson_html(document)
    assert folded.count("<details><summary>") == 2
    assert lesson_html(document, answers="with").count("<details open><summary>") == 2
    held = lesson_html(document, answers="without")
    assert "<details" not in held
    assert "Answer" not in held
    apart = lesson_html(document, answers="apart")
    assert "<details" not in apart
    assert apart.index('<h2 id="answers">') > apart.index('id="exercise-2"')
    with pytest.raises(UnknownNameError, match="with, without or apart"):
        lesson_html(document, answers="sometimes")


def test_files_go_where_asked(tmp_path: Path) -> None:
    for name, data in demo_files().items():
        (tmp_path / name).write_bytes(data)
    built = build_lesson(tmp_path / "first-lesson.md", to="all", into=tmp_path / "out")
    assert set(built.kinds) == {o.name for o in outputs()}
    assert all(path.is_file() for path in built.paths)
    assert build_demo(tmp_path / "demo").kinds == ("lesson", "sheet", "page", "handout")


def test_the_handout_is_for_everybody_and_for_archives() -> None:
    """Conformance as its metadata claim it; typst itself refuses to write what would break it.

    ISO 14289-1 (PDF/UA-1), ISO 19005-2 (PDF/A-2a).
    """
    import io

    import pikepdf

    document = parse_lesson("# One\n\n- language: en\n\n```circuit\narrangement: base bias\n```\n")
    with pikepdf.open(io.BytesIO(lesson_pdf(document))) as pdf, pdf.open_metadata() as metadata:
        assert metadata.pdfa_status == "2A"
        assert metadata["pdfuaid:part"] == "1"
        assert pdf.Root.MarkInfo.Marked
        assert str(pdf.Root.Lang) == "en"
        assert pdf.Root.ViewerPreferences.DisplayDocTitle
