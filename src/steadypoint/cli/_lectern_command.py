"""Options and help of ``steadypoint lectern``."""

from __future__ import annotations

import importlib
from pathlib import Path
from typing import Annotated

import typer


def lectern(
    folder: Annotated[
        Path,
        typer.Argument(metavar="[FOLDER]", help="Folder with your circuits and lessons."),
    ] = Path(),
    port: Annotated[
        int | None,
        typer.Option(
            metavar="PORT",
            min=0,
            max=65535,
            show_default=False,
            help="Port; the first free one from 8460 by default.",
        ),
    ] = None,
    host: Annotated[
        str,
        typer.Option(
            metavar="ADDRESS",
            help="Address to listen on. Another one than loopback needs the printed token.",
        ),
    ] = "127.0.0.1",
    open_browser: Annotated[
        bool, typer.Option("--open", help="Open the page in your browser.")
    ] = False,
) -> None:
    """Open the lectern: circuit, working, load line and lesson live in the browser.

    Circuits are plain files of the folder and are written as you change them. The lectern
    listens on this computer only unless --host says otherwise, and loads nothing from outside.
    """
    # By its name: the lectern stands beside the command line, and neither rests on the other.
    layer = importlib.import_module("steadypoint.lectern")
    layer.serve_lectern(folder, port=port, host=host, open_browser=open_browser)


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(epilog="Example: steadypoint lectern my-lessons --open")(lectern)
