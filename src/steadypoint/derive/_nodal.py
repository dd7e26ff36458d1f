"""Node equations of the whole circuit for assumed regions: the working's own plumb line.

It shares nothing with the loop method. ``solve`` proves which regions hold; this gives the figures
for regions that are only assumed (a first attempt that fails), for random values, and for what
changes when one current is forced.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadypoint.circuit import GROUND, Circuit, Kind, Part
from steadypoint.derive._graph import Edge, components
from steadypoint.derive._names import ACTIVE, BREAKDOWN, CUTOFF, OFF, SATURATION, Names
from steadypoint.derive._twins import Tie, reverse_gain, ties
from steadypoint.errors import DerivationError


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A current that the board leaves out of a node's sum.

    Parameters
    ----------
    kind : str
        ``emitter`` (I_E = I_C), ``base`` (I_B left out at the base's node) or ``chain`` (current of
        resistors that lead to a base, left out at a collector or emitter).
    transistor, node : str
        Whose current, and in whose sum it is missing.
    parts : tuple of str
        Resistors of the chain.
    ratio : float
        Largest other current at the node over what is left out. [-]
    """

    kind: str
    transistor: str
    node: str = ""
    parts: tuple[str, ...] = ()
    ratio: float = 0.0


@dataclass(frozen=True)
class Nodal:
    """Solution of the node equations.

    Parameters
    ----------
    volts : mapping of str to float
        Node voltages. [V]
    amps : mapping of str to float
        Named currents (``I_B`` ... as they flow in an active transistor; diodes and sources by
        their part's name). [A]
    floating : frozenset of str
        Nodes that nothing conducting connects with ground; their voltage means nothing.
    """

    volts: Mapping[str, float]
    amps: Mapping[str, float]
    floating: frozenset[str] = frozenset()
    groups: tuple[frozenset[str], ...] = ()
    """The floating nodes, group by group."""


class _System:
    def __init__(self, circuit: Circuit, extra: int) -> None:
        self.nodes = {n: i for i, n in enumerate(n for n in circuit.nodes if n != GROUND)}
        size = len(self.nodes) + extra
        self.A: NDArray[np.float64] = np.zeros((size, size))
        self.b: NDArray[np.float64] = np.zeros(size)
        self.next = len(self.nodes)
        self.joined: list[Edge] = []

    def join(self, start: str, end: str) -> None:
        """Note that something connects two nodes."""
        self.joined.append(Edge("", start, end))

    def floating(self) -> list[set[str]]:
        """Groups of nodes that nothing connects with ground."""
        groups = components([GROUND, *self.nodes], self.joined)
        return [group for group in groups if GROUND not in group]

    def column(self) -> int:
        self.next += 1
        return self.next - 1

    def flows(
        self,
        start: str,
        end: str,
        column: int,
        factor: float = 1.0,
        *,
        without: Container[str] = (),
    ) -> None:
        """The unknown current of a column flows from start to end."""
        self.join(start, end)
        for node, sign in ((start, 1.0), (end, -1.0)):
            if node != GROUND and node not in without:
                self.A[self.nodes[node], column] += sign * factor

    def forced(self, start: str, end: str, amps: float, *, joins: bool = True) -> None:
        if joins:
            self.join(start, end)
        if start != GROUND:
            self.b[self.nodes[start]] -= amps
        if end != GROUND:
            self.b[self.nodes[end]] += amps

    def voltage(self, row: int, plus: str, minus: str, volts: float) -> None:
        if plus != GROUND:
            self.A[row, self.nodes[plus]] += 1.0
        if minus != GROUND:
            self.A[row, self.nodes[minus]] -= 1.0
        self.b[row] = volts

    def conductance(
        self, start: str, end: str, siemens: float, without: Container[str] = ()
    ) -> None:
        self.join(start, end)
        for a, b in ((start, end), (end, start)):
            if a != GROUND and a not in without:
                self.A[self.nodes[a], self.nodes[a]] += siemens
                if b != GROUND:
                    self.A[self.nodes[a], self.nodes[b]] -= siemens

    def solve(self) -> NDArray[np.float64]:
        """Solution of the stamped system; of each floating group one node is put at zero.

        Raises
        ------
        DerivationError
            If it is singular.
        """
        size = self.next
        A = self.A[:size, :size]
        for group in self.floating():
            i = min(self.nodes[n] for n in group)
            A[i, :], A[i, i], self.b[i] = 0.0, 1.0, 0.0
        try:
            x = np.asarray(np.linalg.solve(A, self.b[:size]), dtype=np.float64)
        except np.linalg.LinAlgError:
            x = np.full(size, np.nan)
        if not np.isfinite(x).all():
            raise DerivationError("The assumed regions leave no unique operating point.")
        return x


def solve_nodes(
    circuit: Circuit,
    names: Names,
    states: Mapping[str, str],
    values: Mapping[str, float],
    *,
    forced: Mapping[str, float] | None = None,
    injected: Mapping[str, float] | None = None,
    neglects: Iterable[LeftOut] = (),
    loose: bool = False,
) -> Nodal:
    """Solve the node equations with every transistor and diode in its assumed state.

    Parameters
    ----------
    circuit : Circuit
        All parts; capacitors are open, inductors and signal sources are shorts.
    names : Names
        Letter symbols.
    states : mapping of str to str
        State of each transistor and diode.
    values : mapping of str to float
        Stated symbols, see ``givens``.
    forced : mapping of str to float, optional
        Transistors whose collector current is given instead of following the base current. [A]
    injected : mapping of str to float, optional
        Currents pressed into nodes from outside. [A]
    neglects : iterable of LeftOut
        Currents that the board leaves out of a node's sum.
    loose : bool, default False
        Let nodes float that hang on current sources alone.

    Raises
    ------
    DerivationError
        If the assumed states leave no unique solution.
    """
    setup = _Setup(names, states, values, forced or {}, tuple(neglects), loose)
    system = _System(circuit, sum(2 for p in circuit.parts if p.kind is not Kind.RESISTOR))
    currents: dict[str, int] = {}
    for part in circuit.parts:
        if part.kind.is_transistor:
            _stamp_transistor(system, part, setup, currents)
        else:
            _stamp(system, part, setup, currents)
    for tie in ties(circuit, names, states, values):
        _tie(system, tie, setup, currents)
    for node, pressed_in in (injected or {}).items():
        system.forced(GROUND, node, pressed_in)
    x = system.solve()
    volts = {n: float(x[i]) for n, i in system.nodes.items()} | {GROUND: 0.0}
    amps = {name: float(x[column]) for name, column in currents.items()}
    for part in circuit.transistors:
        _complete(part, setup, amps)
    groups = tuple(frozenset(group) for group in system.floating())
    return Nodal(volts, amps, frozenset(n for group in groups for n in group), groups)


@dataclass(frozen=True)
class _Setup:
    names: Names
    states: Mapping[str, str]
    values: Mapping[str, float]
    forced: Mapping[str, float]
    neglects: tuple[LeftOut, ...]
    loose: bool

    def skipped(self, part: Part) -> set[str]:
        """Nodes in whose sum the base current of a transistor is missing."""
        own = [n for n in self.neglects if n.transistor == part.name]
        return {part.node("emitter") for n in own if n.kind == "emitter"} | {
            part.node("base") for n in own if n.kind == "base"
        }

    def chained(self, part: Part) -> set[str]:
        """Nodes in whose sum a resistor's current is missing."""
        return {
            n.node
            for n in self.neglects
            if n.kind == "chain" and part.name in n.parts and n.node in part.nodes
        }


def _stamp(system: _System, part: Part, setup: _Setup, currents: dict[str, int]) -> None:
    names, states, values = setup.names, setup.states, setup.values
    start, end = part.nodes
    if part.kind is Kind.RESISTOR:
        system.conductance(start, end, 1.0 / values[part.name], setup.chained(part))
    elif part.kind is Kind.CURRENT_SOURCE:
        system.forced(start, end, values[part.name], joins=not setup.loose)
    elif part.kind in (Kind.SUPPLY, Kind.VOLTAGE_SOURCE, Kind.INDUCTOR):
        column = system.column()
        system.flows(start, end, column)
        volts = 0.0 if part.kind is Kind.INDUCTOR else values.get(part.name, 0.0)
        system.voltage(column, start, end, volts)
        currents[part.name] = column
    elif part.kind in (Kind.DIODE, Kind.ZENER) and states[part.name] != OFF:
        if states[part.name] == BREAKDOWN:
            start, end = end, start
        column = system.column()
        system.flows(start, end, column)
        system.voltage(column, start, end, values[names.drop(part, states[part.name])])
        currents[part.name] = column


def _stamp_transistor(system: _System, part: Part, setup: _Setup, currents: dict[str, int]) -> None:
    names, values, forced = setup.names, setup.values, setup.forced
    state = setup.states[part.name]
    if state == CUTOFF:
        return
    if state not in (ACTIVE, SATURATION):
        raise DerivationError(f"{part.name} works in reverse, which has no loop of its own.")
    collector, base, emitter = part.nodes
    npn = part.kind is Kind.NPN
    into, out = (base, emitter) if npn else (emitter, base)
    top, bottom = (collector, emitter) if npn else (emitter, collector)
    column = system.column()
    system.flows(into, out, column, without=setup.skipped(part))
    system.voltage(column, into, out, values[names.junction(part)])
    currents[names.current("B", part)] = column
    if state == SATURATION:
        second = system.column()
        system.flows(top, bottom, second)
        system.voltage(second, top, bottom, values[names.saturated(part)])
        currents[names.current("C", part)] = second
    elif part.name in forced:
        system.forced(top, bottom, forced[part.name])
    else:
        system.flows(top, bottom, column, values[names.beta(part)])


def _tie(system: _System, tie: Tie, setup: _Setup, currents: Mapping[str, int]) -> None:
    """Let equal junctions carry equal currents; the drop of the second one says nothing new."""
    names, values = setup.names, setup.values
    follower = tie.follower.part
    if not follower.kind.is_bipolar:
        row = currents[follower.name]
    else:
        second = tie.follower.backward and tie.follower.both
        row = currents[names.current("C" if second else "B", follower)]
    system.A[row, :], system.b[row] = 0.0, 0.0
    for junction, sign in ((tie.follower, 1.0), (tie.leader, -1.0)):
        part = junction.part
        if not part.kind.is_bipolar:
            system.A[row, currents[part.name]] += sign
            continue
        beta_R = values.get(reverse_gain(names, part), 0.0)
        shares = junction.shares(values[names.beta(part)], beta_R)
        for letter, share in zip("BC", shares, strict=True):
            if share:
                system.A[row, currents[names.current(letter, part)]] += sign * share


def _complete(part: Part, setup: _Setup, amps: dict[str, float]) -> None:
    names, states, values, forced = setup.names, setup.states, setup.values, setup.forced
    I_B, I_C, I_E = (names.current(letter, part) for letter in "BCE")
    if states[part.name] == CUTOFF:
        amps |= {I_B: 0.0, I_C: 0.0, I_E: 0.0}
        return
    if part.name in forced:
        amps[I_C] = forced[part.name]
    elif states[part.name] == ACTIVE:
        amps[I_C] = values[names.beta(part)] * amps[I_B]
    equal = any(n.kind == "emitter" and n.transistor == part.name for n in setup.neglects)
    amps[I_E] = amps[I_C] if equal else amps[I_B] + amps[I_C]
