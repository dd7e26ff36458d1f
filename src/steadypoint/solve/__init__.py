"""Operating points on the three rungs of the model ladder."""

from steadypoint.solve._point import Model, OperatingPoint, PartPoint, Region, TransistorPoint
from steadypoint.solve._ports import LoadLineEnds, Thevenin, load_line_ends, thevenin

__all__ = [
    "LoadLineEnds",
    "Model",
    "OperatingPoint",
    "PartPoint",
    "Region",
    "Thevenin",
    "TransistorPoint",
    "load_line_ends",
    "thevenin",
]
