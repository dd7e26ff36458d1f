"""Boxes shrunk and bounded as far as that pays, block by block."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.choose._bounds import Bounds
from steadypoint.choose._record import Record

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
Shrunk = tuple[IntArray, IntArray, FloatArray]

_REPEATS: Final = 3
_BLOCK: Final = 256  # boxes that fit the cache together
_WORTH: Final = 0.75
_KEPT: Final = 3 << 20


def shrink(
    bounds: Bounds, first: IntArray, last: IntArray, limit: float, record: Record | None = None
) -> Shrunk:
    """Shrink boxes to what can hold a point within the limit, and bound what is left.

    Parameters
    ----------
    bounds : Bounds
        Conditions and bounds.
    first, last : ndarray, shape (n, b)
        Places of the limits in the lattices.
    limit : float
        Distance that a point has to reach. [-]
    record : Record, optional
        Told what becomes of every box.

    Returns
    -------
    tuple of ndarray
        First and last places of the boxes that are left, in their order, shape (n, c), and lower
        bounds of the distance in them, shape (c,). What becomes of a box does not hang on the
        boxes beside it.
    """
    first, last, bound = _tighten(bounds, first, last, limit, record)
    ratio = [
        bounds.ratio_bound(first[:, i : i + _BLOCK], last[:, i : i + _BLOCK])
        for i in range(0, len(bound), _BLOCK)
    ]
    bound = np.maximum(bound, np.concatenate([np.empty(0), *ratio]))
    keep = bound <= limit
    return first[:, keep], last[:, keep], bound[keep]


def keep_memory() -> None:
    """Have the C library keep freed arrays for the next ones, where it learns from what is freed.

    Getting pages anew for every array costs as much as the reckoning. The array is never touched,
    so it takes no memory.
    """
    np.empty(_KEPT)


def joined(parts: list[Shrunk], n: int) -> Shrunk:
    """Groups of boxes one after the other."""
    if not parts:
        return np.empty((n, 0), np.int64), np.empty((n, 0), np.int64), np.empty(0)
    return (
        np.concatenate([p[0] for p in parts], axis=1),
        np.concatenate([p[1] for p in parts], axis=1),
        np.concatenate([p[2] for p in parts]),
    )


def _tighten(
    bounds: Bounds, first: IntArray, last: IntArray, limit: float, record: Record | None
) -> Shrunk:
    """Shrink boxes as long as that pays."""
    first, last = first.copy(), last.copy()
    bound = np.full(first.shape[1], -np.inf)
    again = np.ones(first.shape[1], dtype=bool)
    for _ in range(_REPEATS):
        before = (last - first)[:, again].sum(axis=0)
        a, b, found = _in_blocks(bounds, first[:, again], last[:, again], limit)
        if record is not None:
            record.shrink((first[:, again], last[:, again]), (a, b))
        first[:, again], last[:, again] = a, b
        bound[again] = np.maximum(bound[again], found)
        empty = (a > b).any(axis=0)
        bound[np.flatnonzero(again)[empty]] = np.inf
        shrunk = (b - a).sum(axis=0) < _WORTH * before
        again[again] = shrunk & ~empty & (found <= limit)
        if not again.any():
            break
    keep = bound <= limit if np.isfinite(limit) else bound < np.inf
    return first[:, keep], last[:, keep], bound[keep]


def _in_blocks(bounds: Bounds, first: IntArray, last: IntArray, limit: float) -> Shrunk:
    blocks = [slice(i, i + _BLOCK) for i in range(0, first.shape[1], _BLOCK)]
    parts = [bounds.tighten(first[:, block], last[:, block], limit) for block in blocks]
    return joined(parts, first.shape[0])
