"""Operating points on the three rungs of the model ladder."""

from steadypoint.solve._json import to_dict
from steadypoint.solve._point import Model, OperatingPoint, PartPoint, Region, TransistorPoint
from steadypoint.solve._solve import operating_point

__all__ = [
    "Model",
    "OperatingPoint",
    "PartPoint",
    "Region",
    "TransistorPoint",
    "operating_point",
    "to_dict",
]
