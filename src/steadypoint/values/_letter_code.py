"""The letter and digit code of IEC 60062 for values."""

from __future__ import annotations

import math
import re
from decimal import Decimal
from typing import Final

from steadypoint.errors import QuantityError
from steadypoint.values._decimal import tidy
from steadypoint.values._quantity import Quantity
from steadypoint.values._reading import quoted, stated_digits
from steadypoint.values._units import unit_of
from steadypoint.values._writing import format_quantity

# IEC 60062:2016, clause 5: letters for the multiplier, which stand where the decimal point would.
# V follows by trade usage (zener diodes are marked 5V1), common practice, no source.
_LETTERS: Final[dict[str, dict[str, int]]] = {
    "Ω": {"R": 0, "K": 3, "M": 6, "G": 9, "T": 12},
    "F": {"p": -12, "n": -9, "µ": -6, "m": -3, "F": 0},
    "V": {"V": 0},
}
_ALSO_READ: Final[dict[str, dict[str, int]]] = {
    "Ω": {"r": 0, "k": 3, "L": -3, "m": -3, "Ω": 0, "\u2126": 0},
    "F": {"u": -6, "μ": -6},
    "V": {"m": -3},
}
_MOST_DIGITS: Final = 4
_CODE: Final = re.compile(r"([0-9]*)([^\W\d_])([0-9]*)")


def letter_code(value: float, unit: str = "Ω", *, kilo: str = "K", micro: str = "µ") -> str:
    """Letter code of a value.

    Parameters
    ----------
    value : float
        Positive value of at most four significant digits. [unit]
    unit : {"Ω", "F", "V"}, default "Ω"
        Resistance, capacitance, or voltage (zener diodes, trade usage).
    kilo : {"K", "k"}, default "K"
        The standard prints ``4K7``; many circuit diagrams write ``4k7``.
    micro : {"µ", "u"}, default "µ"
        Letter for a millionth.

    Returns
    -------
    str
        At least two significant places, as the standard's examples: ``1R0``, ``10R``, ``R47``.

    Raises
    ------
    QuantityError
        If the value is not positive and finite, has more than four digits, or the unit has no
        letter code.

    References
    ----------
    IEC 60062:2016, Marking codes for resistors and capacitors, clause 5.

    Examples
    --------
    >>> letter_code(4700.0), letter_code(4700.0, kilo="k"), letter_code(0.47), letter_code(100.0)
    ('4K7', '4k7', 'R47', '100R')
    >>> letter_code(1e-7, "F"), letter_code(5.1, "V")
    ('100n', '5V1')
    """
    letters = _letters(unit)
    if not (math.isfinite(value) and value > 0):
        raise QuantityError("Only a finite value above zero has a letter code.")
    exact, text = tidy(value), format_quantity(value, unit, None, plain=True)
    if len(exact.as_tuple().digits) > _MOST_DIGITS:
        raise QuantityError(
            f"{text} has more than four significant digits, which no letter code holds. "
            "Round it first."
        )
    letter = _fitting(exact, letters)
    mantissa = exact.scaleb(-letters[letter])
    if mantissa >= 1000:
        raise QuantityError(f"{text} is too large for a letter code.")
    whole, _, part = f"{mantissa:f}".partition(".")
    # The standard prints two places at least: R10, 1R0.
    if len(f"{whole.lstrip('0')}{part}".lstrip("0")) == 1:
        part += "0"
    printed = {"K": kilo, "µ": micro}.get(letter, letter)
    return f"{'' if whole == '0' else whole}{printed}{part}"


def read_letter_code(text: str, unit: str = "Ω") -> Quantity:
    """Value of a letter code.

    Parameters
    ----------
    text : str
        For instance ``4K7``, ``4k7``, ``R47``, ``10R``, ``p10``, ``100n``, ``2V7``.
    unit : {"Ω", "F", "V"}, default "Ω"
        What is marked.

    Raises
    ------
    QuantityError
        If the text is no letter code of this unit.

    Examples
    --------
    >>> read_letter_code("4K7").value, read_letter_code("p10", "F").value
    (4700.0, 1e-13)
    """
    letters = {**_letters(unit), **_ALSO_READ[unit_of(unit).symbol]}
    match = _CODE.fullmatch(text.strip())
    if not match or match[2] not in letters or not (match[1] or match[3]):
        shown = ", ".join(letter_code(v, unit) for v in _EXAMPLES[unit_of(unit).symbol])
        raise QuantityError(
            f"'{quoted(text)}' is not the letter code of {unit_of(unit).name}. "
            f"Such codes are {shown}."
        )
    decimal = f"{match[1] or '0'}.{match[3]}" if match[3] else match[1]
    value = float(f"{decimal}e{letters[match[2]]}")
    return Quantity(value, unit_of(unit).symbol, stated_digits(decimal), text.strip())


_EXAMPLES: Final = {"Ω": (4700.0, 0.47, 100.0), "F": (4.7e-9, 1e-5, 1e-7), "V": (5.1, 2.7)}


def _letters(unit: str) -> dict[str, int]:
    symbol = unit_of(unit).symbol
    if symbol not in _LETTERS:
        raise QuantityError(f"There is no letter code for {unit_of(unit).name}. Use Ω, F or V.")
    return _LETTERS[symbol]


def _fitting(exact: Decimal, letters: dict[str, int]) -> str:
    """Letter with the largest multiplier not above the value, else the smallest one."""
    below = [name for name, power in letters.items() if exact >= Decimal(1).scaleb(power)]
    return max(below or [min(letters, key=letters.__getitem__)], key=letters.__getitem__)
