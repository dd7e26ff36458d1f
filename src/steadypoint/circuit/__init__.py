"""The circuit, its sheet and the arrangements."""

from steadypoint.circuit._model import GROUND, Circuit, Kind, Part

__all__ = ["GROUND", "Circuit", "Kind", "Part"]
