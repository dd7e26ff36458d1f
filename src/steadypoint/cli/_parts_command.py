"""Options and help of ``steadypoint parts``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from steadypoint.cli._options import Json

EXAMPLE = "Example: steadypoint parts 2N3904 -o 2N3904.svg"


def parts(
    type_name: Annotated[
        str | None,
        typer.Argument(
            metavar="[TYPE]",
            show_default=False,
            help="Registered type such as 2N3904; all are listed without it.",
        ),
    ] = None,
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            metavar="FILE",
            show_default=False,
            help="File for the curves of the type; .svg, .png or .pdf at its end says as what.",
        ),
    ] = None,
    as_json: Json = False,
) -> None:
    """List the registered transistor types, or show one.

    A type is shown with its ratings and figures, their conditions and sources, the model fitted to
    them and how far it misses each.
    """
    from steadypoint.cli import _parts

    if type_name is None:
        if output is not None:
            raise typer.BadParameter("Curves are drawn of one type: name it.", param_hint="-o")
        _parts.show_parts(as_json=as_json)
    elif output is not None and as_json:
        raise typer.BadParameter("Curves hold no JSON: leave out --json or -o.", param_hint="-o")
    else:
        _parts.show_part(type_name, output, as_json=as_json)


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(epilog=EXAMPLE)(parts)
