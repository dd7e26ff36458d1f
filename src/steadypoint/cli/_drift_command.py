"""``steadypoint drift``: its options and its help."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

EXAMPLE = 'Example: steadypoint drift recorder.circuit --change "beta x2" --temperature -20..70'


def drift(
    sheet: Annotated[
        str,
        typer.Argument(
            metavar="SHEET", show_default=False, help="Circuit sheet, or - for standard input."
        ),
    ],
    change: Annotated[
        list[str] | None,
        typer.Option(
            metavar="WORDS",
            show_default=False,
            help="Before and after: 'beta x2', 'RB /10', 'VCC +10%', 'V_BE -50mV', 'T 25..65', "
            "'RE=560' or 'Q1=2N3904'; with commas between changes made together. May be "
            "repeated, each on its own.",
        ),
    ] = None,
    temperature: Annotated[
        str | None,
        typer.Option(
            metavar="LOW..HIGH",
            show_default=False,
            help="Range of the junction temperature in °C, such as -20..70: the device rung over "
            "it, changes of region, and thermal runaway.",
        ),
    ] = None,
    self_heating: Annotated[
        bool,
        typer.Option(
            "--self-heating", help="Let junctions warm up; temperatures are those of the air."
        ),
    ] = False,
    tolerance: Annotated[
        bool,
        typer.Option("--tolerance", help="Worst case over the limits of the sheet and of --vary."),
    ] = False,
    vary: Annotated[
        list[str] | None,
        typer.Option(
            metavar="WORDS",
            show_default=False,
            help="Further limits, such as 'beta 100..400', 'RB ±5%' or 'temperature 0C..50C'; may "
            "be repeated. Goes before what the sheet states.",
        ),
    ] = None,
    resistors: Annotated[
        str | None,
        typer.Option(
            metavar="PERCENT",
            show_default=False,
            help="Tolerance of resistors whose sheet states none, such as 5%.",
        ),
    ] = None,
    spread: Annotated[
        int | None,
        typer.Option(
            metavar="COUNT",
            min=2,
            show_default=False,
            help="Copies drawn within the same limits and solved on the device rung.",
        ),
    ] = None,
    window: Annotated[
        list[str] | None,
        typer.Option(
            metavar="WORDS",
            show_default=False,
            help="Wanted window of a quantity, such as 'Q1.V_CE 3V..6V': the share of the copies "
            "within it; may be repeated.",
        ),
    ] = None,
    seed: Annotated[int, typer.Option(help="Key of the drawn copies.")] = 0,
    quantity: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME",
            show_default=False,
            help="What is followed, such as Q1.I_C or OUT; may be repeated. Output current and "
            "voltage of every transistor by default.",
        ),
    ] = None,
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            metavar="FILE",
            show_default=False,
            help="Picture of what is asked for: both points on the load line, the curve over "
            "temperature, what each limit does alone, the histogram of the copies, or without an "
            "option what warmth moves most; .svg, .png or .pdf.",
        ),
    ] = None,
    settings: Annotated[
        list[str] | None,
        typer.Option(
            "--set",
            metavar="NAME=VALUE",
            show_default=False,
            help="Change the circuit first, such as beta=200; may be repeated.",
        ),
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print JSON with SI values, for programs.")
    ] = False,
) -> None:
    """Tell how far the operating point moves, and why.

    Without an option: the stability factors in figures and letters, and which of leakage, V_BE and
    beta moves the point most between 25 and 65 °C. With one: before and after a change, a range of
    temperature, the worst case over tolerances, or many copies.
    """
    from steadypoint.cli._drift import Asked, show_drift

    asked = Asked(
        changes=tuple(change or ()),
        temperature=temperature,
        windows=tuple(window or ()),
        self_heating=self_heating,
        tolerance=tolerance,
        vary=tuple(vary or ()),
        resistors=resistors,
        spread=spread,
        seed=seed,
        quantities=tuple(quantity or ()),
        output=output,
    )
    show_drift(sheet, settings or [], asked, as_json=as_json)


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(epilog=EXAMPLE)(drift)
