"""Reading of the quantities that people type."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from typing import Final

from steadypoint.errors import QuantityError
from steadypoint.values._quantity import Quantity
from steadypoint.values._units import SPELLINGS, TYPED_PREFIXES, UNITS, Unit, unit_of
from steadypoint.values._writing import KELVIN_OFFSET

# Minus, hyphens and dashes that editors put in the place of a minus.
_MINUS: Final = "-\u2010\u2011\u2012\u2013\u2212\ufe63\uff0d"
_SPACES: Final = " \t\u00a0\u2007\u2009\u202f"
_CELSIUS: Final = ("°C", "℃", "degC", "deg C", "C", "º C", "ºC", "° C")  # units: allow
_LONGEST: Final = 60

_NUMBER: Final = re.compile(
    r"(?P<mantissa>[0-9]{1,3}(?: [0-9]{3})+(?:\.[0-9]*)?|[0-9]+(?:\.[0-9]*)?|\.[0-9]+)"
    r"(?:[eE](?P<power>[+-]?[0-9]{1,4})(?![0-9])"
    r"| ?[×*·] ?10(?:\^\(?(?P<caret>[+-]?[0-9]{1,4})\)?|(?P<raised>[⁺⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]{1,4})))?"
    r" ?(?P<unit>.*)"
)
_LETTER_FORM: Final = re.compile(
    r"(?P<whole>[0-9]*)(?P<letter>(?![eE])[^\W\d_])(?P<part>[0-9]+) ?(?P<unit>.*)"
)
_RAISED: Final = str.maketrans("⁺⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "+-0123456789")


def read_quantity(text: str, unit: str) -> Quantity:
    """Read a quantity as people type it.

    Parameters
    ----------
    text : str
        For instance ``3k3``, ``3.3 kΩ``, ``4R7``, ``10u``, ``-9 V`` or ``25 °C``. The rules stand
        in ``docs/reference-values.md``.
    unit : str
        SI unit that is wanted; a text without a unit is taken in it. With ``°C`` a temperature may
        be a bare number of degrees Celsius; the value is in kelvin all the same.

    Returns
    -------
    Quantity
        Value in the SI unit, with its stated digits and the text.

    Raises
    ------
    QuantityError
        If the text is no such quantity; the sentence says what to write.

    Examples
    --------
    >>> read_quantity("3k3", "Ω").value, read_quantity("3k3", "Ω").digits
    (3300.0, 2)
    >>> read_quantity("25 °C", "K").value
    298.15
    >>> read_quantity("3kk3", "Ω")
    Traceback (most recent call last):
        ...
    steadypoint.errors._tree.QuantityError: '3kk3' is not a resistance. Write 3k3, 3.3k or 3300.
    """
    if unit == "°C":
        bare = text.strip() and text.strip()[-1] in "0123456789."
        celsius = read_quantity(f"{text} °C" if bare else text, "K")
        return replace(celsius, written=text.strip())
    wanted = unit_of(unit)
    sign, body = _sign_and_body(text, wanted)
    if "," in body:
        raise QuantityError(
            f"'{quoted(text)}' has a comma. Write the decimal mark as a point and leave out the "
            f"mark of thousands: {wanted.example}."
        )
    if wanted.symbol == "K":
        return _read_temperature(text, sign, body, wanted)
    match = _LETTER_FORM.fullmatch(body)
    if match:
        decimal, exponent = _letter_form(text, match, wanted)
        digits = stated_digits(decimal)
    else:
        match = _NUMBER.fullmatch(body)
        if not match:
            raise _no_quantity(text, wanted)
        decimal = match["mantissa"].replace(" ", "")
        power = _power(match)
        exponent = _exponent(text, match["unit"], wanted)
        if power is not None and exponent:
            raise QuantityError(
                f"'{quoted(text)}' has a power of ten and a prefix. Write one of them: "
                f"{wanted.example}."
            )
        exponent += power or 0
        digits = stated_digits(decimal)
    value = float(f"{sign}{decimal}e{exponent}")
    if value in (float("inf"), float("-inf")):
        raise QuantityError(
            f"'{quoted(text)}' is larger than any {wanted.name.split(' ', 1)[1]}. "
            f"Write {wanted.example}."
        )
    return Quantity(value + 0.0, wanted.symbol, digits, text.strip())


def stated_digits(decimal: str) -> int:
    """Significant digits of a number as it is typed.

    Leading zeros never count; zeros at the end count behind a decimal point (``3.30`` states three
    digits, ``3300.`` four) and do not count in a whole number (``3300`` states two). Zero states
    one.

    Parameters
    ----------
    decimal : str
        Digits with at most one decimal point, without sign and exponent.

    Examples
    --------
    >>> [stated_digits(t) for t in ("3.3", "3.30", "0.65", "3300", "3300.", "0")]
    [2, 3, 2, 2, 4, 1]
    """
    figures = decimal.replace(".", "").lstrip("0")
    if "." not in decimal:
        figures = figures.rstrip("0")
    return max(1, len(figures))


def quoted(text: str) -> str:
    """A text from outside as a sentence shows it: one line, without control characters."""
    clean = "".join(c if c.isprintable() else " " for c in text.strip())
    return clean if len(clean) <= _LONGEST else f"{clean[: _LONGEST - 3]}..."


def _sign_and_body(text: str, wanted: Unit) -> tuple[str, str]:
    body = text.strip()
    if not body:
        raise QuantityError(f"Here {wanted.name} is missing. Write {wanted.example}.")
    body = re.sub(f"[{_SPACES}]+", " ", body)
    body = re.sub(f"[{_MINUS}]", "-", body)
    sign = ""
    if body[0] in "+-":
        sign, body = body[0], body[1:].lstrip()
    return sign, body


def _power(match: re.Match[str]) -> int | None:
    if match["power"] or match["caret"]:
        return int(match["power"] or match["caret"])
    return int(match["raised"].translate(_RAISED)) if match["raised"] else None


def _letter_form(text: str, match: re.Match[str], wanted: Unit) -> tuple[str, int]:
    """Number and exponent of ``3k3``, ``R47``, ``2V7``."""
    letter = match["letter"]
    decimal = f"{match['whole'] or '0'}.{match['part']}"
    if not wanted.symbol:
        raise _no_quantity(text, wanted)
    if match["unit"] and SPELLINGS.get(match["unit"]) != wanted.symbol:
        raise _other_or_none(text, SPELLINGS.get(match["unit"]), wanted)
    if letter in wanted.points:
        return decimal, 0
    exponent = _prefix_exponent(letter, wanted)
    if exponent is None:
        others = [u for u in UNITS.values() if letter in u.points]
        raise _other_or_none(text, others[0].symbol if others else None, wanted)
    return decimal, exponent


def _prefix_exponent(prefix: str, wanted: Unit) -> int | None:
    if prefix and not wanted.prefixed:
        return None
    # K and L are the letters of IEC 60062 for a thousand and a thousandth of an ohm; with any other
    # unit K would be the kelvin.
    if prefix in ("K", "L") and wanted.symbol == "Ω":
        return 3 if prefix == "K" else -3
    return TYPED_PREFIXES.get(prefix)


def _exponent(text: str, typed: str, wanted: Unit) -> int:
    """Power of ten of a typed unit with its prefix."""
    typed = typed.strip()
    if not typed:
        return 0
    if typed in dict(wanted.scaled):
        return dict(wanted.scaled)[typed]
    for spelling in sorted((*wanted.spellings, ""), key=len, reverse=True):
        if typed.endswith(spelling):
            prefix = typed.removesuffix(spelling)
            exponent = _prefix_exponent(prefix, wanted)
            if exponent is not None:
                return exponent
    for spelling in wanted.spellings:
        if typed == f"K{spelling}" and wanted.prefixed:
            raise QuantityError(
                f"'{quoted(text)}' writes kilo as a capital K, which is the kelvin. "
                f"Write k{wanted.symbol}, as in 1.5 k{wanted.symbol}."
            )
    raise _other_or_none(text, _unit_in(typed), wanted)


def _unit_in(typed: str) -> str | None:
    """Symbol of the unit that a text with an optional prefix names, or None."""
    for prefix in ("", *TYPED_PREFIXES):
        if prefix and not typed.startswith(prefix):
            continue
        symbol = SPELLINGS.get(typed.removeprefix(prefix))
        if symbol:
            return symbol
    return "K" if typed in _CELSIUS else None


def _other_or_none(text: str, found: str | None, wanted: Unit) -> QuantityError:
    if found and found != wanted.symbol:
        return QuantityError(
            f"'{quoted(text)}' is {UNITS[found].name}, not {wanted.name}. Write {wanted.example}."
        )
    return _no_quantity(text, wanted)


def _no_quantity(text: str, wanted: Unit) -> QuantityError:
    return QuantityError(f"'{quoted(text)}' is not {wanted.name}. Write {wanted.example}.")


def _read_temperature(text: str, sign: str, body: str, wanted: Unit) -> Quantity:
    match = _NUMBER.fullmatch(body)
    if not match or _power(match) is not None:
        raise _no_quantity(text, wanted)
    decimal = match["mantissa"].replace(" ", "")
    typed = match["unit"].strip()
    number = Decimal(f"{sign}{decimal}")
    if not typed:
        raise QuantityError(f"'{quoted(text)}' does not name its scale. Write {wanted.example}.")
    if typed in _CELSIUS:
        number += KELVIN_OFFSET
    elif typed in ("°K", "ºK"):  # units: allow
        raise QuantityError(f"'{quoted(text)}' has a degree sign before K. Write {wanted.example}.")
    elif typed not in wanted.spellings:
        raise _other_or_none(text, _unit_in(typed), wanted)
    if number < 0:
        raise QuantityError(f"'{quoted(text)}' lies below absolute zero. Write {wanted.example}.")
    return Quantity(float(number), "K", stated_digits(decimal), text.strip())
