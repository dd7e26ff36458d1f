"""Options and help of ``steadypoint lesson``."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from steadypoint.cli._options import Json

EXAMPLE = "Example: steadypoint lesson build first-lesson.md --to page --into handout"

lesson = typer.Typer(
    name="lesson",
    no_args_is_help=True,
    rich_markup_mode=None,
    subcommand_metavar="COMMAND ...",
    help="Build a lesson from its text.",
    epilog="Example: steadypoint lesson build first-lesson.md --into handout",
)


class Output(StrEnum):
    """What a lesson is built as."""

    PAGE = "page"
    PDF = "pdf"
    ALL = "all"


def build(
    file: Annotated[
        Path,
        typer.Argument(metavar="FILE", show_default=False, help="Lesson to build (CommonMark)."),
    ],
    to: Annotated[Output, typer.Option(help="What to build.")] = Output.ALL,
    into: Annotated[
        Path | None,
        typer.Option(
            metavar="FOLDER",
            show_default=False,
            help="Folder for the files, made if it is missing; that of the lesson by default.",
        ),
    ] = None,
    as_json: Json = False,
) -> None:
    """Build the page and the PDF of a lesson.

    Every figure, working and value in the text is computed anew from the lesson's circuits. A
    fault in the lesson leaves the files of the last build as they are.
    """
    from steadypoint.cli import _lesson

    _lesson.build(file, to.value, into, as_json=as_json)


def register(app: typer.Typer) -> None:
    """Add the group of commands to the command line."""
    lesson.command(epilog=EXAMPLE)(build)
    app.add_typer(lesson)
