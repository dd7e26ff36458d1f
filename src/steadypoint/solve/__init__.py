"""Operating points on the three rungs of the model ladder, and linear one-ports."""

from steadypoint.solve._assumptions import Assumptions
from steadypoint.solve._board import Neglect
from steadypoint.solve._json import to_dict
from steadypoint.solve._many import solve_many, stream_many
from steadypoint.solve._many_points import FetColumns, ManyPoints, Outcome, TransistorColumns
from steadypoint.solve._point import (
    FetPoint,
    Model,
    OperatingPoint,
    PartPoint,
    Region,
    TransistorPoint,
)
from steadypoint.solve._ports import LoadLineEnds, Thevenin, load_line_ends, thevenin
from steadypoint.solve._solution import Method, Result, Solution, Stats
from steadypoint.solve._solve import neglects, operating_point, solve
from steadypoint.solve._tangent import Tangent, tangent

__all__ = [
    "Assumptions",
    "FetColumns",
    "FetPoint",
    "LoadLineEnds",
    "ManyPoints",
    "Method",
    "Model",
    "Neglect",
    "OperatingPoint",
    "Outcome",
    "PartPoint",
    "Region",
    "Result",
    "Solution",
    "Stats",
    "Tangent",
    "Thevenin",
    "TransistorColumns",
    "TransistorPoint",
    "load_line_ends",
    "neglects",
    "operating_point",
    "solve",
    "solve_many",
    "stream_many",
    "tangent",
    "thevenin",
    "to_dict",
]
