"""The commands, their options and their help; the work itself is in one module per command."""

from __future__ import annotations

import sys
from dataclasses import replace
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Final

import typer

from steadypoint.cli import _choose_command, _compare_command, _drift_command

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
lesson = typer.Typer(
    name="lesson",
    no_args_is_help=True,
    rich_markup_mode=None,
    subcommand_metavar="COMMAND ...",
    help="Build a lesson from its text.",
    epilog="Example: steadypoint lesson build first-lesson.md --into handout",
)
app.add_typer(lesson)


class Rung(StrEnum):
    """Rungs of the model ladder."""

    BOARD = "board"
    EXACT = "exact"
    DEVICE = "device"


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


class Output(StrEnum):
    """What a lesson is built as."""

    PAGE = "page"
    PDF = "pdf"
    ALL = "all"


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


@app.command(epilog="Example: steadypoint point stage.circuit --set beta=200 --temperature 60C")
def point(
    sheet: Sheet,
    model: ModelChoice = Rung.EXACT,
    settings: Settings = None,
    temperature: Temperature = None,
    self_heating: SelfHeating = False,
    as_json: Json = False,
) -> None:
    """Solve the operating point of a circuit.

    Tells every node voltage, current and power, the region of each transistor and how far its
    point stands from saturation and cut-off.
    """
    from steadypoint.cli._point import Asked, show_point

    asked = Asked(model.value, temperature, self_heating=self_heating)
    show_point(sheet, settings or [], asked, as_json=as_json)


@app.command(epilog="Example: steadypoint work stage.circuit --model board --format markdown")
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


@app.command(epilog="Example: steadypoint draw stage.circuit --set beta=300 --before -o stage.svg")
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
            "--against runs, bias-line shows I_B against V_BE.",
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


@app.command(
    name="arrangements",
    epilog='Example: steadypoint arrangements "voltage divider" > stage.circuit',
)
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


@app.command(epilog="Example: steadypoint parts 2N3904 -o 2N3904.svg")
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


@lesson.command(epilog="Example: steadypoint lesson build first-lesson.md --to page --into handout")
def build(
    file: Annotated[
        Path,
        typer.Argument(metavar="FILE", show_default=False, help="Lesson to build (CommonMark)."),
    ],
    to: Annotated[Output, typer.Option(help="What to build.")] = Output.ALL,
    into: Annotated[
        Path | None,
        typer.Option(
            metavar="FOLDER",
            show_default=False,
            help="Folder for the files, made if it is missing; that of the lesson by default.",
        ),
    ] = None,
    as_json: Json = False,
) -> None:
    """Build the page and the PDF of a lesson.

    Every figure, working and value in the text is computed anew from the lesson's circuits. A
    fault in the lesson leaves the files of the last build as they are.
    """
    from steadypoint.cli import _lesson

    _lesson.build(file, to.value, into, as_json=as_json)


app.command(epilog=_choose_command.EXAMPLE)(_choose_command.choose)
app.command(epilog=_compare_command.EXAMPLE)(_compare_command.compare)
app.command(epilog=_drift_command.EXAMPLE)(_drift_command.drift)


@app.command(epilog="Example: steadypoint demo --into demo-output")
def demo(
    into: Annotated[
        Path, typer.Option(metavar="FOLDER", help="Folder for the lesson, its page and its PDF.")
    ] = Path("steadypoint-demo"),
    as_json: Json = False,
) -> None:
    """Write and build a first lesson.

    The lesson and its circuit sheets are yours to change; build them again with
    steadypoint lesson build.
    """
    from steadypoint.cli import _lesson

    _lesson.demo(into, as_json=as_json)
