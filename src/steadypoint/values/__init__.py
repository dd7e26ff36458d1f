"""Quantities, letter codes, preferred values and letter symbols.

The rules of reading and writing stand in ``docs/reference-values.md``.
"""

from steadypoint.values._colour_code import ColourMarking, colour_code, read_colour_code
from steadypoint.values._decimal import round_to
from steadypoint.values._letter_code import letter_code, read_letter_code
from steadypoint.values._quantity import Quantity
from steadypoint.values._reading import read_quantity, stated_digits
from steadypoint.values._reasonable import reasonable
from steadypoint.values._series import (
    SERIES_TOLERANCE,
    at_least,
    at_most,
    is_in_series,
    nearest,
    neighbours,
    next_down,
    next_up,
    series,
    values_between,
)
from steadypoint.values._symbols import SymbolParts, split_symbol
from steadypoint.values._tolerance import TOLERANCE_LETTERS, read_tolerance, tolerance_letter
from steadypoint.values._writing import Shown, format_quantity, shown

__all__ = [
    "SERIES_TOLERANCE",
    "TOLERANCE_LETTERS",
    "ColourMarking",
    "Quantity",
    "Shown",
    "SymbolParts",
    "at_least",
    "at_most",
    "colour_code",
    "format_quantity",
    "is_in_series",
    "letter_code",
    "nearest",
    "neighbours",
    "next_down",
    "next_up",
    "read_colour_code",
    "read_letter_code",
    "read_quantity",
    "read_tolerance",
    "reasonable",
    "round_to",
    "series",
    "shown",
    "split_symbol",
    "stated_digits",
    "tolerance_letter",
    "values_between",
]
