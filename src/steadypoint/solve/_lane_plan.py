"""What all value sets of one circuit share when they are solved side by side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from steadypoint.solve._fet_law import with_junctions
from steadypoint.solve._lu_plan import LuPlan, lu_plan
from steadypoint.solve._many_settings import Layout, layout_of
from steadypoint.solve._network import Network
from steadypoint.solve._newton import Laws, Trial, cold, device_currents
from steadypoint.solve._plan import Plan, plan_of
from steadypoint.solve._structure import structure_of

Ends = tuple[int, int]
"""Rows of the two ends of a branch."""


@dataclass(frozen=True, slots=True)
class Lanes:
    """What all value sets of a circuit share.

    Parameters
    ----------
    net : Network
        The nominal network.
    layout : Layout
        Rows of the figures.
    lu : LuPlan
        Order of elimination.
    N : int
        Unknowns: voltages of free nodes, then currents of hanging sources. [-]
    nodes : tuple of int
        Row of each node in the state; the last row is ground.
    tied : tuple
        Row of each tied node with pairs (source, factor) that give its voltage.
    resistors, currents, junctions, breakdowns : tuple of (int, int)
        Rows of their ends; junctions come as in the plan, breakdowns at the end.
    hanging : tuple of (int, int, int)
        Ends and index of each hanging source.
    bipolars : tuple of (int, int, int, int)
        Rows of collector, base, emitter, and the sign.
    channels : tuple of (int, int, int, int)
        Rows of drain, gate, source, and the sign; the junction voltages of their source and drain
        ends come behind those of the junctions.
    anchors : tuple of int
        Rows that a minute conductance holds, because no direct current reaches them.
    seeds : tuple of float
        Junction voltages of the first guess, counted from v_on, and those of the ends of channels,
        counted from V_GS_th. [V_T, V]
    guard : bool
        Whether the sign of the determinant is watched.
    """

    net: Network
    layout: Layout
    lu: LuPlan
    N: int
    nodes: tuple[int, ...]
    tied: tuple[tuple[int, tuple[tuple[int, float], ...]], ...]
    resistors: tuple[Ends, ...]
    currents: tuple[Ends, ...]
    hanging: tuple[tuple[int, int, int], ...]
    bipolars: tuple[tuple[int, int, int, int], ...]
    junctions: tuple[Ends, ...]
    diodes: tuple[Ends, ...]
    breaks: tuple[int, ...]
    channels: tuple[tuple[int, int, int, int], ...]
    anchors: tuple[int, ...]
    seeds: tuple[float, ...]
    guard: bool

    @property
    def rows(self) -> int:
        """Rows of the state: unknowns, tied nodes, ground. [-]"""
        return self.N + len(self.tied) + 1


def lanes_of(net: Network, laws: Laws, trial: Trial, *, several: bool) -> Lanes:
    """Prepare the lanes of a circuit at its nominal point.

    Parameters
    ----------
    net : Network
        The nominal network.
    laws : Laws
        Its figures.
    trial : Trial
        Its settled point.
    several : bool
        Whether the nominal circuit has several points; every set then starts where a single
        search starts, so that both come to the same point.

    Returns
    -------
    Lanes
    """
    plan, s = plan_of(net), structure_of(with_junctions(net))
    nf, N = len(plan.free), len(plan.free) + len(plan.floating)
    at = {int(node): i for i, node in enumerate(plan.free)}
    at |= {int(node): N + i for i, node in enumerate(plan.tied)}
    at[-1] = N + len(plan.tied)

    def ends(pairs: Any) -> tuple[Ends, ...]:
        return tuple((at[int(a)], at[int(b)]) for a, b in pairs)

    ground = len(net.names)
    plus = [int(i) if int(i) < ground else -1 for i in plan.plus]
    minus = [int(i) if int(i) < ground else -1 for i in plan.minus]
    v = cold(plan, laws, net).v if several else trial.v
    q = len(net.bipolars)
    exponential, on = len(laws.I_S), laws.v_on
    opens = [law.V_GS_th for law in laws.channels for _ in range(2)]
    return Lanes(
        net=net,
        layout=layout_of(net),
        lu=_order(plan, laws, trial, net),
        N=N,
        nodes=(*(at[i] for i in range(len(net.names))), at[-1]),
        tied=tuple(
            (N + i, tuple((k, float(f)) for k, f in enumerate(plan.tie[i]) if f))
            for i in range(len(plan.tied))
        ),
        resistors=ends(s.resistors),
        currents=ends(s.currents),
        hanging=tuple((*ends([s.voltages[int(i)]])[0], int(i)) for i in plan.floating),
        bipolars=tuple((at[c], at[b], at[e], sign) for c, b, e, sign in s.bipolars),
        junctions=ends(zip(plus[:exponential], minus[:exponential], strict=True)),
        diodes=ends((a, k) for a, k, _ in s.diodes),
        breaks=tuple(k for k, way in laws.diode_of if way < 0),
        channels=tuple((at[d], at[g], at[e], sign) for d, g, e, sign in s.fets),
        anchors=tuple(i for i in range(nf) if plan.base[i, i]),
        seeds=(
            *((v[j] - on[j]) / laws.nV_T[j] for j in range(exponential)),
            *(a - b for a, b in zip(v[exponential:], opens, strict=True)),
        ),
        guard=q + len(net.fets) > 1,
    )


def _order(plan: Plan, laws: Laws, trial: Trial, net: Network) -> LuPlan:
    R, nf = plan.at_free[0], len(plan.free)
    _, slopes = device_currents(laws, trial.v)
    J = plan.base.copy()
    J[:nf, :nf] += (R * laws.g) @ R.T
    J += (plan.pattern @ slopes).reshape(J.shape)
    pattern = plan.base != 0.0
    pattern[:nf, :nf] |= np.abs(R) @ np.abs(R).T > 0.0
    pattern |= (np.abs(plan.pattern) > 0.0).any(axis=1).reshape(J.shape)
    return lu_plan(pattern, J)
