"""Several channels, or one beside bipolar transistors and diodes, in the order of dependence."""

from __future__ import annotations

from dataclasses import replace

from steadypoint.circuit import Circuit, Kind
from steadypoint.derive._algebra import Sort
from steadypoint.derive._begin import begin
from steadypoint.derive._branches import picture
from steadypoint.derive._channel import Channel
from steadypoint.derive._check import check_working
from steadypoint.derive._expr import (
    ZERO,
    Expr,
    Number,
    Symbol,
    add,
    substitute,
)
from steadypoint.derive._fet_exchanged import back_to_terminals, turned_words
from steadypoint.derive._fet_lines import Island, Rest, without_channels
from steadypoint.derive._fet_order import One, Order
from steadypoint.derive._lecture import lecture
from steadypoint.derive._regions import open_capacitors
from steadypoint.derive._step import Line, Step
from steadypoint.derive._working import Working
from steadypoint.errors import DerivationError
from steadypoint.solve import OperatingPoint, Region

HELD = 1e-6
"""Largest relative miss of the point against ``solve``. [-]"""


def several_working(circuit: Circuit, point: OperatingPoint, *, board: bool) -> Working:
    """Work a circuit with several field-effect transistors, or one beside other devices.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    point : OperatingPoint
        Its solved point.
    board : bool
        True on the board rung.

    Returns
    -------
    Working

    Raises
    ------
    DerivationError
        If the rest of the circuit leaves no unique voltages, or a line does not hold.
    """
    channels = [Channel(circuit, p, point.fets[p.name], by_roles=True) for p in circuit.fets]
    linear = without_channels(circuit, channels)
    work = begin(linear, point, board=board, turn=True, sheet=circuit)
    several = _Several(work, circuit, channels, point)
    work.found = frozenset(several.rest.currents)
    work.given = {n: v for n, v in work.given.items() if n not in work.found}
    several.write()
    found = dict(work.values)
    work.given = {**work.given, **{n: found[n] for n in several.rest.currents}}
    if linear.transistors or any(p.kind in (Kind.DIODE, Kind.ZENER) for p in linear.parts):
        lecture(work, opened=True)
        check_working(work, point)
    work.values |= found
    work.steps = [several.named(step) for step in work.steps]
    return work


class _Several:
    def __init__(
        self, work: Working, circuit: Circuit, channels: list[Channel], point: OperatingPoint
    ) -> None:
        self.work, self.circuit, self.point = work, circuit, point
        self.channels = channels
        self.open = [c for c in channels if c.solved.region is not Region.CUTOFF]
        self.rest = Rest(work, circuit, channels)

    def write(self) -> None:
        work = self.work
        work.begin()
        seen = picture(self.circuit)
        open_capacitors(work, (seen.capacitors, seen.shorts, (), seen.bleeders))
        for channel in self.channels:
            self._declare(channel)
        self._assume()
        self._take_out()
        Order(work, self.rest, self.point).solve()
        for channel in self.channels:
            self._voltages(channel)
        self._check()
        for channel in self.channels:
            if channel.exchanged:
                back_to_terminals(One(work, channel))
            elif channel.solved.region is Region.CUTOFF:
                work.values[channel.I_D] = 0.0
        self._hold()

    def _declare(self, channel: Channel) -> None:
        work = self.work
        work.values.pop(channel.I_D, None)
        work.values |= channel.stated()
        for symbol in (channel.opens, channel.over, channel.pair("GS"), channel.pair("DS")):
            work.atoms.declare(symbol, Sort.VOLTAGE)
        work.atoms.declare(channel.I_D, Sort.CURRENT)
        if channel.junction:
            work.atoms.declare(channel.factor, Sort.CURRENT)
        if channel.solved.region is Region.CUTOFF:
            work.values[channel.I_D] = 0.0

    def _assume(self) -> None:
        said: list[str | Expr] = ["The gates draw no current. "]
        for channel in self.channels:
            if channel.exchanged:
                said.append(f"{channel.part.name}: ")
                said += turned_words(One(self.work, channel))
            said += [*channel.words(), " "]
        others = [p.name for p in self.work.circuit.transistors]
        diodes = [p.name for p in self.circuit.parts if p.kind in (Kind.DIODE, Kind.ZENER)]
        if others or diodes:
            said.append(f"{', '.join([*others, *diodes])} stay in the state assumed further down. ")
        self.work.add(
            "Assumptions",
            *said,
            "To be checked at the end.",
            reason="square law of the channel",
            loop=tuple(c.part.name for c in self.channels),
        )

    def _take_out(self) -> None:
        lines = []
        for channel in self.channels:
            lines.append(Line(Symbol(channel.pair("GS")), self.rest.gate[channel].expr()))
            lines.append(Line(Symbol(channel.pair("DS")), self.rest.output[channel].expr()))
        for island in self.rest.islands.values():
            self.work.atoms.declare(island.symbol, Sort.VOLTAGE)
            lines.append(_balance(island))
        self.work.add(
            "Superposition",
            "Take the channels out and put a source of its current in the place of each that "
            "conducts. What the rest gives at each gate and each drain, less what the currents "
            "take away"
            + (
                "; a node that hangs on channels alone keeps its voltage as an unknown, and "
                "Kirchhoff’s current law holds there:"
                if self.rest.islands
                else ":"
            ),
            lines=lines,
            reason="superposition",
            loop=tuple(c.part.name for c in self.channels),
        )

    def _voltages(self, channel: Channel) -> None:
        work = self.work
        lines = []
        for symbol, line in (
            (channel.pair("GS"), self.rest.gate[channel]),
            (channel.pair("DS"), self.rest.output[channel]),
        ):
            expr = line.expr()
            lines.append(
                Line(
                    Symbol(symbol),
                    expr,
                    substitute(expr, work.number) if line.unknowns else None,
                    Number(line.at(work.values), "V", symbol=symbol),
                )
            )
            work.values[symbol] = line.at(work.values)
        work.add(
            f"Voltages of {channel.part.name}",
            "With all currents known:",
            lines=lines,
            result=channel.pair("DS"),
            reason="superposition",
            loop=(channel.part.name,),
        )

    def _check(self) -> None:
        said: list[str | Expr] = []
        for channel in self.channels:
            said += [*(" " if said else ""), *channel.checked(self.work.values)]
        names = tuple(c.part.name for c in self.channels)
        self.work.add("Check the region", *said, reason="conditions of the region", loop=names)

    def _hold(self) -> None:
        """The point against ``solve``, and every line against its own figures."""
        values = self.work.values
        for channel in self.channels:
            q, sign = channel.solved, channel.sign
            for symbol, true, floor in (
                (channel.I_D, q.I_D, 1e-9),
                (channel.pair("GS"), q.V_GS, 1e-3),
                (channel.pair("DS"), q.V_DS, 1e-3),
            ):
                if abs(values[symbol] - sign * true) > HELD * max(abs(true), floor):
                    raise DerivationError(f"{symbol} does not agree with the solved point.")

    def named(self, step: Step) -> Step:
        """A step whose parts are those of the sheet: a channel where its source stood in for it."""
        names = {c.I_D: c.part.name for c in self.open}
        loop = tuple(dict.fromkeys(names.get(n, n) for n in step.loop))
        return replace(step, loop=loop)


def _balance(island: Island) -> Line:
    into = [(1, Symbol(n)) for n, c in island.balance.items() if c > 0]
    out = [(1, Symbol(n)) for n, c in island.balance.items() if c < 0]
    return Line(add(*into) if into else ZERO, add(*out) if out else ZERO)


__all__ = ["several_working"]
