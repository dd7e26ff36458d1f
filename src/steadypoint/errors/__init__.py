"""The error tree: every fault that a reader of Steadypoint can cause or meet.

Each error's text is one clear sentence (or a located block ending in one): where, what, and what to
do instead. A traceback that reaches a reader means a fault of ours.
"""

from steadypoint.errors._tree import (
    CircuitError,
    ConvergenceError,
    DerivationError,
    DeviceError,
    LessonError,
    LocatedError,
    NoSolutionError,
    OutputError,
    QuantityError,
    SheetError,
    SolveError,
    SteadypointError,
    TextFileError,
    ThemeError,
    ThermalRunawayError,
    UnknownNameError,
    did_you_mean,
)

__all__ = [
    "CircuitError",
    "ConvergenceError",
    "DerivationError",
    "DeviceError",
    "LessonError",
    "LocatedError",
    "NoSolutionError",
    "OutputError",
    "QuantityError",
    "SheetError",
    "SolveError",
    "SteadypointError",
    "TextFileError",
    "ThemeError",
    "ThermalRunawayError",
    "UnknownNameError",
    "did_you_mean",
]
