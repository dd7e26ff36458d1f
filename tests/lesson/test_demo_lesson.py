"""The demo as a page and as a PDF: valid, tagged, self-contained, every number the solver's."""

from __future__ import annotations

import io
import re
import time
from pathlib import Path

import html5lib
import pytest
from pypdf import PdfReader

from steadypoint.circuit import apply_setting, load_sheet
from steadypoint.errors import OutputError
from steadypoint.lesson import build_demo, demo_files, lesson_html, lesson_pdf, read_lesson
from steadypoint.solve import operating_point
from steadypoint.values import format_quantity

HTML = "{http://www.w3.org/1999/xhtml}"
SVG = "{http://www.w3.org/2000/svg}"
MATH = "{http://www.w3.org/1998/Math/MathML}"


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory):
    folder = tmp_path_factory.mktemp("demo")
    return folder, build_demo(folder)


@pytest.fixture(scope="module")
def page(demo) -> str:
    return (demo[0] / "first-lesson.html").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def tree(page: str):
    return html5lib.parse(page)


@pytest.fixture(scope="module")
def pdf(demo) -> PdfReader:
    return PdfReader(demo[0] / "first-lesson.pdf")


def test_it_writes_lesson_sheet_page_and_pdf(demo) -> None:
    folder, built = demo
    names = [p.name for p in built.paths]
    assert names == [
        "first-lesson.md",
        "kalimba-divider.circuit",
        "first-lesson.html",
        "first-lesson.pdf",
    ]
    assert sorted(p.name for p in folder.iterdir()) == sorted(names)
    assert (folder / "first-lesson.md").read_bytes() == demo_files()["first-lesson.md"]


def test_the_summary_is_the_solvers(demo) -> None:
    folder, built = demo
    circuit = load_sheet(folder / "kalimba-divider.circuit")
    rows = [r for r in built.summary if r["circuit"] == "divider"]
    for row, beta in zip(rows, (120, 240), strict=True):
        point = operating_point(apply_setting(circuit, f"beta={beta}")).transistors["Q1"]
        assert row["I_C"] == pytest.approx(point.I_C, rel=1e-12)
        assert row["V_CE"] == pytest.approx(point.V_CE, rel=1e-12)
        assert row["region"] == point.region.value


def test_the_same_lesson_gives_the_same_bytes(demo) -> None:
    folder, _ = demo
    document = read_lesson(folder / "first-lesson.md")
    assert lesson_html(document).encode() == (folder / "first-lesson.html").read_bytes()
    assert lesson_pdf(document) == (folder / "first-lesson.pdf").read_bytes()


def test_a_build_is_quick(demo) -> None:
    start = time.process_time()
    document = read_lesson(demo[0] / "first-lesson.md")
    lesson_html(document)
    lesson_pdf(document)
    # The bound is 3 s; a busy machine gets the double.
    assert time.process_time() - start < 6.0


# --- page --------------------------------------------------------------------------------------


def test_the_page_is_valid_html(page: str) -> None:
    parser = html5lib.HTMLParser(strict=True)
    parser.parse(page)
    assert parser.errors == []


def test_identifiers_are_unique_and_references_lead_somewhere(tree) -> None:
    identifiers = [e.get("id") for e in tree.iter() if e.get("id")]
    assert len(identifiers) == len(set(identifiers))
    for element in tree.iter():
        for key in ("aria-labelledby", "aria-describedby"):
            for name in (element.get(key) or "").split():
                assert name in identifiers
        address = element.get("href") or ""
        if address.startswith("#"):
            assert address[1:] in identifiers


def test_the_page_asks_for_nothing_outside(page: str) -> None:
    without_names = re.sub(r"xmlns(?::\w+)?=[\"'][^\"']*[\"']", "", page)
    found = re.findall(r"https?:[^\s\"'<)]*", without_names)
    assert [f for f in found if "w3.org" not in f] == []
    assert "<script" not in page
    assert not re.search(r"url\((?!data:|#)", page)


def test_every_picture_has_a_name(tree) -> None:
    names = {e.get("id"): "".join(e.itertext()) for e in tree.iter() if e.get("id")}
    pictures = [e for e in tree.iter(f"{SVG}svg") if e.get("aria-hidden") != "true"]
    assert len(pictures) >= 7
    for svg in pictures:
        assert svg.get("role") == "img"
        label = " ".join(names[n] for n in svg.get("aria-labelledby").split())
        assert len(label) > 20
    for image in tree.iter(f"{HTML}img"):
        assert image.get("alt")


def test_headings_descend_one_level_at_a_time(tree) -> None:
    main = next(tree.iter(f"{HTML}main"))
    levels = [int(e.tag[-1]) for e in main.iter() if re.fullmatch(rf"{HTML}h[1-6]", str(e.tag))]
    assert sum(1 for _ in tree.iter(f"{HTML}h1")) == 1
    assert all(b - a <= 1 for a, b in zip([1, *levels], levels, strict=False))


def test_landmarks_language_and_answers(tree) -> None:
    for name in ("header", "main", "nav", "footer"):
        assert sum(1 for _ in tree.iter(HTML + name)) == 1
    assert next(tree.iter(f"{HTML}html")).get("lang") == "en"
    details = list(tree.iter(f"{HTML}details"))
    assert details
    assert details[0].get("open") is None
    assert sum(1 for _ in details[0].iter(f"{MATH}math")) > 10


def _plain_text(tree) -> str:
    skip = {f"{HTML}style", f"{SVG}style"}
    main = next(tree.iter(f"{HTML}main"))
    return "".join(
        (e.text or "") + (e.tail or "") if e.tag not in skip else (e.tail or "")
        for e in main.iter()
    )


WANTED = [("I_C", "A"), ("V_CE", "V"), ("I_B", "A"), ("P", "W")]


def _points(folder: Path):
    circuit = load_sheet(folder / "kalimba-divider.circuit")
    for beta in (120, 240):
        yield operating_point(apply_setting(circuit, f"beta={beta}")).transistors["Q1"]


def test_the_page_shows_the_solvers_numbers(demo, page: str) -> None:
    text = re.sub(r"<[^>]*>", "", page)
    for point in _points(demo[0]):
        for name, unit in WANTED:
            assert format_quantity(getattr(point, name), unit) in text


# --- PDF ---------------------------------------------------------------------------------------


def test_the_pdf_is_tagged(pdf: PdfReader) -> None:
    # ISO 14289-1 (PDF/UA-1), 7.1 and 7.2: marked, structure tree, language, title shown.
    root = pdf.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in root
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert pdf.metadata is not None
    assert pdf.metadata.title == "A first lesson: one stage, held steady"
    assert pdf.metadata.author == "Steadypoint demo"
    assert "pdfuaid" in pdf.xmp_metadata.stream.get_data().decode("utf-8")


def _figures(element, found: list[str]) -> list[str]:
    element = element.get_object()
    if isinstance(element, list):
        for kid in element:
            _figures(kid, found)
    elif isinstance(element, dict):
        if element.get("/S") in ("/Figure", "/Formula"):
            found.append(str(element.get("/Alt", "")))
        if "/K" in element:
            kids = element["/K"]
            for kid in kids if isinstance(kids, list) else [kids]:
                if hasattr(kid, "get_object"):
                    _figures(kid, found)
    return found


def test_every_figure_and_formula_of_the_pdf_has_words(pdf: PdfReader) -> None:
    words = _figures(pdf.trailer["/Root"]["/StructTreeRoot"], [])
    assert len(words) > 30
    assert all(words)


def test_the_pdf_shows_the_solvers_numbers(demo, pdf: PdfReader) -> None:
    text = "".join("".join(p.extract_text() for p in pdf.pages).split())
    for point in _points(demo[0]):
        for name, unit in WANTED:
            assert "".join(format_quantity(getattr(point, name), unit).split()) in text


def test_the_answers_stand_on_their_own_page(pdf: PdfReader) -> None:
    pages = [page.extract_text() for page in pdf.pages]
    first = next(i for i, text in enumerate(pages) if "Answers" in text)
    assert first > 0
    assert all("Exercise 1" not in text or "Give" in text for text in pages[:first])
    assert 3 <= len(pages) <= 7


def test_a_demo_without_a_folder_to_write_in(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with pytest.raises(OutputError, match="is a file, not a folder"):
        build_demo(tmp_path / "file")


def test_the_pdf_can_be_read_from_memory(demo) -> None:
    data = (demo[0] / "first-lesson.pdf").read_bytes()
    assert PdfReader(io.BytesIO(data)).pages[0].mediabox.width == pytest.approx(595.28, abs=0.01)


# --- examples ----------------------------------------------------------------------------------

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.md"))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_every_example_builds(path: Path) -> None:
    document = read_lesson(path)
    parser = html5lib.HTMLParser(strict=True)
    parser.parse(lesson_html(document))
    assert parser.errors == []
    assert lesson_pdf(document).startswith(b"%PDF")


def test_there_are_examples() -> None:
    assert EXAMPLES
