"""Arguments and options that several commands share, with their help."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Final

import typer


class Rung(StrEnum):
    """Rungs of the model ladder."""

    BOARD = "board"
    EXACT = "exact"
    DEVICE = "device"


SHEET_HELP: Final = "Circuit sheet to read; - reads standard input."
Sheet = Annotated[str, typer.Argument(metavar="SHEET", show_default=False, help=SHEET_HELP)]
ModelChoice = Annotated[
    Rung,
    typer.Option(
        help="Rung of the model ladder: board drops small base currents, exact keeps them, "
        "device has exponential junctions, Early effect and temperature."
    ),
]
Settings = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="NAME=VALUE",
        show_default=False,
        help="Change a value for this run, such as RB=30k, VCC=12 or beta=200; may be repeated.",
    ),
]
Temperature = Annotated[
    str | None,
    typer.Option(
        metavar="VALUE",
        show_default=False,
        help="Temperature, such as 60C or 333K; that of the sheet (else 25 °C) by default.",
    ),
]
SelfHeating = Annotated[
    bool,
    typer.Option(
        "--self-heating",
        help="Let each transistor warm its junction by R_thJA times its power; the temperature is "
        "then that of the air. For --model device.",
    ),
]
Json = Annotated[bool, typer.Option("--json", help="Print JSON with SI values, for programs.")]
