"""Options and help of ``steadypoint work``."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import typer

from steadypoint.cli._options import Settings, Sheet

EXAMPLE = "Example: steadypoint work stage.circuit --model board --format markdown"


class WorkingRung(StrEnum):
    """Rungs on which a working can be written by hand."""

    BOARD = "board"
    EXACT = "exact"


class WorkingWay(StrEnum):
    """Ways of working a circuit."""

    LOOPS = "loops"
    NODES = "nodes"
    THEVENIN = "thevenin"


class WorkingFormat(StrEnum):
    """Formats of a working."""

    TEXT = "text"
    MARKDOWN = "markdown"
    LATEX = "latex"
    SPOKEN = "spoken"
    JSON = "json"


def work(
    sheet: Sheet,
    model: Annotated[
        WorkingRung,
        typer.Option(help="board approximates as on the board, exact keeps every base current."),
    ] = WorkingRung.EXACT,
    way: Annotated[
        WorkingWay,
        typer.Option(
            help="loops goes round them, nodes takes node voltages, thevenin takes the transistor "
            "out (both for one transistor)."
        ),
    ] = WorkingWay.LOOPS,
    form: Annotated[
        WorkingFormat, typer.Option("--format", help="How the working is written.")
    ] = WorkingFormat.TEXT,
    rounded: Annotated[
        bool,
        typer.Option(
            "--rounded", help="Round each result to three digits and carry it on, as on the board."
        ),
    ] = False,
    budget: Annotated[
        float | None,
        typer.Option(
            metavar="PERCENT",
            show_default=False,
            help="With --model board: the most that all shortcuts together may move a collector "
            "current; what breaks it is refused.",
        ),
    ] = None,
    find: Annotated[
        str | None,
        typer.Option(
            metavar="NAME",
            show_default=False,
            help="Only the steps that lead to one quantity, such as V_CE, I_C or Q1.I_B.",
        ),
    ] = None,
    wanted_current: Annotated[
        str | None,
        typer.Option(
            "--for",
            metavar="NAME=VALUE",
            show_default=False,
            help="With --find RB: the resistor for a wanted current, such as I_C=1mA.",
        ),
    ] = None,
    settings: Settings = None,
    as_json: Annotated[bool, typer.Option("--json", help="The same as --format json.")] = False,
) -> None:
    """Write the working, line by line.

    Each step goes from the loop equation to the number and gives its reason and its approximation.
    """
    from steadypoint.cli._work import Asked, show_working

    wanted = WorkingFormat.JSON if as_json else form
    asked = Asked(model.value, way.value, find, wanted_current, rounded, budget)
    show_working(sheet, settings or [], wanted.value, asked)


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(epilog=EXAMPLE)(work)
