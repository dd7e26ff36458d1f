"""The rungs with straight pieces: from a circuit to the raw voltages and currents."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from steadypoint.errors import NoSolutionError
from steadypoint.solve._exact import search
from steadypoint.solve._fets import channel_regions, cutoff_V_DS, drain_currents, hold_channels
from steadypoint.solve._network import Network
from steadypoint.solve._pieces import SINGULAR, Follow, Piece, columns_of, solve_linear
from steadypoint.solve._point import Region
from steadypoint.solve._report import Raw
from steadypoint.solve._tableau import FloatArray, Tableau

WELL_POSED: Final = 1e-7
"""Share of cancellation beyond which a dead transistor is solved alone. [-]"""


def regions_of(tab: Tableau, piece: Piece) -> tuple[Region, ...]:
    """Region of every transistor from the states of its two junctions.

    A transistor without any current is cut off, even where its base-emitter voltage just reaches
    the drop.
    """
    n = len(tab.network.names)
    floor = 1e-12 * float(np.abs(piece.x[n:]).max(initial=0.0)) + 1e-15
    regions = []
    for k in range(len(tab.network.bipolars)):
        forward, reverse = (
            piece.state[j] and abs(piece.x[tab.first + j]) > floor for j in (2 * k, 2 * k + 1)
        )
        # At the edge, where the reverse junction just begins, the transistor is still active.
        if forward:
            regions.append(Region.SATURATION if reverse else Region.ACTIVE)
        else:
            regions.append(Region.REVERSE if reverse else Region.CUTOFF)
    return tuple(regions)


def raw_of(tab: Tableau, piece: Piece, laws: tuple[Follow, ...]) -> Raw:
    """Voltages and currents of a proved piece."""
    net = tab.network
    n, m = len(net.names), len(net.voltages)
    junction = piece.x[tab.first :]
    base, collector, emitter = _terminal_currents(tab, piece)
    return Raw(
        voltages=piece.x[:n],
        delivered=piece.x[n : n + m],
        base=base,
        collector=collector,
        emitter=emitter,
        diodes=_diode_currents(net, tab, junction),
        regions=regions_of(tab, piece),
        cutoff_V_CE=cutoff_voltages(tab, piece, laws),
        drain=drain_currents(tab, piece.x),
        gate=np.zeros(len(net.fets)),
        fet_regions=channel_regions(tab, piece.x),
        cutoff_V_DS=cutoff_V_DS(tab, piece),
    )


def _terminal_currents(tab: Tableau, piece: Piece) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Currents into base and collector and out of the emitter, from the junction currents."""
    net = tab.network
    out = np.zeros((3, len(net.bipolars)))
    for k, q in enumerate(net.bipolars):
        forward, reverse = (float(piece.x[tab.first + j]) for j in (2 * k, 2 * k + 1))
        I_B = forward / q.data.beta + reverse - q.data.I_CBO
        I_C = forward - (1.0 + q.data.beta_R) * reverse + q.data.I_CBO
        active = piece.state[2 * k] and not piece.state[2 * k + 1]
        I_E = I_C if k in tab.equal and active else I_B + I_C
        out[:, k] = q.sign * I_B, q.sign * I_C, q.sign * I_E
    return out[0], out[1], out[2]


def _diode_currents(net: Network, tab: Tableau, junction: FloatArray) -> FloatArray:
    out = np.zeros(len(net.diodes))
    for j, q in enumerate(tab.junctions):
        if q.kind == "diode":
            out[q.owner] += junction[j]
        elif q.kind == "breakdown":
            out[q.owner] -= junction[j]
    return out


def cutoff_voltages(
    tab: Tableau, piece: Piece, laws: tuple[Follow, ...], plain: Tableau | None = None
) -> FloatArray:
    """V_CE of every transistor at the cut-off end of its load line; see :func:`cutoff_V_CE`. [V]

    A dead transistor exchanges two rows of the matrix, so one inverse gives the voltages with each
    of them dead. Those that it does not give well, and those that others follow, are solved alone.
    """
    count = len(tab.network.bipolars)
    out = np.zeros(count)
    if not count:
        return out
    if count == 1:
        out[0] = cutoff_V_CE(tab, piece, laws, 0, plain)
        return out
    x, good = _with_one_dead(tab, piece, laws)
    for k, q in enumerate(tab.network.bipolars):
        if not good[k]:
            out[k] = cutoff_V_CE(tab, piece, laws, k, plain)
            continue
        V = x[k] if not _beyond_sources(tab, x[k]) else _cut_off_for_real(plain or tab, piece, k)
        C, E = (float(V[i]) if i >= 0 else 0.0 for i in (q.collector, q.emitter))
        out[k] = C - E
    return out


def _with_one_dead(
    tab: Tableau, piece: Piece, laws: tuple[Follow, ...]
) -> tuple[FloatArray, list[bool]]:
    """Solutions with each transistor dead in turn, and which of them are good."""
    count, columns = len(tab.network.bipolars), columns_of(tab)
    A, b = tab.system(piece.state)
    hold_channels(tab, A, b, piece.x)
    for w in laws:
        if piece.state[w.junction]:
            b[tab.first + w.junction] = -_drop(tab, piece, w.junction)
    scaled = A * columns
    size = np.abs(scaled).max(axis=1)
    scaled /= size[:, None]
    try:
        inverse = np.linalg.inv(scaled)
    except np.linalg.LinAlgError:
        return np.zeros((count, len(b))), [False] * count
    condition = np.abs(scaled).sum(axis=0).max() * np.abs(inverse).sum(axis=0).max()
    effect = inverse[:, tab.first : tab.first + 2 * count]
    x0 = inverse @ (b / size)
    own = np.arange(2 * count).reshape(count, 2)
    H = effect[tab.first + own[:, :, None], own[:, None, :]]
    (p, q), (r, s) = H.transpose(1, 2, 0)
    determinant = p * s - q * r
    most = np.abs(inverse).max(initial=0.0)
    good = np.abs(determinant) > WELL_POSED * (np.abs(p * s) + np.abs(q * r))
    good &= condition < WELL_POSED * SINGULAR
    good &= np.abs(H).max(axis=2).min(axis=1, initial=np.inf) > WELL_POSED * most
    safe = np.where(good, determinant, 1.0)
    i, j = -x0[tab.first + own].T
    shares = np.stack([(s * i - q * j) / safe, (p * j - r * i) / safe], axis=1)
    x = x0 + np.einsum("kj,nkj->kn", shares, effect.reshape(-1, count, 2))
    followed = {q.leader // 2 for j, q in enumerate(tab.junctions) if q.leader != j}
    return x * columns, [bool(g) and k not in followed for k, g in enumerate(good)]


def cutoff_V_CE(
    tab: Tableau, piece: Piece, laws: tuple[Follow, ...], k: int, plain: Tableau | None = None
) -> float:
    """V_CE at the cut-off end of the load line, this transistor dead. [V]

    The others stay on their pieces where that leaves every node within the sources; where it does
    not (a current source feeds the dead transistor), they find new regions, in ``plain``.
    """
    q = tab.network.bipolars[k]
    A, b = tab.system(piece.state)
    hold_channels(tab, A, b, piece.x)
    for j in (2 * k, 2 * k + 1):
        row = tab.first + j
        _release_followers(tab, A, b, j, piece)
        A[row], b[row] = 0.0, 0.0
        A[row, row] = 1.0
    for w in laws:  # the others hold the drop that they have
        if w.junction != 2 * k and piece.state[w.junction]:
            b[tab.first + w.junction] = -_drop(tab, piece, w.junction)
    columns = columns_of(tab)
    V = solve_linear(A, b, columns)
    if V is None:
        V = solve_linear(A + tab.leak, b, columns)
    if V is None or _beyond_sources(tab, V):
        V = _cut_off_for_real(plain or tab, piece, k)
    C, E = (float(V[i]) if i >= 0 else 0.0 for i in (q.collector, q.emitter))
    return C - E


def _beyond_sources(tab: Tableau, x: FloatArray) -> bool:
    """Whether a node lies outside what the voltage sources span."""
    levels = [v.value for v in tab.network.voltages]
    low = sum(v for v in levels if v < 0) - 1.0
    high = sum(v for v in levels if v > 0) + 1.0
    V = x[: len(tab.network.names)]
    return bool(V.min(initial=0.0) < low or V.max(initial=0.0) > high) and not tab.network.currents


def _cut_off_for_real(tab: Tableau, piece: Piece, k: int) -> FloatArray:
    """Solution with one transistor dead in which the others find new regions."""
    own = (2 * k, 2 * k + 1)
    free = tuple(j for j in tab.free if j not in own)
    state = [
        conducts and tab.junctions[j].leader not in own for j, conducts in enumerate(piece.state)
    ]
    alone = replace(tab, free=free, edits=())
    try:
        return search(alone, (), iter(()), start=tuple(state), only=True, most=0).piece.x
    except NoSolutionError:
        return piece.x


def _release_followers(tab: Tableau, A: FloatArray, b: FloatArray, j: int, piece: Piece) -> None:
    """Let the first follower of a junction lead the others."""
    rest = [i for i, q in enumerate(tab.junctions) if q.leader == j and i != j]
    if not rest or not piece.state[j]:
        return
    first = tab.first + rest[0]
    A[first], b[first] = tab.on[j], -_drop(tab, piece, j)
    for i in rest[1:]:
        row = tab.first + i
        A[row, tab.first + j] = 0.0
        A[row, first] = -tab.junctions[i].ratio / tab.junctions[rest[0]].ratio


def _drop(tab: Tableau, piece: Piece, j: int) -> float:
    """Voltage across a junction. [V]"""
    q = tab.junctions[j]
    plus, minus = (float(piece.x[i]) if i >= 0 else 0.0 for i in (q.plus, q.minus))
    return plus - minus
