"""Floats in, floats out: the arithmetic that every solver shares."""

from steadypoint.kernels._bipolar import transport_currents, transport_slopes
from steadypoint.kernels._diode import static_diode
from steadypoint.kernels._exponential import exponential
from steadypoint.kernels._fet import StaticFet, channel, static_fet
from steadypoint.kernels._junction import junction, leakage, limited
from steadypoint.kernels._static_bipolar import StaticBipolar, static_bipolar, transport
from steadypoint.kernels._static_bipolar_float import static_bipolar_float

__all__ = [
    "StaticBipolar",
    "StaticFet",
    "channel",
    "exponential",
    "junction",
    "leakage",
    "limited",
    "static_bipolar",
    "static_bipolar_float",
    "static_diode",
    "static_fet",
    "transport",
    "transport_currents",
    "transport_slopes",
]
