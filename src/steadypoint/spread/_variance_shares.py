"""Which variation to tighten first: first-order and total variance shares (Sobol indices)."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from steadypoint.circuit import Circuit
from steadypoint.errors import ConvergenceError
from steadypoint.solve import solve_many
from steadypoint.spread._columns import column
from steadypoint.spread._monte_carlo import _check
from steadypoint.spread._sampling import Sampler
from steadypoint.spread._variation import Variation

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class VarianceShare:
    """What one independent cause contributes to the variance of a quantity.

    Parameters
    ----------
    cause : str
        The setting's own variation, or what a reel or die has in common.
    first : float
        Share of the variance that goes when this cause alone is held: first-order index. [-]
    total : float
        Share that stays when all others are held: total index, interactions included. [-]
    """

    cause: str
    first: float
    total: float


class _Share:
    """The uniform distribution between 0 and 1, as the estimator asks for it."""

    def ppf(self, u: FloatArray) -> FloatArray:
        return u


def variance_shares(
    circuit: Circuit,
    variations: Sequence[Variation],
    quantity: str = "I_C",
    *,
    n: int = 4096,
    seed: int = 0,
    fast: bool | None = None,
) -> tuple[VarianceShare, ...]:
    """Variance shares of a quantity on the device rung, largest first.

    Parameters
    ----------
    circuit : Circuit
        The nominal circuit.
    variations : sequence of Variation
        What varies.
    quantity : str, default "I_C"
        As for :func:`steadypoint.spread.monte_carlo`.
    n : int, default 4096
        Base points of the quasi-random design, a power of two; n (k + 2) sets are solved. [-]
    seed : int, default 0
        Key of the scrambling. [-]
    fast : bool, optional
        As for :func:`steadypoint.solve.solve_many`.

    Returns
    -------
    tuple of VarianceShare

    Raises
    ------
    QuantityError
        If nothing varies.
    ConvergenceError
        If some sets have no operating point.

    References
    ----------
    I. M. Sobol, "Global sensitivity indices for nonlinear mathematical models", Mathematics and
    Computers in Simulation 55 (2001) 271-280; A. Saltelli et al., Computer Physics Communications
    181 (2010) 259-270: the design and its estimators.
    """
    _check(variations, n, 0.95)
    sampler, wanted = Sampler(tuple(variations)), column(circuit, quantity)

    def solved(shares: FloatArray) -> FloatArray:
        points = solve_many(circuit, sampler.values_at(shares), fast=fast)
        if not points.converged.all():
            raise ConvergenceError(f"{points.summary()} Narrow the limits.")
        return wanted.of(points)

    return shares_of(solved, sampler.factors, n=n, seed=seed)


def shares_of(
    function: Callable[[FloatArray], FloatArray], names: Sequence[str], *, n: int, seed: int
) -> tuple[VarianceShare, ...]:
    """Variance shares of any function of independent causes, largest first.

    Parameters
    ----------
    function : callable
        Takes shares between 0 and 1, shape (causes, points), and gives values, shape (points,).
    names : sequence of str
        The causes.
    n : int
        Base points, a power of two. [-]
    seed : int
        Key of the scrambling. [-]

    Returns
    -------
    tuple of VarianceShare
    """
    if len(names) == 1:
        return (VarianceShare(names[0], 1.0, 1.0),)
    from scipy.stats import sobol_indices

    shapes: list[Any] = [_Share() for _ in names]
    found = sobol_indices(func=function, n=n, dists=shapes, rng=np.random.default_rng(seed))
    first = np.atleast_1d(found.first_order).ravel()
    total = np.atleast_1d(found.total_order).ravel()
    shares = [
        VarianceShare(name, float(a), float(b))
        for name, a, b in zip(names, first, total, strict=True)
    ]
    return tuple(sorted(shares, key=lambda share: -share.total))
