"""What a box of values can be told at once: that it holds nothing, how small, how good at best."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.choose._corners import at_corners, at_points, bernstein, half_maxima, product
from steadypoint.choose._problem import Corner, Problem

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

MARGIN: Final = 1e-11
"""Relative room left to rounding before a box is given up. [-]"""

_BEYOND: Final = 2.0


@dataclass(slots=True)
class Bounds:
    """Conditions and bounds at the corners seen so far.

    Parameters
    ----------
    problem : Problem
        What is sought.

    Notes
    -----
    A few corners make a relaxation: what it gives up holds nothing at all corners either. Corners
    join as points turn up that meet those known and fail at another.
    """

    problem: Problem
    corners: dict[tuple[int, bool, Corner], None] = field(default_factory=dict)
    _conditions: FloatArray = field(init=False)
    _norms: FloatArray = field(init=False)
    _lean: NDArray[np.bool_] = field(init=False)
    _offset: FloatArray = field(init=False)
    _slope: FloatArray = field(init=False)
    _ratio: tuple[FloatArray, FloatArray] = field(init=False)

    def add(self, output: int, corner: Corner, *, upper: bool) -> bool:
        """Take a corner in; True when it is new."""
        key = (output, upper, corner)
        if key in self.corners:
            return False
        self.corners[key] = None
        return True

    def only(self, x: FloatArray) -> None:
        """Forget all corners but those at which one point is worst.

        Parameters
        ----------
        x : ndarray, shape (n,)
            Resistances. [Ω]
        """
        self.corners.clear()
        self.learn(x)
        self.build()

    def learn(self, x: FloatArray, low: FloatArray | None = None) -> bool:
        """Take in the corners at which a point is worst; True when one is new.

        Parameters
        ----------
        x : ndarray, shape (n,)
            Resistances. [Ω]
        low : ndarray, shape (outputs,), optional
            Least values of the outputs there; without it every condition's corner is taken.
        """
        p, new = self.problem, False
        for upper in (True, False) if p.two_sided else (True,):
            new |= self.add(0, p.worst_corner(x, 0, upper=upper), upper=upper)
        for output in range(1, p.N.shape[0]):
            if low is None or low[output] < 0.0:
                new |= self.add(output, p.worst_corner(x, output, upper=False), upper=False)
        return new

    def relaxed(self, x: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Distance, and what the conditions lack, at the corners known.

        Parameters
        ----------
        x : ndarray, shape (n, p)
            Resistances. [Ω]

        Returns
        -------
        tuple of ndarray, shape (p,)
            Distance, and the sum of relative lacks, zero where all known conditions hold. [-]
        """
        J = (-at_points(self._offset, x) / at_points(self._slope, x)).max(axis=0)
        if not len(self._conditions):
            return J, np.zeros(x.shape[1])
        value = at_points(self._conditions, x) / at_points(self._norms, x)
        return J, np.maximum(0.0, -value).sum(axis=0)

    def build(self) -> None:
        """Polynomials of the corners taken in."""
        p = self.problem
        width = 1 << p.n
        rows: list[FloatArray] = []
        norms: list[FloatArray] = []
        offset: list[FloatArray] = []
        slope: list[FloatArray] = []
        firsts: dict[bool, tuple[FloatArray, FloatArray]] = {}
        for output, upper, corner in self.corners:
            N, D = p.at_corner(output, corner)
            if output:
                rows.append(N)
                norms.append(D * p.conditions[output - 1].scale)
                continue
            if not p.two_sided:
                offset.append(-N)
            else:
                offset.append(p.target * D - N if upper else N - p.target * D)
            slope.append(p.target * D)
            firsts.setdefault(upper, (N, D))
        self._conditions = np.array(rows).reshape(-1, width)
        self._lean = np.array([_ignores(row, p.relevant) for row in rows], dtype=bool)
        self._norms = np.array(norms).reshape(-1, width)
        self._offset = np.array(offset).reshape(-1, width)
        self._slope = np.array(slope).reshape(-1, width)
        self._build_ratio(firsts)

    def _build_ratio(self, firsts: dict[bool, tuple[FloatArray, FloatArray]]) -> None:
        """The greatest may not exceed the least by more than (1 + J)/(1 - J)."""
        n = self.problem.relevant
        self._ratio = (np.empty((0, 3**n)), np.empty((0, 3**n)))
        if len(firsts) == 2:
            N_high, D_high = (_without(c, n) for c in firsts[True])
            N_low, D_low = (_without(c, n) for c in firsts[False])
            a, b = product(N_low, D_high, n), product(N_high, D_low, n)
            self._ratio = ((a - b)[None], (a + b)[None])

    def tighten(
        self, first: IntArray, last: IntArray, J: float
    ) -> tuple[IntArray, IntArray, FloatArray]:
        """Shrink boxes to what can hold a point with a distance of at most J, and bound the rest.

        Parameters
        ----------
        first, last : ndarray, shape (n, b)
            Places of the limits in the lattices.
        J : float
            Distance that a point has to reach. [-]

        Returns
        -------
        tuple of ndarray
            New first and last places, shape (n, b); a lower bound of J in each box, infinite where
            it holds nothing, shape (b,).
        """
        low, high = self._ends(first), self._ends(last)
        r = self.problem.relevant
        first, last = first.copy(), last.copy()
        offset = at_corners(_without(self._offset, r), low[:r], high[:r])
        slope = at_corners(_without(self._slope, r), low[:r], high[:r])
        best = (-offset / slope).min(axis=1).max(axis=0)
        lean = at_corners(_without(self._conditions[self._lean], r), low[:r], high[:r])
        rest = at_corners(self._conditions[~self._lean], low, high)
        maxima = [half_maxima(values) for values in (lean, rest)]
        for values, (_, overall) in zip((lean, rest), maxima, strict=True):
            which, box = np.nonzero(overall < 0.0)
            size = np.abs(values[which, :, box]).max(axis=1)
            best[box[overall[which, box] < -MARGIN * size]] = np.inf
        limits = (first, last, low, high, best <= J)
        if np.isfinite(J):
            near = offset + J * slope
            self._cut(*limits, near, half_maxima(near)[0])
        for values, (halves, _) in zip((lean, rest), maxima, strict=True):
            self._cut(*limits, values, halves)
        return first, last, best

    def ratio_bound(self, first: IntArray, last: IntArray) -> FloatArray:
        """Lower bound of J by the ratio of greatest to least.

        Parameters
        ----------
        first, last : ndarray, shape (n, b)
            Places of the limits in the lattices.

        Returns
        -------
        ndarray, shape (b,)
        """
        b = first.shape[1]
        if not len(self._ratio[0]) or not b:
            return np.full(b, -np.inf)
        n = self.problem.relevant
        low, high = self._ends(first)[:n], self._ends(last)[:n]
        difference = bernstein(self._ratio[0], low, high)[0]
        total = bernstein(self._ratio[1], low, high)[0]
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.asarray(np.where(total > 0.0, -difference / total, -np.inf).min(axis=0))

    def _ends(self, places: IntArray) -> FloatArray:
        return np.array([v[i] for v, i in zip(self.problem.values, places, strict=True)])

    def _cut(
        self,
        first: IntArray,
        last: IntArray,
        low: FloatArray,
        high: FloatArray,
        alive: NDArray[np.bool_],
        values: FloatArray,
        halves: FloatArray,
    ) -> None:
        """Cut from each box the slabs in which one polynomial stays negative."""
        for i, sides in enumerate((halves < 0.0) & alive):
            for side in (0, 1):
                which, box = np.nonzero(sides[side])
                if not len(which):
                    continue
                share = _crossing(values[which, :, box], i, side)
                least = np.zeros(len(alive))
                np.maximum.at(least, box, share)
                box = np.unique(box)
                gone = least[box] > 1.0
                last[i, box[gone]] = first[i, box[gone]] - 1
                width = (high[i] - low[i])[box] * np.minimum(least[box], _BEYOND)
                lattice = self.problem.values[i]
                if side == 0:
                    place = np.searchsorted(lattice, (low[i, box] + width) * (1.0 - 1e-12), "left")
                    first[i, box] = np.maximum(first[i, box], place)
                else:
                    above = (high[i, box] - width) * (1.0 + 1e-12)
                    place = np.searchsorted(lattice, above, "right")
                    last[i, box] = np.minimum(last[i, box], place - 1)


def _crossing(values: FloatArray, factor: int, side: int) -> FloatArray:
    """Where polynomials negative all over one side first can leave that, as a share of the way.

    Parameters
    ----------
    values : ndarray, shape (m, 2**n)
        At all corners.
    factor, side : int
        From which limit of which factor: 0 the lower, 1 the upper.

    Returns
    -------
    ndarray, shape (m,)
        Infinite where they stay negative.
    """
    pairs = values.reshape(len(values), -1, 2, 1 << factor)
    near, far = pairs[:, :, side], pairs[:, :, 1 - side]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = near / (near - far)
    return np.asarray(np.where(far >= 0.0, share, np.inf).min(axis=(1, 2)))


def _without(coefficients: FloatArray, n: int) -> FloatArray:
    """Polynomials with the factors beyond the first n put to one: they do not matter to them."""
    shape, size = coefficients.shape[:-1], coefficients.shape[-1]
    return np.asarray(coefficients.reshape(*shape, size >> n, 1 << n).sum(axis=-2))


def _ignores(coefficients: FloatArray, n: int) -> bool:
    """Whether the sign of a polynomial hangs on the first n factors only."""
    for i in range(n, len(coefficients).bit_length() - 1):
        pairs = coefficients.reshape(-1, 2, 1 << i)
        if pairs[:, 0].any() and pairs[:, 1].any():
            return False
    return True
