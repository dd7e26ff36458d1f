"""Charts of ``steadypoint draw``: written whole, and faults in a sentence."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from command_runs import Run, assert_one_sentence


def svg_text(path: Path) -> str:
    return " ".join("".join(ET.fromstring(path.read_bytes()).itertext()).split())  # noqa: S314


@pytest.mark.parametrize(
    ("against", "said"),
    [
        ("beta=50..400", "against beta from 50 to 400, exact rung"),
        ("h_FE=50..400", "against beta from 50 to 400, exact rung"),
        ("Q1.beta=50..400", "against Q1.beta from 50 to 400"),
        ("temperature=-20C..80C", "from −20 °C to 80 °C, device rung"),
        ("RB=47k..4M7", "against RB from 47 kΩ to 4.7 MΩ"),
        ("VCC=5..12 V", "against VCC from 5 V to 12 V"),
    ],
)
def test_drift_chart_of_what_was_typed(run: Run, recorder: Path, against: str, said: str):
    target = recorder.with_name("drift.svg")
    done = run("draw", recorder, "--chart", "drift", "--against", against, "-o", target)
    assert (done.code, done.err) == (0, "")
    assert said in svg_text(target).replace("\u202f", " ")


@pytest.mark.parametrize(
    ("words", "needle"),
    [
        (["--chart", "drift"], "needs what runs"),
        (["--against", "beta=50..400"], "Add --chart drift"),
        (["--chart", "drift", "--against", "beta=50"], "is no range"),
        (["--chart", "drift", "--against", "beta=400..50"], "smaller to a larger"),
        (["--chart", "drift", "--against", "bta=50..400"], "Did you mean 'beta'"),
        (["--chart", "drift", "--against", "RB=1..9kk"], "--against RB=1..9kk"),
        (["--earlier", "beta=75"], "Add --load-line"),
        (["--signal-load", "1k2"], "Add --load-line"),
        (["--load-line", "--signal-load", "1kk"], "--signal-load 1kk"),
        (["--load-line", "--signal-load", "0"], "above zero"),
        (["--load-line", "--earlier", "bta=75"], "Did you mean 'beta'"),
        (["--chart", "bias-line", "--against", "beta=5..9"], "--against belongs to a drift chart"),
        (["--chart", "drift", "--load-line", "--against", "beta=5..9"], "one figure"),
    ],
)
def test_wrong_charts_are_told_in_a_sentence(
    run: Run, recorder: Path, words: list[str], needle: str
):
    target = recorder.with_name("drift.svg")
    assert_one_sentence(run("draw", recorder, "-o", target, *words), needle)
    assert not target.exists()


@pytest.mark.parametrize("suffix", ["svg", "png", "pdf"])
def test_own_colours_by_file(run: Run, recorder: Path, suffix: str):
    colours = recorder.with_name("college.toml")
    colours.write_text('based_on = "dark"\n[colours]\nvolt = "#bbccff"\n', encoding="utf-8")
    target = recorder.with_name(f"stage.{suffix}")
    done = run("draw", recorder, "--colours", colours, "-o", target)
    assert (done.code, done.err) == (0, "")
    if suffix == "svg":
        assert b"#bbccff" in target.read_bytes()


def test_wrong_colours_are_told_in_a_sentence(run: Run, recorder: Path):
    colours = recorder.with_name("college.toml")
    colours.write_text('[colours]\nvolt = "blue"\n', encoding="utf-8")
    target = recorder.with_name("stage.svg")
    assert_one_sentence(run("draw", recorder, "--colours", colours, "-o", target), "no colour")
    assert not target.exists()


def test_earlier_points_and_the_signals_line(run: Run, recorder: Path):
    target = recorder.with_name("way.svg")
    words = ("--earlier", "beta=60", "--earlier", "beta=90", "--signal-load", "1k2")
    done = run("draw", recorder, "--load-line", *words, "-o", target)
    assert (done.code, done.err) == (0, "")
    said = svg_text(target)
    assert "β 60" in said
    assert "β 90" in said
    assert "AC load line" in said


def test_bias_line_of_the_sheet(run: Run, recorder: Path):
    target = recorder.with_name("bias.svg")
    done = run("draw", recorder, "--chart", "bias-line", "--model", "device", "-o", target)
    assert (done.code, done.err) == (0, "")
    assert "Base current of Q1 against V_BE, device rung" in svg_text(target)


def test_bias_line_of_a_field_effect_sheet(run: Run, recorder: Path):
    sheet, target = recorder.with_name("jfet.circuit"), recorder.with_name("bias.svg")
    sheet.write_text(run("arrangements", "JFET self bias").out, encoding="utf-8")
    done = run("draw", sheet, "--chart", "bias-line", "-o", target)
    assert (done.code, done.err) == (0, "")
    assert "Drain current of Q1 against V_GS" in svg_text(target)


@pytest.mark.parametrize(
    "words", [["--load-line"], ["--chart", "drift", "--against", "beta=50..300"]]
)
def test_charts_of_the_second_transistor(run: Run, recorder: Path, words: list[str]):
    sheet, target = recorder.with_name("pair.circuit"), recorder.with_name("pair.svg")
    sheet.write_text(run("arrangements", "direct-coupled pair").out, encoding="utf-8")
    assert run("draw", sheet, *words, "--transistor", "Q2", "-o", target).code == 0
    assert "of Q2" in svg_text(target)
    said = run("draw", sheet, *words, "--transistor", "Q9", "-o", target)
    assert_one_sentence(said, "no transistor 'Q9'")
