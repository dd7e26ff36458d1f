"""Many combinations of junction states at once: which of them may be consistent."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from steadypoint.solve._pieces import State, columns_of
from steadypoint.solve._tableau import FloatArray, Tableau

SERIES: Final = 1e-9
"""Resistance that keeps loops of constant drops from being singular here. [Ω]"""

SLACK: Final = 1e-6
"""Generous tolerance: what passes is solved again and proved. [V, share of the largest current]"""


def plausible(tab: Tableau, states: Sequence[State]) -> list[State]:
    """Combinations whose inequalities hold within a generous tolerance.

    Parameters
    ----------
    tab : Tableau
        The network, without logarithmic laws.
    states : sequence of tuple of bool
        Combinations to look at.

    Returns
    -------
    list of tuple of bool
        Those that are worth a proof; all of them when they cannot be solved together.
    """
    if not states or tab.edits:
        return list(states)
    on = np.array(states, dtype=bool)
    A, b = _systems(tab, on)
    columns = columns_of(tab)
    A *= columns
    rows = np.abs(A).max(axis=2)
    rows[rows == 0.0] = 1.0
    A /= rows[:, :, None]
    b /= rows
    try:
        x = np.linalg.solve(A, b[:, :, None])[:, :, 0] * columns
    except np.linalg.LinAlgError:
        return list(states)
    keep = _consistent(tab, on, x)
    return [s for s, k in zip(states, keep.tolist(), strict=True) if k]


def _systems(tab: Tableau, on: np.ndarray) -> tuple[FloatArray, FloatArray]:
    count = len(on)
    A = np.repeat((tab.A0 + tab.leak)[None], count, axis=0)
    b = np.repeat(tab.b0[None], count, axis=0)
    for j, q in enumerate(tab.junctions):
        if q.leader != j:
            continue
        row = tab.first + j
        saturated = on[:, j] & (on[:, q.partner] if q.partner >= 0 else False)
        dropped = on[:, j] & ~saturated
        A[dropped, row], b[dropped, row] = tab.on[j], tab.on_b[j]
        A[saturated, row], b[saturated, row] = tab.sat[j], tab.sat_b[j]
        A[on[:, j], row, row] += SERIES
    return A, b


def _consistent(tab: Tableau, on: np.ndarray, x: FloatArray) -> np.ndarray:
    n = len(tab.network.names)
    keep = np.asarray(np.isfinite(x).all(axis=1))
    largest = np.abs(x[:, n:]).max(axis=1, initial=0.0)
    V = np.concatenate([x[:, :n], np.zeros((len(x), 1))], axis=1)
    for j in tab.free:
        q = tab.junctions[j]
        slack = q.drop - V[:, q.plus] + V[:, q.minus]
        if q.partner >= 0:
            held = V[:, q.sat_plus] - V[:, q.sat_minus] - q.sat_drop
            slack = np.where(on[:, q.partner], held, slack)
        carries = x[:, tab.first + j] >= -SLACK * largest - 1e-12
        keep = keep & np.where(on[:, j], carries, slack >= -SLACK)
    return keep
