"""Operating points on the three rungs of the model ladder."""

from steadypoint.solve._point import Model, OperatingPoint, PartPoint, Region, TransistorPoint

__all__ = ["Model", "OperatingPoint", "PartPoint", "Region", "TransistorPoint"]
