"""``steadypoint parts``."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from command_runs import Run, assert_one_sentence

from steadypoint.devices import part_record, part_types


def test_all_types_are_listed(run: Run):
    out = run("parts").out
    for name in part_types():
        assert any(line.startswith(f"{name} ") for line in out.splitlines()), name
    assert "V_CEO" in out
    assert [row["type"] for row in json.loads(run("parts", "--json").out)] == list(part_types())


@pytest.mark.parametrize("name", part_types())
def test_a_type_shows_every_figure_with_its_source_and_error(run: Run, name: str):
    out = run("parts", name).out
    record = part_record(name)
    assert out.startswith(name)
    for figure in (*record.ratings, *record.figures):
        row = next(x for x in out.splitlines() if x.startswith(figure.symbol) and figure.at in x)
        assert "(m)" in row or f"p. {figure.page}" in row
    for source in record.sources:
        assert source.citation in out


def test_json_holds_SI_values_conditions_sources_and_the_fit(run: Run):
    data = json.loads(run("parts", "bc547b", "--json").out)
    # MCC, BC546B..BC548C, revision 8, 2010-08-18, pages 1 and 2.
    assert data["ratings"]["V_CEO"] == 45.0
    assert data["ratings"]["T_J_max"] == pytest.approx(423.15)
    row = next(f for f in data["figures"] if f["symbol"] == "h_FE" and f["min"])
    assert (row["min"], row["typ"], row["max"]) == (200.0, 290.0, 450.0)
    assert row["conditions"] == {"I_C": pytest.approx(2e-3), "V_CE": 5.0}
    assert row["page"] == 2
    assert abs(row["error"]) < 0.15
    assert data["model"]["parameters"]["I_S"] < 1e-12
    assert row["source"] in data["sources"]
    assert data["on_a_sheet"]["V_CEO"] == 45.0
    assert "On a sheet it stands for beta " in run("parts", "bc547b").out


@pytest.mark.parametrize("suffix", ["svg", "png", "pdf"])
def test_curves_are_drawn_into_a_file(run: Run, tmp_path: Path, suffix: str):
    path = tmp_path / f"curves.{suffix}"
    assert run("parts", "2N3904", "-o", path).out == f"{path}\n"
    data = path.read_bytes()
    starts = {"svg": b"<svg", "png": b"\x89PNG", "pdf": b"%PDF"}
    assert data.startswith(starts[suffix])
    if suffix == "svg":
        ET.fromstring(data)  # noqa: S314  our own output


def test_faults_are_told_in_a_sentence(run: Run, tmp_path: Path):
    assert_one_sentence(run("parts", "BC574"), "not in the catalogue", "Did you mean 'BC5")
    assert_one_sentence(run("parts", ""), "not in the catalogue")
    path = tmp_path / "curves.gif"
    assert_one_sentence(run("parts", "2N3904", "-o", path), ".svg, .png or .pdf")
    assert not path.exists()
    assert run("parts", "-o", tmp_path / "x.svg").code == 2
    assert run("parts", "2N3904", "--json", "-o", tmp_path / "x.svg").code == 2
