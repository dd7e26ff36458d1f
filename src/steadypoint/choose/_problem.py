"""A choice as mathematics: lattices of standard values, a quantity to hold, conditions to meet."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.choose._corners import at_corners, at_points, fixed, permuted, scaled
from steadypoint.choose._hand_model import Functional, HandModel
from steadypoint.choose._small_signal import SignalRatio

FloatArray = NDArray[np.float64]

_POINTS_AT_ONCE: Final = 1 << 21
_TRIALS: Final = 6


@dataclass(frozen=True, slots=True)
class Drive:
    """A cause with an interval: a supply, a junction's voltage, a temperature.

    Parameters
    ----------
    name : str
        What people call it.
    low, high : float
        Its limits. [SI]
    sources : mapping of str to float
        Sources of the hand model that follow it, with their factors.
    """

    name: str
    low: float
    high: float
    sources: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Condition:
    """A sum of unknowns that must not fall below zero.

    Parameters
    ----------
    name : str
        What people call it, such as ``V_CE of Q1 at least 1.5 V``.
    quantity : mapping of str to float
        Unknowns with factors; ``""`` for the constant.
    nominal : bool, default False
        Whether it need only hold with everything in its middle, instead of at every corner.
    signal : SignalRatio, optional
        A resistance seen by the signal instead of a sum of unknowns.
    """

    name: str
    quantity: Functional
    nominal: bool = False
    signal: SignalRatio | None = None

    @property
    def scale(self) -> float:
        """Size against which a lack is measured: the constant, else one unit. [SI]"""
        return abs(self.quantity.get("", 0.0)) or 1.0


@dataclass(frozen=True, slots=True)
class Corner:
    """One corner of everything that varies: a bit for each factor, one for each drive.

    A negative vertex is no corner but the middle: stated values, betas in their geometric mean.
    """

    vertex: int
    drives: tuple[bool, ...]


MIDDLE: Final = Corner(-1, ())
"""Not a corner: everything in its middle."""


@dataclass(frozen=True, slots=True)
class Extremes:
    """Exact worst cases at some points.

    Parameters
    ----------
    J : ndarray, shape (p,)
        Greatest relative distance of the quantity from its target over all corners. [-]
    low, high : ndarray, shape (outputs, p)
        Extremes of the quantity (first) and of the left sides of the conditions. [SI]
    """

    J: FloatArray
    low: FloatArray
    high: FloatArray

    @property
    def feasible(self) -> NDArray[np.bool_]:
        """Points that meet all conditions at all corners, shape (p,)."""
        return np.asarray((self.low[1:] >= 0.0).all(axis=0))


@dataclass(slots=True)
class Problem:
    """What is sought.

    Parameters
    ----------
    model : HandModel
        The circuit.
    lattices : mapping of str to ndarray
        Rising values that each free resistor may take. [Ω]
    tolerances : mapping of str to float
        Relative tolerances by resistor; none for those left out. [-]
    betas : mapping of str to (float, float)
        Limits of beta by transistor. [-]
    drives : sequence of Drive
        Causes; each source of the model belongs to one.
    quantity : mapping of str to float
        What is to be held.
    target : float
        Its wanted value. [SI]
    conditions : sequence of Condition
        What must hold at every corner.
    two_sided : bool, default True
        Whether falling short counts as exceeding does; without it the quantity is only to be small.
    """

    model: HandModel
    lattices: Mapping[str, FloatArray]
    tolerances: Mapping[str, float]
    betas: Mapping[str, tuple[float, float]]
    drives: Sequence[Drive]
    quantity: Functional
    target: float
    conditions: Sequence[Condition] = ()
    two_sided: bool = True
    names: tuple[str, ...] = field(init=False)
    relevant: int = field(init=False)
    values: list[FloatArray] = field(init=False)
    D: FloatArray = field(init=False)
    N: FloatArray = field(init=False)
    moving: list[Drive] = field(init=False)
    _spans: FloatArray = field(init=False)

    def __post_init__(self) -> None:
        """Order the factors and fold in what does not vary."""
        N, self.moving = self._driven()
        D = self.model.D
        fixed_parts = [r for r in self.model.net.resistors if r.name not in self.lattices]
        order, spans = self._order(N, D)
        D, N = permuted(D, order), permuted(N, order)
        n = len(self.names)
        bit = n
        kept: list[tuple[float, float]] = []
        for low, high in self._fixed_spans(fixed_parts):
            if low == high:
                D, N = fixed(D, bit, low), fixed(N, bit, low)
            else:
                kept.append((low, high))
                bit += 1
        self.D, self.N = D, N
        self._spans = np.array(spans + kept, dtype=float).reshape(-1, 2)

    @property
    def n(self) -> int:
        """Free resistors. [-]"""
        return len(self.names)

    def _driven(self) -> tuple[FloatArray, list[Drive]]:
        """Numerators by moving drive, all that stands still in the last row."""
        moving = [d for d in self.drives if d.low != d.high]
        place = {name: i for i, name in enumerate(self.model.sources)}
        rows = []
        factors = (*self.model.resistors, *self.model.transistors)
        for condition in (None, *self.conditions):
            if condition is not None and condition.signal is not None:
                row = np.zeros((len(moving) + 1, 1 << self.model.factors))
                row[-1] = [float(c) for c in condition.signal.coefficients(factors)]
                rows.append(row)
                continue
            raw = self.model.numerators(condition.quantity if condition else self.quantity)
            out = np.zeros((len(moving) + 1, raw.shape[1]))
            out[-1] = raw[-1]
            for d in self.drives:
                share = sum(factor * raw[place[name]] for name, factor in d.sources.items())
                if d.low == d.high:
                    out[-1] += d.low * share
                else:
                    out[moving.index(d)] += share
            rows.append(out)
        return np.array(rows), moving

    def _fixed_spans(self, parts: Sequence[object]) -> list[tuple[float, float]]:
        spans = []
        for r in parts:
            value, name = r.value, r.name  # type: ignore[attr-defined]
            t = self.tolerances.get(name, 0.0)
            spans.append((value * (1.0 - t), value * (1.0 + t)))
        return spans + [tuple(map(float, self.betas[q])) for q in self.model.transistors]  # type: ignore[misc]

    def _order(self, N: FloatArray, D: FloatArray) -> tuple[list[int], list[tuple[float, float]]]:
        """Free resistors that move the quantity first, then the other free ones, then the rest."""
        all_r = list(self.model.resistors)
        free = [r for r in all_r if r in self.lattices]
        seen = [r for r in free if self._moves(all_r.index(r), N[0], D)]
        self.names = (*seen, *(r for r in free if r not in seen))
        self.relevant = len(seen)
        self.values = [np.asarray(self.lattices[r], dtype=float) for r in self.names]
        rest = [i for i, r in enumerate(all_r) if r not in self.lattices]
        betas = list(range(len(all_r), self.model.factors))
        spans = [
            (1.0 - self.tolerances.get(r, 0.0), 1.0 + self.tolerances.get(r, 0.0))
            for r in self.names
        ]
        return [all_r.index(r) for r in self.names] + rest + betas, spans

    def _moves(self, bit: int, N: FloatArray, D: FloatArray) -> bool:
        """Whether a resistance moves the quantity, tried at random values."""
        rng = np.random.default_rng(0)
        for _ in range(_TRIALS):
            x = 10 ** rng.uniform(2, 5, self.model.factors)
            weights = np.array([rng.uniform(d.low, d.high) for d in self.moving] + [1.0])
            found = []
            for factor in (1.0, 3.0):
                y = x.copy()
                y[bit] *= factor
                n, d = weights @ N, D
                for value in y:
                    n, d = n[0::2] + n[1::2] * value, d[0::2] + d[1::2] * value
                found.append(float(n[0] / d[0]))
            if abs(found[0] - found[1]) > 1e-9 * max(abs(found[0]), abs(found[1]), 1e-15):
                return True
        return False

    def limits(self, x: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Limits of every factor at some points.

        Parameters
        ----------
        x : ndarray, shape (n, p)
            Stated values of the free resistors. [Ω]

        Returns
        -------
        tuple of ndarray, shape (factors, p)
        """
        p = x.shape[1]
        low, high = (np.repeat(self._spans[:, side : side + 1], p, axis=1) for side in (0, 1))
        low[: self.n] *= x
        high[: self.n] *= x
        return low, high

    def extremes(self, x: FloatArray) -> Extremes:
        """Worst cases over all corners, exact.

        Parameters
        ----------
        x : ndarray, shape (n, p)
            Stated values of the free resistors. [Ω]

        Returns
        -------
        Extremes
        """
        size = self.N.shape[0] * (len(self.moving) + 1) * self.N.shape[2]
        step = max(1, _POINTS_AT_ONCE // size)
        parts = [self._extremes(x[:, i : i + step]) for i in range(0, max(1, x.shape[1]), step)]
        return Extremes(
            np.concatenate([p.J for p in parts]),
            np.concatenate([p.low for p in parts], axis=1),
            np.concatenate([p.high for p in parts], axis=1),
        )

    def _extremes(self, x: FloatArray) -> Extremes:
        low, high = self.limits(x)
        d = at_corners(self.D[None], low, high)[0]
        outputs, drives, M = self.N.shape
        v = at_corners(self.N.reshape(-1, M), low, high).reshape(outputs, drives, M, -1)
        least, most = v[:, -1].copy(), v[:, -1].copy()
        for k, drive in enumerate(self.moving):
            a, b = v[:, k] * drive.low, v[:, k] * drive.high
            least += np.minimum(a, b)
            most += np.maximum(a, b)
        lowest, highest = (least / d).min(axis=1), (most / d).max(axis=1)
        for k, condition in enumerate(self.conditions, start=1):
            if condition.nominal:
                N, D = self.at_corner(k, MIDDLE)
                lowest[k] = highest[k] = at_points(N[None], x)[0] / at_points(D[None], x)[0]
        return Extremes(self.distance(lowest[0], highest[0]), lowest, highest)

    def distance(self, low: FloatArray, high: FloatArray) -> FloatArray:
        """Relative distance from the target of a quantity with these extremes. [-]

        Parameters
        ----------
        low, high : ndarray
            Extremes. [SI]
        """
        if not self.two_sided:
            return np.asarray(high / self.target)
        return np.asarray(np.maximum(high / self.target - 1.0, 1.0 - low / self.target))

    def worst_corner(self, x: FloatArray, output: int, *, upper: bool) -> Corner:
        """Corner at which an output is greatest or least.

        Parameters
        ----------
        x : ndarray, shape (n,)
            Stated values of the free resistors. [Ω]
        output : int
            0 for the quantity, then the conditions.
        upper : bool
            Whether the greatest is sought.

        Returns
        -------
        Corner
        """
        if output and self.conditions[output - 1].nominal:
            return MIDDLE
        low, high = self.limits(x[:, None])
        sign = 1.0 if upper else -1.0
        d = at_corners(self.D[None], low, high)[0, :, 0]
        v = sign * at_corners(self.N[output], low, high)[:, :, 0]
        total, picks = v[-1].copy(), []
        for k, drive in enumerate(self.moving):
            a, b = v[k] * drive.low, v[k] * drive.high
            total += np.maximum(a, b)
            picks.append(b > a)
        vertex = int((total / d).argmax())
        return Corner(vertex, tuple(bool(p[vertex]) for p in picks))

    def at_corner(self, output: int, corner: Corner) -> tuple[FloatArray, FloatArray]:
        """N and D at one corner, as polynomials in the stated values of the free resistors.

        Parameters
        ----------
        output : int
            0 for the quantity, then the conditions.
        corner : Corner
            The corner.

        Returns
        -------
        tuple of ndarray, shape (2**n,)
        """
        middle = corner.vertex < 0
        if middle:
            weights = [0.5 * (d.low + d.high) for d in self.moving]
        else:
            picks = zip(self.moving, corner.drives, strict=True)
            weights = [d.high if up else d.low for d, up in picks]
        N = np.array([*weights, 1.0]) @ self.N[output]
        D = self.D
        for bit in range(len(self._spans) - 1, self.n - 1, -1):
            low, high = self._spans[bit]
            value = math.sqrt(low * high) if middle else (low, high)[corner.vertex >> bit & 1]
            N, D = fixed(N, bit, value), fixed(D, bit, value)
        if middle:
            return N, D
        factors = np.array([self._spans[i, corner.vertex >> i & 1] for i in range(self.n)])
        return scaled(N, factors), scaled(D, factors)

    def corner_words(self, corner: Corner) -> tuple[str, ...]:
        """A corner in words, such as ``R1 high``.

        Parameters
        ----------
        corner : Corner
            The corner.
        """
        words = [
            f"{name} {'high' if corner.vertex >> i & 1 else 'low'}"
            for i, name in enumerate(self.names)
            if self.tolerances.get(name)
        ]
        bit = self.n
        rest = [r for r in self.model.resistors if r not in self.lattices]
        for name in rest:
            if self.tolerances.get(name):
                words.append(f"{name} {'high' if corner.vertex >> bit & 1 else 'low'}")
                bit += 1
        for name in self.model.transistors:
            low, high = self.betas[name]
            if low != high:
                words.append(f"beta of {name} {'most' if corner.vertex >> bit & 1 else 'least'}")
                bit += 1
        for drive, up in zip(self.moving, corner.drives, strict=True):
            words.append(f"{drive.name} {'high' if up else 'low'}")
        return tuple(words)
