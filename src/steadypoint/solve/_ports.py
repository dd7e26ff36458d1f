"""Linear one-ports: Thévenin pairs of bias networks and the ends of load lines.

The network is set up by modified nodal analysis. Diodes and transistors that stay in it are held in
the straight piece of their law that they have at an operating point.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadypoint.circuit import GROUND, Circuit, Kind, Part
from steadypoint.errors import CircuitError, NoSolutionError, UnknownNameError
from steadypoint.solve._point import Model, OperatingPoint, Region, TransistorPoint

_JUNCTIONS: Final = (Kind.DIODE, Kind.ZENER)
_BETA: Final = 100.0  # where the sheet states none
# A junction that carries less than this at the operating point is taken as open.
_I_OPEN: Final = 1e-15
# Relative size of what is rounding error rather than current or resistance.
_ROUNDING: Final = 1e-9


class Thevenin(NamedTuple):
    """Thévenin pair of a one-port.

    Parameters
    ----------
    V_thev : float
        Open-circuit voltage of the first node against the second. [V]
    R_thev : float
        Resistance into the port with all independent sources at zero. [Ω]
    """

    V_thev: float
    R_thev: float


class LoadLineEnds(NamedTuple):
    """Where the static load line of a transistor meets the axes.

    Parameters
    ----------
    V_CE : float
        Collector-emitter voltage at ``I_C = 0``; negative for pnp. [V]
    I_C : float
        Collector current at ``V_CE = 0``; negative for pnp, infinite without resistance in the
        collector-emitter loop. [A]
    """

    V_CE: float
    I_C: float


def thevenin(
    circuit: Circuit,
    node_a: str,
    node_b: str = GROUND,
    without: Iterable[str] = (),
    *,
    point: OperatingPoint | None = None,
) -> Thevenin:
    """Thévenin pair that a circuit shows between two nodes.

    Parameters
    ----------
    circuit : Circuit
        The circuit; capacitors are open, inductors are shorts.
    node_a, node_b : str
        Nodes of the port, plus first.
    without : iterable of str
        Parts taken out first, usually the transistor whose bias network is wanted.
    point : OperatingPoint, optional
        Operating point of the circuit. Needed when diodes or transistors stay in the network: each
        is then replaced by the straight piece it works on at that point.

    Returns
    -------
    Thevenin
        ``(V_thev, R_thev)``. [V], [Ω]

    Raises
    ------
    UnknownNameError
        If a part or node is not there.
    CircuitError
        If the network is not linear and no point was given, or if no direct current can flow
        between the two nodes.

    References
    ----------
    C.-W. Ho, A. E. Ruehli, P. A. Brennan, "The modified nodal approach to network analysis", IEEE
    Transactions on Circuits and Systems 22 (1975) 504-509, doi:10.1109/TCS.1975.1084079.

    Examples
    --------
    >>> from steadypoint.circuit import Circuit, Kind, Part
    >>> from steadypoint.values import Quantity
    >>> divider = Circuit((
    ...     Part("VCC", Kind.SUPPLY, ("VCC", "ground"), Quantity(12.0, "V")),
    ...     Part("R1", Kind.RESISTOR, ("VCC", "base"), Quantity(30e3, "Ω")),
    ...     Part("R2", Kind.RESISTOR, ("base", "ground"), Quantity(10e3, "Ω")),
    ... ))
    >>> pair = thevenin(divider, "base")
    >>> round(pair.V_thev, 9), round(pair.R_thev, 6)
    (3.0, 7500.0)
    """
    gone = set(without)
    for name in gone:
        circuit.part(name)
    _require_nodes(circuit, (node_a, node_b))
    if node_a == node_b:
        raise CircuitError(f"A port needs two different nodes; both are '{node_a}'.")
    network = _Network(circuit, gone, point, (node_a, node_b))
    if not network.same_island(node_a, node_b):
        raise CircuitError(
            f"No direct current can flow between '{node_a}' and '{node_b}' here, "
            "so this port has no Thévenin pair."
        )
    sources, unit = network.respond({node_a: 1.0, node_b: -1.0})
    return Thevenin(
        network.voltage(sources, node_a) - network.voltage(sources, node_b),
        _clean(network.voltage(unit, node_a) - network.voltage(unit, node_b)),
    )


def load_line_ends(
    circuit: Circuit,
    transistor: str,
    model: Model | str = Model.BOARD,
    *,
    point: OperatingPoint | None = None,
) -> LoadLineEnds:
    r"""Ends of the static load line of one transistor.

    The transistor is replaced by the currents it draws: ``I_C`` into the collector, ``I_C/β`` into
    the base (dropped on the board) and their sum out of the emitter. What is left is linear, so
    ``V_CE`` falls along a straight line from ``I_C = 0`` (the collector-emitter port open) to
    ``V_CE = 0`` (the port shorted).

    Parameters
    ----------
    circuit : Circuit
        The circuit with the transistor in it.
    transistor : str
        Name of the transistor.
    model : Model or str, default "board"
        ``board`` takes ``I_E = I_C``; the other rungs keep the base current with the transistor's
        ``beta``.
    point : OperatingPoint, optional
        Operating point that tells the straight pieces of the other diodes and transistors. Solved
        here when it is needed and not given.

    Returns
    -------
    LoadLineEnds
        ``(V_CE at I_C = 0, I_C at V_CE = 0)``. [V], [A]

    Raises
    ------
    UnknownNameError
        If the circuit has no such transistor.
    NoSolutionError
        If the rest of the circuit forces the current of the transistor, so that there is no line.

    Notes
    -----
    .. math:: V_{CE} = V_{CE}(0) - I_C R, \qquad R = R_C + R_E (\beta + 1)/\beta

    for a stage with a collector and an emitter resistor; in general R follows from the network.
    """
    part = _transistor(circuit, transistor)
    rung = Model(model)
    others = [p for p in circuit.parts if p is not part and _bends(p)]
    if point is None and others:
        from steadypoint.solve import operating_point

        point = operating_point(circuit, rung)
    collector, base, emitter = part.nodes
    if collector == emitter:
        raise CircuitError(f"Collector and emitter of {transistor} are joined: no load line.")
    share = 0.0 if rung is Model.BOARD else 1.0 / (part.option("beta") or _BETA)
    network = _Network(circuit, {transistor}, point, part.nodes, driven=base)
    drawn = dict.fromkeys(part.nodes, 0.0)
    drawn[collector] -= 1.0
    drawn[emitter] += 1.0 + share
    if network.same_island(base, GROUND):  # else the drive, not drawn here, gives the base current
        drawn[base] -= share
    try:
        sources, unit = network.respond(drawn)
    except CircuitError as fault:
        raise NoSolutionError(
            f"The rest of the circuit forces the current of {transistor}, so it has no load line."
        ) from fault
    V_open = network.voltage(sources, collector) - network.voltage(sources, emitter)
    R = _clean(network.voltage(unit, emitter) - network.voltage(unit, collector))
    return LoadLineEnds(V_open, V_open / R if R else math.copysign(math.inf, V_open))


class _Network:
    """Modified nodal equations of the linear rest of a circuit.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    gone : set of str
        Names of parts left out.
    point : OperatingPoint or None
        Tells the pieces of junctions that stay.
    ports : iterable of str
        Nodes that must be there even when no part touches them.
    driven : str, default ""
        Node that may take current although it has no path to ground: a base with a forced current.
    """

    def __init__(
        self,
        circuit: Circuit,
        gone: set[str],
        point: OperatingPoint | None,
        ports: Iterable[str],
        driven: str = "",
    ) -> None:
        kept = [p for p in circuit.parts if p.name not in gone]
        names = dict.fromkeys([GROUND, *ports, *(n for p in kept for n in p.nodes)])
        self._index = {name: i for i, name in enumerate(names)}
        self._island = {name: name for name in names}
        self._entries: list[tuple[int, int, float]] = []
        self._rhs: list[float] = [0.0] * len(names)
        self._pins: list[int] = []
        for part in kept:
            self._stamp(part, point)
        self._pin_islands(driven)

    def same_island(self, node_a: str, node_b: str) -> bool:
        """Whether direct current can flow between two nodes."""
        return self._root(node_a) == self._root(node_b)

    def voltage(self, solution: NDArray[np.float64], node: str) -> float:
        """Voltage of a node in a solution. [V]"""
        return float(solution[self._index[node]])

    def respond(
        self, injected: dict[str, float]
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Solutions with the sources alone and with injected currents alone.

        Parameters
        ----------
        injected : dict of str to float
            Current into each node. [A]

        Returns
        -------
        tuple of ndarray, shape (n,)
            Node voltages and branch currents, sources first. [V], [A]

        Raises
        ------
        CircuitError
            If the equations contradict each other.
        """
        size = len(self._rhs)
        matrix = np.zeros((size, size))
        for row, column, value in self._entries:
            matrix[row, column] += value
        right = np.zeros((size, 2))
        right[:, 0] = self._rhs
        for node, current in injected.items():
            right[self._index[node], 1] += current
        try:
            solution: NDArray[np.float64] = np.asarray(np.linalg.solve(matrix, right), float)
        except np.linalg.LinAlgError as fault:
            raise CircuitError(
                "The rest of the circuit has no single solution: look for sources in conflict "
                "(two voltage sources across the same nodes, or a current source without a path)."
            ) from fault
        nodes = len(self._index)
        scale = (np.abs(matrix) @ np.abs(solution))[:nodes].max(axis=0)
        if np.any(np.abs(solution[self._pins]) > _ROUNDING * scale):
            raise CircuitError("A current is forced into a node that has no path to ground.")
        return solution[:, 0], solution[:, 1]

    def _root(self, node: str) -> str:
        while self._island[node] != node:
            node = self._island[node]
        return node

    def _join(self, *nodes: str) -> None:
        first = self._root(nodes[0])
        for node in nodes[1:]:
            self._island[self._root(node)] = first

    def _pin_islands(self, driven: str) -> None:
        """Give ground, and one node of each part of the network apart from it, the voltage zero."""
        free = {self._root(GROUND), self._root(driven or GROUND)}
        pinned: set[str] = set()
        for node in list(self._index):
            if self._root(node) not in pinned:
                pinned.add(self._root(node))
                row = self._new_row(0.0)
                self._entries += [(row, self._index[node], 1.0), (self._index[node], row, 1.0)]
                if self._root(node) not in free:
                    self._pins.append(row)

    def _new_row(self, rhs: float) -> int:
        self._rhs.append(rhs)
        return len(self._rhs) - 1

    def _stamp(self, part: Part, point: OperatingPoint | None) -> None:
        value = part.value.value if part.value is not None else 0.0
        first, second = part.nodes[0], part.nodes[1]
        match part.kind:
            case Kind.RESISTOR:
                self._conductance(first, second, 1.0 / value)
            case Kind.SUPPLY | Kind.VOLTAGE_SOURCE:
                self._source(first, second, value)
            case Kind.INDUCTOR:
                self._source(first, second, 0.0)
            case Kind.CURRENT_SOURCE:
                self._rhs[self._index[first]] -= value
                self._rhs[self._index[second]] += value
            case Kind.CAPACITOR:
                pass
            case _ if point is None:
                raise CircuitError(
                    f"{part.name} is not linear: take it out of the network, "
                    "or give the operating point whose straight piece should stand for it."
                )
            case Kind.DIODE | Kind.ZENER:
                if abs(point.parts[part.name].I) > _I_OPEN:
                    self._source(first, second, point.parts[part.name].V)
            case _:
                self._transistor(part, point.transistors[part.name])

    def _conductance(self, a: str, b: str, G: float) -> None:
        self._join(a, b)
        i, j = self._index[a], self._index[b]
        self._entries += [(i, i, G), (j, j, G), (i, j, -G), (j, i, -G)]

    def _source(self, plus: str, minus: str, V: float) -> None:
        self._join(plus, minus)
        row, i, j = self._new_row(V), self._index[plus], self._index[minus]
        self._entries += [(row, i, 1.0), (row, j, -1.0), (i, row, 1.0), (j, row, -1.0)]

    def _transistor(self, part: Part, state: TransistorPoint) -> None:
        """Straight piece of a transistor: V_BE held, and current gain or V_CE held."""
        collector, base, emitter = part.nodes
        if state.region is Region.CUTOFF:
            return
        if state.region is not Region.ACTIVE:
            self._source(base, emitter, state.V_BE)
            self._source(collector, emitter, state.V_CE)
            return
        self._join(collector, base, emitter)
        alpha = state.I_C / state.I_E
        row = self._new_row(state.V_BE)
        c, b, e = (self._index[n] for n in part.nodes)
        self._entries += [(row, b, 1.0), (row, e, -1.0)]
        self._entries += [(c, row, alpha), (b, row, 1.0 - alpha), (e, row, -1.0)]


def _bends(part: Part) -> bool:
    return part.kind in _JUNCTIONS or part.kind.is_transistor


def _transistor(circuit: Circuit, name: str) -> Part:
    part = circuit.part(name)
    if not part.kind.is_transistor:
        raise UnknownNameError(f"{name} is no transistor, so it has no load line.")
    return part


def _require_nodes(circuit: Circuit, nodes: Iterable[str]) -> None:
    there = circuit.nodes
    for node in nodes:
        if node != GROUND and node not in there:
            raise UnknownNameError(
                f"The circuit has no node '{node}'; its nodes are {', '.join(there)}."
            )


def _clean(R: float) -> float:
    """Zero where rounding left less than a micro-ohm."""
    return 0.0 if abs(R) < 1e-6 else R
