"""Options and help of ``steadypoint arrangements``."""

from __future__ import annotations

from typing import Annotated

import typer

from steadypoint.cli._options import Json

EXAMPLE = 'Example: steadypoint arrangements "voltage divider" > stage.circuit'


def list_arrangements(
    name: Annotated[
        str | None,
        typer.Argument(
            metavar="[NAME]",
            show_default=False,
            help="Arrangement whose circuit sheet is wanted; all are listed without it.",
        ),
    ] = None,
    as_json: Json = False,
) -> None:
    """List the bias arrangements, or print one.

    The list stands in the usual order of teaching; with a name the command prints the circuit
    sheet of that arrangement, ready to be saved and changed.
    """
    from steadypoint.cli._arrangements import show_arrangement, show_arrangements

    if name is None:
        show_arrangements(as_json=as_json)
    else:
        show_arrangement(name, as_json=as_json)


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(name="arrangements", epilog=EXAMPLE)(list_arrangements)
