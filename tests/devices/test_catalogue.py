"""The catalogue: complete records, honest sources, and sentences for what is missing."""

from __future__ import annotations

import copy
import math
import tomllib
from pathlib import Path

import pytest

from steadypoint.devices import (
    FROM_MEMORY,
    fit_points,
    kind_of,
    model_of,
    part_record,
    part_types,
    polarity_of_type,
    typical_options,
)
from steadypoint.devices._records import KINDS, records_of, sources_of
from steadypoint.errors import DeviceError, UnknownNameError

CATALOGUE = Path(__file__).parents[2] / "src" / "steadypoint" / "devices" / "catalogue"
TYPES = part_types()
SOURCES = {
    "demo": {"maker": "Brightwell Parts", "title": "Sheet 7", "edition": "2020"},
}
DEMO = """
[[device]]
type = "DEMO1"
kind = "npn"
use = "demonstration"
package = "TO-92"

[device.ratings]
V_CEO = { max = 30, unit = "V", at = "base open", source = "demo", page = 1 }

[device.figures]
h_FE = [{ min = 90, typ = 150, max = 300, unit = "-", at = "I_C = 2 mA, V_CE = 5 V", source = "demo", page = 2 }]
"""  # noqa: E501


def demo() -> dict:
    return copy.deepcopy(tomllib.loads(DEMO))


def read(data: dict):
    return records_of(data, sources_of({"source": SOURCES}))


def test_at_least_24_types_of_every_class():
    assert len(TYPES) >= 24
    assert len(set(TYPES)) == len(TYPES)
    assert {kind_of(t) for t in TYPES} == set(KINDS)
    assert sum(part_record(t).material == "germanium" for t in TYPES) >= 3
    assert TYPES[0] == "2N3904"


@pytest.mark.parametrize("name", TYPES)
def test_every_figure_has_unit_condition_and_source(name: str):
    record = part_record(name)
    assert record.use
    assert record.package
    for figure in (*record.ratings, *record.figures):
        assert figure.unit
        assert figure.at
        assert figure.source == FROM_MEMORY or figure.page is not None


@pytest.mark.parametrize("name", TYPES)
def test_ratings_that_warnings_use_are_there(name: str):
    record = part_record(name)
    wanted = ["P_tot", "R_thJA", "T_J_max"]
    wanted += ["V_CEO", "V_CBO", "V_EBO", "I_C_max"] if record.is_bipolar else ["V_GS"]
    for symbol in wanted:
        value = record.rating(symbol)
        assert value is not None, f"{name} has no {symbol}"
        assert value > 0
    # A junction at its limit in 25 °C air takes the rated power through the thermal resistance;
    # sheets round by a fifth at most, and some rate the case or a warmer air.
    if "T_A = 25" in next(r.at for r in record.ratings if r.symbol == "P_tot"):
        rise = (record.rating("P_tot") or 0) * (record.rating("R_thJA") or 0)
        assert rise == pytest.approx((record.rating("T_J_max") or 0) - 298.15, rel=0.2)


def test_every_source_is_used_and_every_complement_fits():
    used = {s.key for t in TYPES for s in part_record(t).sources}
    listed = tomllib.loads((CATALOGUE / "sources.toml").read_text(encoding="utf-8"))["source"]
    assert used == set(listed)
    for name in TYPES:
        other = part_record(name).complement
        if other:
            assert part_record(other).kind != kind_of(name)


def test_names_are_found_in_any_case_and_by_alias():
    assert part_record("bc547b").type_name == "BC547B"
    assert part_record("PN2222A").type_name == "2N2222A"
    assert polarity_of_type("2N3904") == "npn"
    assert polarity_of_type("BC557B") == "pnp"
    assert polarity_of_type("2N7000") == ""
    assert polarity_of_type("1N4148") == ""
    assert kind_of("2N5460") == "p-channel JFET"


def test_an_unknown_type_suggests_the_nearest():
    with pytest.raises(UnknownNameError, match="Did you mean 'BC547B'"):
        part_record("BC547")
    with pytest.raises(UnknownNameError, match="steadypoint parts"):
        model_of("XYZ")


def test_a_demo_record_is_read_in_SI_units():
    (record,) = read(demo())
    (figure,) = record.figures
    assert (figure.min, figure.typ, figure.max) == (90.0, 150.0, 300.0)
    assert figure.given("I_C") == pytest.approx(2e-3)
    assert record.sources[0].citation == "Brightwell Parts, Sheet 7, 2020"


def _without(*path: str):
    def change(data: dict) -> None:
        place = data["device"][0]
        for key in path[:-1]:
            place = place[0] if isinstance(place, list) else place
            place = place[key]
        place = place[0] if isinstance(place, list) else place
        del place[path[-1]]

    return change


def _with(value: object, *path: str):
    def change(data: dict) -> None:
        place = data["device"][0]
        for key in path[:-1]:
            place = place[key]
            place = place[0] if isinstance(place, list) else place
        place[path[-1]] = value

    return change


WRONG = [
    (_without("figures", "h_FE", "unit"), "DEMO1, h_FE has no unit"),
    (_without("figures", "h_FE", "at"), "DEMO1, h_FE has no condition"),
    (_without("figures", "h_FE", "source"), "DEMO1, h_FE has no source"),
    (_without("figures", "h_FE", "page"), "has no page"),
    (_without("ratings", "V_CEO", "unit"), "DEMO1, V_CEO has no unit"),
    (_without("ratings", "V_CEO", "source"), "DEMO1, V_CEO has no source"),
    (_without("ratings", "V_CEO", "max"), "has no value"),
    (_without("kind"), "has no kind"),
    (_with("tube", "kind"), "the kind 'tube' is unknown"),
    (_with("nowhere", "figures", "h_FE", "source"), "is not in sources.toml"),
    (_with("mA", "ratings", "V_CEO", "unit"), "is in 'mA', where a unit of V is wanted"),
    (_with("many", "ratings", "V_CEO", "max"), "is no number"),
    (_with(400, "figures", "h_FE", "min"), "out of order"),
    (_with("I_C = 2 xA", "figures", "h_FE", "at"), "in the condition"),
    (_with({}, "figures", "h_QQ"), "'h_QQ' is no known figure"),
]


@pytest.mark.parametrize(("change", "needle"), WRONG)
def test_a_record_that_cannot_be_checked_is_refused(change, needle: str):
    data = demo()
    change(data)
    with pytest.raises(DeviceError, match=needle.replace("(", "\\(")) as caught:
        read(data)
    assert str(caught.value).endswith((".", "..."))


@pytest.mark.parametrize("name", TYPES)
def test_typical_options_are_what_a_lecturer_would_write(name: str):
    options = typical_options(name)
    record = part_record(name)
    if not record.is_bipolar:
        opens = options["V_GS_off"] if "V_GS_off" in options else options["V_GS_th"]
        figures = record.of("V_GS_off") or record.of("V_GS_th")
        bounds = [abs(b) for f in figures for b in (f.min, f.typ, f.max) if b is not None]
        assert 0.5 * min(bounds) <= abs(opens) <= max(bounds)
        assert options["V_A"] > 20.0
        assert options.get("V_DS_max") == record.rating("V_DS")
        return
    drop = (0.05, 0.25) if record.material == "germanium" else (0.55, 0.71)
    assert drop[0] < options["V_BE"] < drop[1]
    assert 20.0 * options["V_BE"] == pytest.approx(round(20.0 * options["V_BE"]))
    assert options["V_A"] > 20.0
    assert 20 < options["beta"] < 800
    assert options["V_CEO"] == record.rating("V_CEO")


@pytest.mark.parametrize("name", TYPES)
def test_every_type_has_a_fitted_model_that_works_over_temperature(name: str):
    model = model_of(name)
    for celsius in (-40.0, 25.0, 100.0):
        there = model.at(273.15 + celsius)
        assert math.isfinite(there.temperature)
    assert fit_points(name)
