"""Further operating points of the device rung.

The signs of the determinants at all points of a circuit add up to +1: at very high voltages its
equations are those of a network of resistors, and the sum stays the same on the way there (the
degree of a map, J. Ortega and W. Rheinboldt, 1970; from memory). A point with a negative sign is
therefore never the only one, and two positive ones have a negative one between them. The circuit
would leave a point with a negative sign whatever its capacitances are (M. M. Green and
A. N. Willson, "How to identify unstable dc operating points", IEEE Transactions on Circuits and
Systems I 39, 1992; from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.solve._network import Network
from steadypoint.solve._newton import (
    SEED_CURRENT,
    TOP_CURRENT,
    Laws,
    Trial,
    device_currents,
    jacobian_at,
    newton,
)
from steadypoint.solve._plan import Plan
from steadypoint.solve._tableau import FloatArray

APART: Final = 1e-4
"""Points are different when a node differs by more. [V]"""

STARTS: Final = 27
"""Most combinations of regions that a search starts from. [-]"""

TRIED_APART: Final = 40
"""Most starts that keep away from the known points. [-]"""

QUICK: Final = 60
"""Steps after which one start is given up. [-]"""

LONGEST_STRETCH: Final = 20.0
"""Most by which a step is stretched or turned round to keep away from known points. [-]"""

_REAL: Final = 1e-9
"""Share of an imaginary part that rounding may leave to a real eigenvalue. [-]"""

_ROUNDED: Final = 1e-13
"""Share of the largest eigenvalue that is rounding. [-]"""

_BETWEEN: Final = (0.5, 0.3, 0.7, 0.1, 0.9)


@dataclass(slots=True)
class Gathered:
    """Settled points of one network, all different, and the steps that they took."""

    plan: Plan
    laws: Laws
    points: list[Trial]
    steps: int = 0

    def try_from(self, start: Trial) -> None:
        """Run Newton's method from a start and keep where it ends, if that is new."""
        with np.errstate(over="ignore", invalid="ignore"):
            trial = newton(self.plan, self.laws, start, most=QUICK)
        self._keep(trial)

    def keep_away_from(self, v: list[float]) -> None:
        """The same, but kept away from the known points on the way."""
        start = self.start(v)
        free = self.plan.free
        known = [p.V[free] for p in self.points]
        with np.errstate(over="ignore", invalid="ignore"):
            trial = newton(
                self.plan,
                self.laws,
                start,
                most=2 * QUICK,
                stretch=lambda V, y: _stretch(V, y, known),
            )
            self.steps += trial.steps
            if trial.settled:
                trial = newton(self.plan, self.laws, trial, most=QUICK)
        self._keep(trial)

    def start(self, v: list[float]) -> Trial:
        """Start at junction voltages."""
        rest = np.zeros(self.plan.R.shape[0])
        return Trial(rest, np.zeros(len(self.plan.floating)), list(v))

    @property
    def missing(self) -> bool:
        """Whether the signs of the determinants tell of points that are not among these."""
        return sum(1 if p.orientation > 0 else -1 for p in self.points) != 1

    def _keep(self, trial: Trial) -> None:
        self.steps += trial.steps
        if trial.settled and all(_apart(trial.V, p.V) > APART for p in self.points):
            self.points.append(trial)


def further_points(
    net: Network,
    plan: Plan,
    laws: Laws,
    first: Trial,
    starts: Sequence[Trial],
    *,
    all_regions: bool,
) -> Gathered:
    """Look for all operating points of a network.

    Parameters
    ----------
    net : Network
        The network.
    plan, laws : Plan, Laws
        Its structure and values.
    first : Trial
        A settled point.
    starts : sequence of Trial
        Starts at all consistent straight pieces that are known.
    all_regions : bool
        Whether all combinations of regions were tried for them.

    Returns
    -------
    Gathered
        Stable points first, and among them those whose currents the laws reach.
    """
    known = Gathered(plan, laws, [first])
    for start in starts:
        known.try_from(start)
    if not all_regions:
        for v in _opposites(net, laws, first.v):
            known.try_from(known.start(v))
    if len(known.points) > 1 or known.missing:
        for v in _by_regions(net, laws):
            known.try_from(known.start(v))
    tried = 0
    while known.missing and tried < TRIED_APART:
        before = len(known.points)
        for v in _between(net, laws, [p.v for p in known.points]):
            known.keep_away_from(v)
            tried += 1
            if len(known.points) > before or tried >= TRIED_APART:
                break
    if len(known.points) > 1:
        known.points.sort(key=lambda p: (not rests(plan, laws, p), _beyond(laws, p)))
    return known


def rests(plan: Plan, laws: Laws, point: Trial) -> bool:
    """Whether a point stays where it is with equal capacitances from all nodes to ground.

    A negative determinant denies that for any capacitances; so does here a real eigenvalue by which
    a disturbance grows, of which two do not show in the determinant (two latches side by side).
    """
    if point.orientation < 0:
        return False
    J, nodes = jacobian_at(plan, laws, point), len(plan.free)
    if not nodes:
        return True
    held = J[nodes:, :nodes]
    if len(held):  # nodes between hanging sources move together
        _, size, axes = np.linalg.svd(held)
        free = axes[len(size) :]
        J = free @ J[:nodes, :nodes] @ free.T
    rates = np.linalg.eigvals(J)
    real = rates.real[np.abs(rates.imag) <= _REAL * np.abs(rates)]
    return not bool((real < -_ROUNDED * np.abs(rates).max(initial=0.0)).any())


def _stretch(V: FloatArray, y: NDArray[np.floating[Any]], away: Sequence[FloatArray]) -> float:
    """Factor of a step of Newton's method that keeps away from known points. [-]

    The equations times Π (1 + 1/|V - V_k|²) have the same roots but the known ones, and the step
    of Newton's method for them is a multiple of the plain one.

    P. E. Farrell, Á. Birkisson and S. W. Funke, "Deflation techniques for finding distinct
    solutions of nonlinear partial differential equations", SIAM Journal on Scientific Computing 37,
    2015 (from memory).
    """
    share = 0.0
    for known in away:
        apart = V - known
        square = max(float(apart @ apart), 1e-30)
        share += 2.0 * float(apart @ y) / (square * (1.0 + square))
    rest = 1.0 - share
    return min(max(1.0 / rest, -LONGEST_STRETCH), LONGEST_STRETCH) if rest else LONGEST_STRETCH


def _apart(V: FloatArray, other: FloatArray) -> float:
    return float(np.abs(V[:-1] - other[:-1]).max(initial=0.0))


def _beyond(laws: Laws, point: Trial) -> bool:
    """Whether a part carries more than the current at which the laws end."""
    i, _ = device_currents(laws, point.v)
    return float(np.abs(i).max(initial=0.0)) > TOP_CURRENT


def _conducting(laws: Laws, j: int) -> float:
    """Voltage of a junction at the current of the first guess, less its offset. [V]"""
    on = laws.nV_T[j] * math.log(SEED_CURRENT / laws.I_S[j])
    return on - float(laws.offset[j])


def _from_regions(net: Network, laws: Laws, regions: Sequence[int]) -> list[float]:
    """Junction voltages with every transistor off (0), active (1) or saturated (2)."""
    v = [-float(o) for o in laws.offset[: len(laws.I_S)]]
    q = len(net.bipolars)
    for k, region in enumerate(regions[:q]):
        v[2 * k : 2 * k + region] = [_conducting(laws, j) for j in range(2 * k, 2 * k + region)]
    for law, region in zip(laws.channels, regions[q:], strict=True):
        opens = law.V_GS_th
        v += [opens + 1.0 if region >= 1 else opens - 1.0, opens + (1.0 if region == 2 else -1.0)]
    return v


def _by_regions(net: Network, laws: Laws) -> Iterator[list[float]]:
    """Starts at combinations of regions: all of them, or a fixed random choice."""
    count = len(net.bipolars) + len(laws.channels)
    if 3**count <= STARTS:
        chosen: Sequence[Sequence[int]] = tuple(product((0, 1, 2), repeat=count))
    else:
        chosen = np.random.default_rng(count).integers(0, 3, (STARTS, count)).tolist()
    for regions in chosen:
        yield _from_regions(net, laws, regions)


def _opposites(net: Network, laws: Laws, v: list[float]) -> Iterator[list[float]]:
    """Every transistor off; and what conducts exchanged for what does not, where one is off."""
    count = len(net.bipolars) + len(laws.channels)
    yield _from_regions(net, laws, [0] * count)
    halves = [_conducting(laws, 2 * k) - 8 * laws.nV_T[2 * k] for k in range(len(net.bipolars))]
    on = [v[2 * k] > half for k, half in enumerate(halves)]
    ends = v[len(laws.I_S) :: 2]
    on += [end > law.V_GS_th for end, law in zip(ends, laws.channels, strict=True)]
    if not all(on):
        yield _from_regions(net, laws, [0 if is_on else 2 for is_on in on])


def _between(net: Network, laws: Laws, known: list[list[float]]) -> Iterator[list[float]]:
    """Starts between known points, at them, and at combinations of regions."""
    for a, b in combinations(known, 2):
        for share in _BETWEEN:
            yield [x + share * (y - x) for x, y in zip(a, b, strict=True)]
    yield from known
    yield from _by_regions(net, laws)
