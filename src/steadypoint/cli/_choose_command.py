"""``steadypoint choose``: its options and its help."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

EXAMPLE = "Example: steadypoint choose 'voltage divider' --supply 9V --collector-current 1mA"


class Readable(StrEnum):
    """Where a lesson wants its point."""

    MIDDLE = "middle"
    NEAR_SATURATION = "near saturation"
    NEAR_CUT_OFF = "near cut-off"


def choose(
    circuit: Annotated[
        str,
        typer.Argument(
            metavar="ARRANGEMENT",
            show_default=False,
            help="Name of an arrangement, or a circuit sheet whose resistors are to be chosen.",
        ),
    ],
    collector_current: Annotated[
        str, typer.Option(metavar="VALUE", show_default=False, help="Wanted I_C, such as 1mA.")
    ],
    supply: Annotated[
        str | None,
        typer.Option(
            metavar="VALUE",
            show_default=False,
            help="Voltage of the positive rail, such as 9V; a negative rail gets the same, "
            "turned round. That of the sheet by default.",
        ),
    ] = None,
    transistor: Annotated[
        str,
        typer.Option(metavar="NAME", show_default=False, help="Whose I_C; the last by default."),
    ] = "",
    free: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME",
            show_default=False,
            help="Resistor to choose; may be repeated. All by default.",
        ),
    ] = None,
    beta: Annotated[str, typer.Option(metavar="RANGE", help="Limits of beta.")] = "100..400",
    temperature: Annotated[
        str, typer.Option(metavar="RANGE", help="Limits of the junction temperature.")
    ] = "0C..50C",
    series: Annotated[
        str, typer.Option(metavar="NAME", help="Series of preferred values (IEC 60063).")
    ] = "E24",
    series_of: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME=SERIES",
            show_default=False,
            help="Another series for one resistor, such as RE=E96; may be repeated.",
        ),
    ] = None,
    stock: Annotated[
        str,
        typer.Option(
            metavar="VALUES",
            show_default=False,
            help="Values at hand instead of a series, such as '1k 2k2 4k7 10k 100k'.",
        ),
    ] = "",
    tolerance: Annotated[
        str | None,
        typer.Option(
            metavar="PERCENT", show_default=False, help="Of resistors; by default the series'."
        ),
    ] = None,
    supply_tolerance: Annotated[
        str | None, typer.Option(metavar="PERCENT", show_default=False, help="Of every rail.")
    ] = None,
    collector_voltage: Annotated[
        str | None,
        typer.Option(
            metavar="VALUE",
            show_default=False,
            help="Wanted V_CE, such as 4.5V or half (of the supply); met within 10 %.",
        ),
    ] = None,
    least_voltage: Annotated[
        str, typer.Option(metavar="VALUE", help="Least V_CE at any corner.")
    ] = "1V",
    swing: Annotated[
        str | None,
        typer.Option(
            metavar="VALUE",
            show_default=False,
            help="Room for the signal up and down at any corner; a sixth of the supply by default.",
        ),
    ] = None,
    gain: Annotated[float, typer.Option(help="Least g_m R_C at any corner.")] = 0.0,
    input_resistance: Annotated[
        str | None,
        typer.Option(
            metavar="VALUE",
            show_default=False,
            help="Least resistance that a signal sees at IN (or the base), such as 10k.",
        ),
    ] = None,
    most_power: Annotated[
        str | None,
        typer.Option(
            metavar="VALUE",
            show_default=False,
            help="Most dissipation of a transistor at any corner; P_tot of its type by default.",
        ),
    ] = None,
    most_voltage: Annotated[
        str | None,
        typer.Option(
            metavar="VALUE",
            show_default=False,
            help="Most V_CE at any corner; V_CEO of its type by default.",
        ),
    ] = None,
    most_current: Annotated[
        str | None,
        typer.Option(
            metavar="VALUE",
            show_default=False,
            help="Most I_C at any corner; I_C_max of its type by default.",
        ),
    ] = None,
    most_supply_current: Annotated[
        str | None,
        typer.Option(
            metavar="VALUE",
            show_default=False,
            help="At any corner; one and a half times the collector currents by default.",
        ),
    ] = None,
    within: Annotated[
        str | None,
        typer.Option(
            metavar="PERCENT", show_default=False, help="Most distance of I_C from the wish."
        ),
    ] = None,
    then: Annotated[
        str,
        typer.Option(
            metavar="WORD",
            show_default=False,
            help="What to make small next, among the sets nearly as good: 'supply current', "
            "'different values' or distance (in the middle of everything).",
        ),
    ] = "",
    slack: Annotated[
        str, typer.Option(metavar="PERCENT", help="How much of the best distance that may cost.")
    ] = "10%",
    sets: Annotated[int, typer.Option(min=1, max=100, help="Sets to give.")] = 5,
    front: Annotated[
        bool, typer.Option("--front", help="Add the best sets against the supply current.")
    ] = False,
    front_chart: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            show_default=False,
            help="Draw that front, its sets numbered: .svg, .png or .pdf. With -o the sets are "
            "written as sheets too.",
        ),
    ] = None,
    readable: Annotated[
        Readable | None,
        typer.Option(
            show_default=False,
            help="Instead, values whose I_B, I_C and V_CE come out in few digits, with the point "
            "there on the load line; I_C is met within a factor of two, beta is the first of the "
            "range.",
        ),
    ] = None,
    verify: Annotated[
        bool,
        typer.Option("--verify", help="Replay the proof with exact fractions, box by box."),
    ] = False,
    seconds: Annotated[float, typer.Option(min=0.1, help="Time limit of the search.")] = 30.0,
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            metavar="FOLDER",
            show_default=False,
            help="Folder into which the sets are written as circuit sheets.",
        ),
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print JSON with SI values, for programs.")
    ] = False,
) -> None:
    """Choose standard values: the provably best sets for a wanted collector current.

    Every combination is judged at the corners of tolerances, beta, temperature and supply; the
    answer says what is proved, or which conditions contradict each other.
    """
    from steadypoint.cli._choose import Asked, show_choice, show_readable

    asked = Asked(
        circuit=circuit,
        collector_current=collector_current,
        supply=supply,
        transistor=transistor,
        free=tuple(free or ()),
        beta=beta,
        temperature=temperature,
        series=series,
        series_of=tuple(series_of or ()),
        stock=stock,
        tolerance=tolerance,
        supply_tolerance=supply_tolerance,
        collector_voltage=collector_voltage,
        least_voltage=least_voltage,
        swing=swing,
        gain=gain,
        input_resistance=input_resistance,
        most_power=most_power,
        most_voltage=most_voltage,
        most_current=most_current,
        most_supply_current=most_supply_current,
        within=within,
        then=then,
        slack=slack,
    )
    if readable is not None:
        show_readable(asked, readable.value, sets, output, as_json=as_json)
        return
    show_choice(
        asked,
        sets,
        seconds=seconds,
        front=front,
        front_file=front_chart,
        verify=verify,
        output=output,
        as_json=as_json,
    )


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(epilog=EXAMPLE)(choose)
