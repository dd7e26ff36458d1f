"""Cross-references, numbered equations, sections under a change, reveal and speaker's notes."""

from __future__ import annotations

import pytest

from steadypoint.circuit import apply_setting, read_sheet
from steadypoint.errors import LessonError
from steadypoint.lesson import lesson_html, lesson_pdf, parse_lesson
from steadypoint.lesson._tree import Assumed, Equation, Paragraph, Reveal, plain
from steadypoint.solve import operating_point
from steadypoint.values import format_quantity

SHEET = """VCC = 9 V
Q1 = npn, beta 120
from VCC through RC 3k3 to Q1 collector
from Q1 collector through RB 470k to Q1 base
from Q1 emitter to ground
"""
OPENING = f"# T\n\n```circuit\nname: stage\n\n{SHEET}```\n\n"


def paragraphs(text: str) -> list[str]:
    blocks = parse_lesson(OPENING + text).blocks
    return [plain(b.content) for b in blocks if isinstance(b, Paragraph)]


def current(*settings: str) -> str:
    circuit = read_sheet(SHEET)
    for setting in settings:
        circuit = apply_setting(circuit, setting)
    return format_quantity(operating_point(circuit).transistors["Q1"].I_C, "A")


def test_references_lead_forward_and_back() -> None:
    text = (
        "{{figure stage}}, {{figure swing}}, {{equation V_CE}}, {{exercise first}}; on.\n\n"
        "```load line\nname: swing\n```\n\n```equation\nfor: V_CE\n```\n\n"
        "```exercise\nname: first\nask: I_C\n\nFind.\n```\n"
    )
    assert paragraphs(text)[0] == "Figure 1, Figure 2, equation (1), Exercise 1; on."
    page = lesson_html(parse_lesson(OPENING + text))
    for anchor in ("figure-1", "figure-2", "equation-1", "exercise-1"):
        assert f'href="#{anchor}"' in page
        assert page.count(f'id="{anchor}"') == 1
    assert lesson_pdf(parse_lesson(OPENING + text)).startswith(b"%PDF")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("{{figure stagge}}", "No figure is called 'stagge'. Did you mean 'stage'?"),
        ("{{equation I_C}}", "No equation is called 'I_C'. Give one a 'name:' first."),
        ("```equation\nfor: I_X\n```", "The working has no equation for 'I_X'."),
        ("```equation\n```", "Name a quantity."),
        (
            "```load line\nname: stage\n```",
            "Two figures are called 'stage'. Give each a name of its own.",
        ),
        ("```reveal\nlabel: Why?\n```", "Nothing is revealed here."),
        ("```note for the speaker\n```", "This note is empty."),
        ("## A\n\n- change: beta = 120", "This change leaves the circuit as it was."),
        ("## A\n\n- change: betta = 120", "betta"),
        ("## A\n\n- change: beta = 90\n- circit: stage", "not 'circit'. Did you mean 'circuit'?"),
    ],
)
def test_wrong_names_are_told(text: str, sentence: str) -> None:
    with pytest.raises(LessonError) as caught:
        parse_lesson(OPENING + text)
    assert sentence in str(caught.value)
    assert "line" in str(caught.value)


def test_a_section_keeps_its_change() -> None:
    text = (
        "{{I_C}}\n\n## Another\n\n- change: beta = 200\n\n{{I_C}}\n\n### Warm\n\n"
        "- change: V_BE = 0.6\n\n{{I_C of stage}}\n\n## Back\n\n{{I_C}}\n"
    )
    was, two, three = current(), current("beta=200"), current("beta=200", "V_BE=0.6")
    assert len({was, two, three}) == 3
    assert paragraphs(text) == [was, two, three, was]
    document = parse_lesson(OPENING + text)
    assumed = [b for b in document.blocks if isinstance(b, Assumed)]
    assert [plain([a.changes[0].letter]) for a in assumed] == ["β", "VBE"]
    assert "In this section" in lesson_html(document)


def test_an_ordinary_list_below_a_heading_stays_a_list() -> None:
    page = lesson_html(parse_lesson(OPENING + "## A\n\n- one: two\n- change: beta = 90\n"))
    assert "In this section" not in page


def test_equation_is_that_of_the_working() -> None:
    text = "```equation\nfor: I_C\n```\n\n```equation\nfor: V_CE\nshow: numbers\nname: v\n```\n"
    equations = [b for b in parse_lesson(OPENING + text).blocks if isinstance(b, Equation)]
    assert [e.number for e in equations] == [1, 2]
    assert equations[0].line.result is None
    assert equations[1].line.result is not None


def test_reveal_opens_on_the_page_and_notes_stay_away() -> None:
    text = (
        "```reveal\nlabel: Why does it hold?\n\nBecause {{I_C}} flows.\n```\n\n"
        "```note for the speaker\nWait for an answer.\n```\n"
    )
    document = parse_lesson(OPENING + text)
    assert isinstance(document.blocks[1], Reveal)
    page = lesson_html(document)
    assert "<summary><span>Why does it hold?</span></summary>" in page
    assert "Wait for" not in page
    assert lesson_pdf(document).startswith(b"%PDF")
