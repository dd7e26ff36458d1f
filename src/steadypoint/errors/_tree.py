"""The classes of the error tree."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final
from unicodedata import combining, east_asian_width

_LINE_SHOWN: Final = 96  # a longer line is shown about the fault only [characters]


class SteadypointError(ValueError):
    """Root of all faults that Steadypoint reports to its reader in a sentence."""


class QuantityError(SteadypointError):
    """A text is no value of the wanted quantity."""


class UnknownNameError(SteadypointError):
    """A name (part, node, arrangement, quantity) that nothing carries."""


class CircuitError(SteadypointError):
    """A circuit that contradicts itself; the sentence names the parts or nodes."""


class LocatedError(SteadypointError):
    """A fault at a place in a text.

    Parameters
    ----------
    sentence : str
        What is wrong and what would be right.
    source : str
        Name of the file or text.
    line, column : int
        Place of the fault, counted from 1.
    length : int, default 1
        Characters that the fault spans. [-]
    text : str, default ""
        The line itself; shown with a caret under the fault.
    """

    def __init__(
        self,
        sentence: str,
        *,
        source: str,
        line: int,
        column: int,
        length: int = 1,
        text: str = "",
    ) -> None:
        self.sentence = sentence
        self.source = source
        self.line = line
        self.column = column
        self.length = max(1, length)
        self.text = text
        super().__init__(str(self))

    def __str__(self) -> str:
        head = f"{self.source}, line {self.line}, column {self.column}"
        if not self.text.strip():
            return f"{head}\n{self.sentence}"
        shown, at = _excerpt(self.text.rstrip().replace("\t", " "), self.column - 1)
        before = shown[:at]
        under = shown[at : at + self.length]
        indent = " " * (_columns(before) + at - len(before))
        caret = indent + "^" * max(1, _columns(under))
        return f"{head}\n    {shown}\n    {caret}\n{self.sentence}"

    def __reduce__(self) -> tuple[object, ...]:
        # Exceptions are rebuilt from positional arguments alone; these need their place as well.
        place = {n: getattr(self, n) for n in ("source", "line", "column", "length", "text")}
        return _rebuild, (type(self), self.sentence, place)


def _rebuild(kind: type[LocatedError], sentence: str, place: dict[str, Any]) -> LocatedError:
    return kind(sentence, **place)


def _excerpt(line: str, at: int) -> tuple[str, int]:
    """Stretch of a long line about a place, and the place in it; short lines stay whole."""
    if len(line) <= _LINE_SHOWN:
        return line, at
    start = max(0, min(at - _LINE_SHOWN // 2, len(line) - _LINE_SHOWN))
    end = start + _LINE_SHOWN
    left = "… " if start else ""
    right = " …" if end < len(line) else ""
    return left + line[start:end] + right, at - start + len(left)


def _columns(text: str) -> int:
    """Columns that a text takes in a terminal: two for a wide letter, none for a combining mark."""
    wide = sum(east_asian_width(c) in "WF" for c in text)
    return len(text) + wide - sum(combining(c) != 0 for c in text)


class SheetError(LocatedError):
    """A fault in a circuit sheet."""


class LessonError(LocatedError):
    """A fault in a lesson."""


class SolveError(SteadypointError):
    """An operating point could not be given."""


class NoSolutionError(SolveError):
    """The circuit has no operating point under the chosen model."""


class ThermalRunawayError(NoSolutionError):
    """A junction heats itself without end, or beyond what it stands; names the part."""


class ConvergenceError(SolveError):
    """The search for an operating point did not settle; names the part that would not."""


class DeviceError(SteadypointError):
    """Figures of a device or of its data record that make no physics."""


class DerivationError(SteadypointError):
    """No working could be shown that holds against the solved point."""


class ThemeError(SteadypointError):
    """Colours or strokes of a theme that cannot be used; one sentence for each fault."""


class TextFileError(SteadypointError):
    """A file could not be read as text."""


class OutputError(SteadypointError):
    """An output could not be written; nothing was left half-written."""


def did_you_mean(name: str, choices: Iterable[str]) -> str:
    """The sentence that offers the nearest known name, with a space before it, or nothing.

    Parameters
    ----------
    name : str
        Name that nothing carries.
    choices : iterable of str
        Names that there are.

    Examples
    --------
    >>> did_you_mean("emiter", ["collector", "base", "emitter"])
    " Did you mean 'emitter'?"
    >>> did_you_mean("lemon", ["collector", "base"])
    ''
    """
    from difflib import get_close_matches

    folded = {choice.casefold(): choice for choice in choices}
    near = get_close_matches(name.casefold(), folded, n=1)
    return f" Did you mean '{folded[near[0]]}'?" if near else ""
