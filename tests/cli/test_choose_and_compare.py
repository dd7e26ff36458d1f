"""``steadypoint choose`` and ``steadypoint compare``."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from command_runs import Run, assert_one_sentence

from steadypoint import load_sheet
from steadypoint.values import is_in_series

ASKED = ("choose", "voltage divider", "--supply", "9V", "--collector-current", "1mA")


def test_sets_as_table_sheets_and_json(run: Run, tmp_path: Path):
    done = run(*ASKED, "--sets", "2", "-o", tmp_path)
    assert done.code == 0
    assert "Proved on the hand rung" in done.out
    circuit = load_sheet(tmp_path / "set-1.circuit")
    data = json.loads(run(*ASKED, "--sets", "2", "--front", "--verify", "--json").out)
    assert data["certificate"]["optimal"]
    assert data["certificate"]["gap"] == 0.0
    assert data["verified"]["valid"]
    for name, ohms in data["sets"][0]["values"].items():
        assert is_in_series(ohms, "E24")
        assert circuit.part(name).value.value == pytest.approx(ohms)
    spreads = [one["worst_spread"] for one in data["front"]]
    assert spreads == sorted(spreads, reverse=True)


def test_impossible_wish_ends_with_one_and_says_why(run: Run):
    asked = ("choose", "collector feedback", "--collector-current", "1mA", "--within", "10%")
    done = run(*asked)
    assert done.code == 1
    assert "contradict each other" in done.out
    assert "is its best" in done.out
    data = run(*asked, "--json")
    assert data.code == 1
    assert json.loads(data.out)["sets"] == []


@pytest.mark.parametrize(
    "asked",
    [
        ("choose", "voltage devider", "--collector-current", "1mA"),
        ("choose", "voltage divider", "--collector-current", "much"),
        ("choose", "voltage divider", "--collector-current", "1mA", "--beta", "400..100"),
        ("choose", "voltage divider", "--collector-current", "1mA", "--supply", "-9V"),
        ("choose", "JFET self bias", "--collector-current", "1mA"),
        ("compare", "current mirror"),
        ("compare", "base bias", "-o", "picture.doc"),
    ],
)
def test_faults_are_one_sentence(run: Run, asked):
    assert_one_sentence(run(*asked))


def test_readable_values(run: Run):
    asked = (*ASKED, "--beta", "100", "--series", "E6", "--readable", "middle", "--json")
    data = json.loads(run(*asked).out)
    assert all(sum(one["digits"].values()) <= 9 for one in data)


def test_compare_as_table_picture_and_json(run: Run, tmp_path: Path):
    names = ("base bias", "voltage divider")
    picture = tmp_path / "compared.svg"
    done = run("compare", *names, "--supply", "9V", "-o", picture)
    assert "take the voltage divider" in done.out
    assert "<svg" in picture.read_text(encoding="utf-8")
    data = json.loads(run("compare", *names, "--supply", "9V", "--json").out)
    assert data["recommended"] == "voltage divider"
    assert [c["name"] for c in data["contenders"]] == list(names)


def test_front_is_drawn_and_its_sets_written(run: Run, tmp_path: Path):
    done = run(*ASKED, "--sets", "1", "--front-chart", tmp_path / "front.svg", "-o", tmp_path)
    assert done.code == 0
    numbers = (tmp_path / "front.svg").read_text(encoding="utf-8").count("data-set=")
    assert numbers >= 2
    assert len(list(tmp_path.glob("front-*.circuit"))) == numbers
    assert_one_sentence(run(*ASKED, "--front-chart", tmp_path / "front.doc"), ".svg")


def test_limits_and_series_of_single_parts(run: Run):
    limits = ("--input-resistance", "1.5k", "--most-power", "5mW", "--series-of", "RE=E96")
    data = json.loads(run(*ASKED, "--supply", "12V", *limits, "--sets", "1", "--json").out)
    assert is_in_series(data["sets"][0]["values"]["RE"], "E96")
    assert data["sets"][0]["point"]["transistors"]["Q1"]["P"] <= 5e-3
    assert_one_sentence(run(*ASKED, "--series-of", "RE"), "RE=E96")
    assert_one_sentence(run(*ASKED, "--series-of", "RX=E96"), "RX")
