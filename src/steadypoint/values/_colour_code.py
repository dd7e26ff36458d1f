"""The colour code of IEC 60062 for resistors, as text."""

from __future__ import annotations

import math
import re
from typing import Final, NamedTuple

from steadypoint.errors import QuantityError, did_you_mean
from steadypoint.values._decimal import tidy
from steadypoint.values._reading import quoted
from steadypoint.values._writing import format_quantity

# IEC 60062:2016, table 1 (colours of bands, EN spelling).
DIGIT_COLOURS: Final = (
    "black",
    "brown",
    "red",
    "orange",
    "yellow",
    "green",
    "blue",
    "violet",
    "grey",
    "white",
)
MULTIPLIER_COLOURS: Final[dict[str, int]] = {
    "pink": -3,
    "silver": -2,
    "gold": -1,
    **{colour: power for power, colour in enumerate(DIGIT_COLOURS)},
}
#: Relative tolerance by colour. Grey is 0.01 % since the edition of 2016 (0.05 % before).
TOLERANCE_COLOURS: Final[dict[str, float]] = {
    "brown": 0.01,
    "red": 0.02,
    "orange": 0.0005,
    "yellow": 0.0002,
    "green": 0.005,
    "blue": 0.0025,
    "violet": 0.001,
    "grey": 0.0001,
    "gold": 0.05,
    "silver": 0.1,
}
#: Temperature coefficient by colour. [1/K]
COEFFICIENT_COLOURS: Final[dict[str, float]] = {
    "black": 250e-6,
    "brown": 100e-6,
    "red": 50e-6,
    "orange": 15e-6,
    "yellow": 25e-6,
    "green": 20e-6,
    "blue": 10e-6,
    "violet": 5e-6,
    "grey": 1e-6,
}
NO_BAND_TOLERANCE: Final = 0.2
_OTHER_NAMES: Final = {"gray": "grey", "purple": "violet"}


class ColourMarking(NamedTuple):
    """What the bands of a resistor say.

    Parameters
    ----------
    value : float
        Resistance. [Ω]
    tolerance : float
        Relative tolerance. [-]
    coefficient : float or None
        Temperature coefficient of the resistance, if marked. [1/K]
    """

    value: float
    tolerance: float
    coefficient: float | None


def colour_code(
    value: float,
    tolerance: float = 0.05,
    *,
    bands: int | None = None,
    coefficient: float | None = None,
) -> str:
    """Colours of a resistor's bands, in the order of reading.

    Parameters
    ----------
    value : float
        Resistance of at most three significant digits. [Ω]
    tolerance : float, default 0.05
        Relative tolerance that has a colour. [-]
    bands : {4, 5, 6}, optional
        Without it, 6 when a coefficient is given, 4 for tolerances of 5 % and wider where two
        digits are enough, else 5.
    coefficient : float, optional
        Temperature coefficient, for the sixth band. [1/K]

    Raises
    ------
    QuantityError
        If the value, tolerance or coefficient cannot be shown by the bands.

    References
    ----------
    IEC 60062:2016, Marking codes for resistors and capacitors, clause 3.

    Examples
    --------
    >>> colour_code(4700.0)
    'yellow violet red gold'
    >>> colour_code(4700.0, 0.01)
    'yellow violet black brown brown'
    """
    if not (math.isfinite(value) and value > 0):
        raise QuantityError("Only a finite resistance above zero has a colour code.")
    exact = tidy(value)
    figures = "".join(str(d) for d in exact.as_tuple().digits)
    if bands is None:
        wide = tolerance >= 0.05 and len(figures) <= 2
        bands = 6 if coefficient is not None else 4 if wide else 5
    if bands not in (4, 5, 6):
        raise QuantityError(f"A resistor has 4, 5 or 6 bands, not {bands}.")
    if (bands == 6) != (coefficient is not None):
        raise QuantityError("The sixth band and a temperature coefficient go together: give both.")
    count = 2 if bands == 4 else 3
    text = format_quantity(value, "Ω", None, plain=True)
    if len(figures) > count:
        raise QuantityError(
            f"{text} has more than the {count} digits that {bands} bands show. Round it first."
        )
    power = exact.adjusted() - count + 1
    multiplier = {p: colour for colour, p in MULTIPLIER_COLOURS.items()}.get(power)
    if multiplier is None:
        raise QuantityError(f"No colour multiplies to {text} with {bands} bands.")
    colours = [DIGIT_COLOURS[int(f)] for f in figures.ljust(count, "0")]
    colours += [multiplier, _colour_of(tolerance, TOLERANCE_COLOURS, "tolerance")]
    if coefficient is not None:
        colours.append(_colour_of(coefficient, COEFFICIENT_COLOURS, "temperature coefficient"))
    return " ".join(colours)


def read_colour_code(text: str) -> ColourMarking:
    """What a resistor's colours say.

    Parameters
    ----------
    text : str
        Three to six colours, separated by spaces, commas or hyphens. Three bands have no tolerance
        band and so ±20 %.

    Raises
    ------
    QuantityError
        If a colour is unknown or stands where it has no meaning.

    Examples
    --------
    >>> read_colour_code("yellow violet red gold")
    ColourMarking(value=4700.0, tolerance=0.05, coefficient=None)
    """
    colours = [_OTHER_NAMES.get(c, c) for c in re.split(r"[\s,;/-]+", text.strip().lower())]
    if not 3 <= len(colours) <= 6:
        raise QuantityError(
            f"'{quoted(text)}' does not name 3 to 6 bands. Write, for instance, "
            "yellow violet red gold."
        )
    for colour in colours:
        if colour not in MULTIPLIER_COLOURS:
            hint = did_you_mean(colour, MULTIPLIER_COLOURS)
            raise QuantityError(f"No band of a resistor is '{quoted(colour)}'.{hint}")
    count = 2 if len(colours) <= 4 else 3
    figures = ""
    for place, colour in enumerate(colours[:count], 1):
        if colour not in DIGIT_COLOURS:
            raise _no_meaning(colour, place, "a digit")
        figures += str(DIGIT_COLOURS.index(colour))
    if not figures.strip("0"):
        raise QuantityError("Bands that read 0 Ω mark a link, which is no resistor.")
    value = float(f"{figures}e{MULTIPLIER_COLOURS[colours[count]]}")
    tolerance, coefficient = NO_BAND_TOLERANCE, None
    if len(colours) > count + 1:
        tolerance = _meaning(colours, count + 1, TOLERANCE_COLOURS, "a tolerance")
    if len(colours) > count + 2:
        coefficient = _meaning(colours, count + 2, COEFFICIENT_COLOURS, "a temperature coefficient")
    return ColourMarking(value, tolerance, coefficient)


def _colour_of(value: float, table: dict[str, float], what: str) -> str:
    for colour, meaning in table.items():
        if tidy(meaning) == tidy(value):
            return colour
    raise QuantityError(f"No colour stands for a {what} of {tidy(value):f}.")


def _meaning(colours: list[str], index: int, table: dict[str, float], what: str) -> float:
    if colours[index] not in table:
        raise _no_meaning(colours[index], index + 1, what)
    return table[colours[index]]


def _no_meaning(colour: str, place: int, what: str) -> QuantityError:
    return QuantityError(
        f"Band {place} is {colour}, which stands for no {what.split(' ', 1)[1]}. "
        "Read the bands from the other end, or look again."
    )
