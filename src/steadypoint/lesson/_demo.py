"""The demo: a first lesson, ready to be taught from and to be changed."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from steadypoint.lesson._build import BuildResult, build_lesson
from steadypoint.publish import make_folder, write_atomic

_LESSON = "first-lesson.md"


def demo_files() -> dict[str, bytes]:
    """The demo's source files by name: the lesson and its circuit sheets."""
    folder = files("steadypoint.lesson").joinpath("demo")
    names = sorted(f.name for f in folder.iterdir() if f.name.endswith((".md", ".circuit")))
    return {name: folder.joinpath(name).read_bytes() for name in names}


def build_demo(into: str | Path) -> BuildResult:
    """Write the demo's lesson and sheets into a folder and build page and PDF from them.

    Parameters
    ----------
    into : str or pathlib.Path
        Folder, made if it is missing. The demo's own files in it are written anew.

    Returns
    -------
    BuildResult
        Paths of lesson, sheets, page and PDF, and the points of the lesson.

    Raises
    ------
    OutputError
        If the folder cannot be written.
    """
    folder = make_folder(into)
    sources = [write_atomic(folder / name, data) for name, data in demo_files().items()]
    built = build_lesson(folder / _LESSON)
    kinds = ("lesson" if path.suffix == ".md" else "sheet" for path in sources)
    return BuildResult((*sources, *built.paths), built.summary, (*kinds, *built.kinds))
