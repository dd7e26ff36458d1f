"""Thévenin pairs of bias networks and the ends of load lines."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Final, NamedTuple

from steadypoint.circuit import GROUND, Circuit, Kind, Part, at_temperature
from steadypoint.devices import bipolar_data
from steadypoint.errors import CircuitError, NoSolutionError, UnknownNameError
from steadypoint.solve._point import Model, OperatingPoint
from steadypoint.solve._port_network import PortNetwork

_JUNCTIONS: Final = (Kind.DIODE, Kind.ZENER)


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

    Notes
    -----
    Of a field-effect transistor these are ``V_DS`` and ``I_D``, under which they stand as well.
    """

    V_CE: float
    I_C: float

    @property
    def V_DS(self) -> float:
        """Drain-source voltage at ``I_D = 0``; negative for p-channel. [V]"""
        return self.V_CE

    @property
    def I_D(self) -> float:
        """Drain current at ``V_DS = 0``; negative for p-channel. [A]"""
        return self.I_C


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
    circuit = _at_its_temperature(circuit, point)
    network = PortNetwork(circuit, gone, point, (node_a, node_b))
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
    the base and their sum out of the emitter. What is left is linear, so ``V_CE`` falls along a
    straight line from ``I_C = 0`` (the collector-emitter port open) to ``V_CE = 0`` (the port
    shorted). A transistor with the same base and emitter (the other half of a mirror) carries its
    share all along the line. On the board the emitter carries ``I_C``, and the base currents that
    the board leaves out are left out here as well. The operating point of the same rung lies on
    the line.

    A field-effect transistor draws ``I_D`` from its drain to its source and nothing at its gate, so
    its line runs from ``V_DS`` at ``I_D = 0`` to ``I_D`` at ``V_DS = 0`` on every rung. Other
    field-effect transistors in the circuit, whose law is no straight piece, stand as the tangent
    at their point.

    Parameters
    ----------
    circuit : Circuit
        The circuit with the transistor in it.
    transistor : str
        Name of the transistor.
    model : Model or str, default "board"
        Rung of the model ladder; ``device`` has the line of ``exact``.
    point : OperatingPoint, optional
        Operating point that tells the straight pieces of the other diodes and transistors. Solved
        here when it is needed and not given.

    Returns
    -------
    LoadLineEnds
        ``(V_CE at I_C = 0, I_C at V_CE = 0)``, or V_DS and I_D of a field-effect transistor.
        [V], [A]

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
    circuit = _at_its_temperature(circuit, point)
    part = _transistor(circuit, transistor)
    board = Model(model) is Model.BOARD
    high, drive, low = part.nodes
    if high == low:
        first, _, last = (name.capitalize() for name in part.kind.terminals)
        raise CircuitError(f"{first} and {last.lower()} of {transistor} are joined: no load line.")
    if point is None:
        point = _point_for_others(circuit, part, board=board)
    left_out = _left_out(circuit) if board else frozenset()
    sharing = _sharing_its_drive(circuit, part, point)
    network = PortNetwork(circuit, {transistor, *sharing}, point, part.nodes, left_out)
    driven = network.same_island(drive, GROUND)  # else what drives it is not drawn here
    drawn: dict[str, float] = {}
    for name, ratio in {transistor: 1.0, **sharing}.items():
        one = circuit.part(name)
        share = 0.0 if part.kind.is_fet else 1.0 / bipolar_data(one.option).beta
        into = share if driven and (name, drive) not in left_out else 0.0
        currents = (-1.0, -into, 1.0 if board else 1.0 + share)
        for node, current in zip(one.nodes, currents, strict=True):
            drawn[node] = drawn.get(node, 0.0) + ratio * current
    apart = not any(network.same_island(drive, n) for n in (high, low))
    try:
        sources, unit = network.respond(drawn, spare=drive if apart else "")
    except CircuitError as fault:
        raise NoSolutionError(
            f"The rest of the circuit forces the current of {transistor}, so it has no load line."
        ) from fault
    V_open = network.voltage(sources, high) - network.voltage(sources, low)
    R = _clean(network.voltage(unit, low) - network.voltage(unit, high))
    return LoadLineEnds(V_open, V_open / R if R else math.copysign(math.inf, V_open))


def _at_its_temperature(circuit: Circuit, point: OperatingPoint | None) -> Circuit:
    """Circuit with its values at the temperature of the point, else at that of its sheet."""
    return at_temperature(circuit, point.temperature if point is not None else None)


def _point_for_others(circuit: Circuit, part: Part, *, board: bool) -> OperatingPoint | None:
    """Operating point, when the circuit holds other parts that are not linear."""
    from steadypoint.solve import operating_point

    bent = (p for p in circuit.parts if p.kind in _JUNCTIONS or p.kind.is_transistor)
    if all(p is part for p in bent):
        return None
    return operating_point(circuit, Model.BOARD if board else Model.EXACT)


def _sharing_its_drive(
    circuit: Circuit, part: Part, point: OperatingPoint | None
) -> dict[str, float]:
    """Conducting transistors with the same drive, by their current against that of ``part``.

    They have the same base and emitter, or the same gate and source.
    """
    if point is None:
        return {}
    alike = circuit.fets if part.kind.is_fet else circuit.transistors
    current = _current(point, part.name)
    return {
        q.name: _current(point, q.name) / current
        for q in alike
        if q is not part and q.kind is part.kind and q.nodes[1:] == part.nodes[1:] and current
    }


def _current(point: OperatingPoint, name: str) -> float:
    """Collector or drain current. [A]"""
    if name in point.fets:
        return point.fets[name].I_D
    return point.transistors[name].I_C


def _left_out(circuit: Circuit) -> frozenset[tuple[str, str]]:
    """Parts and the nodes in whose current sum the board leaves their current out."""
    from steadypoint.solve import neglects

    return frozenset(
        (n.parts[0] if n.kind == "chain" else n.transistor, n.node)
        for n in neglects(circuit)
        if n.kind in ("base", "chain")
    )


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
