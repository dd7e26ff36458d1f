"""Draws of variations: independent streams per chunk, with what a reel or a die has in common."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from steadypoint.spread._variation import Variation

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Sampler:
    """Draws value sets of some variations; an instance travels to other processes.

    Parameters
    ----------
    variations : tuple of Variation
        What varies.

    Notes
    -----
    Members of a group share a normal score: z = √ρ z_group + √(1-ρ) z_own, and Φ(z) is the share
    whose quantile is drawn (Gaussian copula: R. B. Nelsen, An Introduction to Copulas, 2nd ed.,
    2006, 2.3). So every value keeps its own distribution.
    """

    variations: tuple[Variation, ...]

    @property
    def factors(self) -> tuple[str, ...]:
        """Names of the independent causes: each setting's own share, then each group's."""
        own = [v.setting for v in self.variations if v.correlation < 1.0 or not v.group]
        return (*own, *self._groups)

    @property
    def _groups(self) -> tuple[str, ...]:
        found = (v.group for v in self.variations if v.group and v.correlation > 0.0)
        return tuple(dict.fromkeys(found))

    def __call__(self, rng: np.random.Generator, n: int) -> dict[str, FloatArray]:
        """Draw n value sets.

        Parameters
        ----------
        rng : numpy.random.Generator
            Random stream.
        n : int
            Sets. [-]

        Returns
        -------
        dict of str to ndarray, shape (n,)
            Values by setting, in SI units.
        """
        return self.values_at(rng.random((len(self.factors), n)))

    def values_at(self, shares: FloatArray) -> dict[str, FloatArray]:
        """Value sets for given shares of the independent causes.

        Parameters
        ----------
        shares : ndarray, shape (factors, n)
            Between 0 and 1, in the order of :attr:`factors`. [-]

        Returns
        -------
        dict of str to ndarray, shape (n,)
        """
        row = dict(zip(self.factors, shares, strict=True))
        return {v.setting: v.quantile(self._share(v, row)) for v in self.variations}

    def _share(self, v: Variation, row: dict[str, FloatArray]) -> FloatArray:
        if not v.group or v.correlation == 0.0:
            return row[v.setting]
        if v.correlation == 1.0:
            return row[v.group]
        common, own = ndtri(_inside(row[v.group])), ndtri(_inside(row[v.setting]))
        score = np.sqrt(v.correlation) * common + np.sqrt(1.0 - v.correlation) * own
        return np.asarray(ndtr(score))


def _inside(share: FloatArray) -> FloatArray:
    """Shares kept off 0 and 1, whose normal score is infinite."""
    tiny = np.finfo(float).tiny
    return np.asarray(np.clip(share, tiny, 1.0 - 2.0**-53))


def correlations(variations: Sequence[Variation]) -> FloatArray:
    """Correlation matrix of the variations' normal scores.

    Parameters
    ----------
    variations : sequence of Variation
        What varies.

    Returns
    -------
    ndarray, shape (k, k)
        Members of one group are correlated by √(ρ₁ρ₂).
    """
    k = len(variations)
    matrix = np.eye(k)
    for i, a in enumerate(variations):
        for j, b in enumerate(variations):
            if i != j and a.group and a.group == b.group:
                matrix[i, j] = np.sqrt(a.correlation * b.correlation)
    return matrix
