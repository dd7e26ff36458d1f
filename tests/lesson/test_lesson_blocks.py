"""What the blocks bring, and that the documentation knows every one of their options."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from steadypoint.circuit import apply_setting, read_sheet
from steadypoint.derive import derive
from steadypoint.lesson import BLOCKS, build_lesson, lesson_html, parse_lesson
from steadypoint.lesson._tree import (
    Aside,
    Comparison,
    Exercise,
    Figure,
    PointCard,
    Steps,
    Table,
    plain,
)
from steadypoint.solve import operating_point
from steadypoint.values import format_quantity

DOCS = Path(__file__).parents[2] / "docs" / "lesson.md"
SHEET = """VCC = 9 V
Q1 = npn, beta 120
from VCC through RB 560k to Q1 base
from VCC through RC 2k7 to Q1 collector
from Q1 emitter to ground
"""
BASE = "# T\n\n```circuit\nname: stage\n\n" + SHEET + "```\n\n"


def last(text: str, opening: str = BASE):
    return parse_lesson(opening + text + "\n").blocks[-1]


@pytest.mark.parametrize("name", sorted(BLOCKS))
def test_every_option_is_documented(name: str) -> None:
    text = DOCS.read_text(encoding="utf-8")
    part = re.split(r"^### ", text, flags=re.MULTILINE)
    section = next(p for p in part if p.startswith(f"`{name}`"))
    documented = re.findall(r"^\| `([^`]+)` \|", section, re.MULTILINE)
    assert sorted(documented) == sorted(BLOCKS[name].options)


def test_the_circuit_block_shows_the_point() -> None:
    figure = parse_lesson(BASE).blocks[0]
    assert isinstance(figure, Figure)
    card = figure.content[1]
    assert isinstance(card, PointCard)
    assert card.region == "Active"
    point = operating_point(read_sheet(SHEET)).transistors["Q1"]
    values = {r.letter.sub or r.letter.base: r.amount for r in card.readings}
    for key, value, unit in (
        ("C", point.I_C, "A"),
        ("CE", point.V_CE, "V"),
        ("B", point.I_B, "A"),
        ("P", point.P, "W"),
    ):
        shown = f"{values[key].number}\u202f{values[key].unit}"
        assert shown == format_quantity(value, unit)


def test_a_sheet_file_gives_the_same_as_an_inline_sheet(tmp_path: Path) -> None:
    (tmp_path / "stage.circuit").write_text(SHEET, encoding="utf-8")
    text = "# T\n\n```circuit\nname: stage\nfile: stage.circuit\n```\n"
    assert lesson_html(parse_lesson(text, folder=tmp_path)) == lesson_html(parse_lesson(BASE))


def test_the_working_is_the_derivation() -> None:
    steps = last("```working\nrung: exact\n```")
    derivation = derive(read_sheet(SHEET), "exact")
    assert isinstance(steps, Steps)
    assert [s.heading for s in steps.steps] == [s.heading for s in derivation]
    part = last("```working\nsteps: 2 to 3\nchange: beta = 90\n```")
    assert part.start == 2
    assert len(part.steps) == 2


def test_before_and_after_names_the_base_of_its_percentage() -> None:
    block = last("```before and after\nchange: beta = 150\n```")
    assert isinstance(block, Comparison)
    before = operating_point(read_sheet(SHEET)).transistors["Q1"]
    changed = apply_setting(read_sheet(SHEET), "beta=150")
    after = operating_point(changed).transistors["Q1"]
    sentence = plain(block.content[0].content)
    was, now = format_quantity(before.I_C, "A"), format_quantity(after.I_C, "A")
    share = f"{100 * (after.I_C / before.I_C - 1):.0f}\u202f%"
    assert f"rises from {was} to {now}, {share} of {was}" in sentence
    assert "The transistor stays active." in sentence
    table = block.content[1]
    assert isinstance(table, Table)
    assert [plain(row[0]) for row in table.rows] == ["IC", "VCE", "IB", "P", "region"]
    assert plain(table.rows[2][3]) == "±0\u202f%"


def test_before_and_after_says_when_the_region_changes() -> None:
    block = last("```before and after\nchange: beta = 240\nshow: table\n```")
    assert "The transistor is now saturated." in plain(block.content[0].content)
    assert plain(block.content[1].rows[-1][3]) == "changed"


@pytest.mark.parametrize(
    ("change", "letter"),
    [("VCC = 12", "VCC"), ("RC = 3k3", "RC"), ("beta = 80", "β"), ("V_BE = 0.65", "VBE")],
)
def test_anything_can_change(change: str, letter: str) -> None:
    block = last(f"```before and after\nchange: {change}\nshow: table\n```")
    assert plain([block.changes[0].letter]) == letter


def test_an_exercise_has_its_key() -> None:
    block = last(
        "```exercise\nask: I_C, V_CE, region\nchange: RB = 680k\nmarks: 4\n\nRB is {{RB}}.\n```"
    )
    assert isinstance(block, Exercise)
    point = operating_point(apply_setting(read_sheet(SHEET), "RB=680k")).transistors["Q1"]
    assert plain(block.question[0].content) == "RB is 680\u202fkΩ."
    assert plain(block.asked) == "IC, VCE and the region of operation"
    answer = plain(block.key[0].content)
    assert format_quantity(point.I_C, "A") in answer
    assert format_quantity(point.V_CE, "V") in answer
    assert answer.endswith("and the transistor is active.")
    assert isinstance(block.key[1], Steps)
    # The key ends where the question ends: the discussion after the check was not asked for.
    headings = [step.heading for step in block.key[1].steps]
    whole = [step.heading for step in derive(read_sheet(SHEET))]
    assert headings == whole[: len(headings)]
    assert headings[-1].startswith("Check")


def test_a_quotation_becomes_a_note_or_a_caution() -> None:
    assert last("> **Note.** Words.").kind == "note"
    assert last("> **Caution.** Words.") == Aside("caution", last("> **Caution.** Words.").content)
    assert not isinstance(last("> Words **Note.**"), Aside)


def test_a_warning_of_the_solver_is_shown() -> None:
    sheet = SHEET.replace("VCC = 9 V", "VCC = 90 V").replace("2k7", "27k")
    page = lesson_html(parse_lesson("# T\n\n```circuit\n\n" + sheet + "```\n"))
    point = operating_point(read_sheet(sheet))
    shown = [w for w in point.warnings if "no path" not in w]
    assert shown, "a supply over 60 V earns a caution"
    assert all(w.split(".")[0][:30] in page for w in shown)


def test_outputs_can_be_chosen(tmp_path: Path) -> None:
    file = tmp_path / "lesson.md"
    file.write_text(BASE, encoding="utf-8")
    assert [p.name for p in build_lesson(file, to="page").paths] == ["lesson.html"]
    built = build_lesson(file, to="handout", into=tmp_path / "new" / "folder")
    assert built.paths == (tmp_path / "new" / "folder" / "lesson.pdf",)
    assert built.summary[0]["region"] == "active"
