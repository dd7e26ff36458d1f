"""A sparse LU factorisation whose pivots are chosen once and then run on rows of many samples."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.solve._tableau import FloatArray

PIVOT_SHARE: Final = 0.05
"""A pivot is at least this share of the largest entry of its column at the nominal point. [-]"""

Elimination = tuple[int, int, tuple[tuple[int, int], ...]]
"""Slot of the factor, row it changes, and pairs (slot of the pivot's row, slot changed)."""


@dataclass(frozen=True, slots=True)
class Pivot:
    """One pivot: its slot, row and column, what it eliminates and what is right of it."""

    slot: int
    row: int
    column: int
    below: tuple[Elimination, ...]
    right: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class LuPlan:
    """Order of elimination for one sparsity pattern.

    Parameters
    ----------
    slots : dict
        Slot of each entry (row, column) that is or becomes different from zero.
    pivots : tuple of Pivot
        In the order of elimination.
    odd : bool
        Whether the pivots' permutation is odd, so that it turns the determinant's sign.
    """

    slots: dict[tuple[int, int], int]
    pivots: tuple[Pivot, ...]
    odd: bool


def lu_plan(pattern: NDArray[np.bool_], nominal: FloatArray) -> LuPlan:
    """Choose pivots by size at a nominal point and by the fill-in that they cause.

    Parameters
    ----------
    pattern : ndarray of bool, shape (n, n)
        Entries that can differ from zero.
    nominal : ndarray, shape (n, n)
        Their values at a typical point.

    Returns
    -------
    LuPlan

    References
    ----------
    Markowitz, "The elimination form of the inverse and its application to linear programming",
    Management Science 3, 1957 (cited from memory).
    """
    A, filled = nominal.copy(), pattern.copy()
    rows, columns = set(range(len(A))), set(range(len(A)))
    order: list[tuple[int, int]] = []
    while rows:
        r, c = _next_pivot(A, filled, rows, columns)
        order.append((r, c))
        rows.discard(r)
        columns.discard(c)
        for i in (i for i in rows if filled[i, c]):
            factor = A[i, c] / A[r, c]
            for j in (j for j in columns if filled[r, j]):
                filled[i, j] = True
                A[i, j] -= factor * A[r, j]
    slots = {(int(i), int(j)): k for k, (i, j) in enumerate(np.argwhere(filled))}
    return LuPlan(slots, _program(order, filled, slots), _is_odd(order))


def _next_pivot(
    A: FloatArray, filled: NDArray[np.bool_], rows: set[int], columns: set[int]
) -> tuple[int, int]:
    best: tuple[float, float] | None = None
    at = (-1, -1)
    for c in sorted(columns):
        top = max(abs(float(A[r, c])) for r in rows)
        for r in sorted(rows):
            size = abs(float(A[r, c]))
            if not filled[r, c] or size == 0.0 or size < PIVOT_SHARE * top:
                continue
            fill = (sum(filled[r, j] for j in columns) - 1) * (sum(filled[i, c] for i in rows) - 1)
            key = (float(fill), -size / top)
            if best is None or key < best:
                best, at = key, (r, c)
    if best is None:
        raise np.linalg.LinAlgError("The nominal matrix is singular.")
    return at


def _program(
    order: list[tuple[int, int]],
    filled: NDArray[np.bool_],
    slots: dict[tuple[int, int], int],
) -> tuple[Pivot, ...]:
    rows, columns = set(range(len(order))), set(range(len(order)))
    program = []
    for r, c in order:
        rows.discard(r)
        columns.discard(c)
        right = [j for j in sorted(columns) if filled[r, j]]
        below = tuple(
            (slots[i, c], i, tuple((slots[r, j], slots[i, j]) for j in right))
            for i in sorted(rows)
            if filled[i, c]
        )
        program.append(Pivot(slots[r, c], r, c, below, tuple((slots[r, j], j) for j in right)))
    return tuple(program)


def _is_odd(order: list[tuple[int, int]]) -> bool:
    column_of = dict(order)
    seen: set[int] = set()
    odd = False
    for start in column_of:
        at, length = start, 0
        while at not in seen:
            seen.add(at)
            at = column_of[at]
            length += 1
        odd ^= length > 0 and length % 2 == 0
    return odd


def solve_rows(plan: LuPlan, A: FloatArray, F: FloatArray, y: FloatArray) -> None:
    """Solve J y = F for many samples at once; ``A`` and ``F`` are used up.

    Parameters
    ----------
    plan : LuPlan
        Order of elimination.
    A : ndarray, shape (slots, samples)
        Entries of the matrices by slot.
    F : ndarray, shape (n, samples)
        Right-hand sides.
    y : ndarray, shape (n, samples)
        Takes the solutions. ``A`` keeps the reciprocals of the pivots in their slots.
    """
    a: list[Any] = list(A)
    f: list[Any] = list(F)
    factor, product = np.empty(A.shape[1]), np.empty(A.shape[1])
    multiply, subtract = np.multiply, np.subtract
    for p in plan.pivots:
        pivot = a[p.slot]
        np.reciprocal(pivot, pivot)
        own = f[p.row]
        for slot, row, pairs in p.below:
            multiply(a[slot], pivot, factor)
            multiply(factor, own, product)
            subtract(f[row], product, f[row])
            for source, target in pairs:
                multiply(factor, a[source], product)
                subtract(a[target], product, a[target])
    for p in reversed(plan.pivots):
        own = f[p.row]
        for slot, column in p.right:
            multiply(a[slot], y[column], product)
            subtract(own, product, own)
        multiply(own, a[p.slot], y[p.column])


def turned(plan: LuPlan, A: FloatArray) -> NDArray[np.bool_]:
    """Samples whose determinant is negative, from what :func:`solve_rows` left.

    Parameters
    ----------
    plan : LuPlan
        Order of elimination.
    A : ndarray, shape (slots, samples)
        As used up by :func:`solve_rows`.

    Returns
    -------
    ndarray of bool, shape (samples,)
    """
    negative = np.full(A.shape[1], plan.odd)
    for p in plan.pivots:
        negative ^= np.signbit(A[p.slot])
    return negative
