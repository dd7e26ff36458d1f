"""The page: valid, self-contained, the same bytes each time."""

from __future__ import annotations

import io
import re
from pathlib import Path

import html5lib
import pytest
from pypdf import PdfReader

from steadypoint.circuit import arrangement
from steadypoint.draw import schematic
from steadypoint.errors import OutputError
from steadypoint.publish import (
    THEMES,
    Entry,
    Page,
    page_html,
    scene_pdf,
    scene_png,
    svg_png,
    write_page,
)
from steadypoint.solve import operating_point

PAGE = Page(
    title="A & B <c>",
    body='<section><h2 id="one">One</h2><p>Text</p></section>',
    head="<h1>A &amp; B</h1>",
    contents=(Entry("one", "One"),),
    author='He said "no"',
    description="x",
)


def test_the_page_is_valid_html() -> None:
    parser = html5lib.HTMLParser(strict=True)
    tree = parser.parse(page_html(PAGE))
    assert tree is not None
    assert parser.errors == []


def test_the_page_asks_for_nothing_outside() -> None:
    text = page_html(PAGE)
    assert not re.findall(r"""(?:src|href|url\()\s*=?\s*["']?(?:https?:)?//""", text)
    assert "<script" not in text
    assert "@import" not in text


def test_the_page_has_its_landmarks() -> None:
    text = page_html(PAGE)
    for part in ('<html lang="en">', "<header", "<main", "<nav", "<footer", 'class="skip"'):
        assert part in text
    assert "<title>A &amp; B &lt;c&gt;</title>" in text


def test_the_page_repeats_itself(tmp_path: Path) -> None:
    assert page_html(PAGE) == page_html(PAGE)
    path = write_page(tmp_path / "p.html", PAGE)
    assert path.read_text(encoding="utf-8") == page_html(PAGE)


SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20"><path d="M0 0h20v20z"/></svg>'


def test_png_has_the_wanted_width() -> None:
    picture = svg_png(SVG, width=320)
    assert picture.startswith(b"\x89PNG")
    # PNG (Third Edition), 11.2.2 IHDR: width and height are the first eight bytes of its data.
    assert int.from_bytes(picture[16:20], "big") == 320
    assert int.from_bytes(picture[20:24], "big") == 160
    assert svg_png(SVG, width=320) == picture


@pytest.mark.parametrize(("svg", "width"), [("<no", 320), (SVG, 3), (SVG, 10**6)])
def test_a_picture_that_cannot_be_made(svg: str, width: int) -> None:
    with pytest.raises(OutputError):
        svg_png(svg, width=width)


@pytest.fixture(scope="module")
def drawn():
    circuit = arrangement("voltage divider").circuit
    return schematic(circuit, operating_point(circuit))


@pytest.mark.parametrize("theme", THEMES)
def test_a_scene_becomes_a_picture_in_each_theme(drawn, theme: str) -> None:
    picture = scene_png(drawn, width=640, theme=theme)
    assert int.from_bytes(picture[16:20], "big") == 640
    assert picture == scene_png(drawn, width=640, theme=theme)


def test_a_scene_becomes_a_tagged_pdf_of_its_own_size(drawn) -> None:
    data = scene_pdf(drawn, title="Stage", width=120.0)
    assert data == scene_pdf(drawn, title="Stage", width=120.0)
    reader = PdfReader(io.BytesIO(data))
    assert len(reader.pages) == 1
    # 1 inch = 25.4 mm = 72 points.
    assert float(reader.pages[0].mediabox.width) == pytest.approx(120 / 25.4 * 72, abs=0.1)
    assert reader.metadata is not None
    assert reader.metadata.title == "Stage"
    text = "".join(reader.pages[0].extract_text().split())
    assert "47kΩ" in text
