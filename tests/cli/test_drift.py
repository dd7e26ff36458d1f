"""``steadypoint drift``."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from command_runs import Run, assert_one_sentence

from steadypoint import before_and_after, load_sheet, stability
from steadypoint.circuit import arrangement, write_sheet


def written(tmp_path: Path, name: str) -> Path:
    sheet = tmp_path / "stage.circuit"
    sheet.write_text(write_sheet(arrangement(name).circuit), encoding="utf-8")
    return sheet


def test_without_options_factors_and_what_moves_most(run: Run, recorder: Path):
    out = run("drift", recorder).out
    assert "S(I_CO)" in out
    assert "(β + 1)" in out
    assert "moves Q1.I_C most" in out
    data = json.loads(run("drift", recorder, "--json").out)
    found = stability(load_sheet(recorder))[0]
    assert data["stability"]["Q1"]["S_ICO"] == pytest.approx(found.factors["S_ICO"])
    assert data["stability"]["Q1"]["return_ratio"] == pytest.approx(found.return_ratio)
    assert set(data["stability"]["Q1"]) >= {"S_ICO", "S_VBE", "S_beta", "return_ratio"}


def test_changes(run: Run, recorder: Path):
    done = run("drift", recorder, "--change", "beta x2", "--change", "RB /10, T 25..65")
    assert done.out.count("of the value before") == 2
    assert "device model" in done.out
    data = json.loads(run("drift", recorder, "--change", "beta x2", "--json").out)["changes"]
    found = before_and_after(load_sheet(recorder), "beta x2")
    assert data[0]["change"] == "beta x2"
    assert data[0]["percent"]["Q1.I_C"] == pytest.approx(found.moved[0].percent)
    assert set(data[0]) >= {"change", "before", "after", "percent"}


def test_temperature_runs_in_celsius_and_may_begin_below_zero(run: Run, recorder: Path):
    out = run("drift", recorder, "--temperature", "-20..70").out
    assert "−20 °C" in out
    assert "dP/dT_J" in out
    data = json.loads(run("drift", recorder, "--temperature", "-20C..70C", "--json").out)
    assert data["temperature"]["temperatures"][0] == pytest.approx(253.15)
    assert "Q1" in data["runaway"]


def test_self_heating(run: Run, recorder: Path):
    heated = ("--temperature", "0..50", "--self-heating")
    assert_one_sentence(run("drift", recorder, *heated), "thermal resistance")
    out = run("drift", recorder, *heated, "--set", "Q1.R_thJA=200K/W").out
    assert "Air" in out
    assert "R_thJA · dP/dT_J" in out or "cannot run away" in out


def test_worst_case(run: Run, recorder: Path):
    limits = ("--tolerance", "--resistors", "5%", "--vary", "beta 100..400")
    out = run("drift", recorder, *limits).out
    assert "Proved" in out
    assert "β least" in out
    data = json.loads(run("drift", recorder, *limits, "--json").out)["worst_case"]
    assert set(data["Q1.I_C"]) >= {"low", "high", "corner_low", "corner_high"}
    assert data["Q1.I_C"]["corner_low"]["beta"] == 100.0
    assert data["Q1.I_C"]["corner_low"]["RB"] == pytest.approx(470e3 * 1.05)


def test_pnp_has_signs_in_json_and_magnitudes_in_tables(run: Run, tmp_path: Path):
    sheet = written(tmp_path, "pnp voltage divider")
    limits = ("--tolerance", "--resistors", "5%", "--spread", "2000")
    data = json.loads(run("drift", sheet, *limits, "--json").out)
    for found in (data["worst_case"]["Q1.V_CE"], data["spread"]["quantities"]["Q1.V_CE"]):
        assert found["low"] < found["high"] < 0.0
    out = run("drift", sheet, *limits).out
    assert "Q1 V_EC" in out
    assert "V_CE" not in out
    assert "−" not in out.partition("2,000 copies")[2]


def test_copies(run: Run, recorder: Path):
    asked = ("--spread", "3000", "--vary", "beta 100..400 log-normal", "--seed", "7")
    first, second = (json.loads(run("drift", recorder, *asked, "--json").out) for _ in range(2))
    assert first == second
    assert first["spread"]["n"] == 3000
    assert "100 % active" in run("drift", recorder, *asked).out


@pytest.mark.parametrize("name", ["JFET self bias", "MOSFET divider bias"])
def test_field_effect_transistors(run: Run, tmp_path: Path, name: str):
    sheet = written(tmp_path, name)
    assert "field-effect" in run("drift", sheet).out
    out = run("drift", sheet, "--tolerance", "--resistors", "5%").out
    assert "not proved" in out
    assert run("drift", sheet, "--temperature", "0..60", "--change", "T 25..65").code == 0
    copies = run("drift", sheet, "--spread", "100", "--resistors", "5%")
    assert "Q1 I_D" in copies.out
    assert_one_sentence(run("drift", sheet, "-o", tmp_path / "x.svg"), "bipolar")


@pytest.mark.parametrize(
    "asked",
    [
        ("--change", "beta x2"),
        ("--temperature", "-20..70"),
        ("--spread", "2000", "--resistors", "5%"),
        ("--tolerance", "--resistors", "5%", "--vary", "beta 100..400"),
        (),
    ],
)
def test_pictures(run: Run, recorder: Path, tmp_path: Path, asked: tuple[str, ...]):
    target = tmp_path / "drift.svg"
    assert run("drift", recorder, *asked, "-o", target).code == 0
    assert ET.fromstring(target.read_text(encoding="utf-8")).tag.endswith("svg")  # noqa: S314


REFUSED = [
    (("--change", "bta x2"), "Did you mean 'beta'"),
    (("--change", "beta"), "--change beta"),
    (("--temperature", "50"), "is no range"),
    (("--temperature", "70..-20"), "colder"),
    (("--temperature", "a..b"), "--temperature a..b"),
    (("--tolerance",), "states no tolerance"),
    (("--vary", "beta 100..400"), "Add --tolerance"),
    (("--tolerance", "--vary", "beta 400..100"), "no range"),
    (("--tolerance", "--resistors", "x"), "--resistors x"),
    (("--self-heating",), "needs --temperature"),
    (("--change", "beta x2", "--temperature", "0..50", "-o", "x.svg"), "holds one figure"),
    (("--change", "beta x2", "-o", "x.txt"), "Ends? it in|End it in"),
    (("--change", "beta x2", "-o", "x.svg", "--json"), "holds no JSON"),
    (("--quantity", "Q9.I_C"), "no quantity"),
]


@pytest.mark.parametrize(("asked", "said"), REFUSED, ids=[" ".join(a) for a, _ in REFUSED])
def test_refusals(run: Run, recorder: Path, asked: tuple[str, ...], said: str):
    done = run("drift", recorder, *asked)
    assert_one_sentence(done, said.partition("|")[2] or said)


def test_window_what_to_tighten_and_quoted_uncertainty(run: Run, recorder: Path):
    asked = ("--spread", "3000", "--resistors", "5%", "--window", "Q1.V_CE 3V..6V")
    out = run("drift", recorder, *asked).out
    assert "with 95 % confidence" in out
    assert "(k = 2)" in out
    data = json.loads(run("drift", recorder, *asked, "--json").out)
    one = data["spread"]["yields"][0]
    assert one["interval"][0] <= one["share"] <= one["interval"][1]
    assert one["share"] == pytest.approx(one["inside"] / 3000)
    shares = data["spread"]["variance_shares"]
    assert sum(s["first"] for s in shares.values()) == pytest.approx(1.0, abs=0.05)
    quoted = data["spread"]["uncertainty"]["Q1.I_C"]
    assert quoted["expanded"] == pytest.approx(2.0 * quoted["combined"])
    assert "Q1" in data["stability"]


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (("--window", "Q1.V_CE 3V..6V"), "Add --spread"),
        (("--spread", "100", "--resistors", "5%", "--window", "Q1.V_CE"), "no window"),
        (("--spread", "100", "--resistors", "5%", "--window", "Q1.V_CD 3V..6V"), "Did you mean"),
        (("--spread", "100", "--resistors", "5%", "--window", "Q1.V_CE 6V..3V"), "lower limit"),
    ],
)
def test_windows_that_say_nothing(run: Run, recorder: Path, asked, words):
    done = run("drift", recorder, *asked)
    assert_one_sentence(done)
    assert words in done.err


def test_copies_of_a_field_effect_circuit(run: Run, tmp_path: Path):
    sheet = written(tmp_path, "JFET self bias")
    out = run("drift", sheet, "--spread", "500", "--vary", "I_DSS 4mA..12mA").out
    assert "Q1 I_D" in out
    assert "saturation" in out
