"""``steadypoint arrangements``: the ways of biasing, as a list or one as its sheet."""

from __future__ import annotations

import sys
from typing import Any

from steadypoint.circuit import Arrangement, arrangement, arrangements
from steadypoint.cli._console import Report
from steadypoint.cli._point import print_json

LONGEST = 80  # characters of a name that a message repeats


def show_arrangements(*, as_json: bool) -> None:
    """Print all arrangements in the usual order of teaching."""
    known = sorted(arrangements(), key=lambda one: one.teaching_order)
    if as_json:
        print_json([_as_dict(one) for one in known])
        return
    report = Report()
    rows = [(str(one.teaching_order), one.name, one.description) for one in known]
    report.table(("", "Arrangement", "How it holds the point"), rows, numeric=(0,))
    report.say('Print a sheet with: steadypoint arrangements "voltage divider" > stage.circuit')
    report.print()


def show_arrangement(name: str, *, as_json: bool) -> None:
    """Print the circuit sheet of one arrangement."""
    one = arrangement(name if len(name) <= LONGEST else f"{name[:LONGEST]}...")
    if as_json:
        print_json(_as_dict(one))
        return
    sys.stdout.write(one.sheet if one.sheet.endswith("\n") else one.sheet + "\n")


def _as_dict(one: Arrangement) -> dict[str, Any]:
    return {
        "name": one.name,
        "aliases": list(one.aliases),
        "title": one.title,
        "description": one.description,
        "good_at": list(one.good_at),
        "bad_at": list(one.bad_at),
        "teaching_order": one.teaching_order,
        "transistors": one.transistors,
        "sheet": one.sheet,
    }
