"""Own colours: a file that names what differs from one of the built-in themes."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from itertools import combinations
from os import PathLike
from typing import Any, Final

from steadypoint.circuit import read_text_file
from steadypoint.draw._theme import THEMES, Theme
from steadypoint.draw._vision import VISIONS, contrast, difference
from steadypoint.errors import ThemeError, did_you_mean

STROKES: Final = ("wire", "wire-lit", "curve", "fine")
_COLOURS: Final = tuple(name for name in THEMES["light"] if name not in STROKES)
_TABLES: Final = ("based_on", "colours", "strokes")
_THICKEST: Final = 12.0
_READABLE: Final = 4.5  # least contrast of text, WCAG 2.2, success criterion 1.4.3
_TELLING: Final = 8.0  # least CIEDE2000 of two meanings; from our own look
_INKS: Final = ("ink", "ink-2", "ink-3", "volt", "amp", "steady", "mark", "ghost")
_MEANINGS: Final = ("ink", "volt", "amp", "steady", "mark")
_TINTED: Final = ("volt", "steady")
_MEANT: Final = {
    "volt": "voltages",
    "amp": "currents",
    "steady": "the point",
    "mark": "marks",
    "ink": "the drawing",
}


def load_theme(path: str | PathLike[str]) -> Theme:
    """Theme of a file.

    Parameters
    ----------
    path : str or path-like
        A TOML file with ``based_on``, ``[colours]`` and ``[strokes]``.

    Returns
    -------
    Theme
        The theme it is based on with what the file says.

    Raises
    ------
    TextFileError
        If the file cannot be read.
    ThemeError
        With one sentence for each fault.
    """
    return read_theme(read_text_file(path), str(path))


def read_theme(text: str, source: str = "theme") -> Theme:
    """Theme of a text.

    Parameters
    ----------
    text : str
        TOML with ``based_on``, ``[colours]`` and ``[strokes]``.
    source : str
        Name of the text in sentences.

    Returns
    -------
    Theme
        The theme it is based on with what the text says.

    Raises
    ------
    ThemeError
        With one sentence for each fault: an unknown name, no colour, a text that does not stand
        out from its ground, two meanings that an eye cannot tell apart.

    Examples
    --------
    >>> theme = read_theme('based_on = "print"\\n[colours]\\nvolt = "#00429d"')
    >>> theme.tokens["volt"], theme.tokens["leaf"]
    ('#00429d', '#ffffff')
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise ThemeError(f"{source} is no TOML file: {fault}.") from fault
    faults = list(_form_faults(data))
    if faults:
        raise ThemeError("\n".join(f"{source}: {sentence}" for sentence in faults))
    tokens = dict(THEMES[data.get("based_on", "light")])
    tokens |= {name: _long(value) for name, value in data.get("colours", {}).items()}
    tokens |= {name: f"{value:g}" for name, value in data.get("strokes", {}).items()}
    faults = palette_faults(tokens)
    if faults:
        raise ThemeError("\n".join(f"{source}: {sentence}" for sentence in faults))
    return Theme(source, tuple(tokens.items()))


def palette_faults(tokens: Mapping[str, str]) -> list[str]:
    """One sentence for each pair of colours that does not read or cannot be told apart.

    Parameters
    ----------
    tokens : mapping of str to str
        Colours by name.

    Returns
    -------
    list of str
        Empty for a sound palette. Two meanings that share one colour on purpose are sound, since
        shape and word tell them apart; what one eye tells apart, every eye must.
    """
    faults = []
    pairs = [(ink, "leaf") for ink in _INKS] + [(n, f"{n}-tint") for n in _TINTED]
    for ink, ground in pairs:
        ratio = contrast(tokens[ink], tokens[ground])
        if ratio < _READABLE:
            faults.append(
                f"'{ink}' {tokens[ink]} on '{ground}' {tokens[ground]} has a contrast of "
                f"{ratio:.1f}, text needs {_READABLE:g}. Make one of them darker or lighter."
            )
    for a, b in combinations(_MEANINGS, 2):
        if difference(tokens[a], tokens[b]) < _TELLING:
            continue
        blind = [v for v in VISIONS if difference(tokens[a], tokens[b], v) < _TELLING]
        if blind:
            faults.append(
                f"'{a}' {tokens[a]} ({_MEANT[a]}) and '{b}' {tokens[b]} ({_MEANT[b]}) look alike "
                f"with {' and '.join(blind)}. Make one darker, or give both the same colour."
            )
    return faults


def _form_faults(data: Mapping[str, Any]) -> Iterator[str]:
    for name in data:
        if name not in _TABLES:
            known = f" Known are {', '.join(_TABLES)}."
            yield f"'{name}' means nothing in a theme.{did_you_mean(name, _TABLES) or known}"
    base = data.get("based_on", "light")
    if not isinstance(base, str) or base not in THEMES or base == "page":
        names = ", ".join(name for name in THEMES if name != "page")
        yield f"There is no theme '{base}' to base this one on. Use one of {names}."
    yield from _entries(data, "colours", _COLOURS)
    yield from _entries(data, "strokes", STROKES)


def _entries(data: Mapping[str, Any], table: str, known: tuple[str, ...]) -> Iterator[str]:
    entries = data.get(table, {})
    if not isinstance(entries, dict):
        yield f"'{table}' holds names and values. Begin it with a line [{table}]."
        return
    for name, value in entries.items():
        if name not in known:
            hint = did_you_mean(name, known) or f" Known are {', '.join(known)}."
            yield f"'{name}' is none of the {table}.{hint}"
        elif table == "colours" and not _is_colour(value):
            yield f"'{name}' is {value!r}, which is no colour. Write it as \"#3230b4\"."
        elif table == "strokes" and not _is_stroke(value):
            yield f"'{name}' is {value!r}. Write a width up to {_THICKEST:g} pixels, such as 1.7."


def _is_colour(value: object) -> bool:
    return isinstance(value, str) and bool(re.fullmatch(r"#(?:[0-9a-fA-F]{3}){1,2}", value))


def _is_stroke(value: object) -> bool:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return number and 0.0 < float(value) <= _THICKEST  # type: ignore[arg-type]


def _long(colour: str) -> str:
    digits = colour[1:].lower()
    return "#" + (digits if len(digits) == 6 else "".join(2 * d for d in digits))
