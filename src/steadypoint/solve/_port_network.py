"""Modified nodal equations of what is linear in a circuit, for one-ports and load lines.

Diodes and transistors that stay in the network are held in the straight piece of their law that
they have at an operating point.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.circuit import GROUND, Circuit, Kind, Part
from steadypoint.errors import CircuitError
from steadypoint.solve._point import FetPoint, OperatingPoint, Region, TransistorPoint

_I_OPEN: Final = 1e-15
"""A junction that carries less than this at the operating point is taken as open. [A]"""

_ROUNDING: Final = 1e-9
"""Relative size of what is rounding error rather than current. [-]"""


class PortNetwork:
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
    left_out : collection of (str, str)
        Parts and nodes in whose current sum their current is missing, as on the board.
    """

    def __init__(
        self,
        circuit: Circuit,
        gone: set[str],
        point: OperatingPoint | None,
        ports: Iterable[str],
        left_out: Collection[tuple[str, str]] = (),
    ) -> None:
        kept = [p for p in circuit.parts if p.name not in gone]
        names = dict.fromkeys([GROUND, *ports, *(n for p in kept for n in p.nodes)])
        self._index = {name: i for i, name in enumerate(names)}
        self._island = {name: name for name in names}
        self._entries: list[tuple[int, int, float]] = []
        self._rhs: list[float] = [0.0] * len(names)
        self._left_out = left_out
        self._pins: dict[str, int] = {}
        self._held: dict[tuple[str, str], tuple[int, float]] = {}
        for part in kept:
            self._stamp(part, point)
        self._pin_islands()

    def same_island(self, node_a: str, node_b: str) -> bool:
        """Whether direct current can flow between two nodes."""
        return self._root(node_a) == self._root(node_b)

    def voltage(self, solution: NDArray[np.float64], node: str) -> float:
        """Voltage of a node in a solution. [V]"""
        return float(solution[self._index[node]])

    def respond(
        self, injected: dict[str, float], spare: str = ""
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Solutions with the sources alone and with injected currents alone.

        Parameters
        ----------
        injected : dict of str to float
            Current into each node. [A]
        spare : str, default ""
            Node that may take current although it has no path to ground: a base with a forced
            current.

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
        free = {self._root(GROUND), self._root(spare or GROUND)}
        pins = [row for island, row in self._pins.items() if island not in free]
        if np.any(np.abs(solution[pins]) > _ROUNDING * scale):
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

    def _pin_islands(self) -> None:
        """Give ground, and one node of each part of the network apart from it, the voltage zero."""
        for node in list(self._index):
            if self._root(node) not in self._pins:
                row = self._new_row(0.0)
                self._entries += [(row, self._index[node], 1.0), (self._index[node], row, 1.0)]
                self._pins[self._root(node)] = row

    def _new_row(self, rhs: float) -> int:
        self._rhs.append(rhs)
        return len(self._rhs) - 1

    def _stamp(self, part: Part, point: OperatingPoint | None) -> None:
        value = part.value.value if part.value is not None else 0.0
        first, second = part.nodes[0], part.nodes[1]
        match part.kind:
            case Kind.RESISTOR:
                self._conductance(part, 1.0 / value)
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
            case _ if part.kind.is_fet:
                self._channel(part, point.fets[part.name])
            case _:
                self._bipolar(part, point.transistors[part.name])

    def _conductance(self, part: Part, G: float) -> None:
        self._join(*part.nodes)
        for near, far in (part.nodes, part.nodes[::-1]):
            if (part.name, near) not in self._left_out:
                i, j = self._index[near], self._index[far]
                self._entries += [(i, i, G), (i, j, -G)]

    def _source(self, plus: str, minus: str, V: float) -> None:
        self._join(plus, minus)
        row, i, j = self._new_row(V), self._index[plus], self._index[minus]
        self._entries += [(row, i, 1.0), (row, j, -1.0), (i, row, 1.0), (j, row, -1.0)]

    def _channel(self, part: Part, state: FetPoint) -> None:
        """Tangent of a channel at its point: what each end's overdrive adds to the current."""
        self._join(part.nodes[0], part.nodes[2])
        sign = -1.0 if state.polarity == "p-channel" else 1.0
        at_source = max(sign * (state.V_GS - state.V_GS_th), 0.0)
        at_drain = max(sign * (state.V_GS - state.V_DS - state.V_GS_th), 0.0)
        opened = at_source**2 - at_drain**2
        if abs(opened) < _ROUNDING or state.I_D == 0.0:
            return
        slopes = [2.0 * sign * state.I_D / opened * u for u in (at_source, -at_drain)]
        d, g, s = (self._index[n] for n in part.nodes)
        constant = state.I_D
        for slope, end, volts in zip(
            slopes, (s, d), (state.V_GS, state.V_GS - state.V_DS), strict=True
        ):
            constant -= slope * volts
            self._entries += [(d, g, slope), (d, end, -slope), (s, g, -slope), (s, end, slope)]
        self._rhs[d] -= constant
        self._rhs[s] += constant

    def _bipolar(self, part: Part, state: TransistorPoint) -> None:
        """Straight piece of a transistor: V_BE held, and current gain or V_CE held."""
        collector, base, emitter = part.nodes
        if state.region is Region.CUTOFF:
            return
        if state.region is not Region.ACTIVE:
            self._source(base, emitter, state.V_BE)
            self._source(collector, emitter, state.V_CE)
            return
        self._join(collector, base, emitter)
        c, b, e = (self._index[n] for n in part.nodes)
        if (base, emitter) in self._held:  # a mirror: the current follows that of its partner
            row, I_E = self._held[base, emitter]
        else:
            row, I_E = self._new_row(state.V_BE), state.I_E
            self._held[base, emitter] = row, I_E
            self._entries += [(row, b, 1.0), (row, e, -1.0)]
        I_B = 0.0 if (part.name, base) in self._left_out else state.I_B
        shares = (state.I_C / I_E, I_B / I_E, -state.I_E / I_E)
        self._entries += [(n, row, share) for n, share in zip((c, b, e), shares, strict=True)]
