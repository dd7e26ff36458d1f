"""The rungs with straight pieces: from a circuit to the raw voltages and currents."""

from __future__ import annotations

import numpy as np

from steadypoint.solve._network import Network
from steadypoint.solve._pieces import Follow, Piece, solve_piece
from steadypoint.solve._point import Region
from steadypoint.solve._report import Raw
from steadypoint.solve._tableau import Tableau


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
        cutoff_V_CE=np.array(
            [cutoff_V_CE(tab, piece, laws, k) for k in range(len(net.bipolars))], dtype=float
        ),
    )


def _terminal_currents(tab: Tableau, piece: Piece) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Currents into base and collector and out of the emitter, from the junction currents."""
    net = tab.network
    out = np.zeros((3, len(net.bipolars)))
    for k, q in enumerate(net.bipolars):
        forward, reverse = (float(piece.x[tab.first + j]) for j in (2 * k, 2 * k + 1))
        I_B = forward / q.data.beta + reverse
        I_C = forward - (1.0 + q.data.beta_R) * reverse
        out[:, k] = q.sign * I_B, q.sign * I_C, q.sign * (I_B + I_C)
    return out[0], out[1], out[2]


def _diode_currents(net: Network, tab: Tableau, junction: np.ndarray) -> np.ndarray:
    out = np.zeros(len(net.diodes))
    for j, q in enumerate(tab.junctions):
        if q.kind == "diode":
            out[q.owner] += junction[j]
        elif q.kind == "breakdown":
            out[q.owner] -= junction[j]
    return out


def cutoff_V_CE(tab: Tableau, piece: Piece, laws: tuple[Follow, ...], k: int) -> float:
    """V_CE at the cut-off end of the load line: this transistor dead, the others unchanged. [V]"""
    state = list(piece.state)
    followers = {j for j, q in enumerate(tab.junctions) if q.leader in (2 * k, 2 * k + 1)}
    for j in {2 * k, 2 * k + 1} | followers:
        state[j] = False
    q = tab.network.bipolars[k]
    live = tuple(w for w in laws if state[w.junction])
    off = solve_piece(tab, tuple(state), live)
    V = piece.x if off is None else off.x
    C, E = (float(V[i]) if i >= 0 else 0.0 for i in (q.collector, q.emitter))
    return C - E
