"""The piecewise linear network as one matrix whose junction rows depend on their states.

Unknowns are the node voltages, the currents of the voltage sources and one current per junction.
Every transistor is two junctions (the transport form of Ebers and Moll with straight pieces):

=========  ===============================  ==============================================
junction   conducts when                    its current flows
=========  ===============================  ==============================================
forward    V_BE reaches its drop            i into the collector, i/β into the base
reverse    V_CE falls to V_CE_sat           i into the base, (1 + β_R) i out of the collector
=========  ===============================  ==============================================

so that the four combinations are the four regions. A conducting junction holds its drop and its
current is not negative; a blocking one carries nothing and its voltage is not above its drop.

A field-effect transistor is two ends of a channel. The square law is the difference of two parts,
I_D = K (V_GS - V_th)² - K (V_GD - V_th)², each zero below its threshold: both ends open is the
triode region, the source end alone saturation, the drain end alone saturation in reverse, none
cutoff. An end has no state: its part of the square law is one smooth function of its voltage.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from steadypoint.solve._network import Bipolar, Fet, Network
from steadypoint.solve._structure import floating_groups, structure_of

FloatArray = NDArray[np.float64]

CHANNEL_ENDS = ("channel", "pinch")
"""Kinds of the source and drain end of a channel."""

LEAK = 1e-15
"""Conductance that fixes nodes which only blocking junctions touch. [S]"""


@dataclass(frozen=True, slots=True)
class Junction:
    """One junction.

    Parameters
    ----------
    part : str
        Part it belongs to.
    kind : str
        ``forward``, ``reverse``, ``diode``, ``breakdown``, or ``channel`` and ``pinch`` for the
        source and drain end of a channel.
    plus, minus : int
        Node indices; it conducts when V(plus) - V(minus) reaches ``drop``. [-]
    drop : float
        Constant drop. [V]
    flows : tuple of (int, float)
        Current leaving each node per unit of the junction's current.
    owner : int
        Index of the transistor or diode in the network.
    leader : int
        Junction whose state and current this one shares, or its own index.
    ratio : float
        Current of this junction per current of its leader. [-]
    partner : int
        For a reverse junction the forward junction of the same transistor, else -1.
    sat_plus, sat_minus, sat_drop : int, int, float
        Law of a reverse junction while its partner conducts: V_CE = V_CE_sat.
    never : bool
        True when both ends are one node: it can never conduct.
    K : float
        Conductance parameter of an end of a channel, whose threshold is ``drop``. [A/V²]
    """

    part: str
    kind: str
    plus: int
    minus: int
    drop: float
    flows: tuple[tuple[int, float], ...]
    owner: int
    leader: int
    ratio: float = 1.0
    partner: int = -1
    sat_plus: int = -1
    sat_minus: int = -1
    sat_drop: float = 0.0
    never: bool = False
    K: float = 0.0


@dataclass(frozen=True, slots=True)
class Edit:
    """A change of one matrix entry, or of the right-hand side where ``column`` is -1.

    It is made only while junction ``active`` conducts and junction ``active + 1`` blocks (the
    transistor is active); -1 makes it always.
    """

    row: int
    column: int
    change: float
    active: int = -1


@dataclass(slots=True)
class Tableau:
    """Matrix and right-hand side with every junction blocking, and rows to exchange.

    ``A0 x = b0`` holds with all junctions blocking. Row ``first + j`` belongs to junction j;
    ``on[j]`` and ``on_b[j]`` replace it when the junction conducts, ``sat`` and ``sat_b`` when its
    partner conducts as well. ``free`` are the junctions with a state of their own, ``channels`` the
    ends of channels, ``edits`` what the board rung changes, ``equal`` the transistors with
    I_E = I_C while active.
    """

    network: Network
    junctions: tuple[Junction, ...]
    A0: FloatArray
    b0: FloatArray
    on: FloatArray
    on_b: FloatArray
    sat: FloatArray
    sat_b: FloatArray
    leak: FloatArray
    first: int
    scale: float
    free: tuple[int, ...] = field(default=())
    channels: tuple[int, ...] = field(default=())
    edits: tuple[Edit, ...] = field(default=())
    equal: frozenset[int] = field(default=frozenset())

    def system(self, state: tuple[bool, ...]) -> tuple[FloatArray, FloatArray]:
        """Matrix and right-hand side for a state of every junction."""
        A, b = self.A0.copy(), self.b0.copy()
        for j, conducts in enumerate(state):
            junction = self.junctions[j]
            if junction.leader != j or not conducts:
                continue
            row = self.first + j
            if junction.partner >= 0 and state[junction.partner]:
                A[row], b[row] = self.sat[j], self.sat_b[j]
            else:
                A[row], b[row] = self.on[j], self.on_b[j]
        for e in self.edits:
            if e.active >= 0 and not (state[e.active] and not state[e.active + 1]):
                continue
            if e.column < 0:
                b[e.row] += e.change
            else:
                A[e.row, e.column] += e.change
        return A, b


def junctions_of(net: Network) -> list[Junction]:
    """All junctions of a network, two per transistor and zener, one per diode.

    Parameters
    ----------
    net : Network
        The network.

    Returns
    -------
    list of Junction
        Transistor k has junctions 2k (forward) and 2k + 1 (reverse); diodes follow, then the two
        ends of each channel.
    """
    found: list[Junction] = []
    for owner, q in enumerate(net.bipolars):
        found.extend(_bipolar_junctions(q, owner, len(found)))
    for owner, d in enumerate(net.diodes):
        same = d.anode == d.cathode
        j = len(found)
        out = ((d.anode, 1.0), (d.cathode, -1.0))
        found.append(
            Junction(d.name, "diode", d.anode, d.cathode, d.data.V_F, out, owner, j, never=same)
        )
        if np.isfinite(d.data.V_Z):
            back = ((d.cathode, 1.0), (d.anode, -1.0))
            found.append(
                Junction(
                    d.name,
                    "breakdown",
                    d.cathode,
                    d.anode,
                    d.data.V_Z,
                    back,
                    owner,
                    j + 1,
                    never=same,
                )
            )
    for owner, f in enumerate(net.fets):
        found.extend(_channel_ends(f, owner, len(found)))
    return _join_parallel(found, net)


def _channel_ends(f: Fet, owner: int, first: int) -> list[Junction]:
    """Source end (its current flows from drain to source) and drain end of a channel."""
    ends = []
    for kind, near, far, j in (
        ("channel", f.source, f.drain, first),
        ("pinch", f.drain, f.source, first + 1),
    ):
        plus, minus = (f.gate, near) if f.sign > 0 else (near, f.gate)
        flows = ((far, float(f.sign)), (near, -float(f.sign)))
        ends.append(
            Junction(f.name, kind, plus, minus, f.data.V_GS_th, flows, owner, j, K=f.data.K)
        )
    return ends


def _bipolar_junctions(q: Bipolar, owner: int, first: int) -> list[Junction]:
    s, data = q.sign, q.data
    p, m = (q.base, q.emitter) if s > 0 else (q.emitter, q.base)
    forward = Junction(
        q.name,
        "forward",
        p,
        m,
        data.V_BE,
        ((q.collector, s), (q.base, s / data.beta), (q.emitter, -s * (1.0 + 1.0 / data.beta))),
        owner,
        first,
        never=q.base == q.emitter,
    )
    p, m = (q.base, q.collector) if s > 0 else (q.collector, q.base)
    sat_plus, sat_minus = (q.collector, q.emitter) if s > 0 else (q.emitter, q.collector)
    reverse = Junction(
        q.name,
        "reverse",
        p,
        m,
        data.V_BE - data.V_CE_sat,
        ((q.base, s), (q.collector, -s * (1.0 + data.beta_R)), (q.emitter, s * data.beta_R)),
        owner,
        first + 1,
        partner=first,
        sat_plus=sat_plus,
        sat_minus=sat_minus,
        sat_drop=data.V_CE_sat,
        never=q.base == q.collector,
    )
    return [forward, reverse]


def _join_parallel(found: list[Junction], net: Network) -> list[Junction]:
    """Let junctions of equal drop across the same nodes share state and current.

    Two equal constant drops in parallel leave the division of the current open; equal junctions
    carry equal currents, or currents as their stated saturation currents.
    """
    from dataclasses import replace

    leaders: dict[tuple[int, int, float, bool], int] = {}
    for j, junction in enumerate(found):
        if junction.never or junction.kind in ("breakdown", *CHANNEL_ENDS):
            continue
        key = (junction.plus, junction.minus, junction.drop, junction.kind == "reverse")
        lead = leaders.setdefault(key, j)
        if lead != j:
            ratio = 1.0
            if junction.kind == "forward" and found[lead].kind == "forward":
                a, b = net.bipolars[junction.owner], net.bipolars[found[lead].owner]
                if a.states_I_S or b.states_I_S:
                    ratio = a.data.I_S / b.data.I_S
            found[j] = replace(junction, leader=lead, ratio=ratio)
    return found


def tableau(net: Network, junctions: list[Junction]) -> Tableau:
    """Stamp a network whose junctions all block.

    Parameters
    ----------
    net : Network
        The network.
    junctions : list of Junction
        From :func:`junctions_of`.

    Returns
    -------
    Tableau
    """
    n, first = len(net.names), len(net.names) + len(net.voltages)
    size = first + len(junctions)
    conductances = [1.0 / r.value for r in net.resistors]
    scale = math.exp(sum(map(math.log, conductances)) / len(conductances)) if conductances else 1e-3
    A, b = _stamp_linear(net, size)
    for j, junction in enumerate(junctions):
        for node, share in junction.flows:
            A[node, first + j] += share
        A[first + j, first + j] = 1.0
        if junction.leader != j:
            A[first + j, first + junction.leader] = -junction.ratio
    for group in floating_groups(structure_of(net)):
        A[min(group), min(group)] += scale  # no current can flow there; this sets 0 V
    on, sat = _conducting_rows(net, junctions, first, size)
    leak = np.zeros((size + 1, size + 1))
    for junction in junctions:
        ends = (junction.plus, junction.minus)
        if junction.kind in CHANNEL_ENDS:
            ends = (junction.flows[0][0], junction.flows[1][0])
        _conduct(leak, *ends, LEAK)
    for c in net.capacitors:
        _conduct(leak, c.start, c.end, 1e-2 * LEAK)
    leak[np.arange(n), np.arange(n)] += 1e-3 * LEAK
    cut = slice(0, size)
    return Tableau(
        network=net,
        junctions=tuple(junctions),
        A0=A[cut, cut].copy(),
        b0=b[cut].copy(),
        on=on[:, cut].copy(),
        on_b=np.array([-q.drop for q in junctions]),
        sat=sat[:, cut].copy(),
        sat_b=np.array([q.sat_drop for q in junctions]),
        leak=leak[cut, cut].copy(),
        first=first,
        scale=scale,
        free=tuple(
            j
            for j, q in enumerate(junctions)
            if q.leader == j and not q.never and q.kind not in CHANNEL_ENDS
        ),
        channels=tuple(j for j, q in enumerate(junctions) if q.kind in CHANNEL_ENDS),
    )


def _stamp_linear(net: Network, size: int) -> tuple[FloatArray, FloatArray]:
    """Resistors, sources and leakage; row and column -1 take what belongs to ground."""
    n = len(net.names)
    A, b = np.zeros((size + 1, size + 1)), np.zeros(size + 1)
    for r in net.resistors:
        _conduct(A, r.start, r.end, 1.0 / r.value)
    for c in net.currents:
        b[c.start] -= c.value
        b[c.end] += c.value
    for q in net.bipolars:
        b[q.collector] -= q.sign * q.data.I_CBO
        b[q.base] += q.sign * q.data.I_CBO
    for i, v in enumerate(net.voltages):
        A[v.start, n + i] -= 1.0  # delivered out of the plus terminal
        A[v.end, n + i] += 1.0
        A[n + i, v.start] += 1.0
        A[n + i, v.end] -= 1.0
        b[n + i] = v.value
    return A, b


def _conducting_rows(
    net: Network, junctions: list[Junction], first: int, size: int
) -> tuple[FloatArray, FloatArray]:
    """Rows of conducting junctions: their drop, and V_CE = V_CE_sat where the partner conducts."""
    on, sat = (np.zeros((len(junctions), size + 1)) for _ in range(2))
    for j, junction in enumerate(junctions):
        on[j, junction.plus] -= 1.0
        on[j, junction.minus] += 1.0
        if junction.kind == "breakdown":
            on[j, first + j] += net.diodes[junction.owner].data.r_Z
        sat[j, junction.sat_plus] += 1.0
        sat[j, junction.sat_minus] -= 1.0
    return on, sat


def _conduct(A: FloatArray, start: int, end: int, conductance: float) -> None:
    A[start, start] += conductance
    A[end, end] += conductance
    A[start, end] -= conductance
    A[end, start] -= conductance
