"""``steadypoint lesson build`` and ``steadypoint demo``: a lesson as its outputs."""

from __future__ import annotations

import sys
import time
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import typer

from steadypoint.cli._console import Report
from steadypoint.cli._point import FET_REGION_WORDS, REGION_WORDS, print_json
from steadypoint.errors import SteadypointError, UnknownNameError
from steadypoint.lesson import BuildOptions, BuildResult, build_demo, build_lesson
from steadypoint.solve import Region
from steadypoint.values import format_quantity

_SOURCES = (".md", ".circuit", ".png", ".jpg", ".jpeg")  # what a lesson is made of


def build(
    file: Path,
    to: Sequence[str] | None,
    into: Path | None,
    options: BuildOptions,
    *,
    as_json: bool,
) -> None:
    """Build a lesson and tell what was written."""
    _progress(f"Building {file} ...")
    try:
        built = build_lesson(file, to=to, into=into, answers=options.answers, theme=options.theme)
    except UnknownNameError as fault:
        # The lesson's own unknown names are LessonErrors with their place.
        raise typer.BadParameter(str(fault), param_hint="--to") from fault
    _tell(built, as_json=as_json)


def watch(file: Path, to: Sequence[str] | None, into: Path | None, options: BuildOptions) -> None:
    """Build a lesson, and again whenever something beside it changes, until Ctrl-C."""
    from watchfiles import watch as changes

    build(file, to, into, options, as_json=False)
    folder = file.resolve().parent
    sys.stdout.write(f"Watching {folder}. Stop with Ctrl-C.\n")
    sys.stdout.flush()
    for found in changes(folder, raise_interrupt=False, recursive=False, debounce=200, step=50):
        names = {Path(path).name for _, path in found}
        if not any(name.endswith(_SOURCES) for name in names):
            continue
        start = time.monotonic()
        try:
            built = build_lesson(
                file, to=to, into=into, answers=options.answers, theme=options.theme
            )
        except SteadypointError as fault:
            sys.stderr.write(f"{fault}\n")  # the files of the last build stay
            continue
        took = time.monotonic() - start
        sys.stdout.write(f"Built anew in {took:.1f} s: {len(built.paths)} in all.\n")
        sys.stdout.flush()


def demo(into: Path, *, as_json: bool) -> None:
    """Write the first lesson with its sheets, build it, and tell what was written."""
    _progress(f"Building the first lesson in {into} ...")
    _tell(build_demo(into), as_json=as_json)


def _progress(sentence: str) -> None:
    if sys.stderr.isatty():
        sys.stderr.write(f"{sentence}\n")


def _tell(built: BuildResult, *, as_json: bool) -> None:
    if as_json:
        points = [{k: _plain(v) for k, v in point.items()} for point in built.summary]
        print_json({"files": [str(path) for path in built.paths], "points": points})
        return
    report = Report()
    _add_points(report, built.summary)
    rows = [
        (kind.capitalize(), str(path)) for path, kind in zip(built.paths, built.kinds, strict=True)
    ]
    report.table(("Written", "File"), rows)
    report.print()


def _add_points(report: Report, summary: Sequence[Mapping[str, Any]]) -> None:
    rows = [
        (
            str(point["circuit"]),
            str(point["state"]),
            str(point["transistor"]),
            format_quantity(abs(point.get("I_C", point.get("I_D"))), "A"),
            format_quantity(abs(point.get("V_CE", point.get("V_DS"))), "V"),
            format_quantity(point["P"], "W"),
            (FET_REGION_WORDS if "I_D" in point else REGION_WORDS)[Region(point["region"])],
        )
        for point in summary
    ]
    fets = any("I_D" in point for point in summary)
    bipolar = any("I_C" in point for point in summary) or not fets
    current = " or ".join(["I_C"] * bipolar + ["I_D"] * fets)
    voltage = " or ".join(["V_CE"] * bipolar + ["V_DS"] * fets)
    heads = ("Circuit", "State", "", current, voltage, "Power", "Region")
    report.table(heads, rows, numeric=(3, 4, 5))


def _plain(value: object) -> object:
    return value.value if isinstance(value, Region) else value
