"""``steadypoint course build``: a folder of lessons as pages."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path

import typer

from steadypoint.cli._console import Report
from steadypoint.cli._point import print_json
from steadypoint.errors import UnknownNameError
from steadypoint.lesson import build_course, write_epub


def build(
    folder: Path,
    to: Sequence[str] | None,
    answers: str,
    into: Path | None,
    epub: Path | None,
    *,
    as_json: bool,
) -> None:
    """Build a course and tell what was written."""
    try:
        done = build_course(
            folder,
            into=into,
            to=["page", *(to or ())],
            answers=answers,
            workers=min(os.cpu_count() or 1, 4),
            progress=_told if sys.stderr.isatty() else None,
        )
    except UnknownNameError as fault:
        raise typer.BadParameter(str(fault), param_hint="--to") from fault
    book = (write_epub(folder, epub),) if epub is not None else ()
    if as_json:
        files = [str(path) for path in (*done.paths, *book)]
        print_json({"files": files, "built": list(done.built), "kept": list(done.kept)})
        return
    report = Report()
    report.title(f"Course in {done.paths[0].parent}", f"open {done.paths[0].name}")
    rows = [(name, "built") for name in done.built] + [(name, "unchanged") for name in done.kept]
    report.table(("Lesson", ""), sorted(rows))
    for path in book:
        report.say(f"Written: {path}")
    report.print()


def _told(name: str) -> None:
    sys.stderr.write(f"{name}\n")
