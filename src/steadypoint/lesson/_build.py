"""Building a lesson: from its file to page and PDF."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from steadypoint.errors import UnknownNameError
from steadypoint.lesson._html import lesson_page
from steadypoint.lesson._source import Source, newlines, read_source
from steadypoint.lesson._tree import Document
from steadypoint.lesson._typst import Handout
from steadypoint.lesson._weave import Weaver
from steadypoint.publish import compile_typst, make_folder, page_html, write_atomic

OUTPUTS: Final = ("all", "page", "pdf")


@dataclass(frozen=True, slots=True)
class BuildResult:
    """What a build wrote.

    Parameters
    ----------
    paths : tuple of pathlib.Path
        The files, in the order page, PDF.
    summary : tuple of mapping
        Every point of the lesson in its order, SI units: ``circuit``, ``state`` (``as drawn`` or
        what changed), ``transistor``, ``I_C``, ``V_CE``, ``P``, ``region``.
    """

    paths: tuple[Path, ...]
    summary: tuple[Mapping[str, Any], ...]


def read_lesson(path: str | Path) -> Document:
    """Read a lesson and compute everything in it.

    Parameters
    ----------
    path : str or pathlib.Path
        The lesson's file.

    Returns
    -------
    Document
        Its tree.

    Raises
    ------
    TextFileError
        If the file cannot be read as text.
    LessonError
        If something in the lesson is not understood.
    SheetError
        If a circuit sheet beside it has a fault.
    """
    return Weaver(read_source(path)).document()


def parse_lesson(text: str, source: str = "lesson", folder: Path | None = None) -> Document:
    """Read a lesson from a text.

    Parameters
    ----------
    text : str
        The lesson.
    source : str
        How faults call it.
    folder : pathlib.Path, optional
        Folder that it may read sheets and pictures from.

    Returns
    -------
    Document
        Its tree.

    Raises
    ------
    LessonError
        If something in the lesson is not understood.
    """
    return Weaver(Source(source, newlines(text.removeprefix("\ufeff")), folder)).document()


def build_lesson(
    path: str | Path, *, to: str = "all", into: str | Path | None = None
) -> BuildResult:
    """Build a lesson.

    Parameters
    ----------
    path : str or pathlib.Path
        The lesson's file.
    to : {"all", "page", "pdf"}
        What to build.
    into : str or pathlib.Path, optional
        Folder for the files, made if it is missing; the lesson's own folder by default.

    Returns
    -------
    BuildResult
        Paths and summary.

    Raises
    ------
    UnknownNameError
        If ``to`` is none of the outputs.
    TextFileError, LessonError, SheetError
        If the lesson has a fault; nothing is written then.
    OutputError
        If a file cannot be written.
    """
    if to not in OUTPUTS:
        raise UnknownNameError(f"There is no output '{to}'. Choose {', '.join(OUTPUTS)}.")
    file = Path(path)
    document = read_lesson(file)
    # Everything is made before anything is written, so that a fault leaves the old files alone.
    made: list[tuple[str, bytes]] = []
    if to in ("all", "page"):
        made.append((f"{file.stem}.html", lesson_html(document).encode("utf-8")))
    if to in ("all", "pdf"):
        made.append((f"{file.stem}.pdf", lesson_pdf(document)))
    folder = make_folder(into) if into is not None else file.parent
    paths: Sequence[Path] = [write_atomic(folder / name, data) for name, data in made]
    return BuildResult(tuple(paths), tuple(document.summary))


def lesson_html(document: Document) -> str:
    """The page of a lesson: one self-contained HTML text.

    Parameters
    ----------
    document : Document
        The lesson.

    Returns
    -------
    str
        HTML (living standard).
    """
    return page_html(lesson_page(document))


def lesson_pdf(document: Document) -> bytes:
    """The handout of a lesson: a tagged PDF (PDF/UA-1), answers on their own page at the end.

    Parameters
    ----------
    document : Document
        The lesson.

    Returns
    -------
    bytes
        The PDF. The same lesson gives the same bytes.

    Raises
    ------
    OutputError
        If the document cannot be set.
    """
    handout = Handout(document)
    markup = handout.markup()
    return compile_typst(markup, handout.pictures)
