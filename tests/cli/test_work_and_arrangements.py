"""``steadypoint work`` and ``steadypoint arrangements``."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from command_runs import Run, assert_one_sentence

from steadypoint import arrangements, read_sheet
from steadypoint.cli._draw_command import Shown, Theme
from steadypoint.cli._lesson_command import OUTPUTS, Answers
from steadypoint.cli._options import Rung
from steadypoint.cli._work_command import WorkingRung
from steadypoint.solve import Model


def test_working_finds_what_the_point_finds(run: Run, recorder: Path):
    out = run("work", recorder).out
    row = next(x for x in run("point", recorder).out.splitlines() if x.startswith("Q1 npn"))
    I_C = re.findall(r"[\d.]+ mA", row)[0]
    assert I_C.replace(" ", "") in re.sub(r"\s", "", out)


def test_formats_of_the_working(run: Run, recorder: Path):
    text, markdown, latex = (
        run("work", recorder, "--format", form).out for form in ("text", "markdown", "latex")
    )
    assert "\\frac" not in text
    assert "$" in markdown
    assert "\\frac" in latex
    assert len({text, markdown, latex}) == 3
    data = json.loads(run("work", recorder, "--json").out)
    assert data == json.loads(run("work", recorder, "--format", "json").out)
    assert data["model"] == "exact"
    results = {
        s["result"]["symbol"]: s["result"]["value"] for s in data["steps"] if s.get("result")
    }
    point = json.loads(run("point", recorder, "--json").out)
    assert results["I_C"] == pytest.approx(point["transistors"]["Q1"]["I_C"], rel=1e-6)


def test_board_and_exact_differ(run: Run, recorder: Path):
    board = run("work", recorder, "--model", "board").out
    assert board != run("work", recorder, "--model", "exact").out


@pytest.mark.parametrize("one", arrangements(), ids=lambda one: one.name)
def test_arrangement_prints_its_sheet(run: Run, one):
    said = run("arrangements", one.name)
    assert said.code == 0
    assert read_sheet(said.out) == one.circuit


def test_arrangements_are_listed_in_the_order_of_teaching(run: Run):
    lines = run("arrangements").out.splitlines()
    numbers = [int(m[1]) for line in lines if (m := re.match(r" *(\d+)  ", line))]
    assert numbers == sorted(numbers)
    assert len(numbers) == len(arrangements())
    data = json.loads(run("arrangements", "--json").out)
    assert [one["name"] for one in data] == [one.name for one in arrangements()]
    assert all(one["good_at"] and one["bad_at"] for one in data)


def test_arrangement_feeds_point_through_a_pipe(process: Run):
    sheet = process("arrangements", "voltage divider").out
    assert process("point", "-", stdin=sheet.encode()).code == 0


def test_unknown_arrangement_is_suggested(run: Run):
    assert_one_sentence(run("arrangements", "voltage devider"), "voltage divider")


@pytest.mark.parametrize("name", ["", "../../etc/passwd", "\N{SNOWMAN}", "x" * 10_000])
def test_silly_names_of_arrangements(run: Run, name: str):
    said = run("arrangements", name)
    assert said.code == 1
    assert len(said.err) < 900


def test_choices_of_the_options_are_those_of_the_layers():
    from steadypoint.draw import _schematic
    from steadypoint.lesson import _outputs, outputs
    from steadypoint.publish import THEMES

    assert [r.value for r in Rung] == [m.value for m in Model]
    assert {r.value for r in WorkingRung} < {m.value for m in Model}
    assert {t.value for t in Theme} == set(THEMES)
    assert {s.value for s in Shown} - {"nothing", "changes"} == set(_schematic.SHOWN)
    assert OUTPUTS.split(", ") == [o.name for o in outputs()]
    assert [a.value for a in Answers] == list(_outputs.ANSWERS)


def test_chain_to_one_quantity_is_shorter(run: Run, recorder: Path):
    whole, chain = run("work", recorder).out, run("work", recorder, "--find", "I_B").out
    assert 0 < len(chain) < len(whole)
    assert_one_sentence(run("work", recorder, "--find", "I_Q"))


def test_resistor_for_a_wanted_current(run: Run, tmp_path: Path):
    sheet = tmp_path / "kalimba.circuit"
    sheet.write_text(
        "VCC = 12 V\nQ1 = npn\nfrom VCC through RB 470k to Q1 base\n"
        "from VCC through RC 2k2 to Q1 collector\nfrom Q1 emitter to ground\n"
    )
    data = json.loads(run("work", sheet, "--find", "RB", "--for", "Q1.I_C=2mA", "--json").out)
    found = {s["result"]["symbol"]: s["result"]["value"] for s in data["steps"] if s["result"]}
    assert found["RB"] == pytest.approx(565e3)  # (12 V - 0.7 V)/20 µA
    for wrong in (
        ["--find", "RB"],
        ["--for", "I_C=2mA"],
        ["--find", "RB", "--for", "I_C"],
        ["--find", "RB", "--for", "I_C=2V"],
        ["--find", "RB", "--for", "I_C=2mA", "--model", "board"],
    ):
        assert_one_sentence(run("work", sheet, *wrong))


def test_second_way(run: Run, tmp_path: Path):
    sheet = tmp_path / "kalimba.circuit"
    sheet.write_text(
        "VCC = 12 V\nQ1 = npn\nfrom VCC through RB 470k to Q1 base\n"
        "from VCC through RC 2k2 to Q1 collector\nfrom Q1 emitter to ground\n"
    )
    assert "Node equations" in run("work", sheet, "--way", "nodes").out
    assert_one_sentence(run("work", sheet, "--way", "nodes", "--model", "board"))
    assert "Take the transistor out" in run("work", sheet, "--way", "thevenin").out
    assert_one_sentence(run("work", sheet, "--way", "thevenin", "--model", "board"))
    assert run("work", sheet, "--model", "board", "--budget", "8").out
    assert_one_sentence(run("work", sheet, "--budget", "8"))
