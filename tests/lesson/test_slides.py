"""Slides: one step a page with its ghost, both forms, keys of the HTML file in a browser."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from steadypoint.circuit import read_sheet
from steadypoint.derive import derive
from steadypoint.errors import UnknownNameError
from steadypoint.lesson import parse_lesson, slides_html, slides_pdf
from steadypoint.lesson._answers import arranged
from steadypoint.lesson._slides import Deck

SHEET = """VCC = 9 V
Q1 = npn, beta 120
from VCC through RB 560k to Q1 base
from VCC through RC 2k7 to Q1 collector
from Q1 emitter to ground
"""
LESSON = f"""# Level stage

Said first.

```circuit
name: stage

{SHEET}```

## The working

Said before the steps.

```working
```

```note for the speaker
Wait here.
```

- one
- two

## The test

```before and after
change: beta = 200
```

```reveal
label: Why?

Because {{{{I_B}}}} is fixed.
```

```exercise
ask: I_C

Find it.
```
"""
CHROMIUM = Path("/usr/bin/chromium")


def deck(answers: str = "with", *, key_steps: bool = True) -> list[Any]:
    return list(Deck(arranged(parse_lesson(LESSON), answers), key_steps).made())


def test_every_step_has_its_slide_with_the_one_before_as_ghost() -> None:
    steps = [s for s in deck("without") if s.kind == "step"]
    derivation = derive(read_sheet(SHEET))
    assert [s.step for s in steps] == list(derivation)
    assert [s.before for s in steps] == [None, *list(derivation)[:-1]]
    assert [s.place for s in steps] == list(range(1, len(steps) + 1))
    found = {letter.base + letter.sub: amount for letter, amount in steps[-1].found}
    assert found["IC"].number == "1.78"  # 120 × (9 V - 0.7 V)/560 kΩ = 1.779 mA


def test_what_is_said_becomes_notes_and_is_not_shown() -> None:
    slides = deck()
    first = next(s for s in slides if s.kind == "step")
    assert len(first.notes) == 1
    html = slides_html(parse_lesson(LESSON))
    assert html.count('class="notes"') >= 3
    pdf = PdfReader(io.BytesIO(slides_pdf(parse_lesson(LESSON))))
    assert "Wait here" not in "".join(p.extract_text() for p in pdf.pages)


def test_answers_on_slides() -> None:
    answered = [len(deck(a, key_steps=k)) for a, k in (("without", True), ("with", False))]
    assert answered[1] == answered[0] + 1
    assert len(deck("with")) > answered[1]
    assert len(deck("apart")) == len(deck("with"))


def test_pdf_is_tagged_and_wide() -> None:
    data = slides_pdf(parse_lesson(LESSON))
    pdf = PdfReader(io.BytesIO(data))
    assert len(pdf.pages) == len(deck(key_steps=False))
    box = pdf.pages[0].mediabox
    assert float(box.width) / float(box.height) == pytest.approx(16 / 9, rel=0.005)
    root = pdf.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"


@pytest.mark.parametrize("theme", ["projector", "light", "dark"])
def test_themes(theme: str) -> None:
    assert slides_pdf(parse_lesson(LESSON), theme=theme).startswith(b"%PDF")
    assert f'data-theme="{theme}"' in slides_html(parse_lesson(LESSON), theme=theme)


def test_unknown_theme_is_told() -> None:
    with pytest.raises(UnknownNameError, match="projector, light, dark"):
        slides_pdf(parse_lesson(LESSON), theme="chalk")


def test_html_asks_for_nothing_outside() -> None:
    html = slides_html(parse_lesson(LESSON))
    assert "http://" not in html.replace("http://www.w3.org", "")
    assert "https://" not in html
    assert " onclick" not in html
    assert html.count("<script") == 1


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    playwright = pytest.importorskip("playwright.sync_api")
    if not CHROMIUM.exists():
        pytest.skip("needs Chromium")
    file = tmp_path_factory.mktemp("deck") / "s.html"
    file.write_text(slides_html(parse_lesson(LESSON)), encoding="utf-8")
    with playwright.sync_playwright() as p:
        browser = p.chromium.launch(executable_path=str(CHROMIUM), args=["--no-sandbox"])
        tab = browser.new_page(viewport={"width": 1280, "height": 720})
        tab.goto(file.as_uri())
        tab.wait_for_function("document.querySelector('.slide.now')")
        yield tab
        browser.close()


def test_keys_lead_through_the_slides(page: Any) -> None:
    def where() -> str:
        return str(page.evaluate("location.hash"))

    count = len(deck(key_steps=False))
    page.keyboard.press("Home")
    assert where() == "#1"
    for key in ("ArrowRight", "PageDown", " "):
        page.keyboard.press(key)
    assert where() == "#4"
    page.keyboard.press("ArrowLeft")
    assert where() == "#3"
    page.keyboard.press("End")
    assert where() == f"#{count}"
    for key in ("5", "Enter"):
        page.keyboard.press(key)
    assert where() == "#5"
    page.keyboard.press("b")
    assert page.evaluate("document.body.className").split().count("covered") == 1
    page.keyboard.press("x")
    assert "covered" not in page.evaluate("document.body.className")
    page.keyboard.press("Escape")
    assert "present" not in page.evaluate("document.body.className")
    page.click("#enter")
    assert where() == "#5"


def test_numbers_come_after_letters(page: Any) -> None:
    slides = deck(key_steps=False)
    place = next(
        n for n, s in enumerate(slides, 1) if s.step and any(line.numbers for line in s.step.lines)
    )
    for key in (*str(place), "Enter"):
        page.keyboard.press(key)
    seen = "getComputedStyle(document.querySelector('.slide.now .later')).visibility"
    assert page.evaluate(seen) == "hidden"
    page.keyboard.press("ArrowRight")
    assert page.evaluate(seen) == "visible"
    assert page.evaluate("location.hash") == f"#{place}"


def test_nothing_overflows_its_slide(page: Any) -> None:
    over = """[...document.querySelectorAll('.slide.now .fit, .slide.now .eq')]
        .filter((e) => e.scrollWidth > e.clientWidth + 2 || e.scrollHeight > e.clientHeight + 2)
        .length"""
    page.keyboard.press("Home")
    for _ in deck(key_steps=False):
        assert page.evaluate(over) == 0, page.evaluate("location.hash")
        page.keyboard.press("PageDown")
