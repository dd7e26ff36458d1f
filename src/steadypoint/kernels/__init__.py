"""Floats in, floats out: the arithmetic that every solver shares."""

from steadypoint.kernels._bipolar import transport_currents, transport_slopes
from steadypoint.kernels._junction import junction, leakage, limited

__all__ = ["junction", "leakage", "limited", "transport_currents", "transport_slopes"]
