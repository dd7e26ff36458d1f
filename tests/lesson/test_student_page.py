"""The student page: what it solves is what Python solves; what it is made of."""

from __future__ import annotations

import json
import random
import re
import shutil
import subprocess
from importlib.resources import files
from pathlib import Path
from typing import Any

import html5lib
import pytest

from steadypoint.circuit import Circuit, apply_setting, arrangement, arrangements, read_sheet
from steadypoint.errors import SteadypointError
from steadypoint.lesson import parse_lesson, student_page
from steadypoint.lesson._student_lines import live_lines
from steadypoint.lesson._student_program import free_values, program_of, steps_of_temperature
from steadypoint.solve import operating_point

NODE = shutil.which("node")
SOLVER = files("steadypoint.lesson").joinpath("student", "solver.js")
OTHERS = {
    "registered type": "VCC = 9 V\nQ1 = 2N3904\nfrom VCC through RB 470k to Q1 base\n"
    "from VCC through RC 2k2 to Q1 collector\nfrom Q1 emitter through RE 100 to ground\n",
    "LED and current source": "VCC = 9 V\nQ1 = npn, beta 150, V_A 80 V\n"
    "from VCC through R1 2k2 to Q1 base\nfrom Q1 base through LED1 red to ground\n"
    "from VCC through RC 1k to Q1 collector\nfrom Q1 emitter through RE 1k to ground\n",
    "registered channel": "VDD = 12 V\nQ1 = BF245A\nfrom VDD through RD 2k7 to Q1 drain\n"
    "from Q1 gate through RG 1M to ground\nfrom Q1 source through RS 820 to ground\n",
}
CIRCUITS = {a.name: a.circuit for a in arrangements()} | {
    name: read_sheet(text) for name, text in OTHERS.items()
}
TRIALS = 12
CLOSE = 1e-9


def moved(circuit: Circuit, rng: random.Random) -> tuple[dict[str, Any], Circuit, float]:
    """Random places of the sliders: for the page, and the same for Python."""
    given: dict[str, Any] = {"values": {}, "beta": {}}
    kelvin = 298.15
    for one in free_values(circuit):
        name, value = one["name"], one["value"]
        if one["kind"] == "temperature":
            steps = steps_of_temperature(round(value - 273.15, 6))
            given["temperature"] = rng.randrange(len(steps))
            kelvin = steps[given["temperature"]] + 273.15
        elif one["kind"] == "beta":
            given["beta"][name] = round(value * rng.uniform(0.5, 2.0), 1)
            circuit = apply_setting(circuit, f"{name}.beta={given['beta'][name]}")
        else:
            given["values"][name] = float(f"{value * rng.uniform(0.7, 1.5):.3g}")
            circuit = apply_setting(circuit, f"{name}={given['values'][name]:.10g}")
    return given, circuit, kelvin


def solved_by_the_page(jobs: list[Any], folder: Path) -> list[Any]:
    (folder / "jobs.json").write_text(json.dumps(jobs), encoding="utf-8")
    (folder / "solver.mjs").write_bytes(SOLVER.read_bytes())
    (folder / "run.mjs").write_text(
        'import { solve } from "./solver.mjs";\nimport fs from "node:fs";\n'
        'const jobs = JSON.parse(fs.readFileSync("jobs.json"));\n'
        "const found = jobs.map(([program, given]) => solve(program, given));\n"
        "console.log(JSON.stringify(found));\n",
        encoding="utf-8",
    )
    assert NODE is not None
    done = subprocess.run([NODE, "run.mjs"], cwd=folder, check=True, capture_output=True, text=True)
    return json.loads(done.stdout)  # type: ignore[no-any-return]


@pytest.mark.skipif(NODE is None, reason="needs node to run the page's solver")
@pytest.mark.parametrize("name", CIRCUITS)
def test_the_page_solves_what_python_solves(name: str, tmp_path: Path) -> None:
    rng, program = random.Random(name), program_of(CIRCUITS[name])  # noqa: S311  places of sliders
    jobs, points = [], []
    while len(jobs) < TRIALS:
        given, circuit, kelvin = moved(CIRCUITS[name], rng)
        points.append(operating_point(circuit, "device", temperature=kelvin))
        jobs.append([program, given])
    for point, found in zip(points, solved_by_the_page(jobs, tmp_path), strict=True):
        assert found is not None
        for node, V in point.nodes.items():
            if node in found["nodes"]:
                assert found["nodes"][node] == pytest.approx(V, rel=CLOSE, abs=1e-9)
        for q, one in point.transistors.items():
            page = found["transistors"][q]
            assert page["region"] == one.region.value
            assert page["I"] == pytest.approx(one.I_C, rel=CLOSE, abs=1e-15)
            assert page["I_B"] == pytest.approx(one.I_B, rel=CLOSE, abs=1e-15)
            assert page["P"] == pytest.approx(one.P, rel=1e-8, abs=1e-12)
        for q, channel in point.fets.items():
            page = found["transistors"][q]
            assert page["region"] == channel.region.value
            assert page["I"] == pytest.approx(channel.I_D, rel=CLOSE, abs=1e-15)
            assert page["P"] == pytest.approx(channel.P, rel=1e-8, abs=1e-12)


def lesson(name: str) -> str:
    return f"# {name}\n\n```circuit\narrangement: {name}\n```\n"


@pytest.mark.parametrize("name", [a.name for a in arrangements()])
def test_one_file_small_valid_and_the_same_each_time(name: str) -> None:
    page = student_page(parse_lesson(lesson(name)))
    assert page == student_page(parse_lesson(lesson(name)))
    html5lib.HTMLParser(strict=True).parse(page)
    assert len(page.encode()) <= 150_000
    assert not re.search(r'(?:src|href)="(?!#|data:)', page)
    assert "http:" not in page.replace("http://www.w3.org/", "")
    assert not re.search(r"\son[a-z]+=", page)


def test_every_slider_has_a_name_and_every_value_a_slider() -> None:
    page = student_page(parse_lesson(lesson("voltage divider")))
    named = re.findall(r'<input type="range"[^>]*aria-label="([^"]+)"', page)
    assert named == ["VCC", "beta of Q1", "R1", "R2", "RC", "RE", "Temperature"]


@pytest.mark.parametrize("name", [a.name for a in arrangements()])
def test_live_lines_give_the_exact_rung(name: str) -> None:
    """Every line reckoned from letters alone, then held against the operating point."""
    circuit = arrangement(name).circuit
    lines, known = live_lines(circuit)
    point = operating_point(circuit, "exact")
    if len(point.transistors) != 1 or point.fets:
        return
    from steadypoint.lesson._student_lines import _reckoned

    env = dict(known)
    for line in lines:
        env[line.left] = _reckoned(line.right, env)
    one = next(iter(point.transistors.values()))
    if name == "two-supply emitter bias":  # its steps put figures in early
        assert not lines
        return
    assert env["I_C"] == pytest.approx(abs(one.I_C), rel=1e-9)


def test_a_circuit_that_cannot_be_solved_is_shown_with_the_reason() -> None:
    text = "# One\n\n```circuit\nshow: names\n\nVCC = 9 V\nQ1 = npn\nfrom VCC through RC 1k to "
    text += "Q1 collector\nfrom VCC to Q1 base\nfrom Q1 emitter to ground\n```\n"
    try:
        document = parse_lesson(text)
    except SteadypointError:
        pytest.skip("the lesson itself refuses such a circuit")
    page = student_page(document)
    assert "cannot be changed here" in page or 'type="range"' in page


def test_words_of_a_lesson_are_no_markup() -> None:
    page = student_page(parse_lesson("# A <b>bold</b> & </script> title\n\nWords.\n"))
    assert "<b>bold" not in page
    html5lib.HTMLParser(strict=True).parse(page)
