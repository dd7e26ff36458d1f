"""Several channels taken out: what the rest gives at each, as straight lines of their currents."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from steadypoint.circuit import Circuit, Kind, Part
from steadypoint.derive._channel import Channel
from steadypoint.derive._expr import ZERO, Expr, Number, Symbol, add, multiply
from steadypoint.derive._nodal import Nodal, solve_nodes
from steadypoint.derive._working import Working
from steadypoint.errors import DerivationError
from steadypoint.solve import Region
from steadypoint.values import Quantity

TRIAL = 1e-3
"""Drain current whose effect gives the resistances. [A]"""

NOTHING = 1e-6
"""Resistance below which a current has no effect. [Ω]"""


@dataclass(frozen=True)
class Line:
    """A voltage as ``start - slopes · currents + free · potentials``.

    Parameters
    ----------
    start : float
        Without drain currents. [V]
    slopes : dict of str to float
        What each drain current takes away, by its symbol. [Ω]
    free : dict of str to int
        Potentials of nodes that hang on channels alone, by symbol, with their sign.
    """

    start: float
    slopes: Mapping[str, float]
    free: Mapping[str, int] = field(default_factory=dict)

    @property
    def unknowns(self) -> set[str]:
        """Symbols it depends on."""
        return {*self.slopes, *self.free}

    def expr(self) -> Expr:
        """How it is written."""
        terms: list[tuple[int, Expr]] = [
            (sign, Symbol(name)) for name, sign in self.free.items() if sign > 0
        ]
        if abs(self.start) > 1e-12 or not (terms or self.slopes):
            terms.append((1, Number(self.start, "V") if abs(self.start) > 1e-12 else ZERO))
        terms += [(sign, Symbol(name)) for name, sign in self.free.items() if sign < 0]
        for name, slope in self.slopes.items():
            terms.append((-1 if slope > 0 else 1, multiply(Number(abs(slope), "Ω"), Symbol(name))))
        return add(*terms)

    def at(self, values: Mapping[str, float]) -> float:
        """Its value. [V]"""
        taken = sum(slope * values[name] for name, slope in self.slopes.items())
        return self.start - taken + sum(sign * values[name] for name, sign in self.free.items())

    def known(self, values: Mapping[str, float], without: str) -> tuple[float, float]:
        """Start and slope in one current, everything else at its value. [V], [Ω]"""
        rest = {**values, without: 0.0}
        return self.at(rest), self.slopes.get(without, 0.0)


@dataclass(frozen=True)
class Island:
    """Nodes that hang on channels and current sources alone.

    Parameters
    ----------
    symbol : str
        Voltage of one of them, an unknown of its own.
    balance : dict of str to int
        Currents into them, by symbol, with their sign; together they are zero.
    """

    symbol: str
    balance: Mapping[str, int]


def without_channels(circuit: Circuit, channels: list[Channel]) -> Circuit:
    """The circuit with a source of its drain current in the place of each conducting channel."""
    by_name = {c.part.name: c for c in channels}
    parts: list[Part] = []
    for part in circuit.parts:
        channel = by_name.get(part.name)
        if channel is None:
            parts.append(part)
        elif channel.solved.region is not Region.CUTOFF:
            drain, _, source = channel.part.nodes
            ends = (drain, source) if channel.n_channel else (source, drain)
            amps = Quantity(abs(channel.solved.I_D), "A")
            parts.append(Part(channel.I_D, Kind.CURRENT_SOURCE, ends, amps))
    return replace(circuit, parts=tuple(parts))


class Rest:
    """The rest of the circuit, seen from its channels.

    Parameters
    ----------
    work : Working
        Of the circuit without channels.
    circuit : Circuit
        The circuit itself.
    channels : list of Channel
        All of them, turned by their roles.

    Raises
    ------
    DerivationError
        If the rest leaves no unique voltages.
    """

    def __init__(self, work: Working, circuit: Circuit, channels: list[Channel]) -> None:
        self.work, self.circuit, self.channels = work, circuit, channels
        self.currents = [c.I_D for c in channels if c.solved.region is not Region.CUTOFF]
        self.base = self._with({})
        self.moved = {name: self._with({name: TRIAL}) for name in self.currents}
        if any(n not in self.base.volts for c in channels for n in c.part.nodes):
            raise DerivationError("A terminal of a channel hangs free.")
        self.islands = self._islands()
        self.gate = {c: self._line(c, "gate") for c in channels}
        self.output = {c: self._line(c, "drain") for c in channels}

    def _with(self, amps: Mapping[str, float]) -> Nodal:
        work = self.work
        values = {**work.given, **dict.fromkeys(self.currents, 0.0), **amps}
        return solve_nodes(
            work.circuit, work.names, work.states, values, neglects=work.neglects, loose=True
        )

    def _islands(self) -> dict[frozenset[str], Island]:
        out = {}
        for group in self.base.groups:
            name = next(
                (
                    channel.node(letter)
                    for letter in "SDG"
                    for channel in self.channels
                    if self._node(channel, letter) in group
                ),
                None,
            )
            if name is None:
                continue
            balance: dict[str, int] = {}
            for part in self.work.circuit.parts:
                if part.kind is Kind.CURRENT_SOURCE:
                    first, second = (n in group for n in part.nodes)
                    if first != second:
                        balance[part.name] = -1 if first else 1
            out[group] = Island(name, balance)
        return out

    def _node(self, channel: Channel, letter: str) -> str:
        return self.circuit.part(channel.part.name).nodes["DGS".index(letter)]

    def reference(self, group: frozenset[str]) -> str:
        """The node of an island whose voltage is its unknown."""
        for letter in "SDG":
            for channel in self.channels:
                if self._node(channel, letter) in group:
                    return self._node(channel, letter)
        raise DerivationError("No channel touches an island.")

    def _line(self, channel: Channel, terminal: str) -> Line:
        drain, gate, source = channel.part.nodes
        node = gate if terminal == "gate" else drain
        sign = 1.0 if channel.n_channel else -1.0
        free: dict[str, int] = {}
        shifts: list[tuple[float, str]] = []
        for end, turn in ((node, sign), (source, -sign)):
            for group, island in self.islands.items():
                if end in group:
                    free[island.symbol] = free.get(island.symbol, 0) + int(turn)
                    shifts.append((turn, self.reference(group)))

        def across(nodal: Nodal) -> float:
            whole = sign * (nodal.volts[node] - nodal.volts[source])
            return whole - sum(turn * nodal.volts[ref] for turn, ref in shifts)

        start = across(self.base)
        slopes = {n: (start - across(self.moved[n])) / TRIAL for n in self.currents}
        return Line(
            start,
            {n: s for n, s in slopes.items() if abs(s) > NOTHING},
            {n: c for n, c in free.items() if c},
        )


__all__ = ["Island", "Line", "Rest", "without_channels"]
