"""How far the operating point moves: drift, tolerance, Monte Carlo, quoted uncertainty."""

from steadypoint.spread._monte_carlo import (
    MonteCarlo,
    QuantitySpread,
    Yield,
    monte_carlo,
    share_interval,
)
from steadypoint.spread._readings import Reading, reading, usual_readings
from steadypoint.spread._sampling import Sampler
from steadypoint.spread._stability import Stability, stability
from steadypoint.spread._uncertainty import Uncertainty, combined_uncertainty, uncertainty
from steadypoint.spread._variance_shares import VarianceShare, variance_shares
from steadypoint.spread._variation import Shape, Variation, read_variation, tolerances, with_shape
from steadypoint.spread._warming import WarmCause, Warming, WarmShift, warm_shift

__all__ = [
    "MonteCarlo",
    "QuantitySpread",
    "Reading",
    "Sampler",
    "Shape",
    "Stability",
    "Uncertainty",
    "VarianceShare",
    "Variation",
    "WarmCause",
    "WarmShift",
    "Warming",
    "Yield",
    "combined_uncertainty",
    "monte_carlo",
    "read_variation",
    "reading",
    "share_interval",
    "stability",
    "tolerances",
    "uncertainty",
    "usual_readings",
    "variance_shares",
    "warm_shift",
    "with_shape",
]
