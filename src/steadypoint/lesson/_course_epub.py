"""A course as one electronic book (EPUB 3)."""

from __future__ import annotations

import hashlib
import io
import zipfile
from collections.abc import Mapping, Sequence
from html import escape
from pathlib import Path
from typing import Final

from steadypoint.lesson._answers import arranged
from steadypoint.lesson._build import read_lesson
from steadypoint.lesson._course import Course, read_course
from steadypoint.lesson._course_pages import glossary_page
from steadypoint.lesson._course_terms import symbols_of_document
from steadypoint.lesson._html import lesson_page
from steadypoint.lesson._tree import Document
from steadypoint.lesson._xhtml import to_xhtml
from steadypoint.publish import Page, font_css, style_text, tokens_css, write_atomic

_CONTAINER: Final = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<container version="1.0" xmlns="urn:oasis:names:tc:opendocument:xmlns:container">'
    '<rootfiles><rootfile full-path="book/package.opf" '
    'media-type="application/oebps-package+xml"/></rootfiles></container>\n'
)
_EPOCH: Final = (1980, 1, 1, 0, 0, 0)
_HELD: Final = (("svg", "<svg"), ("mathml", "<math"))
_SEEN: Final = ("textual", "visual")
_FEATURES: Final = (
    *("MathML", "alternativeText", "longDescription", "readingOrder"),
    *("structuralNavigation", "tableOfContents"),
)
_SUMMARY: Final = (
    "Every drawing has a description in words, every formula is MathML, colour never stands alone."
)


def write_epub(folder: str | Path, path: str | Path) -> Path:
    """Write a course as an electronic book.

    Parameters
    ----------
    folder : str or pathlib.Path
        The course's folder.
    path : str or pathlib.Path
        The file, usually ending in ``.epub``.

    Returns
    -------
    pathlib.Path
        The path that was written.

    Raises
    ------
    LessonError, SheetError, TextFileError
        If the course or a lesson has a fault; nothing is written then.
    OutputError
        If the file cannot be written.
    """
    return write_atomic(path, course_epub(read_course(folder)))


def course_epub(course: Course) -> bytes:
    """A course as an electronic book.

    Parameters
    ----------
    course : Course
        The course.

    Returns
    -------
    bytes
        EPUB 3: a chapter for each lesson, the answers folded, a glossary at the end. The same
        course gives the same bytes.

    References
    ----------
    EPUB 3.3, W3C Recommendation, 2023; EPUB Accessibility 1.1, W3C Recommendation, 2023.
    """
    documents = [read_lesson(lesson.path) for lesson in course.lessons]
    pages = [_page(document) for document in documents]
    used = [symbols_of_document(document) for document in documents]
    glossary = glossary_page(course, used)
    chapters = {
        f"{lesson.path.stem}.xhtml": page
        for lesson, page in zip(course.lessons, pages, strict=True)
    }
    links = {f"{lesson.path.stem}.html": f"{lesson.path.stem}.xhtml" for lesson in course.lessons}
    files = {name: _chapter(course, page, name) for name, page in chapters.items()}
    files["glossary.xhtml"] = _relinked(_chapter(course, glossary, "glossary.xhtml"), links)
    files["nav.xhtml"] = _contents(course)
    shown = "".join(files.values())
    files["book.css"] = "\n".join(
        (font_css(shown), tokens_css(), style_text("page.css"), style_text("course.css"))
    )
    files["package.opf"] = _package(course, files)
    return _zipped({f"book/{name}": text.encode("utf-8") for name, text in files.items()})


def _page(document: Document) -> Page:
    return lesson_page(arranged(document, "apart"))


def _relinked(text: str, links: Mapping[str, str]) -> str:
    for old, new in links.items():
        text = text.replace(f'href="{old}', f'href="{new}')
    return text


def _language(course: Course) -> str:
    return escape(course.facts.get("language", "en"))


def _chapter(course: Course, page: Page, name: str) -> str:
    style = f"<style>{escape(page.style, quote=False)}</style>" if page.style else ""
    return _xhtml(
        course,
        page.title,
        f"<main><h1>{escape(page.title)}</h1>{to_xhtml(page.body)}</main>",
        style,
    )


def _xhtml(course: Course, title: str, body: str, head: str = "") -> str:
    language = _language(course)
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<!DOCTYPE html>\n'
        '<html xmlns="http://www.w3.org/1999/xhtml" xmlns:epub="http://www.idpf.org/2007/ops" '
        f'lang="{language}" xml:lang="{language}"><head><title>{escape(title)}</title>'
        f'<link rel="stylesheet" href="book.css"/>{head}</head>\n<body>{body}</body></html>\n'
    )


def _contents(course: Course) -> str:
    items = "".join(
        f'<li><a href="{escape(lesson.path.stem)}.xhtml">{escape(lesson.words)}</a></li>'
        for lesson in course.lessons
    )
    words = "".join(f"<p>{escape(text)}</p>" for text in course.words)
    return _xhtml(
        course,
        course.title,
        f"<main><h1>{escape(course.title)}</h1>{words}"
        '<nav epub:type="toc" role="doc-toc" aria-label="Lessons"><ol>'
        f'{items}<li><a href="glossary.xhtml">Glossary</a></li></ol></nav></main>',
    )


def _package(course: Course, files: Mapping[str, str]) -> str:
    digest = hashlib.sha256("".join(files.values()).encode("utf-8")).hexdigest()
    order = ["nav.xhtml", *(f"{n.path.stem}.xhtml" for n in course.lessons), "glossary.xhtml"]
    items, spine = [], []
    for k, name in enumerate(order):
        kinds = [kind for kind, sign in _HELD if sign in files[name]]
        kinds += ["nav"] if name == "nav.xhtml" else []
        properties = f' properties="{" ".join(kinds)}"' if kinds else ""
        kind = f'media-type="application/xhtml+xml"{properties}'
        items.append(f'<item id="c{k}" href="{escape(name)}" {kind}/>')
        spine.append(f'<itemref idref="c{k}"/>')
    items.append('<item id="style" href="book.css" media-type="text/css"/>')
    metadata = [
        f'<dc:identifier id="id">urn:sha256:{digest}</dc:identifier>',
        f"<dc:title>{escape(course.title)}</dc:title>",
        f"<dc:language>{_language(course)}</dc:language>",
        f"<dc:creator>{escape(course.facts.get('author', 'Steadypoint'))}</dc:creator>",
        '<meta property="dcterms:modified">1980-01-01T00:00:00Z</meta>',
        *_meta("accessMode", _SEEN),
        *_meta("accessModeSufficient", ("textual",)),
        *_meta("accessibilityFeature", _FEATURES),
        *_meta("accessibilityHazard", ("none",)),
        *_meta("accessibilitySummary", (_SUMMARY,)),
    ]
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<package xmlns="http://www.idpf.org/2007/opf" version="3.0" unique-identifier="id" '
        f'xml:lang="{_language(course)}"><metadata xmlns:dc="http://purl.org/dc/elements/1.1/">'
        f"{''.join(metadata)}</metadata><manifest>{''.join(items)}</manifest>"
        f"<spine>{''.join(spine)}</spine></package>\n"
    )


def _meta(name: str, values: Sequence[str]) -> list[str]:
    return [f'<meta property="schema:{name}">{escape(value)}</meta>' for value in values]


def _zipped(files: Mapping[str, bytes]) -> bytes:
    """The container: its kind first and stored, then all else."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as book:
        _add(book, "mimetype", b"application/epub+zip", zipfile.ZIP_STORED)
        _add(book, "META-INF/container.xml", _CONTAINER.encode(), zipfile.ZIP_DEFLATED)
        for name in sorted(files):
            _add(book, name, files[name], zipfile.ZIP_DEFLATED)
    return stream.getvalue()


def _add(book: zipfile.ZipFile, name: str, data: bytes, how: int) -> None:
    entry = zipfile.ZipInfo(name, _EPOCH)
    entry.compress_type = how
    entry.external_attr = 0o644 << 16
    book.writestr(entry, data)
