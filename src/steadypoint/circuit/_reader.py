"""Reading of circuit sheets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from os import PathLike
from pathlib import Path

from steadypoint.circuit._check import first_fault
from steadypoint.circuit._declare import declared, stated_temperature
from steadypoint.circuit._files import read_text_file
from steadypoint.circuit._grammar import (
    Connection,
    Declaration,
    Fault,
    Hint,
    Title,
    Word,
    parse_line,
)
from steadypoint.circuit._hints import hint_faults, read_hint
from steadypoint.circuit._model import GROUND, Circuit, Kind, Part
from steadypoint.circuit._nodes import Joints
from steadypoint.circuit._places import Places
from steadypoint.circuit._words import Draft, part_draft
from steadypoint.errors import CircuitError, SheetError, did_you_mean
from steadypoint.values import Quantity


def read_sheet(text: str, source: str = "sheet", *, checked: bool = True) -> Circuit:
    """Read a circuit sheet.

    Parameters
    ----------
    text : str
        The sheet; its language is told in ``docs/circuit-sheet.md``.
    source : str, default "sheet"
        Name of the file or text, for the faults.
    checked : bool, default True
        False leaves out the checks of `check`, so that an unfinished circuit can be read.

    Returns
    -------
    Circuit
        The circuit, its parts in the order of the sheet.

    Raises
    ------
    SheetError
        If a line cannot be read, or the circuit contradicts itself at a line.
    CircuitError
        If the circuit contradicts itself as a whole.

    Examples
    --------
    >>> circuit = read_sheet('''
    ... VCC = 9 V
    ... Q1 = npn, beta 150
    ... from VCC through RC 3k3 to Q1 collector
    ... from Q1 collector through RB 470k to Q1 base
    ... from Q1 emitter to ground
    ... ''')
    >>> circuit.part("RB").nodes
    ('Q1.collector', 'Q1.base')
    """
    return _Reading(text, source).circuit(checked=checked)


def load_sheet(path: str | PathLike[str]) -> Circuit:
    """Read the circuit sheet of a file.

    Parameters
    ----------
    path : path-like
        File in UTF-8.

    Raises
    ------
    TextFileError
        If the file cannot be read as text.
    SheetError, CircuitError
        As for `read_sheet`.
    """
    return read_sheet(read_text_file(path, "a circuit sheet"), Path(path).name)


def lines_of(text: str) -> list[str]:
    """Lines as an editor counts them."""
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    return text.removesuffix("\n").split("\n")


def _printable(line: str) -> str:
    return "".join(c if c.isprintable() else " " for c in line)


class _Reading:
    """One reading of one sheet: what has been said so far, and where."""

    def __init__(self, text: str, source: str) -> None:
        self._lines = lines_of(text)
        self._source = source
        self._title = ""
        self._temperature: Quantity | None = None
        self._once: dict[str, int] = {}
        self._drafts: dict[str, Draft] = {}
        self._connections: list[tuple[int, Connection, list[Draft]]] = []
        self._hints: list[tuple[int, Hint]] = []
        self._joints = Joints()

    def circuit(self, *, checked: bool) -> Circuit:
        """Read all lines and join what they join."""
        line = 0
        try:
            for line, text in enumerate(self._lines, 1):
                self._read_line(line, text)
            places = Places(self._drafts, self._joints)
            for line, connection, drafts in self._connections:
                places.line = line
                self._connect(connection, drafts, places)
            self._match()
            circuit = self._drawn_as_wanted(
                Circuit(self._parts(places), self._title, self._temperature)
            )
        except Fault as fault:
            line = fault.line or line
            raise self._located(fault.sentence, line, fault.column, fault.length) from None
        if checked:
            self._check(circuit, places)
        return circuit

    def _read_line(self, line: int, text: str) -> None:
        statement = parse_line(text)
        if isinstance(statement, Title):
            self._only_once("title", line, statement.word)
            self._title = statement.text
        elif isinstance(statement, Hint):
            self._hints.append((line, statement))
        elif isinstance(statement, Declaration):
            if statement.name.lower == "temperature":
                self._only_once("temperature", line, statement.name)
                self._temperature = stated_temperature(statement)
            else:
                self._introduce(declared(statement, line))
        elif isinstance(statement, Connection):
            drafts = [part_draft(words, line) for words in statement.parts]
            for draft in drafts:
                self._introduce(draft)
            self._connections.append((line, statement, drafts))

    def _only_once(self, what: str, line: int, word: Word) -> None:
        if what in self._once:
            raise Fault(
                f"The sheet has its {what} in line {self._once[what]} already. Leave one out.",
                [word],
            )
        self._once[what] = line

    def _introduce(self, draft: Draft) -> None:
        name = draft.name.text
        if name in self._drafts:
            first = self._drafts[name].line
            where = "in this line" if first == draft.line else f"in line {first}"
            raise Fault(
                f"The name '{name}' is used twice; it stands {where} already. "
                "Give every part a name of its own.",
                [draft.name],
            )
        self._drafts[name] = draft

    def _connect(self, connection: Connection, drafts: Sequence[Draft], places: Places) -> None:
        here = places.point(connection.first, "from")
        end = places.point(connection.second, "to")
        if not drafts:
            places.join(here, end, (*connection.first, *connection.second))
            return
        for draft in drafts:
            start, stop = places.ends(draft)
            self._joints.join(here, start)
            here = stop
        self._joints.join(here, end)

    def _match(self) -> None:
        """Give a matched transistor what its partner states."""
        for draft in self._drafts.values():
            if draft.matched_to is None:
                continue
            partner = self._partner(draft, draft.matched_to)
            seen = {draft.name.text}
            while True:
                draft.options = {**partner.options, **draft.options}
                draft.type_name = draft.type_name or partner.type_name
                draft.traits = draft.traits or partner.traits
                seen.add(partner.name.text)
                if partner.matched_to is None:
                    break
                partner = self._partner(partner, partner.matched_to)
                if partner.name.text in seen:
                    raise Fault(
                        f"{draft.name.text} is matched to itself in a ring. Leave one of them out.",
                        [draft.matched_to],
                        draft.line,
                    )

    def _partner(self, draft: Draft, word: Word) -> Draft:
        partner = self._drafts.get(word.text)
        name = draft.name.text
        if partner is None or not partner.kind.is_transistor:
            known = [d.name.text for d in self._drafts.values() if d.kind.is_transistor]
            known = [n for n in known if n != name]
            raise Fault(
                f"{name} is matched to '{word.text}', which is no transistor of this sheet."
                f"{did_you_mean(word.text, known)}",
                [word],
                draft.line,
            )
        if partner is draft:
            raise Fault(f"{name} cannot be matched to itself.", [word], draft.line)
        if partner.kind is not draft.kind:
            raise Fault(
                f"{name} is {draft.kind.value} and {word.text} is {partner.kind.value}. "
                "Matched transistors have the same polarity.",
                [word],
                draft.line,
            )
        return partner

    def _drawn_as_wanted(self, circuit: Circuit) -> Circuit:
        """The circuit with the hints of the sheet."""
        for line, statement in self._hints:
            hint = read_hint(statement.words, line)
            circuit = replace(circuit, hints=(*circuit.hints, hint))
            for sentence, _ in hint_faults(circuit):
                raise Fault(sentence, statement.words, line)
        return circuit

    def _parts(self, places: Places) -> tuple[Part, ...]:
        names = places.node_names()
        return tuple(
            Part(
                name=draft.name.text,
                kind=draft.kind,
                nodes=self._nodes_of(draft, names),
                value=draft.value,
                tolerance=draft.tolerance,
                options=tuple(sorted(draft.options.items())),
                type_name=draft.type_name,
                matched_to=draft.matched_to.text if draft.matched_to else "",
                traits=draft.traits,
            )
            for draft in self._drafts.values()
        )

    def _nodes_of(self, draft: Draft, names: dict[str, str]) -> tuple[str, ...]:
        name = draft.name.text
        if draft.kind is Kind.SUPPLY:
            return (names[self._joints.find(name)], GROUND)
        points = [f"{name}.{terminal}" for terminal in draft.kind.terminals]
        return tuple(names[self._joints.find(point)] for point in points)

    def _check(self, circuit: Circuit, places: Places) -> None:
        found = first_fault(circuit)
        if found is None:
            return
        for subject in found.subjects:
            spot = self._spot(subject, places)
            if spot is not None:
                line, column, length = spot
                raise self._located(found.sentence, line, column, length)
        raise CircuitError(f"{self._source}: {found.sentence}")

    def _spot(self, subject: str, places: Places) -> tuple[int, int, int] | None:
        if subject in places.mentions:
            line, words = places.mentions[subject]
            return line, words[0].column, words[-1].end - words[0].column
        name = subject if subject in self._drafts else subject.partition(".")[0]
        if name in self._drafts:
            draft = self._drafts[name]
            return draft.line, draft.name.column, len(name)
        return None

    def _located(self, sentence: str, line: int, column: int, length: int) -> SheetError:
        return SheetError(
            sentence,
            source=self._source,
            line=line,
            column=column,
            length=length,
            text=_printable(self._lines[line - 1]),
        )
