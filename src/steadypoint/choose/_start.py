"""First good points: descent over the lattices at the corners known so far, all moves at once."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.choose._bounds import Bounds
from steadypoint.choose._problem import Problem

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

_WEIGHT: Final = 10.0
_ROUNDS: Final = 80
_STARTS: Final = 16
_LESSONS: Final = 4


class Descent:
    """Looks for good points before the search.

    Parameters
    ----------
    problem : Problem
        What is sought.
    bounds : Bounds
        Takes in the corners at which good points are worst.
    seed : int, default 1
        Key of the random starts. [-]
    """

    def __init__(self, problem: Problem, bounds: Bounds, seed: int = 1) -> None:
        self.problem = problem
        self.bounds = bounds
        self.sizes = np.array([len(v) for v in problem.values])
        self.met: list[tuple[IntArray, FloatArray]] = []
        rng = np.random.default_rng(seed)
        self.at = (rng.random((problem.n, _STARTS)) * self.sizes[:, None]).astype(np.int64)
        self._moves = _moves(problem.n)

    def run(self, passes: int = 4) -> tuple[IntArray, FloatArray]:
        """Descend, learn the corners that the ends miss, and descend again.

        Parameters
        ----------
        passes : int, default 4
            Descents at most. [-]

        Returns
        -------
        tuple of ndarray
            Places of points met that meet the conditions seen, shape (n, p), and their distances at
            the corners seen, shape (p,).
        """
        self._learn(self.at[:, :2])
        step = max(1, int(self.sizes.max()) // 4)
        for _ in range(passes):
            self.bounds.build()
            self.met.clear()
            cost = self._descend(step)
            order = np.argsort(cost)
            if not self._learn(self.at[:, order[:_LESSONS]]):
                break
            step = max(1, step // 4)
        self.bounds.only(values_at(self.problem, self.at[:, order[0]]))
        places = np.concatenate([m[0] for m in self.met], axis=1)
        return places, np.concatenate([m[1] for m in self.met])

    def _learn(self, places: IntArray) -> bool:
        x = values_at(self.problem, places)
        learned = False
        for j in range(x.shape[1]):
            learned |= self.bounds.learn(x[:, j])
        return learned

    def _descend(self, step: int) -> FloatArray:
        starts = self.at.shape[1]
        steps = np.full(starts, step)
        cost = self._cost(self.at)
        for _ in range(_ROUNDS):
            tried = self.at[:, :, None] + steps[None, :, None] * self._moves[:, None, :]
            tried = np.clip(tried, 0, (self.sizes - 1)[:, None, None])
            found = self._cost(tried.reshape(self.problem.n, -1)).reshape(starts, -1)
            pick = found.argmin(axis=1)
            value = found[np.arange(starts), pick]
            better = value < cost - 1e-15
            self.at[:, better] = tried[:, better, pick[better]]
            cost[better] = value[better]
            if not better.any() and (steps == 1).all():
                break
            steps = np.where(better, steps, np.maximum(1, steps // 2))
        return cost

    def _cost(self, places: IntArray) -> FloatArray:
        J, lack = self.bounds.relaxed(values_at(self.problem, places))
        good = lack == 0.0
        self.met.append((places[:, good], J[good]))
        return J + _WEIGHT * lack


def values_at(problem: Problem, places: IntArray) -> FloatArray:
    """Resistances at places of the lattices, shape (n, p). [Ω]"""
    return np.array([v[i] for v, i in zip(problem.values, places, strict=True)])


def _moves(n: int) -> IntArray:
    one = np.eye(n, dtype=np.int64)
    single = [s * one[i] for i in range(n) for s in (-1, 1)]
    double = [
        s * one[i] + t * one[j]
        for i in range(n)
        for j in range(i)
        for s in (-1, 1)
        for t in (-1, 1)
    ]
    return np.array(single + double, dtype=np.int64).T
