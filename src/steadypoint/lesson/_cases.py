"""The cases of a lesson: its circuits, and their points under any change."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import Final

from steadypoint.circuit import Circuit, apply_setting
from steadypoint.errors import LessonError, SteadypointError
from steadypoint.lesson._references import References
from steadypoint.lesson._source import Source, suggestion
from steadypoint.solve import OperatingPoint, operating_point

MODELS: Final = ("exact", "board", "device")
_BETWEEN: Final = re.compile(r"\s*[,;]\s*(?=[A-Za-z][\w.]*\s*=)|\s+and\s+(?=[A-Za-z][\w.]*\s*=)")


@dataclass(frozen=True, slots=True)
class Case:
    """One circuit of the lesson.

    Parameters
    ----------
    name : str
        Name by which text and blocks may call it; may be empty.
    circuit : Circuit
        The circuit as the lesson sets it.
    model : str
        Rung of the model ladder for its values.
    line : int
        Line of its block; text below belongs to it.
    """

    name: str
    circuit: Circuit
    model: str
    line: int


@dataclass(frozen=True, slots=True)
class Scope:
    """A section whose values keep a change that is stated below its heading.

    Parameters
    ----------
    first, last : int
        Its first and its last line.
    case : Case
        The circuit as the lesson sets it; others in the section stay as they are.
    circuit : Circuit
        The circuit as it is in this section.
    """

    first: int
    last: int
    case: Case
    circuit: Circuit


@dataclass(slots=True)
class Cases:
    """All circuits of a lesson in their order, with what was solved already."""

    source: Source
    cases: list[Case] = field(default_factory=list)
    references: References = field(init=False)
    scopes: list[Scope] = field(default_factory=list)
    _inside: Case | None = None
    _points: dict[tuple[Circuit, str], OperatingPoint] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.references = References(self.source)

    def add(self, case: Case) -> None:
        """Add a case; its name must be new.

        Raises
        ------
        LessonError
            If another circuit has this name.
        """
        if case.name and any(c.name.casefold() == case.name.casefold() for c in self.cases):
            raise self.source.fault_at(
                f"Two circuits are called '{case.name}'. Give each a name of its own.",
                case.line,
                case.name,
            )
        self.cases.append(case)

    def at(self, line: int, column: int = 1) -> Case:
        """The case that a line belongs to, as its section has it.

        Raises
        ------
        LessonError
            If the lesson has no circuit.
        """
        return self.within(self.stated_at(line, column), line)

    def within(self, case: Case, line: int) -> Case:
        """A case as the section of a line has it."""
        for scope in reversed(self.scopes):
            if scope.case.line == case.line and scope.first <= line <= scope.last:
                return replace(case, circuit=scope.circuit)
        return case

    def stated_at(self, line: int, column: int = 1) -> Case:
        """The case that a line belongs to, as its block states it: the one above, else the first.

        Raises
        ------
        LessonError
            If the lesson has no circuit.
        """
        if self._inside is not None:
            return self._inside
        if not self.cases:
            raise self.source.fault(
                "This needs a circuit and the lesson has none. Add a 'circuit' block.", line, column
            )
        above = [case for case in self.cases if case.line <= line]
        return above[-1] if above else self.cases[0]

    @contextmanager
    def inside(self, case: Case) -> Iterator[None]:
        """Words read meanwhile belong to this case, for instance those of an exercise."""
        kept, self._inside = self._inside, case
        try:
            yield
        finally:
            self._inside = kept

    def called(self, name: str, line: int) -> Case:
        """The case of a name.

        Raises
        ------
        LessonError
            If no circuit is called so.
        """
        for case in self.cases:
            if name.casefold() in (case.name.casefold(), case.circuit.title.casefold()):
                return self.within(case, line)
        names = [case.name for case in self.cases if case.name]
        otherwise = "" if names else " Give a circuit this 'name:' first."
        hint = suggestion(name, names, otherwise)
        raise self.source.fault_at(f"No circuit is called '{name}'.{hint}", line, name)

    def changed(self, case: Case, settings: str, line: int, column: int = 0) -> Circuit:
        """The circuit of a case under settings such as ``beta = 200, RB = 330k``.

        Raises
        ------
        LessonError
            If a setting does not fit the circuit.
        """
        circuit = case.circuit
        for setting in split_settings(settings):
            try:
                circuit = apply_setting(circuit, setting)
            except LessonError:
                raise
            except SteadypointError as fault:
                raise self._unfit(fault, setting, line, column) from fault
        return circuit

    def _unfit(self, fault: SteadypointError, setting: str, line: int, column: int) -> LessonError:
        sentence = getattr(fault, "sentence", str(fault))
        if column:
            return self.source.fault(sentence, line, column, len(setting))
        return self.source.fault_at(sentence, line, setting)

    def point(self, circuit: Circuit, model: str, line: int, column: int = 0) -> OperatingPoint:
        """The operating point; solved once for each circuit and model.

        Without a column a fault is shown at the name of the block that stands in the line.

        Raises
        ------
        LessonError
            If the circuit has none; the sentence of the solver is kept.
        """
        key = (circuit, model)
        if key not in self._points:
            try:
                self._points[key] = operating_point(circuit, model)
            except SteadypointError as fault:
                if column:
                    raise self.source.fault(str(fault), line, column) from fault
                name = self.source.lines[line - 1].strip(" `~>")
                raise self.source.fault_at(str(fault), line, name) from fault
        return self._points[key]


def split_settings(text: str) -> Sequence[str]:
    """Single settings of a list such as ``beta = 200, RB = 330k``.

    Examples
    --------
    >>> split_settings("beta = 200, RB = 330k and RC=2k2")
    ['beta = 200', 'RB = 330k', 'RC=2k2']
    """
    return [part.strip() for part in _BETWEEN.split(text.strip()) if part.strip()]
