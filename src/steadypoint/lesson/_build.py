"""Building a lesson: from its file to page and PDF."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from steadypoint.lesson._outputs import BuildOptions, chosen_outputs
from steadypoint.lesson._source import Source, newlines, read_source
from steadypoint.lesson._tree import Document
from steadypoint.lesson._weave import Weaver
from steadypoint.publish import make_folder, write_atomic


@dataclass(frozen=True, slots=True)
class BuildResult:
    """What a build wrote.

    Parameters
    ----------
    paths : tuple of pathlib.Path
        The files, in the order of `outputs`.
    summary : tuple of mapping
        Every point of the lesson in its order, SI units: ``circuit``, ``state`` (``as drawn`` or
        what changed), ``transistor``, ``I_C``, ``V_CE``, ``P``, ``region``.
    kinds : tuple of str
        For each file the output that it belongs to.
    """

    paths: tuple[Path, ...]
    summary: tuple[Mapping[str, Any], ...]
    kinds: tuple[str, ...]


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
    path: str | Path,
    *,
    to: str | Iterable[str] | None = None,
    into: str | Path | None = None,
    answers: str = "",
    theme: str = "projector",
) -> BuildResult:
    """Build a lesson.

    Parameters
    ----------
    path : str or pathlib.Path
        The lesson's file.
    to : str or iterable of str, optional
        Names of `outputs`, or ``all``; page and handout by default.
    into : str or pathlib.Path, optional
        Folder for the files, made if it is missing; the lesson's own folder by default.
    answers : {"", "with", "without", "apart"}
        Where answers stand; by default folded on the page, apart in the handout.
    theme : str, default "projector"
        Theme of what is projected.

    Returns
    -------
    BuildResult
        Paths and summary.

    Raises
    ------
    UnknownNameError
        If ``to`` names no output or ``answers`` no way to show them.
    TextFileError, LessonError, SheetError
        If the lesson has a fault; nothing is written then.
    OutputError
        If a file cannot be written.
    """
    wanted = chosen_outputs(to)
    file = Path(path)
    document = read_lesson(file)
    options = BuildOptions(answers, theme)
    # Everything is made before anything is written, so that a fault leaves the old files alone.
    made: dict[str, tuple[str, bytes]] = {}
    for output in wanted:
        for end, data in output.build(document, options).items():
            made[file.stem + end] = (output.name, data)
    folder = make_folder(into) if into is not None else file.parent
    for inner in dict.fromkeys(Path(name).parent for name in made):
        make_folder(folder / inner)
    paths = [write_atomic(folder / name, data) for name, (_, data) in made.items()]
    kinds = tuple(kind for kind, _ in made.values())
    return BuildResult(tuple(paths), tuple(document.summary), kinds)
