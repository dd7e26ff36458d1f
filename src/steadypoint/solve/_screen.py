"""Many combinations of junction states at once: which of them may be consistent."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Final

import numpy as np

from steadypoint.solve._pieces import State, columns_of
from steadypoint.solve._tableau import FloatArray, Tableau

SERIES: Final = 1e-9
"""Resistance that keeps loops of constant drops from being singular here. [Ω]"""

WELL_POSED: Final = 1e-7
"""Share of cancellation in the exchange of rows beyond which a combination is solved anew. [-]"""

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
    if not len(states) or tab.edits:
        return list(states)
    on = np.array(states, dtype=bool)
    return [s for s, k in zip(states, _solved(tab, on).tolist(), strict=True) if k]


def _solved(tab: Tableau, on: np.ndarray) -> np.ndarray:
    """Which combinations hold within the tolerance; all where they cannot be solved together."""
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
        return np.ones(len(on), dtype=bool)
    return _consistent(tab, on, x)


def plausible_near(tab: Tableau, state: State) -> list[State]:
    """Combinations within two swaps of a consistent one whose inequalities may hold.

    Parameters
    ----------
    tab : Tableau
        The network, without logarithmic laws and edits.
    state : tuple of bool
        The consistent combination.

    Returns
    -------
    list of tuple of bool
        Those that are worth a proof, as from :func:`plausible`, in the order of their distance.

    Notes
    -----
    A swap exchanges one row of the matrix, so the solution of every combination follows from one
    inverse by the formula of Sherman, Morrison and Woodbury.
    """
    free = np.array(tab.free, dtype=np.intp)
    pairs = np.array([*((k, k) for k in range(len(free))), *combinations(range(len(free)), 2)])
    if not len(free):
        return []
    base = np.array(state, dtype=bool)
    A, b, rows, values = _straight_rows(tab, base, free)
    columns = columns_of(tab)
    scaled = A * columns
    size = np.abs(scaled).max(axis=1)
    try:
        inverse = np.linalg.inv(scaled / size[:, None]) / size
    except (np.linalg.LinAlgError, FloatingPointError):
        on = _swapped(tab, base, free, pairs)
        return [tuple(s) for s in on[_solved(tab, on)].tolist()]
    x0 = inverse @ b
    effect = inverse[:, tab.first + free]
    a = rows * columns
    H, q = a @ effect, values - a @ x0
    share, good = _exchanged(H, q, np.abs(a) @ np.abs(effect), pairs)
    x = x0 + share[:, :1] * effect.T[pairs[:, 0]] + share[:, 1:] * effect.T[pairs[:, 1]]
    on = _swapped(tab, base, free, pairs)
    keep = _consistent(tab, on, x * columns) & good
    hard = np.flatnonzero(~good)
    if len(hard):
        keep[hard] = _solved(tab, on[hard])
    return [tuple(s) for s in on[keep].tolist()]


def _straight_rows(
    tab: Tableau, base: np.ndarray, free: np.ndarray
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """System of a combination, and for each free junction the row it has after its swap.

    A conducting reverse junction holds V_BC here; with V_BE held that is V_CE_sat.
    """
    A, b = tab.A0 + tab.leak, tab.b0.copy()
    at = tab.first + free
    off, off_b = A[at], b[at]
    held, held_b = tab.on[free].copy(), tab.on_b[free]
    held[np.arange(len(free)), at] += SERIES
    conducts = base[free]
    A[at], b[at] = np.where(conducts[:, None], held, off), np.where(conducts, held_b, off_b)
    return A, b, np.where(conducts[:, None], off, held), np.where(conducts, off_b, held_b)


def _exchanged(
    H: FloatArray, q: FloatArray, size: FloatArray, pairs: np.ndarray
) -> tuple[FloatArray, np.ndarray]:
    """Shares of the exchanged rows for each pair (twice the same is one swap), and which hold."""
    i, j = pairs.T
    one = i == j
    a, d = H[i, i], np.where(one, 1.0, H[j, j])
    b, c = np.where(one, 0.0, H[i, j]), np.where(one, 0.0, H[j, i])
    p, r = q[i], np.where(one, 0.0, q[j])
    determinant = a * d - b * c
    span = size[i, i] * np.where(one, 1.0, size[j, j])
    span = span + np.where(one, 0.0, size[i, j] * size[j, i])
    good = np.abs(determinant) > WELL_POSED * span
    safe = np.where(good, determinant, 1.0)
    return np.stack([(d * p - b * r) / safe, (a * r - c * p) / safe], axis=1), good


def _swapped(tab: Tableau, base: np.ndarray, free: np.ndarray, pairs: np.ndarray) -> np.ndarray:
    """Combinations in which the junctions of each pair are swapped."""
    on = np.repeat(base[None], len(pairs), axis=0)
    every = np.arange(len(pairs))
    for side in range(2):
        on[every, free[pairs[:, side]]] = ~base[free[pairs[:, side]]]
    leaders = np.array([q.leader for q in tab.junctions], dtype=np.intp)
    able = np.array([not tab.junctions[j].never for j in leaders])
    return np.asarray(on[:, leaders] & able)


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
