"""Two equal halves: each carries half of what they share, and one is worked for both."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace

from steadypoint.circuit import Kind, Part
from steadypoint.derive._algebra import Sort
from steadypoint.derive._check import DRAWS, check_working, random_values
from steadypoint.derive._discussion import discuss
from steadypoint.derive._expr import (
    Expr,
    Number,
    PartName,
    Relation,
    Sum,
    Symbol,
    add,
    divide,
    multiply,
)
from steadypoint.derive._lecture import lecture
from steadypoint.derive._names import givens
from steadypoint.derive._nodal import solve_nodes
from steadypoint.derive._shared import as_shared
from steadypoint.derive._shortcuts import compare
from steadypoint.derive._step import Derivation, Line, Prose, Step
from steadypoint.derive._symmetry import Halves
from steadypoint.derive._working import Working, join_words
from steadypoint.devices import bipolar_data
from steadypoint.errors import DerivationError
from steadypoint.solve import OperatingPoint, Region

TOLERANCE = 1e-7
"""Largest relative difference between a half and the whole. [-]"""

REASON, OTHER = "symmetry", "the other half"
"""Reasons of the steps that a half adds."""


def are_equal(found: Halves, point: OperatingPoint) -> bool:
    """Whether the halves are equal in build and in their point, both active."""
    if found.unequal:
        return False
    one, two = (point.transistors[p.name] for p in (found.first, found.second))
    if not one.region is two.region is Region.ACTIVE or bipolar_data(found.first.option).log_law:
        return False
    return abs(one.I_C - two.I_C) <= TOLERANCE * abs(one.I_C)


def broken(work: Working, found: Halves) -> None:
    """Say what spoils the symmetry of two halves that are built alike and share a current.

    Parameters
    ----------
    work : Working
        A working without steps.
    found : Halves
        The halves.
    """
    if not found.unequal or not found.shared:
        return
    work.begin()
    names = work.names
    said: list[str | Expr] = ["The two halves are built alike, but "]
    differ: list[str | Expr] = []
    for pair in found.unequal:
        symbols = [p.name for p in pair]
        if pair[0].kind.is_bipolar:
            symbols = [names.beta(p) for p in pair]
            if work.given[symbols[0]] == work.given[symbols[1]]:
                symbols = [names.junction(p) for p in pair]
        sides = [Relation((Symbol(s), work.number(s))) for s in symbols if s in work.given]
        if len(sides) == 2:
            differ.append(Relation(tuple(Symbol(s) for s in symbols), "≠"))
            said += [*join_words(sides), "; "]
    if not differ:
        return
    work.add(
        "Broken symmetry",
        *said,
        "they do not carry equal currents, so neither can be worked alone.",
        reason=REASON,
        loop=tuple(p.name for pair in found.unequal for p in pair),
    )


def by_halves(
    whole: Working,
    work: Working,
    found: Halves,
    points: tuple[OperatingPoint, OperatingPoint],
) -> Derivation | None:
    """The working of two equal halves.

    Parameters
    ----------
    whole, work : Working
        Empty workings of the whole circuit and of one half alone.
    found : Halves
        The halves, equal.
    points : tuple of OperatingPoint
        Solved points of the whole and of the half.

    Returns
    -------
    Derivation or None
        None where the half by itself does not lead to the point of the whole.

    Raises
    ------
    DerivationError
        If a line does not hold.
    """
    point, alone = points
    if not _agrees(found.first, alone, point):
        return None
    work.names = replace(whole.names, circuit=found.half)
    work.given = givens(found.half, work.names)
    work.given |= {b.name: whole.given[b.name] for _, b in found.loads if b.name in whole.given}
    half = _Half(whole, work, found, "board" if whole.board else "exact")
    half.check_fold()
    half.announce()
    solved = lecture(work)
    half.other_half(point)
    check_working(work, alone)
    discuss(work, solved)
    compare(work)
    return half.finished()


def _agrees(part: Part, alone: OperatingPoint, point: OperatingPoint) -> bool:
    mine, true = alone.transistors[part.name], point.transistors[part.name]
    return mine.region is true.region and all(
        abs(a - b) <= TOLERANCE * max(abs(b), 1e-12)
        for a, b in ((mine.I_B, true.I_B), (mine.I_C, true.I_C), (mine.V_CE, true.V_CE))
    )


@dataclass
class _Half:
    whole: Working
    work: Working
    found: Halves
    rung: str

    def check_fold(self) -> None:
        """The half against the whole by node equations, at random equal values.

        Raises
        ------
        DerivationError
            If they differ.
        """
        work, whole, found = self.work, self.whole, self.found
        chance = random.Random(len(whole.circuit.parts))  # noqa: S311  repeatable trial values
        symbol, twin = (whole.names.current("C", p) for p in (found.first, found.second))
        for _ in range(DRAWS):
            given = random_values(work, chance)
            values = {**whole.given, **given}
            for one, two in found.pairs:
                if one.name in given:
                    values[two.name] = given[one.name]
            for letter in (whole.names.beta, whole.names.junction, whole.names.saturated):
                values[letter(found.second)] = given[letter(found.first)]
            for part in found.shared:
                values[part.name] = given[part.name] / self._factor(part)
            _drops(whole, found, values)
            left = whole.neglects if work.neglects else ()
            alone = solve_nodes(
                work.circuit, work.names, work.states, given, neglects=work.neglects
            )
            both = solve_nodes(whole.circuit, whole.names, whole.states, values, neglects=left)
            for other in (symbol, twin):
                mine, true = alone.amps[symbol], both.amps[other]
                if abs(mine - true) > TOLERANCE * abs(true):
                    raise DerivationError("A half does not carry what it carries in the whole.")

    @staticmethod
    def _factor(part: Part) -> float:
        return 2.0 if part.kind is Kind.RESISTOR else 0.5

    def announce(self) -> None:
        """Say what the symmetry is and what it gives."""
        work, names, found = self.work, self.whole.names, self.found
        said: list[str | Expr] = [
            f"Exchange {found.first.name} and {found.second.name} and nothing changes: "
        ]
        equal = [Relation((Symbol(a.name), Symbol(b.name))) for a, b in found.pairs]
        betas = Relation((Symbol(names.beta(found.first)), Symbol(names.beta(found.second))))
        said += [*join_words([*equal, betas]), ". Both halves carry the same currents. "]
        for part in found.shared:
            said += self._shared(part)
        for part in found.bridges:
            said += [PartName(part.name), " joins two nodes of equal voltage and carries nothing. "]
        if found.loads:
            said.append(
                "What stands in the collectors differs, but an active transistor does not mind. "
            )
        said.append(f"One half is worked, that of {found.first.name}.")
        lines = [
            Line(Symbol(names.current(x, found.second)), Symbol(names.current(x, found.first)))
            for x in "BCE"
        ]
        work.add(
            "Symmetry",
            *said,
            lines=lines,
            reason=REASON,
            loop=tuple(p.name for p in self.whole.circuit.parts if p.kind is not Kind.CAPACITOR),
        )

    def _shared(self, part: Part) -> Prose:
        symbol = Symbol(part.name)
        if part.kind is Kind.RESISTOR:
            return (
                "The currents of both flow through ",
                PartName(part.name),
                ", so each half meets it as ",
                multiply(Number(2.0), symbol),
                ". ",
            )
        return (symbol, " divides evenly: each half carries ", divide(symbol, Number(2.0)), ". ")

    def other_half(self, point: OperatingPoint) -> None:
        """Currents and voltages of the second transistor, held against the solved point.

        Raises
        ------
        DerivationError
            If they miss it.
        """
        work, names, found = self.work, self.whole.names, self.found
        one, two = found.first, found.second
        lines = []
        for letter in "BCE":
            symbol = names.current(letter, two)
            work.atoms.declare(symbol, Sort.CURRENT)
            line = work.solved(symbol, Symbol(names.current(letter, one)), Sort.CURRENT)
            lines += [line] if letter == "C" else []
        said: Prose = (
            f"By symmetry {two.name} has the same currents and voltages, and works in the same "
            "region:",
        )
        if found.loads:
            said = (f"{two.name} has the same currents; its collector stands apart:",)
            lines += self._own_output(two)
        else:
            for symbol, twin in (
                (names.node("C", two), names.node("C", one)),
                (names.span(two), names.span(one)),
            ):
                if twin in work.found_in:
                    lines.append(work.solved(symbol, Symbol(twin), Sort.VOLTAGE))
        work.add(
            "The other half",
            *said,
            lines=lines,
            result=names.span(two),
            reason=OTHER,
            loop=(two.name, *(b.name for _, b in found.loads if not b.kind.is_transistor)),
            remark=self._in_reach(two),
        )
        work.segments[-1] = work.segments[-1]._replace(end=len(work.steps))
        solved = point.transistors[two.name]
        sign = 1.0 if two.kind is Kind.NPN else -1.0
        for symbol, true in ((names.current("C", two), solved.I_C), (names.span(two), solved.V_CE)):
            if abs(work.values[symbol] - sign * true) > 1e-6 * max(abs(true), 1e-9):
                raise DerivationError(f"{symbol} does not agree with the solved point.")

    def _in_reach(self, two: Part) -> Prose:
        work, names = self.work, self.whole.names
        span, sat = names.span(two), names.saturated(two)
        if not self.found.loads or work.values[span] <= self.whole.given[sat]:
            return ()
        volts = Number(work.values[span], "V", symbol=span)
        room = Number(self.whole.given[sat], "V", given=True)
        return (
            Relation((Relation((Symbol(span), volts)), Relation((Symbol(sat), room))), ">"),
            f": {two.name} is in the active region too.",
        )

    def _own_output(self, two: Part) -> list[Line]:
        work, names = self.work, self.whole.names
        ((_, load),) = self.found.loads
        rail = self._rail(two, load)
        I_C = Symbol(names.current("C", two))
        sign = -1 if two.kind is Kind.NPN else 1
        V_C, V_E = names.node("C", two), Symbol(names.node("E", self.found.first))
        if V_E.name not in work.values:
            raise DerivationError("The emitter's voltage was not found.")
        volts = rail
        if not load.kind.is_transistor:
            work.atoms.sorts[load.name] = Sort.RESISTANCE
            volts = add((1, rail), (sign, multiply(I_C, Symbol(load.name))))
        line = work.solved(V_C, volts, Sort.VOLTAGE)
        ends = [(1, Symbol(V_C)), (-1, V_E)]
        span = add(*((-sign * s, e) for s, e in ends))
        if isinstance(span, Sum):
            span = add(*sorted(span.terms, key=lambda t: -t[0]))
        return [line, work.solved(names.span(two), span, Sort.VOLTAGE)]

    def _rail(self, two: Part, load: Part) -> Expr:
        from steadypoint.derive._branches import branches_of, picture, potentials

        whole = self.whole
        seen = picture(whole.circuit).parts
        fixed = potentials(branches_of(seen, whole.names, whole.states, whole.given))
        collector = next(p for p in seen if p.name == two.name).node("collector")
        ends = (collector,) if load.kind.is_transistor else load.nodes
        node = next(n for n in ends if n in fixed)
        return self.work.write(fixed[node])

    def finished(self) -> Derivation:
        """The working with the shared parts written as the half meets them."""
        found, work = self.found, self.work
        shared = {p.name: p for p in found.shared}
        steps = [
            step if step.reason == REASON else _of_both(as_shared(step, shared))
            for step in work.steps
        ]
        values = {**self.whole.given, **work.values}
        values |= {p.name: self.whole.given[p.name] for p in found.shared}
        return Derivation(self.whole.circuit, self.rung, tuple(steps), values)


def _drops(whole: Working, found: Halves, values: dict[str, float]) -> None:
    """Drops of diodes in pairs follow the first half's."""
    for one, two in found.pairs:
        if one.kind in (Kind.DIODE, Kind.ZENER):
            state = whole.states[one.name]
            names = (whole.names.drop(p, state) for p in (one, two))
            mine, twin = names
            if mine in values:
                values[twin] = values[mine]


def _of_both(step: Step) -> Step:
    """Limit and feedback speak of both halves at once."""
    if step.reason == "limit for large β" and step.heading.startswith("Limit"):
        return replace(step, heading="Limit for both halves")
    if step.reason == "return ratio" and step.heading.startswith("Feedback"):
        first = "Let both halves change alike, both gains together. "
        return replace(step, heading="Feedback on both halves", sentence=(first, *step.sentence))
    return step
