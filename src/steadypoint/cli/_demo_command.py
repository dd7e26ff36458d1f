"""Options and help of ``steadypoint demo``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from steadypoint.cli._options import Json

EXAMPLE = "Example: steadypoint demo --into demo-output"


def demo(
    into: Annotated[
        Path, typer.Option(metavar="FOLDER", help="Folder for the lesson, its page and its PDF.")
    ] = Path("steadypoint-demo"),
    as_json: Json = False,
) -> None:
    """Write and build a first lesson.

    The lesson and its circuit sheets are yours to change; build them again with
    steadypoint lesson build.
    """
    from steadypoint.cli import _lesson

    _lesson.demo(into, as_json=as_json)


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(epilog=EXAMPLE)(demo)
