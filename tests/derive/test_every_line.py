"""Every line of every one-transistor arrangement against ``solve``, here and at other values."""

from __future__ import annotations

import json
import subprocess
import sys
import time
import xml.etree.ElementTree as ET
from pathlib import Path
from statistics import median

import pytest
from solved_symbols import check_every_line, shaken

from steadypoint.circuit import arrangements, load_sheet
from steadypoint.derive import derive, to_mathml, to_text
from steadypoint.solve import neglects, operating_point

SINGLE = [a for a in arrangements() if len(a.circuit.transistors) == 1]
MORE = [a for a in arrangements() if len(a.circuit.transistors) > 1]
RUNGS = ("exact", "board")
SHEETS = sorted((Path(__file__).parents[1] / "published" / "sheets").glob("*.circuit"))
PUBLISHED = [path for path in SHEETS if not load_sheet(path).fets]


def by_name(arrangement):
    return arrangement.name


@pytest.mark.parametrize("rung", RUNGS)
@pytest.mark.parametrize("arrangement", SINGLE, ids=by_name)
def test_lines_hold_at_the_given_values(arrangement, rung):
    working = derive(arrangement.circuit, rung)
    assert working.fallback == ()
    assert check_every_line(working, operating_point(arrangement.circuit, rung)) >= 5


@pytest.mark.parametrize("rung", RUNGS)
@pytest.mark.parametrize("arrangement", SINGLE, ids=by_name)
def test_lines_hold_at_other_values(arrangement, rung):
    working = derive(arrangement.circuit, rung)
    left_out = [(n.kind, n.node) for n in neglects(arrangement.circuit)]
    checked = 0
    for seed in range(6):
        other = shaken(arrangement.circuit, seed)
        if rung == "board" and [(n.kind, n.node) for n in neglects(other)] != left_out:
            continue
        checked += check_every_line(working, operating_point(other, rung))
    assert checked > 0


@pytest.mark.parametrize("rung", RUNGS)
@pytest.mark.parametrize("arrangement", SINGLE, ids=by_name)
def test_results_are_those_of_solve(arrangement, rung):
    working, point = derive(arrangement.circuit, rung), operating_point(arrangement.circuit, rung)
    (q,) = point.transistors.values()
    span = "V_CE" if q.polarity == "npn" else "V_EC"
    assert working.value("I_C") == pytest.approx(abs(q.I_C), rel=1e-9)
    assert working.value("I_B") == pytest.approx(abs(q.I_B), rel=1e-9)
    assert working.value(span) == pytest.approx(abs(q.V_CE), rel=1e-9)


@pytest.mark.parametrize("rung", RUNGS)
@pytest.mark.parametrize("arrangement", MORE, ids=by_name)
def test_more_transistors_give_the_solved_point(arrangement, rung):
    working, point = derive(arrangement.circuit, rung), operating_point(arrangement.circuit, rung)
    assert working.fallback == ()
    for number, q in enumerate(point.transistors.values(), 1):
        assert working.value(f"I_C{number}") == pytest.approx(abs(q.I_C), rel=1e-7)


@pytest.mark.parametrize("sheet", PUBLISHED, ids=lambda p: p.stem)
def test_published_examples_are_worked_by_loops(sheet):
    circuit = load_sheet(sheet)
    if len(circuit.transistors) != 1:
        pytest.skip("one transistor only")
    working, point = derive(circuit), operating_point(circuit)
    (q,) = point.transistors.values()
    assert working.fallback == ()
    assert working.value("I_C") == pytest.approx(abs(q.I_C), rel=1e-6, abs=1e-15)


@pytest.mark.parametrize("rung", RUNGS)
@pytest.mark.parametrize("arrangement", SINGLE, ids=by_name)
def test_every_notation_is_well_formed(arrangement, rung):
    working = derive(arrangement.circuit, rung)
    ET.fromstring(working.html())  # noqa: S314  our own text
    for step in working:
        ET.fromstring(f"<p>{to_mathml(step.sentence)}</p>")  # noqa: S314
        for line in step.lines:
            ET.fromstring(to_mathml(line))  # noqa: S314
    latex = working.latex()
    assert latex.count("{") - latex.count(r"\{") == latex.count("}") - latex.count(r"\}")
    assert latex.count(r"\begin{") == latex.count(r"\end{")
    outside = [p for p in latex.split("$")[::2] if "align" not in p]
    assert not any("_" in p.replace(r"\_", "") for p in outside)
    assert working.typst().count("$") % 2 == 0
    assert "nan" not in working.text()


def test_typst_compiles_every_working(tmp_path):
    typst = pytest.importorskip("typst")
    source = "\n\n".join(
        f"= {n}\n{derive(a.circuit, rung).typst()}" for n, a in enumerate(SINGLE) for rung in RUNGS
    )
    path = tmp_path / "all.typ"
    path.write_text(source, encoding="utf-8")
    assert typst.compile(str(path), format="pdf").startswith(b"%PDF")


def test_json_has_its_shape():
    data = derive(SINGLE[0].circuit, "board").to_dict()
    assert {"heading", "sentence", "latex", "numbers", "result", "approximation"} <= set(data[0])
    solve = next(step for step in data if step["heading"] == "Solve for I_B")
    assert solve["latex"].startswith(r"\begin{aligned} I_{\mathrm{B}} &")
    assert r"\mathrm{k\Omega}" in solve["numbers"]
    assert json.loads(json.dumps(data)) == data
    results = [step["result"] for step in data if step["result"]]
    assert {"symbol", "value", "unit"} == set(results[0])


def test_steps_rest_on_earlier_ones():
    for arrangement in SINGLE:
        working = derive(arrangement.circuit)
        for place, step in enumerate(working):
            assert all(0 <= i < place for i in step.rests_on), step.heading
        assert working.step("Collector current").rests_on


def test_loops_name_parts_of_the_sheet():
    for arrangement in SINGLE:
        names = {p.name for p in arrangement.circuit.parts}
        for step in derive(arrangement.circuit):
            assert set(step.loop) <= names


def test_sympy_stays_out():
    code = (
        "import sys; from steadypoint.circuit import arrangements; "
        "from steadypoint.derive import derive; "
        "derive(arrangements()[0].circuit).text(); sys.exit('sympy' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_median_time_is_under_15_ms():
    derive(SINGLE[0].circuit)
    times = []
    for _ in range(3):
        for arrangement in arrangements():
            begin = time.process_time()
            derive(arrangement.circuit)
            times.append(time.process_time() - begin)
    assert median(times) < 0.015


def test_text_reads_line_by_line():
    text = derive(SINGLE[0].circuit).text()
    assert to_text(("a ", "b")) == "a b"
    assert "1. " in text
    assert text.endswith("\n")
