"""How symbols and figures are shown; where the printers meet ``steadypoint.values``."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from steadypoint.derive._expr import Number
from steadypoint.values._symbols import split_symbol
from steadypoint.values._writing import shown


@dataclass(frozen=True, slots=True)
class Letters:
    """A symbol's base letter and its subscript (empty when it has none)."""

    base: str
    sub: str


@lru_cache(maxsize=1024)
def letters(name: str) -> Letters:
    """Base and subscript of a symbol's name.

    Examples
    --------
    >>> letters("V_BE"), letters("RB"), letters("V_CE_sat").sub
    (Letters(base='V', sub='BE'), Letters(base='R', sub='B'), 'CE,sat')
    """
    parts = split_symbol(name)
    return Letters(parts.base, parts.sub)


@dataclass(frozen=True, slots=True)
class Figure:
    """A number as it is shown: the digits with a true minus, and the unit with its prefix."""

    digits: str
    unit: str

    @property
    def negative(self) -> bool:
        """True when the figure begins with a minus."""
        return self.digits.startswith("−")


def figure(number: Number) -> Figure:
    """Digits and unit of a number; given values are shown as stated, results with their digits."""
    if not number.unit:
        return Figure(_pure(number), "")
    if number.value == 0.0:
        return Figure("0", number.unit)
    parts = shown(number.value, number.unit, None if number.given else number.digits)
    return Figure(parts.number, parts.unit)


def stated_digits(value: float, most: int = 6) -> int:
    """Significant digits that a stated value needs, at most ``most``."""
    if value == 0.0:
        return 1
    text = f"{abs(value):.{most - 1}e}".partition("e")[0].replace(".", "").rstrip("0")
    return max(1, len(text))


def _pure(number: Number) -> str:
    value = number.value
    if value == int(value) and abs(value) < 1e5:
        text = str(int(value))
    else:
        digits = stated_digits(value, 5) if number.given else number.digits
        exponent = math.floor(math.log10(abs(value))) if value else 0
        if -4 < exponent < 5:
            text = f"{value:.{max(digits - 1 - exponent, 0)}f}"
        else:
            mantissa = f"{value / 10.0**exponent:.{digits - 1}f}"
            text = f"{mantissa} × 10^{exponent}"
    return text.replace("-", "−")
