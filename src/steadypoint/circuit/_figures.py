"""Values as a sheet states them: short, and exact on reading back."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Final

from steadypoint.errors import QuantityError
from steadypoint.values import Quantity, read_quantity

_PREFIXES: Final = (
    (9, "G"),
    (6, "M"),
    (3, "k"),
    (0, ""),
    (-3, "m"),
    (-6, "u"),
    (-9, "n"),
    (-12, "p"),
)
_STATED_ZEROS: Final = re.compile(r"\d*(?:\.|[A-Za-zµΩ])\d*0(?!\d)")


def sheet_value(quantity: Quantity) -> str:
    """A quantity as a sheet writes it.

    Resistances and reactances take the letter code (``3k3``, ``R47``, ``10u``), other quantities a
    number, a space and the unit (``9 V``). Zeros that the author stated behind the point stay.

    Parameters
    ----------
    quantity : Quantity
        Finite value.

    Returns
    -------
    str
        Text that reads back as the same value.
    """
    if quantity.unit == "K":
        return _temperature(quantity)
    number = Decimal(repr(quantity.value)).normalize()
    text = _prefixed(number, quantity)
    if read_quantity(text, quantity.unit).value == quantity.value:
        return text
    return f"{quantity.value!r} {quantity.unit}".strip()


def read_option(text: str, symbol: str, unit: str) -> Quantity:
    """Quantity of an option as people type it; a B value is in kelvins, with or without the unit.

    Raises
    ------
    QuantityError
        If the text is no such quantity.
    """
    if symbol != "B":
        return read_quantity(text, unit)
    if "C" in text or "℃" in text:
        raise QuantityError(f"'{text}' is a temperature. A B value is in kelvins: B 3950 K.")
    bare = text.strip().removesuffix("K")
    try:
        found = read_quantity(bare, "")
    except QuantityError:
        raise QuantityError(f"'{text}' is not a B value. Write it in kelvins: B 3950 K.") from None
    return Quantity(found.value, "K", found.digits, text.strip())


def sheet_option(symbol: str, quantity: Quantity) -> str:
    """Value of an option as a sheet writes it."""
    if symbol == "B":
        return f"{Decimal(repr(quantity.value)).normalize():f} K"
    if quantity.unit == "K⁻¹":
        text = f"{(Decimal(repr(quantity.value)) * 10**6).normalize():f} ppm/K"
        return text if read_quantity(text, "K⁻¹").value == quantity.value else repr(quantity.value)
    return sheet_value(quantity)


def sheet_tolerance(tolerance: float) -> str:
    """A relative tolerance as a sheet writes it, ``±5%`` for 0.05."""
    return f"±{(Decimal(repr(tolerance)) * 100).normalize():f}%"


def _prefixed(number: Decimal, quantity: Quantity) -> str:
    if not quantity.unit:
        return f"{number:f}" if -6 <= number.adjusted() <= 15 else f"{quantity.value!r}"
    exponent, prefix = _prefix(number, quantity.unit)
    figures = _with_stated_zeros(number.scaleb(-exponent), quantity)
    if quantity.unit in ("Ω", "F", "H"):
        return _letter_code(figures, prefix or ("R" if quantity.unit == "Ω" else ""), quantity.unit)
    return f"{figures} {prefix}{quantity.unit}"


def _prefix(number: Decimal, unit: str) -> tuple[int, str]:
    """Prefix by size; 0.65 V and R47 stay without, as the trade writes them."""
    if unit == "V/K":
        return -3, "m"
    if not number or unit == "V⁻¹" or (unit in ("V", "Ω", "W") and number.adjusted() == -1):
        return 0, ""
    return next(((e, p) for e, p in _PREFIXES if number.adjusted() >= e), _PREFIXES[-1])


def _with_stated_zeros(number: Decimal, quantity: Quantity) -> str:
    digits = quantity.digits
    if digits and _STATED_ZEROS.search(quantity.written):
        places = digits - 1 - number.adjusted()
        if 0 < places <= 12 and -number.as_tuple().exponent < places:  # type: ignore[operator]
            number = number.quantize(Decimal(1).scaleb(-places))
    return f"{number:f}"


def _letter_code(figures: str, letter: str, unit: str) -> str:
    whole, point, part = figures.partition(".")
    if not letter:
        return f"{figures} {unit}"
    if not point:
        return whole if letter == "R" else whole + letter
    return f"{'' if whole == '0' else whole}{letter}{part}"


def _temperature(quantity: Quantity) -> str:
    celsius = Decimal(repr(quantity.value)) - Decimal("273.15")
    text = f"{celsius.normalize():f} °C"
    if read_quantity(text, "K").value == quantity.value:
        return text
    return f"{quantity.value!r} K"
