"""How far the operating point moves: drift, tolerance, Monte Carlo, quoted uncertainty."""

from steadypoint.spread._monte_carlo import (
    MonteCarlo,
    QuantitySpread,
    Yield,
    monte_carlo,
    share_interval,
)
from steadypoint.spread._sampling import Sampler
from steadypoint.spread._uncertainty import Uncertainty, combined_uncertainty, uncertainty
from steadypoint.spread._variance_shares import VarianceShare, variance_shares
from steadypoint.spread._variation import Shape, Variation, read_variation, tolerances, with_shape

__all__ = [
    "MonteCarlo",
    "QuantitySpread",
    "Sampler",
    "Shape",
    "Uncertainty",
    "VarianceShare",
    "Variation",
    "Yield",
    "combined_uncertainty",
    "monte_carlo",
    "read_variation",
    "share_interval",
    "tolerances",
    "uncertainty",
    "variance_shares",
    "with_shape",
]
