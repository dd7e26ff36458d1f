"""The application: its help and its commands, each of which registers itself from its module.

A command stands in ``_NAME_command.py`` with its options, its help and ``register``; the work is in
a module that it imports when it runs. To add one, write that module and name it here once.
"""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from steadypoint.cli import (
    _arrangements_command,
    _choose_command,
    _compare_command,
    _course_command,
    _demo_command,
    _draw_command,
    _drift_command,
    _lectern_command,
    _lesson_command,
    _parts_command,
    _point_command,
    _work_command,
)

app = typer.Typer(
    name="steadypoint",
    no_args_is_help=True,
    rich_markup_mode=None,  # rich help costs half of the time that a start may take
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 96},
    help=(
        "The lesson bench of a lecturer who teaches transistor biasing: operating point, working, "
        "drawing and lesson from one circuit sheet."
    ),
    epilog=(
        "Start with: steadypoint demo, or: steadypoint arrangements 'voltage divider' > "
        "stage.circuit, then: steadypoint point stage.circuit"
    ),
    subcommand_metavar="COMMAND ...",
)


def _version(wanted: bool) -> None:
    if wanted:
        from steadypoint import __version__

        sys.stdout.write(f"steadypoint {__version__}\n")
        raise typer.Exit


@app.callback()
def _steadypoint(
    version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_version, is_eager=True, help="Print the version and stop."
        ),
    ] = False,
) -> None:
    pass


for module in (  # in the order of the help
    _point_command,
    _work_command,
    _draw_command,
    _arrangements_command,
    _parts_command,
    _drift_command,
    _compare_command,
    _choose_command,
    _lesson_command,
    _course_command,
    _lectern_command,
    _demo_command,
):
    module.register(app)
