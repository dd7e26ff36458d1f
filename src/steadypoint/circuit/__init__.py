"""The circuit, its sheet and the arrangements."""

from steadypoint.circuit._arrangements import Arrangement, arrangement, arrangements
from steadypoint.circuit._at_temperature import at_temperature, follows_temperature, value_at
from steadypoint.circuit._check import check
from steadypoint.circuit._files import read_text_file
from steadypoint.circuit._model import GROUND, Circuit, Kind, Part, PlaceHint, add_view
from steadypoint.circuit._reader import load_sheet, read_sheet
from steadypoint.circuit._setting import apply_setting
from steadypoint.circuit._writer import write_sheet

__all__ = [
    "GROUND",
    "Arrangement",
    "Circuit",
    "Kind",
    "Part",
    "PlaceHint",
    "add_view",
    "apply_setting",
    "arrangement",
    "arrangements",
    "at_temperature",
    "check",
    "follows_temperature",
    "load_sheet",
    "read_sheet",
    "read_text_file",
    "value_at",
    "write_sheet",
]
