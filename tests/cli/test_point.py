"""``steadypoint point``: figures, signs as lecturers write them, JSON, and bad input."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import pytest
from command_runs import RECORDER, Run, assert_one_sentence

MIRROR = """\
title: Kiln guard, pnp stage
VCC = 9 V
Q1 = pnp, beta 150
from Q1 collector through RC 3k3 to ground
from Q1 collector through RB 470k to Q1 base
from Q1 emitter through RE 560 to VCC
"""


def by_hand() -> tuple[float, float]:
    """Collector-feedback stage with an emitter resistor, from Kirchhoff's laws alone.

    V_CC = (I_C + I_B) R_C + I_B R_B + V_BE + (I_C + I_B) R_E with I_C = beta I_B.
    """
    beta, V_CC, V_BE, R_C, R_B, R_E = 150.0, 9.0, 0.7, 3300.0, 470e3, 560.0
    I_B = (V_CC - V_BE) / (R_B + (beta + 1) * (R_C + R_E))
    return beta * I_B, V_CC - (beta + 1) * I_B * (R_C + R_E)


def test_json_holds_si_values(run: Run, recorder: Path):
    said = run("point", recorder, "--json")
    assert said.code == 0
    data = json.loads(said.out)
    I_C, V_CE = by_hand()
    assert data["transistors"]["Q1"]["I_C"] == pytest.approx(I_C, rel=1e-9)
    assert data["transistors"]["Q1"]["V_CE"] == pytest.approx(V_CE, rel=1e-9)
    assert data["transistors"]["Q1"]["region"] == "active"
    assert data["temperature"] == pytest.approx(298.15)
    assert set(data) == {
        "model",
        "temperature",
        "supplies",
        "nodes",
        "parts",
        "transistors",
        "fets",
        "warnings",
    }


def test_table_shows_three_digits_of_what_the_hand_finds(run: Run, recorder: Path):
    I_C, V_CE = by_hand()
    out = run("point", recorder).out
    row = next(line for line in out.splitlines() if line.startswith("Q1 npn"))
    assert f"{1e3 * I_C:.3g} mA" in row
    assert f"{V_CE:.3g} V" in row
    assert "active" in row
    assert out.startswith("Field recorder, microphone stage\nModel exact, 25 °C\n")


def test_pnp_is_shown_in_magnitudes_and_kept_signed_in_json(run: Run, tmp_path: Path):
    sheet = tmp_path / "kiln.circuit"
    sheet.write_text(MIRROR, encoding="utf-8")
    I_C, V_CE = by_hand()
    out = run("point", sheet).out
    assert "V_EC" in out
    assert "V_CE" not in out
    row = next(line for line in out.splitlines() if line.startswith("Q1 pnp"))
    assert f"{1e3 * I_C:.3g} mA" in row
    assert "-" not in row
    assert "−" not in row
    data = json.loads(run("point", sheet, "--json").out)
    assert data["transistors"]["Q1"]["I_C"] == pytest.approx(-I_C, rel=1e-9)
    assert data["transistors"]["Q1"]["V_CE"] == pytest.approx(-V_CE, rel=1e-9)


def test_currents_of_parts_are_positive_in_the_direction_shown(run: Run, tmp_path: Path):
    forwards, backwards = tmp_path / "a.circuit", tmp_path / "b.circuit"
    forwards.write_text(RECORDER, encoding="utf-8")
    turned = RECORDER.replace(
        "from VCC through RC 3k3 to Q1 collector", "from Q1 collector through RC 3k3 to VCC"
    )
    assert turned != RECORDER
    backwards.write_text(turned, encoding="utf-8")
    rows = [
        re.sub(r" +", " ", next(x for x in run("point", s).out.splitlines() if x.startswith("RC")))
        for s in (forwards, backwards)
    ]
    assert rows[0] == rows[1]
    assert "VCC Q1.collector" in rows[0]
    assert "−" not in rows[0]


def test_settings_change_the_circuit_in_order(run: Run, recorder: Path):
    data = json.loads(run("point", recorder, "--set", "beta=300", "--set", "RB=470k", "--json").out)
    beta = data["transistors"]["Q1"]["I_C"] / data["transistors"]["Q1"]["I_B"]
    assert beta == pytest.approx(300, rel=1e-9)
    assert recorder.read_text(encoding="utf-8") == RECORDER, "the sheet itself stays"


def test_sheet_from_standard_input(process: Run, recorder: Path):
    piped = process("point", "-", stdin=RECORDER.encode())
    assert piped.code == 0
    assert piped.out == process("point", recorder).out


@pytest.mark.parametrize(
    ("typed", "kelvin"), [("60C", 333.15), ("60 °C", 333.15), ("333.15K", 333.15), ("-20C", 253.15)]
)
def test_temperature_is_read_as_typed(run: Run, recorder: Path, typed: str, kelvin: float):
    said = run("point", recorder, "--temperature", typed, "--json")
    assert said.code == 0, said.err
    assert json.loads(said.out)["temperature"] == pytest.approx(kelvin)


def test_device_rung_warms_up(run: Run, recorder: Path):
    """V_BE at constant current falls by some 2 mV/K (common practice, no source)."""

    def V_BE(temperature: str) -> float:
        words = ("point", recorder, "--model", "device", "--temperature", temperature, "--json")
        return float(json.loads(run(*words).out)["transistors"]["Q1"]["V_BE"])

    slope = (V_BE("65C") - V_BE("25C")) / 40.0
    assert -2.5e-3 < slope < -1.5e-3


def test_broken_assumption_is_named(run: Run, recorder: Path):
    out = run("point", recorder, "--set", "beta=150", "--set", "RB=1k").out
    assert "active" in out
    base_bias = run("arrangements", "base bias").out
    sheet = recorder.with_name("base.circuit")
    sheet.write_text(base_bias, encoding="utf-8")
    saturated = run("point", sheet, "--set", "beta=5000")
    assert saturated.code == 0
    assert "saturated" in saturated.out
    assert "saturated ●" in saturated.out


def test_dangerous_supply_brings_a_caution(run: Run, recorder: Path):
    assert "Caution" not in run("point", recorder).out
    said = run("point", recorder, "--set", "VCC=120")
    assert said.code == 0
    assert re.search(r"^Caution: .*60 V", said.out, re.MULTILINE)


def test_level_stands_where_the_voltages_say():
    from steadypoint.cli._point import TUBE, level
    from steadypoint.solve import Region, TransistorPoint

    def said(down: float, up: float, region: Region = Region.ACTIVE) -> str:
        return level(TransistorPoint("Q1", "npn", *[0.0] * 9, region, down, up))

    def place(down: float, up: float) -> int:
        line = said(down, up)
        return line.index("●") - line.index("├")

    assert place(0.0, 1.0) == 1
    assert place(1.0, 0.0) == TUBE
    assert place(1.0, 1.0) == pytest.approx((TUBE + 1) / 2, abs=1)
    assert place(1.0, 3.0) == pytest.approx((TUBE + 1) / 4, abs=1)
    assert said(1.5, 3.0).split()[2:4] == ["1.50", "V"]
    assert "● cut off" in said(5.0, 0.0, Region.CUTOFF)
    assert "├" not in said(math.inf, 1.0)


@pytest.mark.parametrize(
    ("setting", "needle"),
    [
        ("RC=0", "RC"),
        ("RC=-3k3", "RC"),
        ("RC=1e30", "RC"),
        ("RC=3kk3", "3kk3"),
        ("RX=3k3", "RX"),
        ("beta=-1", "beta"),
        ("beta", "beta"),
        ("=", "="),
        ("__import__('os')=1", "="),
        ("VCC=3 Ω", "VCC"),
    ],
)
def test_setting_out_of_reason_earns_one_sentence(
    run: Run, recorder: Path, setting: str, needle: str
):
    assert_one_sentence(run("point", recorder, "--set", setting), f"--set {setting}", needle)


@pytest.mark.parametrize("typed", ["hot", "60V", "-300C", "1e9C", ""])
def test_temperature_out_of_reason_earns_one_sentence(run: Run, recorder: Path, typed: str):
    assert_one_sentence(run("point", recorder, "--temperature", typed))


def test_fault_in_the_sheet_is_located(run: Run, recorder: Path):
    recorder.write_text(RECORDER.replace("3k3", "3kk3"), encoding="utf-8")
    said = run("point", recorder)
    assert_one_sentence(said, "line 5, column 21", "3kk3", "^^^^")


def test_circuit_without_solution_says_so(run: Run, tmp_path: Path):
    sheet = tmp_path / "none.circuit"
    sheet.write_text(
        "I1 = 1 mA\nVCC = 5 V\nfrom VCC through D1 diode to A\nfrom ground through I1 1m to A\n",
        encoding="utf-8",
    )
    assert_one_sentence(run("point", sheet))


@pytest.mark.parametrize("command", ["point", "work"])
def test_files_that_cannot_be_read(run: Run, tmp_path: Path, command: str):
    binary = tmp_path / "photo.circuit"
    binary.write_bytes(bytes(range(256)) * 8)
    latin = tmp_path / "latin.circuit"
    latin.write_bytes(RECORDER.replace("Field", "F\xefeld").encode("latin-1"))
    empty = tmp_path / "empty.circuit"
    empty.touch()
    for path in (tmp_path, binary, latin, empty, tmp_path / "no.circuit", tmp_path / "no" / "a"):
        assert_one_sentence(run(command, path), path.name)


def test_misspelt_file_is_suggested(run: Run, recorder: Path):
    assert_one_sentence(run("point", recorder.with_name("recoder.circuit")), "recorder.circuit")


@pytest.mark.parametrize("stdin", [b"", b"\n\n", b"\xff\xfe\x00", bytes(range(256)), b"hello"])
def test_standard_input_that_is_no_sheet(process: Run, stdin: bytes):
    assert_one_sentence(process("point", "-", stdin=stdin), "standard input")


def test_deeply_silly_sheets_earn_a_sentence(run: Run, tmp_path: Path):
    sheet = tmp_path / "silly.circuit"
    for text in (
        "(" * 20_000,
        "from " * 5_000,
        "R" * 200_000,
        "title: x\n" * 3,
        "\x00",
        "VCC = 9 V",
    ):
        sheet.write_text(text, encoding="utf-8")
        assert_one_sentence(run("point", sheet))


WARM = RECORDER.replace("beta 150", "beta 150, R_thJA 400 K/W").replace("9 V", "30 V")


def test_self_heating_shows_and_gives_junction_temperatures(run: Run, tmp_path: Path):
    sheet = tmp_path / "warm.circuit"
    sheet.write_text(WARM, encoding="utf-8")
    asked = ("point", sheet, "--model", "device", "--temperature", "40C", "--self-heating")
    data = json.loads(run(*asked, "--json").out)
    rise = 400.0 * data["transistors"]["Q1"]["P"]
    assert data["junction_temperatures"]["Q1"] == pytest.approx(313.15 + rise, abs=1e-3)
    said = run(*asked)
    assert "self-heating in air of 40" in said.out
    assert re.search(r"T_J\n.*°C\n", said.out)
    plain = json.loads(run("point", sheet, "--model", "device", "--json").out)
    assert "junction_temperatures" not in plain


def test_self_heating_without_data_or_on_another_model_is_one_sentence(run: Run, recorder: Path):
    said = run("point", recorder, "--model", "device", "--self-heating")
    assert_one_sentence(said, "neither the sheet nor a registered type")
    assert_one_sentence(run("point", recorder, "--self-heating"), "Choose the model device")


LATCH = """\
title: Doorbell memory
VCC = 6 V
Q1 = npn
Q2 = npn, beta 180
from VCC through RC1 1k2 to Q1 collector
from VCC through RC2 820 to Q2 collector
from Q1 collector through RB1 15k to Q2 base
from Q2 collector through RB2 22k to Q1 base
from Q1 emitter to ground
from Q2 emitter to ground
"""


@pytest.mark.parametrize("model", ["exact", "device"])
def test_all_points_of_a_latch_are_shown_and_the_unstable_one_is_marked(
    run: Run, tmp_path: Path, model: str
):
    sheet = tmp_path / "memory.circuit"
    sheet.write_text(LATCH, encoding="utf-8")
    said = run("point", sheet, "--model", model)
    assert said.code == 0
    assert re.search(r"Node +Point 1 +Point 2 +Point 3, unstable", said.out)
    data = json.loads(run("point", sheet, "--model", model, "--json").out)
    assert data["stable"] is True
    assert [p["stable"] for p in data["further_points"]] == [True, False]
    regions = [
        [t["region"] for t in p["transistors"].values()] for p in (data, *data["further_points"])
    ]
    assert sorted(regions[:2]) == [["cutoff", "saturation"], ["saturation", "cutoff"]]
    assert regions[2] == ["active", "active"]
