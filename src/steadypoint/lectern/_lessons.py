"""Lessons: the page as it will be, and the files."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from steadypoint.errors import QuantityError
from steadypoint.lectern._folder import Folder
from steadypoint.lesson import build_lesson, lesson_html, parse_lesson

_LONGEST = 200_000  # characters of a lesson


def preview(request: Mapping[str, Any]) -> dict[str, Any]:
    """The page of a lesson's text.

    Raises
    ------
    SteadypointError
        If the lesson has a fault.
    """
    text = str(request.get("text", ""))
    if len(text) > _LONGEST:
        raise QuantityError(f"The lesson has more than {_LONGEST:,} characters. Split it.")
    name = str(request.get("name", "lesson"))[:100]
    return {"page": lesson_html(parse_lesson(text, name, Path(str(request["folder"]))))}


def build(request: Mapping[str, Any]) -> dict[str, Any]:
    """Write the page or the PDF of a lesson beside it.

    Raises
    ------
    SteadypointError
        If the lesson has a fault or a file cannot be written.
    """
    folder = Folder(str(request["folder"]))
    found = folder.read(str(request.get("name", "")))
    to = "pdf" if request.get("to") == "pdf" else "page"
    result = build_lesson(folder.path / found.name, to=to)
    return {"written": [path.name for path in result.paths]}
