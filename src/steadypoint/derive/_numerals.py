"""Figures and units as English words."""

from __future__ import annotations

from typing import Final

_SMALL: Final = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
_TENS: Final = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]

# SI Brochure, 9th ed. (2019), tables 4 and 7
_PREFIXES: Final = {
    "f": "femto",
    "p": "pico",
    "n": "nano",
    "µ": "micro",
    "m": "milli",
    "k": "kilo",
    "M": "mega",
    "G": "giga",
}
_UNITS: Final = {
    "V": "volt",
    "A": "ampere",
    "Ω": "ohm",
    "W": "watt",
    "K": "kelvin",
    "F": "farad",
    "H": "henry",
    "S": "siemens",
}
_COMPOUND: Final = (("A/V²", "per square volt", "A"), ("V⁻¹", "per volt", ""))
_RUN_TOGETHER: Final = {"kiloohm": "kilohm", "megaohm": "megohm"}  # as spoken in the trade
_UNCHANGED: Final = ("kelvin", "siemens")


def whole_in_words(number: int) -> str:
    """A whole number from 0 to 999,999 in words.

    Examples
    --------
    >>> whole_in_words(151), whole_in_words(4700)
    ('one hundred and fifty-one', 'four thousand seven hundred')
    """
    if number < 20:
        return _SMALL[number]
    if number < 100:
        tens, ones = divmod(number, 10)
        return _TENS[tens - 2] + (f"-{_SMALL[ones]}" if ones else "")
    if number < 1000:
        hundreds, rest = divmod(number, 100)
        return f"{_SMALL[hundreds]} hundred" + (f" and {whole_in_words(rest)}" if rest else "")
    thousands, rest = divmod(number, 1000)
    joint = " and " if 0 < rest < 100 else " "
    return f"{whole_in_words(thousands)} thousand" + (joint + whole_in_words(rest) if rest else "")


def figure_in_words(digits: str) -> str:
    """A written figure in words, the decimals one by one.

    Examples
    --------
    >>> figure_in_words("−14.80"), figure_in_words("1.00 × 10^-12")
    ('minus fourteen point eight zero', 'one point zero zero times ten to the power minus twelve')
    """
    mantissa, times, exponent = digits.replace("-", "−").partition(" × 10^")
    if times:
        return f"{figure_in_words(mantissa)} times ten to the power {figure_in_words(exponent)}"
    sign = "minus " if mantissa.startswith("−") else "plus " if mantissa.startswith("+") else ""
    whole, point, decimals = mantissa.lstrip("−+").partition(".")
    if not whole.isdigit() or int(whole) > 999_999:
        return sign + " ".join(_SMALL[int(c)] if c.isdigit() else c for c in mantissa.lstrip("−+"))
    words = whole_in_words(int(whole))
    if point:
        words += " point " + " ".join(_SMALL[int(c)] for c in decimals)
    return sign + words


def unit_in_words(unit: str, digits: str = "") -> str:
    """A unit with its prefix in words; singular for exactly one.

    Examples
    --------
    >>> unit_in_words("µA"), unit_in_words("kΩ"), unit_in_words("V", "1")
    ('microamperes', 'kilohms', 'volt')
    >>> unit_in_words("mA/V²"), unit_in_words("V⁻¹")
    ('milliamperes per square volt', 'per volt')
    """
    if unit == "%":
        return "percent"
    for sign, words, left in _COMPOUND:
        if unit.endswith(sign):
            rest = unit.removesuffix(sign) + left
            return f"{unit_in_words(rest, digits)} {words}" if rest else words
    prefix, letter = (unit[0], unit[1:]) if len(unit) > 1 else ("", unit)
    if letter not in _UNITS or (prefix and prefix not in _PREFIXES):
        return unit
    word = (_PREFIXES[prefix] if prefix else "") + _UNITS[letter]
    word = _RUN_TOGETHER.get(word, word)
    return word if digits.lstrip("−+") == "1" or word.endswith(_UNCHANGED) else word + "s"
