"""Drain currents in the order of their dependence."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import partial

from steadypoint.derive._algebra import Sort
from steadypoint.derive._channel import Channel
from steadypoint.derive._expr import (
    ZERO,
    Expr,
    Number,
    Power,
    Symbol,
    add,
    divide,
    multiply,
    substitute,
)
from steadypoint.derive._fet_lines import Island, Rest
from steadypoint.derive._fet_roots import both_roots
from steadypoint.derive._fet_triode import Straight, in_triode
from steadypoint.derive._graph import in_order, match
from steadypoint.derive._statements import plain
from steadypoint.derive._step import Line
from steadypoint.derive._working import Working
from steadypoint.errors import DerivationError
from steadypoint.solve import OperatingPoint, Region


class One:
    """One channel as the steps for a single one see it."""

    def __init__(self, work: Working, channel: Channel) -> None:
        self.work, self.channel, self.part = work, channel, channel.part
        self.threshold, self.K = channel.threshold, channel.K
        self.n_channel, self.index = channel.n_channel, channel.index
        self.current, self.over, self.opens = channel.I_D, channel.over, channel.opens
        self.gain = f"K{channel.index}"

    def pair(self, letters: str) -> str:
        """By the roles of the terminals."""
        return self.channel.pair(letters)

    def terminals(self, letters: str) -> str:
        """By the names of the terminals."""
        return self.channel.terminals(letters)


class Order:
    """Solves the laws of the channels one after the other.

    Parameters
    ----------
    work : Working
        Of the circuit without channels; the steps are written on it.
    rest : Rest
        What the rest gives at each gate and drain.
    point : OperatingPoint
        The solved point, for the figures of sets that hang together.
    """

    def __init__(self, work: Working, rest: Rest, point: OperatingPoint) -> None:
        self.work, self.rest, self.point = work, rest, point
        self.channels = rest.channels
        self.open = [c for c in self.channels if c.solved.region is not Region.CUTOFF]

    def solve(self) -> None:
        """Each equation for the unknown it gives, sets that hang together with figures."""
        equations: list[Channel | Island] = [*self.open, *self.rest.islands.values()]
        unknowns = {*self.rest.currents, *(i.symbol for i in self.rest.islands.values())}
        uses = [self._uses(e) & unknowns for e in equations]
        wishes = {
            place: sorted(used, key=partial(_preference, equations[place]))
            for place, used in enumerate(uses)
        }
        owner = match(wishes)
        if len(owner) != len(equations) or len(equations) != len(unknowns):
            raise DerivationError("The channels leave some currents open.")
        owns = {name: place for place, name in owner.items()}
        depends = {
            place: {owns[n] for n in used if owns[n] != place} for place, used in enumerate(uses)
        }
        for group in in_order(depends):
            names = [owner[place] for place in group]
            if len(group) > 1 or not self._alone(equations[group[0]], names[0]):
                self._with_figures([equations[place] for place in group], names)

    def _uses(self, equation: Channel | Island) -> set[str]:
        if isinstance(equation, Island):
            return set(equation.balance)
        used = {equation.I_D, *self.rest.gate[equation].unknowns}
        if equation.solved.region is not Region.SATURATION:
            used |= self.rest.output[equation].unknowns
        return used

    def _alone(self, equation: Channel | Island, unknown: str) -> bool:
        """Solve one equation for one unknown; False where it takes figures."""
        if isinstance(equation, Island):
            self._from_node(equation, unknown)
            return True
        if unknown == equation.I_D:
            return self._current(equation)
        return self._potential(equation, unknown)

    def _from_node(self, island: Island, unknown: str) -> None:
        turn = -island.balance[unknown]
        terms = [(c * turn, Symbol(n)) for n, c in island.balance.items() if n != unknown]
        expr = add(*sorted(terms, key=lambda t: -t[0])) if terms else ZERO
        line = self.work.solved(unknown, expr, Sort.CURRENT)
        self.work.add(
            f"Solve for {plain(unknown)}",
            "Kirchhoff’s current law at the node that hangs on channels alone:",
            lines=[line],
            result=unknown,
            reason="Kirchhoff's current law",
            loop=(),
        )

    def _current(self, channel: Channel) -> bool:
        """Drain current of a channel whose lines hold no other unknown."""
        work, one = self.work, One(self.work, channel)
        gate = self.rest.gate[channel]
        start, slope = gate.known(work.values, channel.I_D)
        if channel.solved.region is not Region.SATURATION:
            output = self.rest.output[channel]
            first = Straight(start, slope, gate.expr())
            second = Straight(*output.known(work.values, channel.I_D), output.expr())
            in_triode(one, first, second, anew=False)
            return True
        if self._mirrored(channel):
            return True
        room, a = start - channel.threshold, slope * channel.K
        if room <= 0.0 or a < 0.0:
            return False
        if not slope:
            work.values[channel.pair("GS")] = start
        else:
            root = math.sqrt(1.0 + 4.0 * a * room)
            self._quadratic(channel, a, room)
            both_roots(one, (root - 1.0) / (2.0 * a), -(root + 1.0) / (2.0 * a))
        if not slope:
            line = work.solved(channel.pair("GS"), gate.expr(), Sort.VOLTAGE)
            work.add(
                f"Gate of {channel.part.name}",
                "Its own current does not reach the gate loop, so the gate voltage stands at once:",
                lines=[line],
                result=channel.pair("GS"),
                reason="Kirchhoff's voltage law",
                loop=(channel.part.name,),
            )
        self._state_current(channel)
        return True

    def _quadratic(self, channel: Channel, a: float, room: float) -> None:
        over = Symbol(channel.over)
        quadratic = add(
            (1, multiply(Number(a, "V⁻¹"), Power(over, 2))), (1, over), (-1, Number(room, "V"))
        )
        gate = Symbol(channel.pair("GS"))
        self.work.add(
            f"One quadratic for {channel.part.name}",
            "Its bias line holds no other unknown. Put the square law into it, with the overdrive "
            "of the gate as the unknown:",
            lines=[Line(over, channel.overdrive(gate)), Line(quadratic, ZERO)],
            reason="algebra",
            loop=(channel.part.name,),
        )

    def _state_current(self, channel: Channel) -> None:
        work = self.work
        line = work.solved(channel.I_D, channel.law(), Sort.CURRENT)
        line = replace(line, numbers=substitute(channel.law(), self._figure))
        work.add(
            f"Solve for {plain(channel.I_D)}",
            "The square law gives",
            lines=[line],
            result=channel.I_D,
            reason="square law",
            loop=(channel.part.name,),
        )

    def _figure(self, symbol: str) -> Expr:
        for channel in self.channels:
            if symbol == channel.factor:
                unit = "A" if channel.junction else "A/V²"
                return Number(self.work.values[symbol], unit, symbol=symbol, given=True)
            if symbol == channel.opens:
                return Number(channel.threshold, "V", symbol=symbol, given=True)
        return self.work.number(symbol)

    def _mirrored(self, channel: Channel) -> bool:
        """A channel whose gate and source are those of one that is solved already."""
        work = self.work
        leader = next(
            (
                c
                for c in self.open
                if c is not channel
                and c.I_D in work.values
                and c.solved.region is Region.SATURATION
                and c.part.nodes[1:] == channel.part.nodes[1:]
                and c.n_channel == channel.n_channel
                and c.threshold == channel.threshold
            ),
            None,
        )
        if leader is None:
            return False
        ratio = channel.K / leader.K
        first = Symbol(leader.I_D)
        expr: Expr = first
        if abs(ratio - 1.0) > 1e-12:
            factors = Symbol(channel.factor), Symbol(leader.factor)
            expr = multiply(divide(*factors), first)
        line = work.solved(channel.I_D, expr, Sort.CURRENT)
        if expr != first:
            line = replace(line, numbers=substitute(expr, self._figure))
        work.add(
            f"Mirror: {channel.part.name} copies {leader.part.name}",
            f"Gate and source of {channel.part.name} lie on those of {leader.part.name}, so both "
            "have the same gate voltage; with the same threshold their currents stand as their "
            "conductance parameters, and no base current spoils the copy.",
            lines=[line],
            result=channel.I_D,
            reason="matched channels",
            loop=(leader.part.name, channel.part.name),
        )
        return True

    def _potential(self, channel: Channel, unknown: str) -> bool:
        """From a known current back to the gate voltage, and so to a node that hangs free."""
        work, gate = self.work, self.rest.gate[channel]
        amps = work.values[channel.I_D]
        if channel.solved.region is Region.TRIODE and amps == 0.0:
            return self._no_current(channel, unknown)
        if channel.solved.region is not Region.SATURATION or unknown not in gate.free:
            return False
        if amps < 0.0:
            return False
        over = math.sqrt(amps / channel.K)
        work.values[channel.over] = over
        V_GS, sign = channel.pair("GS"), gate.free[unknown]
        work.values[V_GS] = channel.threshold + over
        volts = (work.values[V_GS] - gate.at({**work.values, unknown: 0.0})) * sign
        work.values[unknown] = volts
        K = Number(channel.K, "A/V²")
        figures = [Number(v, "V", symbol=s) for s, v in ((channel.over, over), (unknown, volts))]
        width = Number(work.values[V_GS], "V", symbol=V_GS)
        square = Line(Power(Symbol(channel.over), 2), divide(Symbol(channel.I_D), K))
        work.add(
            f"Gate of {channel.part.name} from its current",
            f"The current of {channel.part.name} is known, so the square law gives its overdrive "
            "(the positive root), and the gate loop the voltage of the node:",
            lines=[
                square,
                Line(Symbol(channel.over), figures[0], None, figures[0]),
                Line(Symbol(V_GS), width, None, width),
                Line(Symbol(unknown), figures[1], None, figures[1]),
            ],
            result=unknown,
            reason="square law of the channel",
            loop=(channel.part.name,),
        )
        return True

    def _no_current(self, channel: Channel, unknown: str) -> bool:
        """An open channel without current drops nothing, and so gives a node that hangs free."""
        work, output = self.work, self.rest.output[channel]
        if unknown not in output.free:
            return False
        volts = -output.at({**work.values, unknown: 0.0}) * output.free[unknown]
        work.values |= {channel.pair("DS"): 0.0, unknown: volts}
        zero = Number(0.0, "V", symbol=channel.pair("DS"))
        figure = Number(volts, "V", symbol=unknown)
        work.add(
            f"Open channel of {channel.part.name} without current",
            "No current flows through the open channel, so it drops nothing:",
            lines=[
                Line(Symbol(channel.pair("DS")), ZERO, None, zero),
                Line(Symbol(unknown), figure, None, figure),
            ],
            result=unknown,
            reason="square law of the channel",
            loop=(channel.part.name,),
        )
        return True

    def _with_figures(self, equations: list[Channel | Island], unknowns: list[str]) -> None:
        work, lines = self.work, []
        true = self._true()
        for equation in equations:
            if isinstance(equation, Channel):
                lines.append(Line(Symbol(equation.I_D), equation.law()))
        for name in unknowns:
            work.values[name] = true[name]
            unit = "A" if name.startswith("I") else "V"
            figure = Number(true[name], unit, symbol=name)
            lines.append(Line(Symbol(name), figure, None, figure))
        parts = tuple(e.part.name for e in equations if isinstance(e, Channel))
        work.add(
            "Solve the set with figures",
            "These laws hang together: each current needs the others. Put the lines into them and "
            "solve the set of quadratics with figures; of its solutions this is the one with open "
            "channels in the assumed regions:",
            lines=lines,
            result=unknowns[0],
            reason="square law, solved numerically",
            loop=parts,
        )

    def _true(self) -> dict[str, float]:
        out = {}
        for channel in self.channels:
            out[channel.I_D] = channel.sign * channel.solved.I_D
        for group, island in self.rest.islands.items():
            out[island.symbol] = self.point.nodes[self.rest.reference(group)]
        return out


def _preference(equation: Channel | Island, name: str) -> tuple[bool, str]:
    """The own current of a channel first."""
    return not (isinstance(equation, Channel) and name == equation.I_D), name


__all__ = ["One", "Order"]
