"""Options and help of ``steadypoint draw``."""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from steadypoint.cli._options import ModelChoice, Rung, Settings, Sheet, Temperature

EXAMPLE = "Example: steadypoint draw stage.circuit --set beta=300 --before -o stage.svg"


class Theme(StrEnum):
    """Looks of a drawing."""

    LIGHT = "light"
    DARK = "dark"
    PROJECTOR = "projector"
    PRINT = "print"


class Chart(StrEnum):
    """What is drawn instead of the schematic."""

    DRIFT = "drift"
    BIAS_LINE = "bias-line"


class Shown(StrEnum):
    """What stands beside the parts of a schematic."""

    VALUES = "values"
    VOLTAGES = "voltages"
    CURRENTS = "currents"
    POWERS = "powers"
    REGIONS = "regions"
    CHANGES = "changes"
    NOTHING = "nothing"


def draw(
    sheet: Sheet,
    output: Annotated[
        Path,
        typer.Option(
            "--output",
            "-o",
            metavar="FILE",
            show_default=False,
            help="File to write; .svg, .png or .pdf at its end says as what.",
        ),
    ],
    as_load_line: Annotated[
        bool,
        typer.Option("--load-line", help="Draw the load line with its point, not the schematic."),
    ] = False,
    chart: Annotated[
        Chart | None,
        typer.Option(
            metavar="WORD",
            show_default=False,
            help="Draw a chart, not the schematic: drift shows I_C and V_CE while the value of "
            "--against runs, bias-line shows I_B against V_BE, or I_D against V_GS.",
        ),
    ] = None,
    against: Annotated[
        str | None,
        typer.Option(
            metavar="NAME=LOW..HIGH",
            show_default=False,
            help="What runs in a drift chart, such as beta=50..400, RB=100k..1M or "
            "temperature=-20C..80C.",
        ),
    ] = None,
    earlier: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME=VALUE",
            show_default=False,
            help="Show on the load line the point that another value gave, such as beta=75; may "
            "be repeated, in the order of the way to the point.",
        ),
    ] = None,
    transistor: Annotated[
        str | None,
        typer.Option(
            metavar="NAME",
            show_default=False,
            help="Whose load line or chart is drawn; the first transistor by default.",
        ),
    ] = None,
    signal_load: Annotated[
        str | None,
        typer.Option(
            metavar="VALUE",
            show_default=False,
            help="Load of the signal between collector and emitter, such as 1k2; draws the AC "
            "load line.",
        ),
    ] = None,
    show: Annotated[
        list[Shown] | None,
        typer.Option(
            metavar="WORD",
            show_default=False,
            help="What stands beside the parts: values, voltages, currents (these by default), "
            "powers, regions, changes (arrows up and down against the point before --set), or "
            "nothing; may be repeated.",
        ),
    ] = None,
    theme: Annotated[Theme, typer.Option(help="Look of an SVG or PNG.")] = Theme.LIGHT,
    colours: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            show_default=False,
            help="Own colours: a TOML file that names what differs from a theme; for any output.",
        ),
    ] = None,
    before: Annotated[
        bool, typer.Option("--before", help="Show the point before --set as well, dashed.")
    ] = False,
    direct_current: Annotated[
        bool, typer.Option("--direct-current", help="Leave out capacitors and terminals.")
    ] = False,
    faded: Annotated[
        bool, typer.Option("--faded", help="Let capacitors and terminals pale: no current flows.")
    ] = False,
    loop: Annotated[
        str | None,
        typer.Option(
            metavar="PARTS",
            show_default=False,
            help="Mark the loop through these parts and its direction, such as VCC,RC,Q1,RE.",
        ),
    ] = None,
    moving: Annotated[
        str | None,
        typer.Option(
            metavar="NAME=LOW..HIGH",
            show_default=False,
            help="Moving picture of schematic, load line and numbers while a value runs, such as "
            "beta=50..300; FILE ends in .gif, .webp or .mp4, or names a folder for PNGs.",
        ),
    ] = None,
    frames: Annotated[
        int, typer.Option(metavar="COUNT", min=2, max=2000, help="Pictures of --moving.")
    ] = 90,
    rate: Annotated[
        int, typer.Option(metavar="COUNT", min=1, max=60, help="Its pictures per second.")
    ] = 15,
    as_written: Annotated[
        bool, typer.Option("--as-written", help="Values as the sheet writes them (4k7).")
    ] = False,
    zigzag: Annotated[
        bool, typer.Option("--zigzag", help="Resistors as zigzag lines, not rectangles.")
    ] = False,
    width: Annotated[
        int, typer.Option(metavar="PIXELS", min=16, max=16000, help="Width of a PNG.")
    ] = 1600,
    model: ModelChoice = Rung.EXACT,
    settings: Settings = None,
    temperature: Temperature = None,
) -> None:
    """Draw the schematic, the load line or a chart.

    The drawing places itself, bears the solved voltages and currents, and carries a description
    for screen readers. A file is written whole or not at all.
    """
    from steadypoint.cli._draw import Wanted, write_drawing
    from steadypoint.cli._moving import Motion

    default = (Shown.VALUES, Shown.VOLTAGES, Shown.CURRENTS)
    words = tuple(w.value for w in (show or default) if w is not Shown.NOTHING)
    looks = (direct_current, as_written, zigzag)
    kind = chart.value if chart else ""
    round_ = tuple(part.strip() for part in loop.split(",")) if loop else ()
    wanted = Wanted(
        words,
        theme.value,
        as_load_line,
        before,
        *looks,
        width,
        kind,
        against,
        faded,
        round_,
        colours,
    )
    wanted = replace(wanted, earlier=tuple(earlier or ()), signal_load=signal_load)
    motion = Motion(moving, frames, rate) if moving else None
    wanted = replace(wanted, motion=motion)
    wanted = replace(wanted, transistor=transistor)
    write_drawing(sheet, output, model.value, settings or [], temperature, wanted)


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(epilog=EXAMPLE)(draw)
