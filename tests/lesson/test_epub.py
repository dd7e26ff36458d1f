"""The electronic book: container, package, and that every chapter is well-formed.

EPUB 3.3 (W3C, 2023): 4.2 (the kind first, stored), 5.5 (identifier, title, language, modified),
5.6.2 (manifest), 6.1 (XHTML), 7 (navigation); EPUB Accessibility 1.1, 2.2 (metadata).
"""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import pytest

from steadypoint.lesson import course_epub, read_course
from steadypoint.lesson._xhtml import to_xhtml

EXAMPLE = Path(__file__).parents[2] / "examples" / "course"
OPF = "{http://www.idpf.org/2007/opf}"
XHTML = "{http://www.w3.org/1999/xhtml}"


@pytest.fixture(scope="module")
def book() -> bytes:
    return course_epub(read_course(EXAMPLE))


def read(book: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(book)) as found:
        return {name: found.read(name) for name in found.namelist()}


def test_the_kind_stands_first_and_plain(book: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(book)) as found:
        first = found.infolist()[0]
        assert first.filename == "mimetype"
        assert first.compress_type == zipfile.ZIP_STORED
        assert found.read(first) == b"application/epub+zip"
    assert book[30:38] == b"mimetype"


def test_everything_in_the_package_is_there_and_nothing_else(book: bytes) -> None:
    files = read(book)
    package = ElementTree.fromstring(files["book/package.opf"])  # noqa: S314  our own
    items = {i.get("id"): i for i in package.iter(f"{OPF}item")}
    names = {f"book/{i.get('href')}" for i in items.values()}
    assert names | {"mimetype", "META-INF/container.xml", "book/package.opf"} == set(files)
    spine = [items[r.get("idref")].get("href") for r in package.iter(f"{OPF}itemref")]
    assert spine[0] == "nav.xhtml"
    assert spine[-1] == "glossary.xhtml"
    assert len(spine) == 10
    said = {m.get("property") for m in package.iter(f"{OPF}meta")}
    assert {"dcterms:modified", "schema:accessMode", "schema:accessibilityFeature"} <= said
    assert {"schema:accessibilityHazard", "schema:accessibilitySummary"} <= said


def test_chapters_are_well_formed_and_say_what_they_hold(book: bytes) -> None:
    files = read(book)
    package = ElementTree.fromstring(files["book/package.opf"])  # noqa: S314
    for item in package.iter(f"{OPF}item"):
        if item.get("media-type") != "application/xhtml+xml":
            continue
        text = files[f"book/{item.get('href')}"]
        page = ElementTree.fromstring(text)  # noqa: S314
        assert page.tag == f"{XHTML}html"
        properties = (item.get("properties") or "").split()
        assert ("svg" in properties) == (b"<svg" in text)
        assert ("mathml" in properties) == (b"<math" in text)
        ids = [e.get("id") for e in page.iter() if e.get("id")]
        assert len(ids) == len(set(ids))
        for link in page.iter(f"{XHTML}a"):
            target, _, anchor = (link.get("href") or "").partition("#")
            assert f"book/{target}" in files if target else anchor in ids
    assert b'epub:type="toc"' in files["book/nav.xhtml"]


def test_the_same_course_gives_the_same_bytes(book: bytes) -> None:
    assert course_epub(read_course(EXAMPLE)) == book


@pytest.mark.parametrize(
    "markup",
    [
        "<p>a & b",
        "<svg viewBox='0 0 1 1'><path d='M0 0'/></svg>",
        "<ul><li>a<li>b</ul>",
        "<b>x</i>",
    ],
)
def test_any_markup_becomes_well_formed(markup: str) -> None:
    ElementTree.fromstring(f"<div>{to_xhtml(markup)}</div>")  # noqa: S314
