"""Extremes of one quantity over a box, proved: corners where one piece holds, branches elsewhere.

A box in which one piece holds has its extreme at a corner. Where a border between pieces runs
through, the box is halved; a part whose bound cannot beat the best point found is dropped. The
bound of a piece takes its inequalities along: y ≤ y + μ m for any μ ≥ 0 where m ≥ 0 must hold, and
y + μ m is a quantity of the same kind, so its largest corner bounds it.
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass
from itertools import count, product
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.spread._box import Box, Corners, Row, State

FloatArray = NDArray[np.float64]

CLOSE: Final = 1e-7
"""Gap between bound and best point at which the search is done, relative to the quantity. [-]"""

MOST_BOXES: Final = 2000
"""Boxes looked at before the search gives up and says how far it got. [-]"""

MOST_PIECES: Final = 64
"""Pieces beyond which not all are looked at. [-]"""


@dataclass(frozen=True, slots=True)
class Found:
    """The largest value of a quantity over a box.

    Parameters
    ----------
    value, bound : float
        Best point, and what no point passes. [SI]
    at : ndarray, shape (variations,)
        Where the best point is. [SI]
    slopes : ndarray, shape (variations,)
        Proved direction over the whole box for each variation; NaN where it turns or stays open.
    boxes : int
        Boxes looked at. [-]
    states : frozenset of tuple of bool
        Pieces that hold somewhere in what was looked at.
    """

    value: float
    bound: float
    at: FloatArray
    slopes: FloatArray
    boxes: int
    states: frozenset[State]

    @property
    def proved(self) -> bool:
        """Whether bound and point agree."""
        return bool(self.bound - self.value <= 2.0 * CLOSE * max(abs(self.value), 1e-9))


@dataclass(frozen=True, slots=True)
class _Look:
    """What the corners of one box tell."""

    bound: float
    best: float
    at: FloatArray | None
    slopes: FloatArray
    reach: FloatArray
    held: tuple[State, ...]


def pieces_of(box: Box, first: State) -> list[State]:
    """All pieces, that of the stated circuit first; only near ones where there are too many."""
    free = box.tab.free
    if 2 ** len(free) <= MOST_PIECES:
        choices = product((True, False), repeat=len(free))
    else:
        return [first]
    found = [first]
    for choice in choices:
        state = [False] * len(first)
        for j, conducts in zip(free, choice, strict=True):
            state[j] = conducts
        whole = tuple(
            state[q.leader] and not box.tab.junctions[q.leader].never for q in box.tab.junctions
        )
        if whole not in found:
            found.append(whole)
    return found


def largest(
    box: Box, row: Row, first: State, low: FloatArray, high: FloatArray, sense: float
) -> Found:
    """Largest value of ``sense`` times a quantity over a box.

    Parameters
    ----------
    box : Box
        The circuit.
    row : Row
        The quantity.
    first : tuple of bool
        Piece of the stated circuit.
    low, high : ndarray, shape (variations,)
        The box. [SI]
    sense : float
        1 for the largest, -1 for the smallest. [-]

    Returns
    -------
    Found
        Values are those of ``sense`` times the quantity.
    """
    states = pieces_of(box, first)
    order = count()
    look = _look(box, row, states, (low, high), sense)
    whole = look.slopes
    best, at = look.best, look.at

    def done(bound: float) -> Found:
        # Where the direction is proved the better end is as good as any other corner.
        place = np.where(whole > 0.0, high, np.where(whole < 0.0, low, low if at is None else at))
        return Found(best, max(best, bound), place, whole, boxes, frozenset(used))

    queue = [(-look.bound, next(order), low, high, look)]
    boxes, used = 1, set(look.held)
    bound = look.bound
    while queue:
        ceiling, _, a, b, look = heapq.heappop(queue)
        bound = -ceiling
        if bound <= best + CLOSE * max(abs(best), 1e-9):
            break
        if boxes >= MOST_BOXES:
            return done(bound)
        for part in _parts(a, b, look):
            new = _look(box, row, states, part, sense)
            boxes += 1
            used |= set(new.held)
            if new.at is not None and new.best > best:
                best, at = new.best, new.at
            if new.bound > best:
                heapq.heappush(queue, (-new.bound, next(order), *part, new))
    else:
        bound = best
    return done(bound)


def _parts(low: FloatArray, high: FloatArray, look: _Look) -> list[tuple[FloatArray, FloatArray]]:
    """A box with its monotone sides set to their better ends, then halved along the widest."""
    a, b = low.copy(), high.copy()
    rising, falling = look.slopes > 0.0, look.slopes < 0.0
    a[rising], b[falling] = b[rising], a[falling]
    still = look.slopes == 0.0
    b[still] = a[still]
    open_ = a < b
    if not open_.any():
        return [(a, b)] if (a != low).any() or (b != high).any() else []
    reach = np.where(open_, look.reach, -1.0)
    k = int(np.argmax(reach))
    middle = 0.5 * (a[k] + b[k])
    if not a[k] < middle < b[k]:
        return []
    left, right = b.copy(), a.copy()
    left[k] = right[k] = middle
    return [(a, left), (right, b)]


def _look(
    box: Box,
    row: Row,
    states: list[State],
    sides: tuple[FloatArray, FloatArray],
    sense: float,
) -> _Look:
    low, high = sides
    bound, best, at = -np.inf, -np.inf, None
    slopes: FloatArray | None = None
    reach = np.zeros(len(low))
    held: list[State] = []
    for state in states:
        corners = box.corners(state, low, high)
        if not corners.sound:
            bound, slopes = np.inf, np.full(len(low), np.nan)
            reach = np.maximum(reach, _relative(low, high))
            continue
        margins = box.inequalities(state, corners)
        if (margins < 0.0).all(axis=0).any():
            continue  # an inequality is broken at all corners, and so everywhere
        y = sense * row.at(corners)
        whole = bool((margins >= 0.0).all())
        good = (margins >= 0.0).all(axis=1) & _together(box, corners)
        if good.any():
            held.append(state)
            k = int(np.flatnonzero(good)[np.argmax(y[good])])
            if y[k] > best:
                best, at = float(y[k]), _ends(box, corners.upper[k], low, high)
        here = sense * box.slopes(state, corners, row.row) if row.plain else None
        here = np.full(len(low), np.nan) if here is None else here
        slopes = here if slopes is None else _both(slopes, here)
        reach = np.maximum(reach, _reach(box, corners, y, margins, low, high))
        bound = max(bound, float(y.max()) if whole else _bounded(y, margins))
        if whole:
            break
    slopes = np.full(len(low), np.nan) if slopes is None else slopes
    return _Look(bound, best, at, slopes, reach, tuple(held))


def _together(box: Box, corners: Corners) -> NDArray[np.bool_]:
    """Corners at which all factors of one variation are at the same end."""
    good = np.ones(len(corners.upper), dtype=bool)
    first: dict[int, int] = {}
    for k, factor in enumerate(box.factors):
        lead = first.setdefault(factor.variation, k)
        good &= corners.upper[:, lead] == corners.upper[:, k]
    return good


def _ends(box: Box, upper: NDArray[np.bool_], low: FloatArray, high: FloatArray) -> FloatArray:
    at = low.copy()
    for k, factor in enumerate(box.factors):
        if upper[k]:
            at[factor.variation] = high[factor.variation]
    return at


def _both(a: FloatArray, b: FloatArray) -> FloatArray:
    """Directions that hold in both pieces."""
    either = np.where(a == 0.0, b, np.where(b == 0.0, a, np.where(a == b, a, np.nan)))
    return np.asarray(either)


def _relative(low: FloatArray, high: FloatArray) -> FloatArray:
    return np.asarray((high - low) / np.maximum(np.abs(low) + np.abs(high), 1e-300))


def _reach(
    box: Box,
    corners: Corners,
    y: FloatArray,
    margins: FloatArray,
    low: FloatArray,
    high: FloatArray,
) -> FloatArray:
    """How far each variation moves the quantity and what decides between pieces."""
    out = np.zeros(len(low))
    scaled = margins / np.maximum(np.abs(margins).max(axis=0), 1e-300)
    values = np.column_stack([y / max(float(np.abs(y).max()), 1e-300), scaled])
    for k, factor in enumerate(box.factors):
        up = corners.upper[:, k]
        if not up.any():
            continue
        far = np.abs(values[up].mean(axis=0) - values[~up].mean(axis=0)).max()
        out[factor.variation] = max(out[factor.variation], float(far))
    return np.where(high > low, np.maximum(out, 1e-12 * _relative(low, high)), 0.0)


def _bounded(y: FloatArray, margins: FloatArray) -> float:
    """Bound of a quantity where a piece holds, its inequalities taken along one at a time."""
    best = float(y.max())
    for m in margins.T:
        if m.min() >= 0.0:
            continue
        best = min(best, _with_multiplier(y, m))
    return best


def _with_multiplier(y: FloatArray, m: FloatArray) -> float:
    """Least over μ ≥ 0 of the largest y + μ m, a convex function with straight pieces."""
    k = int(np.argmax(y))
    mu, value = 0.0, float(y[k])
    for _ in range(64):
        if m[k] >= 0.0:
            return value
        # Walk down the line of the present corner to where the next one takes over.
        with np.errstate(divide="ignore", invalid="ignore"):
            cross = (y[k] - y) / (m - m[k])
        cross[(m <= m[k]) | ~(cross > mu)] = np.inf
        nearest = float(cross.min())
        if not np.isfinite(nearest):
            return -np.inf
        ties = np.flatnonzero(cross <= nearest * (1.0 + 1e-12))
        mu, k = nearest, int(ties[np.argmax(m[ties])])
        value = float(y[k] + mu * m[k])
    return value
