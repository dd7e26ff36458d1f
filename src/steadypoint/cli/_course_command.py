"""Options and help of ``steadypoint course``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from steadypoint.cli._lesson_command import OUTPUTS, Answers
from steadypoint.cli._options import Json

EXAMPLE = "Example: steadypoint course build examples/course --into out"

course = typer.Typer(
    name="course",
    no_args_is_help=True,
    rich_markup_mode=None,
    subcommand_metavar="COMMAND ...",
    help="Build a course: a folder of lessons with index, glossary and search.",
    epilog=EXAMPLE,
)


def build(
    folder: Annotated[
        Path,
        typer.Argument(
            metavar="FOLDER", show_default=False, help="Folder with course.md and its lessons."
        ),
    ],
    to: Annotated[
        list[str] | None,
        typer.Option(
            metavar="OUTPUT",
            show_default=False,
            help=f"What to build of each lesson beside its page: {OUTPUTS} or all.",
        ),
    ] = None,
    answers: Annotated[
        Answers | None,
        typer.Option(show_default=False, help="Answers: with each, without, or apart at the end."),
    ] = None,
    into: Annotated[
        Path | None,
        typer.Option(
            metavar="FOLDER",
            show_default=False,
            help="Folder for the files; 'built' in the course's own by default.",
        ),
    ] = None,
    epub: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", show_default=False, help="Write the course as one EPUB file as well."
        ),
    ] = None,
    as_json: Json = False,
) -> None:
    """Build a course: the pages of its lessons, an index, a glossary and a search page.

    Lessons are built side by side, and only those that changed.
    """
    from steadypoint.cli import _course

    wanted = answers.value if answers else ""
    _course.build(folder, to, wanted, into, epub, as_json=as_json)


def register(app: typer.Typer) -> None:
    """Add the group of commands to the command line."""
    course.command(epilog=EXAMPLE)(build)
    app.add_typer(course)
