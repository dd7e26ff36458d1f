"""Bridges between straight pieces and exponential junctions: each gives the other its start."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from steadypoint.errors import ConvergenceError
from steadypoint.solve._device import DeviceFound, solve_device
from steadypoint.solve._exact_states import complete
from steadypoint.solve._fet_law import junctions_of_fets
from steadypoint.solve._fets import cutoff_V_DS
from steadypoint.solve._linear import cutoff_voltages
from steadypoint.solve._network import Network
from steadypoint.solve._newton import Laws, Trial
from steadypoint.solve._pieces import Piece, State, overdrive
from steadypoint.solve._plan import Plan
from steadypoint.solve._point import Region
from steadypoint.solve._series import inner_nodes
from steadypoint.solve._tableau import CHANNEL_ENDS, FloatArray, Tableau


def device_seeds(tab: Tableau, net: Network, temperature: float) -> Iterator[State]:
    """Junction states as the device model finds them; solved only when asked for."""
    try:
        found = solve_device(net, temperature)
    except ConvergenceError:
        return
    yield state_of_device(tab, net, found)


def state_of_device(tab: Tableau, net: Network, found: DeviceFound) -> State:
    """Conducting junctions of a settled device point."""
    from steadypoint.solve._device import regions_of_device

    state = [False] * len(tab.junctions)
    for k, region in enumerate(regions_of_device(net, found.laws, found.trial.v)):
        state[2 * k] = region in (Region.ACTIVE, Region.SATURATION)
        state[2 * k + 1] = region in (Region.SATURATION, Region.REVERSE)
    V = found.trial.V
    for j, q in enumerate(tab.junctions):
        if q.kind in ("diode", "breakdown"):
            state[j] = float(V[q.plus] - V[q.minus]) > q.drop - 0.2
    return complete(tab, state)


def trial_of(tab: Tableau, piece: Piece, plan: Plan, laws: Laws) -> Trial:
    """Start of Newton's method at a straight piece: its voltages, and junctions at its currents."""
    n = len(tab.network.names)
    V = np.append(piece.x[:n], np.zeros(plan.R.shape[0] - n))
    for node, outer in inner_nodes(tab.network):
        V[node] = V[outer]
    v = (V[plan.plus] - V[plan.minus] - laws.offset).tolist()
    order = [j for j, q in enumerate(tab.junctions) if q.kind not in ("breakdown", *CHANNEL_ENDS)]
    order += [-1] * len(junctions_of_fets(tab.network))
    order += [j for j, q in enumerate(tab.junctions) if q.kind == "breakdown"]
    for at, j in enumerate(order):
        if j < 0:
            continue
        current = abs(float(piece.x[tab.first + j]))
        on = laws.nV_T[at] * math.log(max(current, 1e-9) / laws.I_S[at])
        v[at] = on if piece.state[j] else min(v[at], on)
    return Trial(V, np.zeros(len(plan.floating)), v)


def cutoff_by_pieces(tab: Tableau, state: State, V: FloatArray) -> tuple[FloatArray, FloatArray]:
    """V_CE and V_DS at the cut-off end of each load line, junctions held at their drops. [V]"""
    held = replace(tab, on_b=tab.on_b.copy(), sat_b=tab.sat_b.copy())
    for j, q in enumerate(tab.junctions):
        held.on_b[j] = -(V[q.plus] - V[q.minus])
        if q.partner >= 0:
            held.sat_b[j] = V[q.sat_plus] - V[q.sat_minus]
    x = np.zeros(tab.A0.shape[0])
    x[: len(tab.network.names)] = V[: len(tab.network.names)]
    for j in tab.channels:
        x[tab.first + j] = tab.junctions[j].K * max(overdrive(tab, x, j), 0.0) ** 2
    piece = Piece(state, x, (), 1.0, leaked=False)
    return cutoff_voltages(held, piece, (), plain=tab), cutoff_V_DS(held, piece)
