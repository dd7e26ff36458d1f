"""Changing a value in the text of a sheet, so that its comments and its layout stay."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from steadypoint.circuit import Circuit, apply_setting, read_sheet, write_sheet
from steadypoint.errors import SteadypointError


def set_value(
    text: str,
    circuit: Circuit,
    setting: str,
    wanted: str,
    read: Callable[[str], Circuit] = read_sheet,
) -> tuple[str, Circuit]:
    """Text and circuit with one setting changed.

    Parameters
    ----------
    text : str
        The sheet.
    circuit : Circuit
        What it says.
    setting : str
        ``RC``, ``VCC``, ``Q1.beta`` or ``temperature``.
    wanted : str
        The value as typed.
    read : callable
        Reads a sheet; one that remembers spares reading it twice.

    Returns
    -------
    tuple of str and Circuit
        Only the figure is another one, where the change can be made so; else the sheet is written
        anew.

    Raises
    ------
    SteadypointError
        If the value is none.
    """
    changed = apply_setting(circuit, f"{setting}={wanted}")
    for candidate in _candidates(text, setting, wanted.strip()):
        try:
            if read(candidate) == changed:
                return candidate, changed
        except SteadypointError:
            continue
    return write_sheet(changed), changed


def _candidates(text: str, setting: str, wanted: str) -> Iterator[str]:
    name, dot, letter = setting.partition(".")
    if dot:
        yield from _of_option(text, name, letter, wanted)
        return
    if name == "temperature":
        pattern = re.compile(r"^(\s*temperature\s*[:=]?\s*)([^#\n]*?)(\s*(?:#.*)?)$", re.M | re.I)
    elif re.search(rf"^\s*{re.escape(name)}\s*=", text, re.MULTILINE):
        pattern = re.compile(rf"^(\s*{re.escape(name)}\s*=\s*)([^#,±\n]*?)(\s*(?:[#,±].*)?)$", re.M)
    else:
        pattern = re.compile(
            rf"(\b{re.escape(name)}\s+)(\S+?(?:\s[pnµumkMG]?[ΩFHVA])?)(?=[\s,±]|$)()", re.M
        )
    for match in pattern.finditer(text):
        yield f"{text[: match.start(2)]}{wanted}{text[match.end(2) :]}"


def _of_option(text: str, name: str, letter: str, wanted: str) -> Iterator[str]:
    line = re.compile(rf"^\s*{re.escape(name)}\s*=[^#\n]*", re.MULTILINE)
    for match in line.finditer(text):
        said = re.compile(rf"(\b{re.escape(letter)}\s+)([^,\n#]+?)(?=\s*(?:,|$))").search(match[0])
        if said:
            start = match.start() + said.start(2)
            yield f"{text[:start]}{wanted}{text[match.start() + said.end(2) :]}"
        else:
            end = match.start() + len(match[0].rstrip())
            yield f"{text[:end]}, {letter} {wanted}{text[end:]}"


def add_line(text: str, line: str) -> str:
    """Text with a line at its end.

    Raises
    ------
    SheetError
        If the sheet does not read with it.
    """
    longer = f"{text.rstrip()}\n{line.strip()}\n"
    read_sheet(longer)
    return longer


def without_part(text: str, circuit: Circuit, name: str) -> str:
    """Text without a part: its line goes where the line states nothing else.

    Raises
    ------
    SteadypointError
        If there is no such part, or no circuit without it.
    """
    left = circuit.without(name)
    for match in re.finditer(rf"^[^#\n]*\b{re.escape(name)}\b[^\n]*\n?", text, re.MULTILINE):
        candidate = text[: match.start()] + text[match.end() :]
        try:
            if read_sheet(candidate) == left:
                return candidate
        except SteadypointError:
            continue
    text = write_sheet(left)
    read_sheet(text)
    return text
