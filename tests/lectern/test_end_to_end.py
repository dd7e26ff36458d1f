"""The lectern in Chromium: every area, every edit, and not one fault in the console."""

from __future__ import annotations

import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browser import CHROMIUM, browser, served

from steadypoint.circuit import read_sheet
from steadypoint.lectern import all_areas
from steadypoint.solve import operating_point

pytest.importorskip("playwright")
pytestmark = [
    pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed"),
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]
FILE = "rain gauge.circuit"


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    with browser() as found:
        yield found


@pytest.fixture
def page(chromium: Any, place: Path) -> Iterator[Any]:
    """The desk of the folder's circuit; at the end the console must be clean."""
    with served(place) as address:
        context = chromium.new_context(viewport={"width": 1440, "height": 900}, base_url=address)
        found = context.new_page()
        faults: list[str] = []
        found.on("pageerror", lambda fault: faults.append(str(fault)))
        found.on("console", lambda line: faults.append(line.text) if line.type == "error" else None)
        found.goto("/")
        found.wait_for_selector("#stage svg")
        yield found
        context.close()
        assert faults == []


def given(page: Any, key: str) -> Any:
    return page.locator(f'#stage [data-given="{key}"]')


def text(place: Path) -> str:
    return (place / FILE).read_text(encoding="utf-8")


def until(page: Any, condition: str) -> None:
    """Wait for a condition; the content policy rightly refuses what polls inside the page."""
    for _ in range(200):
        if page.evaluate(condition):
            return
        page.wait_for_timeout(25)
    raise AssertionError(condition)


def until_saved(page: Any, place: Path, wanted: str) -> None:
    for _ in range(80):
        if wanted in text(place):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"{wanted} is not in\n{text(place)}")


def test_keys_step_and_type_and_the_file_follows(page: Any, place: Path, sheet: str):
    given(page, "RC").focus()
    page.keyboard.press("ArrowUp")
    page.wait_for_selector('#stage [data-given="RC"][data-written="4k3"]')
    assert page.evaluate("document.activeElement.dataset.given") == "RC"
    until_saved(page, place, "RC 4k3 ±5%")
    page.keyboard.type("4k7")
    page.keyboard.press("Enter")
    page.wait_for_selector('#stage [data-given="RC"][data-written="4k7"]')
    until_saved(page, place, "RC 4k7 ±5%")
    assert "keep R1 a stock value" in text(place)
    now = operating_point(read_sheet(text(place))).transistors["Q1"]
    assert f"{now.V_CE:.2f}" in page.locator("#point").inner_text()
    page.keyboard.press("b")
    until_saved(page, place, "RC 3k9 ±5%")
    assert text(place) == sheet


def test_undo_and_redo_go_all_the_way(page: Any, place: Path, sheet: str):
    for key in ("RC", "R1", "RE"):
        given(page, key).focus()
        page.keyboard.press("ArrowUp")
        until(page, f"document.querySelector('#change').innerText.includes('{key[0]}')")
        page.wait_for_timeout(150)
    until_saved(page, place, "RE 910")
    changed = text(place)
    for _ in range(3):
        page.keyboard.press("Control+z")
        page.wait_for_timeout(150)
    until_saved(page, place, "RC 3k9")
    assert text(place) == sheet
    for _ in range(3):
        page.keyboard.press("Control+y")
        page.wait_for_timeout(150)
    until_saved(page, place, "RE 910")
    assert text(place) == changed


def test_a_wrong_value_is_told_in_place_and_escape_restores(page: Any, place: Path, sheet: str):
    given(page, "RC").click()
    page.locator("#editvalue").fill("3kk9")
    page.wait_for_selector("#editvalue[aria-invalid=true]")
    assert "3kk9" in page.locator("#edithint").inner_text()
    page.keyboard.press("Escape")
    assert page.locator("#edit").is_hidden()
    page.wait_for_timeout(700)
    assert text(place) == sheet


def test_the_sheet_and_the_drawing_follow_each_other(page: Any, place: Path):
    page.click("a[data-area=drawing]")
    area = page.locator("#sheettext")
    area.wait_for()
    area.fill(area.input_value().replace("RE 820", "RE 82x"))
    until(page, "document.querySelector('#fault').innerText.includes('82x')")
    assert "820" in text(place), "a sheet that does not read is not written"
    area.fill(area.input_value().replace("RE 82x", "RE 680"))
    page.wait_for_selector('#stage [data-given="RE"][data-written="680"]')
    page.fill("#addwhat", "CE 100u")
    page.select_option("#addfrom", "Q1.emitter")
    page.select_option("#addto", "ground")
    page.click("#addpart button")
    page.wait_for_selector('#stage [data-given="CE"]')
    assert "CE 100u" in area.input_value()
    page.click('[data-remove="CE"]')
    until(page, "!document.querySelector('#stage [data-given=CE]')")


def test_every_area_opens_by_its_link_and_by_the_fold(page: Any):
    for area in all_areas():
        page.goto(f"/desk/{FILE}/{area.name}")
        page.wait_for_selector("#areaname")
        page.wait_for_selector("#area:not([aria-busy=true])")
        assert page.locator(".fold a[aria-current]").get_attribute("data-area") == area.name
    for area in all_areas():
        page.click(f"a[data-area={area.name}]")
        until(page, f"document.querySelector('#areaname')?.innerText === '{area.label}'")
    page.go_back()
    before = all_areas()[-2]
    until(page, f"document.querySelector('#areaname')?.innerText === '{before.label}'")


def test_the_disc_is_dragged_along_its_line(page: Any, place: Path):
    page.click("a[data-area=loadline]")
    disc = page.locator("#chartbox .disc").bounding_box()
    page.mouse.move(disc["x"] + 5, disc["y"] + 5)
    page.mouse.down()
    page.mouse.move(disc["x"] + 110, disc["y"] + 5, steps=4)
    page.mouse.up()
    page.wait_for_selector("#putsaid [data-set]")
    page.wait_for_timeout(300)
    page.locator("#putsaid [data-set]").last.click()
    page.wait_for_selector("#change:not([hidden])")


def test_an_outside_edit_is_taken_or_asked_about(page: Any, place: Path, sheet: str):
    (place / FILE).write_text(sheet.replace("RE 820", "RE 1k"), encoding="utf-8")
    page.evaluate("dispatchEvent(new Event('focus'))")
    page.wait_for_selector('#stage [data-given="RE"][data-written="1k"]')


def test_chosen_values_are_taken(page: Any, place: Path):
    page.goto(f"/desk/{FILE}/choose")
    page.click("[data-ask=choose]")
    page.locator("[data-sheet]").first.click(timeout=30_000)
    page.wait_for_selector("#change:not([hidden])")


def test_lesson_is_begun_previewed_and_saved(page: Any, place: Path):
    page.goto(f"/desk/{FILE}/lesson")
    page.click("#newlesson")
    page.wait_for_selector("#lessontext")
    page.wait_for_selector("#lessonpage[src^='/preview/']", timeout=30_000)
    frame = page.frame_locator("#lessonpage")
    frame.locator("h1").wait_for(timeout=30_000)
    assert "Rain gauge" in frame.locator("h1").inner_text()
    page.fill("#lessontext", page.input_value("#lessontext") + "\nMind the base current.\n")
    for _ in range(60):
        if "Mind the base current." in (place / "first lesson.md").read_text(encoding="utf-8"):
            break
        page.wait_for_timeout(50)
    frame.get_by_text("Mind the base current.").wait_for(timeout=30_000)


def test_presenting_goes_line_by_line_and_the_script_keeps_in_step(page: Any):
    page.goto(f"/present/{FILE}")
    script = page.context.new_page()
    script.goto(f"/script/{FILE}")
    assert page.locator("#where").inner_text().startswith("1 of")
    page.keyboard.press("ArrowRight")
    assert page.locator("#where").inner_text().startswith("2 of")
    script.wait_for_selector('li[data-line="1"][aria-current]')
    script.click("#freeze")
    script.keyboard.press("ArrowRight")
    page.wait_for_timeout(100)
    assert page.locator("#where").inner_text().startswith("2 of")
    page.keyboard.press("f")
    page.keyboard.press("End")
    assert page.locator("#gauge").is_visible()
    page.keyboard.press("b")
    assert page.locator("#cover").is_visible()
    page.keyboard.press("b") if page.locator("#cover").is_hidden() else page.click("#cover")
    page.keyboard.press("d")
    box = page.locator("#ink").bounding_box()
    page.mouse.move(box["x"] + 50, box["y"] + 50)
    page.mouse.down()
    page.mouse.move(box["x"] + 150, box["y"] + 90, steps=3)
    page.mouse.up()
    assert page.locator("#ink path").count() == 1
    script.close()


def test_random_use_loses_nothing(page: Any, place: Path):
    chance = random.Random(8)  # noqa: S311  a monkey, no secret
    areas = [area.name for area in all_areas() if not area.slow]
    keys = ["ArrowUp", "ArrowDown", "PageUp", "Control+z", "Control+y", "k", "b"]
    names = ["RC", "R1", "R2", "RE", "VCC", "Q1.beta"]
    for _ in range(60):
        if chance.random() < 0.2:
            page.click(f"a[data-area={chance.choice(areas)}]")
        given(page, chance.choice(names)).focus()
        page.keyboard.press(chance.choice(keys))
    page.wait_for_timeout(1500)
    shown = page.evaluate(
        "[...document.querySelectorAll('#stage .can')]"
        ".map(g => [g.dataset.given, g.dataset.written])"
    )
    circuit = read_sheet(text(place))
    for key, written in shown:
        part = circuit.part(key.split(".")[0])
        if "." in key:
            assert f"{part.option('beta'):g}" == written
        else:
            assert part.value is not None
            assert part.value.written.replace("\u202f", " ") in (written, part.value.written)
