"""Operating points on the three rungs of the model ladder."""

from steadypoint.solve._json import to_dict
from steadypoint.solve._point import Model, OperatingPoint, PartPoint, Region, TransistorPoint
from steadypoint.solve._ports import LoadLineEnds, Thevenin, load_line_ends, thevenin
from steadypoint.solve._solve import operating_point

__all__ = [
    "LoadLineEnds",
    "Model",
    "OperatingPoint",
    "PartPoint",
    "Region",
    "Thevenin",
    "TransistorPoint",
    "load_line_ends",
    "operating_point",
    "thevenin",
    "to_dict",
]
