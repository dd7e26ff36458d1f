"""Tolerances: per cent as typed, and the letters of IEC 60062."""

from __future__ import annotations

import re
from typing import Final

from steadypoint.errors import QuantityError
from steadypoint.values._decimal import tidy
from steadypoint.values._reading import quoted

#: Symmetrical tolerances in per cent by letter, IEC 60062:2016, table of clause 5.
TOLERANCE_LETTERS: Final[dict[str, float]] = {
    "E": 0.00005,
    "L": 0.0001,
    "P": 0.0002,
    "W": 0.0005,
    "B": 0.001,
    "C": 0.0025,
    "D": 0.005,
    "F": 0.01,
    "G": 0.02,
    "H": 0.03,
    "J": 0.05,
    "K": 0.1,
    "M": 0.2,
    "N": 0.3,
}

_PER_CENT: Final = re.compile(r"(?:±|\+/-|\+-)?\s*([0-9]+(?:\.[0-9]*)?|\.[0-9]+)\s*(?:%|per ?cent)")
_EXAMPLE: Final = "Write ±5%, 5 % or 0.5 %."


def read_tolerance(text: str) -> float:
    """Read a symmetrical tolerance.

    Parameters
    ----------
    text : str
        Per cent with or without ± (``±5%``, ``5 %``), or the letter of IEC 60062 (``J``).

    Returns
    -------
    float
        Relative tolerance, 0.05 for ±5 %. [-]

    Raises
    ------
    QuantityError
        If the text is no tolerance, or one of 0 % or of 100 % and more.

    Examples
    --------
    >>> read_tolerance("±5%"), read_tolerance("J")
    (0.05, 0.05)
    """
    stripped = text.strip()
    if stripped in TOLERANCE_LETTERS:
        return TOLERANCE_LETTERS[stripped]
    if "," in stripped:
        raise QuantityError(
            f"'{quoted(text)}' has a comma. Write the decimal mark as a point, as in 0.5 %."
        )
    match = _PER_CENT.fullmatch(stripped)
    if not match:
        raise QuantityError(f"'{quoted(text)}' is not a tolerance. {_EXAMPLE}")
    tolerance = float(f"{match[1]}e-2")
    if not 0 < tolerance < 1:
        raise QuantityError(
            f"A tolerance of {match[1]} % is out of reason. Write one between 0 % and 100 %."
        )
    return tolerance


def tolerance_letter(tolerance: float) -> str:
    """Letter of IEC 60062 for a relative tolerance.

    Parameters
    ----------
    tolerance : float
        Relative tolerance. [-]

    Raises
    ------
    QuantityError
        If the standard has no letter for it.

    Examples
    --------
    >>> tolerance_letter(0.05)
    'J'
    """
    for letter, value in TOLERANCE_LETTERS.items():
        if tidy(value) == tidy(tolerance):
            return letter
    known = ", ".join(f"{tidy(100 * v):f}" for v in TOLERANCE_LETTERS.values())
    raise QuantityError(
        f"IEC 60062 has no letter for ±{tidy(100 * tolerance):f} %. Choose one of {known} %."
    )
