"""``steadypoint compare``: its options and its help."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

EXAMPLE = (
    "Example: steadypoint compare 'base bias' 'voltage divider' --supply 9V --collector-current 1mA"
)


class Counts(StrEnum):
    """What a recommendation is for."""

    STEADY = "steady"
    SIMPLE = "simple"
    LIGHT_LOAD = "light load"


def compare(
    arrangements: Annotated[
        list[str],
        typer.Argument(
            metavar="ARRANGEMENT ...",
            show_default=False,
            help="Names of arrangements, or circuit sheets.",
        ),
    ],
    collector_current: Annotated[
        str, typer.Option(metavar="VALUE", help="I_C that all are brought to.")
    ] = "1mA",
    supply: Annotated[
        str | None,
        typer.Option(
            metavar="VALUE",
            show_default=False,
            help="Voltage of the rails, such as 9V; that of the first by default.",
        ),
    ] = None,
    beta: Annotated[str, typer.Option(metavar="RANGE", help="Limits of beta.")] = "100..400",
    temperature: Annotated[
        str, typer.Option(metavar="RANGE", help="Limits of the junction temperature.")
    ] = "0C..50C",
    series: Annotated[str, typer.Option(metavar="NAME", help="Series of the resistors.")] = "E24",
    as_given: Annotated[
        bool, typer.Option("--as-given", help="Take the circuits with the values they have.")
    ] = False,
    purpose: Annotated[
        Counts, typer.Option("--for", help="What the recommendation is for.")
    ] = Counts.STEADY,
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            metavar="FILE",
            show_default=False,
            help="Draw the comparison into a file, .svg, .png or .pdf.",
        ),
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print JSON with SI values, for programs.")
    ] = False,
) -> None:
    """Compare arrangements at the same operating point, each with its best standard values.

    Then beta is doubled, the temperature and the supply change, and every copy may differ: the
    table says which arrangement holds its point, and what that costs.
    """
    from steadypoint.cli._compare import Asked, show_comparison

    show_comparison(
        Asked(
            tuple(arrangements),
            collector_current,
            supply,
            beta,
            temperature,
            series,
            as_given=as_given,
            purpose=purpose.value,
        ),
        output,
        as_json=as_json,
    )


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(epilog=EXAMPLE)(compare)
