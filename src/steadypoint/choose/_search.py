"""Branch and bound over boxes of standard values, best first, many boxes at a time."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from heapq import nsmallest
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.choose._bounds import Bounds
from steadypoint.choose._problem import Problem
from steadypoint.choose._record import Record
from steadypoint.choose._shrink import Shrunk, joined, keep_memory, shrink
from steadypoint.choose._side_process import SideProcess
from steadypoint.choose._start import Descent, values_at

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

Progress = Callable[[int, float, float], object]
"""Told after each round: boxes visited, best distance found, proved bound."""

BATCH: Final = 512
"""Boxes split at a time. [-]"""

_POINTS: Final = 256
_PATIENCE: Final = 64
_MOST_TRIED: Final = 512
_LONG: Final = 6  # free resistors from which a second process pays
_MANY: Final = 384  # boxes from which halving them pays
_AT_ONCE: Final = 16
_TIE: Final = 1e-12


@dataclass(frozen=True, slots=True)
class Found:
    """One set of values with its exact worst distance.

    Parameters
    ----------
    J : float
        Greatest relative distance from the target over all corners. [-]
    places : tuple of int
        Places in the lattices, in the order of the problem's names.
    """

    J: float
    places: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a search found and proved.

    Parameters
    ----------
    sets : tuple of Found
        Best sets, best first; distinct in what moves the quantity.
    bound : float
        No set outside ``sets`` is better than this. [-]
    boxes : int
        Boxes visited. [-]
    optimal : bool
        True when the bound reaches the last of the sets: nothing better was left out.
    corners : int
        Corners that the bounds used. [-]
    seconds : float
        Time taken. [s]
    found : float
        Time after which the best set was known; the rest went into the proof. [s]
    """

    sets: tuple[Found, ...]
    bound: float
    boxes: int
    optimal: bool
    corners: int
    seconds: float
    found: float


class Search:
    """One search.

    Parameters
    ----------
    problem : Problem
        What is sought.
    k : int, default 20
        Sets to find. [-]
    prefer : callable, optional
        Cost by which values that the quantity does not feel are chosen: ``prefer(x) -> (p,)`` for
        resistances of shape (n, p); without it the middle of what is allowed.
    seconds : float, default 30
        Time limit. [s]
    progress : callable, optional
        See :data:`Progress`.
    record : Record, optional
        Told what becomes of every box.
    """

    def __init__(
        self,
        problem: Problem,
        k: int = 20,
        *,
        prefer: Callable[[FloatArray], FloatArray] | None = None,
        seconds: float = 30.0,
        progress: Progress | None = None,
        record: Record | None = None,
    ) -> None:
        self.problem = problem
        self.k = k
        self.prefer = prefer
        self.limit = seconds
        self.progress = progress
        self.record = record
        self.bounds = Bounds(problem)
        self.best: dict[tuple[int, ...], Found] = {}
        self.boxes = 0
        self._batch = 16
        self._rejected = 0
        self._least, self._known = np.inf, time.perf_counter()
        self._side: SideProcess | None = None
        keep_memory()
        self._threshold: float | None = None

    @property
    def threshold(self) -> float:
        """Distance of the k-th best set so far. [-]"""
        if self._threshold is None:
            enough = len(self.best) >= self.k
            J = nsmallest(self.k, (f.J for f in self.best.values()))[-1] if enough else np.inf
            self._threshold = J * (1.0 + _TIE)
        return self._threshold

    def run(self) -> Outcome:
        """Search until nothing better can be left, or the time is over."""
        # What a process found cannot be told to a record in its order.
        if self.problem.n >= _LONG and self.record is None:
            self._side = SideProcess(self.problem)
        try:
            return self._run()
        finally:
            if self._side is not None:
                self._side.close()
                self._side = None

    def _run(self) -> Outcome:
        start = time.perf_counter()
        n = self.problem.n
        self._begin()
        first = np.zeros((n, 1), dtype=np.int64)
        last = np.array([[len(v) - 1] for v in self.problem.values], dtype=np.int64)
        first, last, bound, corners = self._enter(first, last)
        while len(bound):
            keep = bound <= min(self.threshold, 1e300)
            first, last, bound = first[:, keep], last[:, keep], bound[keep]
            if not len(bound) or time.perf_counter() - start > self.limit:
                break
            if len(self.bounds.corners) > corners:
                first, last, bound, corners = self._enter(first, last)
                continue
            pick = self._next(first, last, bound)
            parents = first[:, pick], last[:, pick]
            rest = np.ones(len(bound), dtype=bool)
            rest[pick] = False
            first, last, bound = first[:, rest], last[:, rest], bound[rest]
            children = self._split(*parents)
            new_first, new_last, new_bound, _ = self._enter(*children)
            first = np.concatenate([first, new_first], axis=1)
            last = np.concatenate([last, new_last], axis=1)
            bound = np.concatenate([bound, new_bound])
            if self.progress is not None:
                lowest = float(bound.min()) if len(bound) else self.threshold
                self.progress(self.boxes, self._sorted()[0].J if self.best else np.inf, lowest)
        sets = tuple(self._sorted()[: self.k])
        left = float(bound.min()) if len(bound) else np.inf
        worst = sets[-1].J if sets else np.inf
        return Outcome(
            sets,
            min(left, worst) if sets else left,
            self.boxes,
            not len(bound),
            len(self.bounds.corners),
            time.perf_counter() - start,
            self._known - start,
        )

    def _sorted(self) -> list[Found]:
        return sorted(self.best.values(), key=lambda f: (f.J, f.places))

    def _begin(self) -> None:
        """First points, and the corners at which they are worst."""
        places, J = Descent(self.problem, self.bounds).run()
        if not len(J):
            return
        _, unique = np.unique(places, axis=1, return_index=True)
        order = unique[np.argsort(J[unique], kind="stable")][: 12 * self.k]
        found = self.problem.extremes(values_at(self.problem, places[:, order]))
        for j in np.flatnonzero(found.feasible):
            self._keep(float(found.J[j]), places[:, order[j]])

    def _keep(self, J: float, places: IntArray) -> None:
        key = tuple(int(i) for i in places[: self.problem.relevant])
        if self._least > J:
            self._least, self._known = J, time.perf_counter()
        known = self.best.get(key)
        if known is None or J < known.J:
            self.best[key] = Found(J, tuple(int(i) for i in places))
            self._threshold = None

    def _next(self, first: IntArray, last: IntArray, bound: FloatArray) -> IntArray:
        self._batch = int(np.clip(len(bound) // 16, min(2 * self._batch, BATCH), 4 * BATCH))
        if len(bound) <= self._batch:
            return np.arange(len(bound))
        by_bound = np.argpartition(bound, self._batch)[: self._batch]
        size = np.log1p((last - first)[: self.problem.relevant]).sum(axis=0)
        deep = np.argpartition(size, self._batch // 4)[: self._batch // 4]
        return np.union1d(by_bound, deep)

    def _split(self, first: IntArray, last: IntArray) -> tuple[IntArray, IntArray]:
        """Halve each box across its widest factor that moves the quantity, else its widest."""
        r = self.problem.relevant
        width = last - first
        widest = width[:r].argmax(axis=0)
        spent = (width[:r] == 0).all(axis=0)
        if spent.any():
            widest[spent] = r + width[r:, spent].argmax(axis=0)
        column = np.arange(first.shape[1])
        middle = (first[widest, column] + last[widest, column]) // 2
        if self.record is not None:
            self.record.split((first, last), widest, middle)
        low_last, high_first = last.copy(), first.copy()
        low_last[widest, column] = middle
        high_first[widest, column] = middle + 1
        return (
            np.concatenate([first, high_first], axis=1),
            np.concatenate([low_last, last], axis=1),
        )

    def _enter(self, first: IntArray, last: IntArray) -> tuple[IntArray, IntArray, FloatArray, int]:
        """Shrink and bound boxes, try the single points among them, keep the rest."""
        corners = len(self.bounds.corners)
        self.boxes += first.shape[1]
        limit = self.threshold
        first, last, bound = self._shrunk(first, last, limit)
        single = (first == last)[: self.problem.relevant].all(axis=0)
        if single.any():
            done = self._try(first[:, single], last[:, single], bound[single])
            single[np.flatnonzero(single)[~done]] = False
            if self.record is not None:
                self.record.point((first[:, single], last[:, single]))
        return first[:, ~single], last[:, ~single], bound[~single], corners

    def _shrunk(self, first: IntArray, last: IntArray, limit: float) -> Shrunk:
        """Shrink boxes, half of many by the second process."""
        half, side = first.shape[1] // 2, self._side
        if side is None or not side.ready or first.shape[1] < _MANY:
            return shrink(self.bounds, first, last, limit, self.record)
        asked = side.ask(self.bounds, first[:, half:], last[:, half:], limit)
        own = shrink(self.bounds, first[:, :half], last[:, :half], limit)
        other = side.answer() if asked else None
        if other is None:
            other = shrink(self.bounds, first[:, half:], last[:, half:], limit)
        return joined([own, other], first.shape[0])

    def _try(self, first: IntArray, last: IntArray, bound: FloatArray) -> NDArray[np.bool_]:
        """Judge points at all corners, the most promising first; True for those that are done."""
        order = np.argsort(bound, kind="stable")
        done = np.ones(len(bound), dtype=bool)
        new = False
        for start in range(0, len(order), _POINTS):
            part = order[start : start + _POINTS]
            part = part[bound[part] <= self.threshold]
            if not len(part):
                break
            learned, settled = self._judge(first[:, part], last[:, part])
            new |= learned
            done[part] = settled
        if new:
            self.bounds.build()
        return done

    def _judge(self, first: IntArray, last: IntArray) -> tuple[bool, NDArray[np.bool_]]:
        """Judge points by the middle of what the quantity does not feel.

        Tells whether new corners were learned, and which points are settled: one whose other values
        are too many to try has to be split further.
        """
        x = values_at(self.problem, (first + last) // 2)
        found = self.problem.extremes(x)
        failed = self.threshold < found.J
        settled = np.ones(len(failed), dtype=bool)
        for j in np.flatnonzero(~failed):
            if found.J[j] > self.threshold:
                continue
            places, tried_all = self._free(first[:, j], last[:, j], bool(found.feasible[j]))
            if places is not None:
                self._keep(float(found.J[j]), places)
            else:
                failed[j], settled[j] = True, tried_all
        self._rejected += int(failed.sum())
        if self._rejected < _PATIENCE:
            return False, settled
        self._rejected = 0
        learned = False
        for j in np.flatnonzero(failed)[:2]:
            learned |= self.bounds.learn(x[:, j], found.low[:, j])
        return learned, settled

    def _free(
        self, first: IntArray, last: IntArray, middle_will_do: bool
    ) -> tuple[IntArray | None, bool]:
        """The preferred of the values that do not matter to the quantity; were all tried?"""
        r = self.problem.relevant
        sizes = last[r:] - first[r:] + 1
        if not len(sizes):
            return (first if middle_will_do else None), True
        if np.prod(sizes.astype(float)) > _MOST_TRIED:
            return ((first + last) // 2 if middle_will_do else None), False
        spans = [np.arange(a, b + 1) for a, b in zip(first[r:], last[r:], strict=True)]
        grid = np.array(np.meshgrid(*spans, indexing="ij")).reshape(len(spans), -1)
        places = np.concatenate([np.repeat(first[:r, None], grid.shape[1], axis=1), grid])
        x = values_at(self.problem, places)
        open_ = np.flatnonzero(self.bounds.relaxed(x)[1] == 0.0)
        if not len(open_):
            return None, True
        middle = open_[len(open_) // 2]
        cost = abs(open_ - middle) if self.prefer is None else self.prefer(x[:, open_])
        order = open_[np.argsort(cost, kind="stable")]
        for i in range(0, len(order), _AT_ONCE):
            part = order[i : i + _AT_ONCE]
            good = part[self.problem.extremes(x[:, part]).feasible]
            if len(good):
                return places[:, good[0]], True
        return None, True
