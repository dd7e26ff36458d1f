"""How far the operating point moves: drift, tolerance, Monte Carlo, quoted uncertainty."""

from steadypoint.spread._alone import Alone, each_alone
from steadypoint.spread._before_after import BeforeAfter, Moved, before_and_after, in_percent
from steadypoint.spread._changes import Change, read_changes
from steadypoint.spread._columns import Column, column
from steadypoint.spread._monte_carlo import (
    MonteCarlo,
    QuantitySpread,
    Yield,
    monte_carlo,
    share_interval,
)
from steadypoint.spread._readings import Reading, reading, regions_at, usual_readings
from steadypoint.spread._runaway import Runaway, runaway
from steadypoint.spread._sampling import Sampler
from steadypoint.spread._stability import Stability, stability
from steadypoint.spread._temperature import (
    RegionChange,
    TemperatureRange,
    temperature_range,
)
from steadypoint.spread._uncertainty import Uncertainty, combined_uncertainty, uncertainty
from steadypoint.spread._variance_shares import VarianceShare, variance_shares
from steadypoint.spread._variation import Shape, Variation, read_variation, tolerances, with_shape
from steadypoint.spread._warming import WarmCause, Warming, WarmShift, warm_shift
from steadypoint.spread._worst_case import Extremes, WorstCase, end_words, worst_case

__all__ = [
    "Alone",
    "BeforeAfter",
    "Change",
    "Column",
    "Extremes",
    "MonteCarlo",
    "Moved",
    "QuantitySpread",
    "Reading",
    "RegionChange",
    "Runaway",
    "Sampler",
    "Shape",
    "Stability",
    "TemperatureRange",
    "Uncertainty",
    "VarianceShare",
    "Variation",
    "WarmCause",
    "WarmShift",
    "Warming",
    "WorstCase",
    "Yield",
    "before_and_after",
    "column",
    "combined_uncertainty",
    "each_alone",
    "end_words",
    "in_percent",
    "monte_carlo",
    "read_changes",
    "read_variation",
    "reading",
    "regions_at",
    "runaway",
    "share_interval",
    "stability",
    "temperature_range",
    "tolerances",
    "uncertainty",
    "usual_readings",
    "variance_shares",
    "warm_shift",
    "with_shape",
    "worst_case",
]
