"""Options and help of ``steadypoint lesson``."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from steadypoint.cli._options import Json

EXAMPLE = "Example: steadypoint lesson build first-lesson.md --to page --into out"

# Named here too, so that the help loads no layer below; a test holds it against the register.
OUTPUTS = "page, handout, slides, student, script, figures"

lesson = typer.Typer(
    name="lesson",
    no_args_is_help=True,
    rich_markup_mode=None,
    subcommand_metavar="COMMAND ...",
    help="Build a lesson from its text.",
    epilog="Example: steadypoint lesson build first-lesson.md --into out",
)


class Answers(StrEnum):
    """Where the answers of exercises stand."""

    WITH = "with"
    WITHOUT = "without"
    APART = "apart"


class Theme(StrEnum):
    """Theme of the slides."""

    PROJECTOR = "projector"
    LIGHT = "light"
    DARK = "dark"


def build(
    file: Annotated[
        Path,
        typer.Argument(metavar="FILE", show_default=False, help="Lesson to build (CommonMark)."),
    ],
    to: Annotated[
        list[str] | None,
        typer.Option(
            metavar="OUTPUT",
            show_default=False,
            help=f"What to build: {OUTPUTS} or all; page and handout by default. May be repeated, "
            "or be a list with commas.",
        ),
    ] = None,
    answers: Annotated[
        Answers | None,
        typer.Option(
            show_default=False,
            help="Answers of exercises: with each, without, or apart at the end. By default the "
            "page folds them, the handout has them apart.",
        ),
    ] = None,
    theme: Annotated[Theme, typer.Option(help="Theme of the slides.")] = Theme.PROJECTOR,
    into: Annotated[
        Path | None,
        typer.Option(
            metavar="FOLDER",
            show_default=False,
            help="Folder for the files, made if it is missing; that of the lesson by default.",
        ),
    ] = None,
    watch: Annotated[
        bool,
        typer.Option(
            "--watch", help="Stay, and build anew whenever the lesson or a sheet beside it changes."
        ),
    ] = False,
    as_json: Json = False,
) -> None:
    """Build a lesson: page, handout and more.

    Every figure, working and value in the text is computed anew from the lesson's circuits. A
    fault in the lesson leaves the files of the last build as they are.
    """
    from steadypoint.cli import _lesson
    from steadypoint.lesson import BuildOptions

    wanted = BuildOptions(answers.value if answers else "", theme.value)
    if watch:
        _lesson.watch(file, to, into, wanted)
        return
    _lesson.build(file, to, into, wanted, as_json=as_json)


def register(app: typer.Typer) -> None:
    """Add the group of commands to the command line."""
    lesson.command(epilog=EXAMPLE)(build)
    app.add_typer(lesson)
