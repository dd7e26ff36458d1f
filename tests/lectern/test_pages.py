"""Pages and answers: each area of each arrangement, edits, faults in a sentence, never a 500."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import html5lib
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from steadypoint.circuit import arrangements, read_sheet
from steadypoint.draw import stylesheet
from steadypoint.lectern import all_areas, area_named
from steadypoint.lectern._respond import respond
from steadypoint.solve import operating_point

QUICK = [area.name for area in all_areas() if not area.slow]


def parse(page: str) -> None:
    html5lib.HTMLParser(strict=True).parse(page)


def view(sheet: str, **more: Any) -> dict[str, Any]:
    return respond({"do": "view", "sheet": sheet, **more})


def test_home_leads_to_the_first_circuit(client: TestClient):
    answer = client.get("/", follow_redirects=False)
    assert answer.headers["location"] == "/desk/rain%20gauge.circuit/working"


def test_empty_folder_offers_the_arrangements(client: TestClient, place: Path):
    (place / "rain gauge.circuit").unlink()
    page = client.get("/").text
    assert page.count("data-arrangement=") == len(arrangements())
    made = client.post("/api/new", json={"name": "first", "arrangement": "base bias"}).json()
    assert made["address"] == "/desk/first.circuit/drawing"
    read_sheet((place / "first.circuit").read_text(encoding="utf-8"))
    again = client.post("/api/new", json={"name": "first", "arrangement": "base bias"}).json()
    assert "already" in again["refused"]


@pytest.mark.parametrize("area", [area.name for area in all_areas()])
def test_every_area_has_a_page_of_valid_html(client: TestClient, area: str):
    answer = client.get(f"/desk/rain gauge.circuit/{area}")
    assert answer.status_code == 200
    parse(answer.text)
    assert " style=" not in answer.text, "the policy refuses style attributes"
    assert "<style" not in answer.text
    assert re.search(rf'data-area="{area}" aria-current="page"', answer.text)
    ids = re.findall(r'\bid="([^"]+)"', answer.text)
    assert len(ids) == len(set(ids))


def test_unknown_pages_say_what_is_wrong(client: TestClient):
    for address, word in (
        ("/desk/rain gage.circuit/working", "rain gauge"),
        ("/desk/rain gauge.circuit/workng", "working"),
        ("/desk/..%2Fx.circuit/working", "no such page"),
        ("/nothing", "no such page"),
    ):
        answer = client.get(address)
        assert answer.status_code == 404
        assert word in answer.text
        parse(answer.text)


@pytest.mark.parametrize("arrangement", arrangements(), ids=lambda a: a.name)
def test_every_arrangement_shows_point_and_areas(arrangement):
    for area in QUICK:
        found = view(arrangement.sheet, area=area)
        assert set(found["parts"]) == {"title", "stage", "point", "change", "leaf"}
        assert found["parts"]["change"] == ""
        assert " style=" not in "".join(found["parts"].values())


@pytest.mark.parametrize("arrangement", arrangements(), ids=lambda a: a.name)
def test_every_arrangement_drifts_and_can_be_presented(arrangement):
    sheet = arrangement.sheet
    leaf = respond({"do": "leaf", "sheet": sheet, "area": "drift"})["parts"]["leaf"]
    assert "warm, 60 °C" in leaf
    lines = respond({"do": "present", "sheet": sheet})["lines"]
    assert len(lines) > 4
    assert lines[-1]["screen"] in ("chart", "lettered")
    assert set(respond({"do": "answers", "sheet": sheet})["answers"]) == {"working", "drift"}


def test_figures_are_those_of_the_solver(sheet: str):
    point = operating_point(read_sheet(sheet), "device").transistors["Q1"]
    found = view(sheet, model="device", area="drawing")
    reads = re.sub(r"<[^>]+>", "", found["parts"]["point"])
    assert f"{1e3 * point.I_C:.2f}mA" in reads
    assert f"{point.V_CE:.2f}V" in reads
    assert f"Collector current {1e3 * point.I_C:.2f} milliamps." in found["say"]


def test_an_edit_keeps_the_state_before_as_a_ghost(sheet: str):
    found = view(sheet, area="loadline", act={"kind": "set", "key": "RC", "text": "4k7"})
    assert "RC 4k7 ±5%" in found["sheet"]
    assert found["before"] == sheet
    assert "was" in found["parts"]["point"]
    assert ">3.9<" in found["parts"]["change"]
    assert 'class="hollow"' in found["parts"]["leaf"]
    back = view(found["before"], before="", area="loadline")
    assert back["parts"]["change"] == ""


def test_steps_whose_figures_stay_fold_into_one_row(sheet: str):
    found = view(sheet, area="working", act={"kind": "set", "key": "Q1.beta", "text": "240"})
    leaf = found["parts"]["leaf"]
    assert re.search(r"Lines 1 to \d+ stay as they are", leaf)
    assert leaf.count("wasline") >= 2


def test_a_refused_value_says_so_and_changes_nothing(sheet: str):
    found = view(sheet, act={"kind": "set", "key": "RC", "text": "3kk9"})
    assert set(found) == {"refused"}
    assert "3kk9" in found["refused"]


def test_a_faulty_sheet_keeps_the_page(sheet: str):
    found = view(sheet.replace("RC 3k9", "RC 3kk9"))
    assert "parts" not in found
    assert found["line"] == 8
    assert "3kk9" in found["fault"]


def test_a_circuit_without_a_point_still_shows_its_drawing():
    found = view("VCC = 9 V\nQ1 = npn\nfrom VCC to Q1 base\nfrom Q1 emitter to ground\n")
    if "fault" not in found:
        assert "<svg" in found["parts"]["stage"]
        assert found["parts"]["point"]


def test_text_from_outside_is_escaped(sheet: str):
    found = view(sheet.replace("Rain gauge", "<img src=x onerror=alert(1)>"), area="drawing")
    for part in found["parts"].values():
        assert "<img" not in part


def test_what_can_hurt_is_told_where_the_point_is_and_before_a_talk(sheet: str):
    # 60 V: limit of extra-low voltage for direct current, IEC 61140 and IEC 60364-4-41.
    found = view(sheet.replace("VCC = 9 V", "VCC = 75 V"), area="drawing")
    assert 'class="note over"' in found["parts"]["point"]
    assert "dangerous to touch" in found["parts"]["point"]
    talk = respond({"do": "present", "sheet": sheet.replace("VCC = 9 V", "VCC = 75 V")})
    assert "dangerous to touch" in talk["lines"][0]["html"]


def test_saturation_is_no_danger(sheet: str):
    found = view(sheet, area="drawing", act={"kind": "set", "key": "RC", "text": "22k"})
    assert "Saturated" in found["parts"]["point"]
    assert "note over" not in found["parts"]["point"]
    again = view(found["sheet"], area="drawing", act={"kind": "set", "key": "RC", "text": "24k"})
    assert "as before" in again["parts"]["change"]


@pytest.mark.parametrize("by", [None, "x", [], {}, 1e300, 10**30, True])
def test_steps_that_are_no_number_do_no_harm(sheet: str, by: object):
    found = view(sheet, area="drawing", act={"kind": "step", "key": "RC", "by": by})
    assert "parts" in found or "refused" in found


def test_monstrous_sheets_are_refused():
    sheet = "VCC = 9 V\n" + "".join(f"from VCC through R{i} 1k to ground\n" for i in range(1, 90))
    assert "60" in view(sheet)["fault"]
    assert "Split" in view("#" * 30_000)["fault"]


def test_dragged_point_names_the_resistor_that_puts_it_there(sheet: str):
    # The answer is checked by putting the resistor in and solving again.
    found = view(sheet, area="loadline", options={"put": "4.5", "resistor": "R2"})["parts"]["leaf"]
    text = re.search(r'data-set="R2" data-text="([^"]+)"', found)
    assert text is not None
    near = read_sheet(sheet.replace("39k", text[1]))
    assert pytest.approx(4.5, abs=0.5) == operating_point(near).transistors["Q1"].V_CE


def test_saving_notices_an_outside_edit(client: TestClient, place: Path, sheet: str):
    known = client.post("/api/file", json={"name": "rain gauge.circuit"}).json()
    (place / "rain gauge.circuit").write_text(sheet + "\n# by hand\n", encoding="utf-8")
    data = {"name": known["name"], "text": sheet, "version": known["version"]}
    answer = client.post("/api/save", json=data).json()
    assert answer["conflict"] is True
    fresh = client.post("/api/version", json={"name": known["name"]}).json()["version"]
    saved = client.post("/api/save", json={**data, "version": fresh}).json()
    assert saved["version"] == known["version"]


def test_rules_of_the_figures_are_those_of_the_drawings():
    rules = Path(respond.__code__.co_filename).with_name("look") / "figures.css"
    assert rules.read_text(encoding="utf-8") == stylesheet("page") + "\n"


def test_areas_stand_in_the_order_of_their_groups():
    assert [a.name for a in all_areas()][:3] == ["drawing", "working", "loadline"]
    assert area_named("working").label == "Working"


json_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=40),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=8,
)
ACTS = st.fixed_dictionaries(
    {},
    optional={
        "kind": st.sampled_from(["set", "step", "line", "remove", "other"]),
        "key": st.sampled_from(["RC", "Q1", "Q1.beta", "VCC", "nothing"]) | st.text(max_size=10),
        "text": st.text(max_size=30) | json_values,
        "by": st.integers(-10, 10) | json_values,
    },
)


@settings(
    max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    do=st.sampled_from(["view", "answers", "save", "file", "version", "new", "other"]),
    body=st.dictionaries(
        st.sampled_from(["sheet", "before", "model", "area", "act", "options", "name", "text"]),
        json_values | ACTS,
        max_size=6,
    ),
    own=st.booleans(),
)
def test_no_request_ends_in_a_fault_of_ours(client, sheet, do, body, own):
    if own:
        body = {**body, "sheet": sheet}
    answer = client.post(f"/api/{do}", json=body)
    assert answer.status_code in (200, 404, 429)
    assert isinstance(answer.json() if answer.status_code != 429 else {}, dict)
