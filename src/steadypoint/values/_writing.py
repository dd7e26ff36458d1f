"""Writing of quantities as people read them."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Final, NamedTuple

from steadypoint.errors import QuantityError
from steadypoint.values._decimal import Halves, shortest, tidy, to_digits
from steadypoint.values._units import PREFIXES, unit_of

NARROW_SPACE: Final = "\u202f"
MINUS: Final = "\u2212"
KELVIN_OFFSET: Final = Decimal("273.15")  # exact, SI Brochure, 9th ed., section 2.3.1

_PREFIX_OF: Final = {exponent: prefix for prefix, exponent in PREFIXES.items()}
_SUPERSCRIPTS: Final = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
# Pure numbers are written without a power of ten between these powers.
_PLAIN_POWERS: Final = range(-4, 6)


class Shown(NamedTuple):
    """A quantity as it is set: its number and its unit.

    Parameters
    ----------
    number : str
        Figures with decimal mark and sign.
    unit : str
        Unit with its prefix; empty for a pure number.
    """

    number: str
    unit: str

    def join(self, space: str = NARROW_SPACE) -> str:
        """Number and unit with a space between them."""
        return f"{self.number}{space}{self.unit}" if self.unit else self.number


def shown(
    value: float,
    unit: str = "",
    digits: int | None = 3,
    *,
    prefix: str | None = None,
    decimal_mark: str = ".",
    plain: bool = False,
    halves: Halves = "away",
) -> Shown:
    """Number and unit of a quantity, for a typesetter.

    Parameters
    ----------
    value : float
        Value in the SI unit; kelvin for ``°C``, 0.05 for ``%``.
    unit : str
        SI unit without prefix, or ``°C`` or ``%``, or empty for a pure number.
    digits : int or None, default 3
        Significant digits; None writes the digits that the value has, at most twelve. [-]
    prefix : str, optional
        Prefix to use whatever the size, so that the figures of a column share their unit.
    decimal_mark : {".", ","}
        Decimal mark.
    plain : bool, default False
        ASCII minus instead of the true one.
    halves : {"away", "even"}
        Rule for figures that lie exactly halfway, see `round_to`.

    Returns
    -------
    Shown
        Number with the true minus U+2212, and unit.

    Raises
    ------
    QuantityError
        If the value is not a number, or the unit or prefix is unknown.

    Examples
    --------
    >>> shown(0.00374, "A")
    Shown(number='3.74', unit='mA')
    """
    if math.isnan(value):
        raise QuantityError("A value that is not a number cannot be written.")
    if digits is not None and digits < 1:
        raise QuantityError(f"{digits} significant digits cannot be written. Ask for at least 1.")
    if decimal_mark not in (".", ","):
        raise QuantityError(f"'{decimal_mark}' is no decimal mark. Use '.' or ','.")
    if prefix is not None and prefix not in PREFIXES:
        known = ", ".join(p for p in PREFIXES if p)
        raise QuantityError(f"'{prefix}' is no prefix that is written. Use one of {known}.")
    number, shown_unit = _parts(value, unit, digits, prefix, halves)
    number = number.replace(".", decimal_mark)
    return Shown(number if plain else number.replace("-", MINUS), shown_unit)


def format_quantity(
    value: float,
    unit: str = "",
    digits: int | None = 3,
    *,
    prefix: str | None = None,
    decimal_mark: str = ".",
    plain: bool = False,
    halves: Halves = "away",
) -> str:
    """A quantity as people read it.

    Parameters
    ----------
    value : float
        Value in the SI unit; kelvin for ``°C``, 0.05 for ``%``.
    unit : str, default ""
        SI unit without prefix, or ``°C`` or ``%``, or empty for a pure number.
    digits : int or None, default 3
        Significant digits; None writes the digits that the value has, at most twelve. [-]
    prefix, decimal_mark : str
        As for `shown`.
    plain : bool, default False
        For terminals and files: ASCII minus and an ordinary space, instead of the true minus U+2212
        and the narrow no-break space U+202F.
    halves : {"away", "even"}
        As for `shown`.

    Returns
    -------
    str
        Number, space and unit.

    Raises
    ------
    QuantityError
        As for `shown`.

    Examples
    --------
    >>> format_quantity(3300.0, "Ω", plain=True)
    '3.30 kΩ'
    >>> format_quantity(298.15, "°C", 2, plain=True), format_quantity(0.05, "%", 1, plain=True)
    ('25 °C', '5 %')
    >>> format_quantity(999.96, "Hz", 4, plain=True), format_quantity(3300.0, "Ω", None, plain=True)
    ('1.000 kHz', '3.3 kΩ')
    """
    parts = shown(
        value,
        unit,
        digits,
        prefix=prefix,
        decimal_mark=decimal_mark,
        plain=plain,
        halves=halves,
    )
    return parts.join(" " if plain else NARROW_SPACE)


def _parts(
    value: float, unit: str, digits: int | None, prefix: str | None, halves: Halves
) -> tuple[str, str]:
    if unit == "°C":
        if math.isinf(value):
            return _infinite(value), unit
        celsius = shortest(value) - KELVIN_OFFSET
        return _figures(_rounded(float(celsius), digits, halves)), unit
    if unit == "%":
        if math.isinf(value):
            return _infinite(value), unit
        return _figures(_rounded(float(shortest(value) * 100), digits, halves)), unit
    entry = unit_of(unit)
    if math.isinf(value):
        return _infinite(value), f"{prefix or ''}{entry.symbol}"
    number = _rounded(value, digits, halves)
    if prefix and not entry.prefixed:
        raise QuantityError(f"{entry.name.capitalize()} takes no prefix, so not '{prefix}'.")
    if prefix is not None and number:
        return _figures(number.scaleb(-PREFIXES[prefix])), f"{prefix}{entry.symbol}"
    if not number:
        return "0", f"{prefix or ''}{entry.symbol}"
    if not entry.prefixed:
        if number.adjusted() in _PLAIN_POWERS:
            return _figures(number), entry.symbol
        return _power_of_ten(number), entry.symbol
    exponent = 3 * (number.adjusted() // 3)
    if exponent == -3 and abs(number) >= Decimal(str(entry.stays_from)):
        exponent = 0
    if exponent not in _PREFIX_OF:
        return _power_of_ten(number), entry.symbol
    return _figures(number.scaleb(-exponent)), f"{_PREFIX_OF[exponent]}{entry.symbol}"


def _rounded(value: float, digits: int | None, halves: Halves) -> Decimal:
    if value == 0:
        return Decimal(0)
    return tidy(value) if digits is None else to_digits(shortest(value), digits, halves)


def _figures(number: Decimal) -> str:
    """Positional notation; digits before the mark that are not significant become zeros."""
    return f"{number:f}"


def _power_of_ten(number: Decimal) -> str:
    power = number.adjusted()
    return f"{number.scaleb(-power):f} × 10{str(power).translate(_SUPERSCRIPTS)}"


def _infinite(value: float) -> str:
    return "∞" if value > 0 else "-∞"
