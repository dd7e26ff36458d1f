"""Figures and units among words: ``2.54``, ``two point five four``, ``four seventy ohms``."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final, NamedTuple


class Unit(NamedTuple):
    """A unit that was said.

    Attributes
    ----------
    dimension : str
        ``V``, ``A``, ``Ω``, ``W``, ``K`` (for degrees), ``%``, or ``?`` for one that is not judged.
    scale : float
        What one of it is in SI units.
    """

    dimension: str
    scale: float


class Figure(NamedTuple):
    """A number as it was said.

    Attributes
    ----------
    value : float
        Without the unit's scale.
    decimals : int
        Digits after the point.
    digits : str
        The decimal numeral.
    unit : Unit or None
        None when no unit was said.
    """

    value: float
    decimals: int
    digits: str
    unit: Unit | None = None

    @property
    def significant(self) -> int:
        """Number of significant digits, trailing zeros of whole numbers included."""
        return len(self.digits.replace(".", "").lstrip("0")) or 1


_ONES: Final = dict(
    zip(
        ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"],
        range(10),
        strict=True,
    )
) | {"oh": 0, "nought": 0}
_TEENS: Final = {
    **{"ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15},
    **{"sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19},
}
_TENS: Final = {
    word: 10 * n
    for n, word in enumerate(
        ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], start=2
    )
} | {"fourty": 40}
_NUMBER_WORDS: Final = frozenset(
    {*_ONES, *_TEENS, *_TENS, "hundred", "thousand", "point", "half", "a"}
)
_NUMERAL: Final = re.compile(r"\d+(?:\.\d+)?|\.\d+")
_PREFIXES: Final = {
    **dict.fromkeys(("micro", "µ", "u", "mic"), 1e-6),
    **dict.fromkeys(("milli", "m", "mili"), 1e-3),
    **dict.fromkeys(("kilo", "k"), 1e3),
    **dict.fromkeys(("mega", "meg"), 1e6),
    **dict.fromkeys(("nano", "n"), 1e-9),
}
_BASES: Final = {
    **dict.fromkeys(("amp", "amps", "ampere", "amperes"), "A"),
    **dict.fromkeys(("volt", "volts"), "V"),
    **dict.fromkeys(("ohm", "ohms", "Ω", "ω"), "Ω"),
    **dict.fromkeys(("watt", "watts"), "W"),
}
_LETTERS: Final = {"A": "A", "V": "V", "W": "W", "Ω": "Ω"}
_WHOLE: Final = {
    **dict.fromkeys(("mA", "ma", "MA"), Unit("A", 1e-3)),
    **dict.fromkeys(("uA", "µA", "ua", "UA", "uAmp"), Unit("A", 1e-6)),  # units: allow
    **dict.fromkeys(("mV", "mv"), Unit("V", 1e-3)),
    **dict.fromkeys(("mW", "mw"), Unit("W", 1e-3)),
    **dict.fromkeys(("kΩ", "kohm", "kohms", "kohs", "kOhm"), Unit("Ω", 1e3)),
    **dict.fromkeys(("KΩ", "KOhm"), Unit("Ω", 1e3)),  # units: allow
    **dict.fromkeys(("kilohm", "kilohms", "kilohoms", "kay"), Unit("Ω", 1e3)),
    **dict.fromkeys(("megohm", "megohms", "MΩ", "MOhm", "meg", "megs"), Unit("Ω", 1e6)),
    **dict.fromkeys(("nA", "na"), Unit("A", 1e-9)),
    "nW": Unit("W", 1e-9),
    "kV": Unit("V", 1e3),
    "%": Unit("%", 0.01),
    "percent": Unit("%", 0.01),
    **dict.fromkeys(("degrees", "degree", "°C", "°"), Unit("K", 1.0)),
    **dict.fromkeys(
        ("µF", "uF", "nF", "pF", "farad", "farads", "Hz", "kHz", "MHz", "hertz", "mm", "seconds"),
        Unit("?", 1.0),
    ),
    **dict.fromkeys(
        ("microfarad", "microfarads", "nanofarad", "nanofarads", "kilohertz", "decibels", "dB"),
        Unit("?", 1.0),
    ),
    **dict.fromkeys(("minutes", "minute", "students", "slides", "weeks", "pages"), Unit("?", 1.0)),
}
_RATIOS: Final = frozenset({"per", "/"})


def unit_at(words: Sequence[str], i: int) -> tuple[Unit, int] | None:
    """Unit that starts at a word, and how many words it takes."""
    if i >= len(words):
        return None
    found = _unit_at(words, i)
    if found and found[0].dimension in "VAWΩK":
        after = [w.lower() for w in words[i + found[1] : i + found[1] + 2]]
        if after[:1] == ["per"] and after[1:] and after[1] not in ("cent",):
            return Unit("?", 1.0), found[1] + 2
        if found[0].dimension == "K" and after[:1] and after[0] in ("celsius", "c", "centigrade"):
            return found[0], found[1] + 1
    return found


def _unit_at(words: Sequence[str], i: int) -> tuple[Unit, int] | None:
    word, low = words[i], words[i].lower()
    after = words[i + 1] if i + 1 < len(words) else ""
    base = _BASES.get(after.lower()) or _LETTERS.get(after)
    if low == "per" and after.lower() == "cent":
        return Unit("%", 0.01), 2
    if word in ("k", "K") or low in ("kilo", "kay"):
        if base:
            return Unit(base, 1e3), 2
        return Unit("Ω", 1e3), 1
    if word in _WHOLE or low in _WHOLE:
        return _WHOLE.get(word) or _WHOLE[low], 1
    if low in _PREFIXES and base and (len(low) > 1 or low in ("µ", "u", "m", "n")):
        return Unit(base, _PREFIXES[low]), 2
    for prefix in ("milli", "micro", "kilo", "mega", "nano", "mili"):
        if low.startswith(prefix) and low[len(prefix) :] in _BASES:
            return Unit(_BASES[low[len(prefix) :]], _PREFIXES[prefix]), 1
    if low.startswith(("microfarad", "nanofarad", "picofarad")):
        return Unit("?", 1.0), 1
    if low in ("micro", "milli", "nano", "pico") and after.lower().startswith(("farad", "sec")):
        return Unit("?", 1.0), 2
    if word in _LETTERS:
        return Unit(_LETTERS[word], 1.0), 1
    if word == "M":
        return Unit("Ω", 1e6), 1
    return (Unit(_BASES[low], 1.0), 1) if low in _BASES else None


def figure_at(words: Sequence[str], i: int) -> tuple[Figure, int] | None:
    """Figure that starts at a word, its unit included, and how many words it takes."""
    read = _numeral_at(words, i) or _spoken_at(words, i)
    if read is None:
        return None
    figure, n = read
    unit = unit_at(words, i + n)
    if unit is None:
        return figure, n
    figure, n = figure._replace(unit=unit[0]), n + unit[1]
    return _letter_read_out(words, i, figure, n) or (figure, n)


def _letter_read_out(
    words: Sequence[str], i: int, figure: Figure, n: int
) -> tuple[Figure, int] | None:
    """``three k three`` is 3.3 k."""
    if words[i + n - 1].lower() != "k" or figure.decimals or i + n >= len(words):
        return None
    digit = words[i + n].lower()
    after = words[i + n + 1].lower() if i + n + 1 < len(words) else ""
    fraction = _ONES.get(digit, int(digit) if re.fullmatch(r"[1-9]", digit) else 0)
    if not fraction or after in _NUMBER_WORDS or (unit_at(words, i + n + 1) and after[:1] != "o"):
        return None
    value = f"{figure.digits}.{fraction}"
    extra = 2 if after in ("ohm", "ohms") else 1
    return Figure(float(value), 1, value, figure.unit), n + extra


def _numeral_at(words: Sequence[str], i: int) -> tuple[Figure, int] | None:
    text = words[i]
    if not _NUMERAL.fullmatch(text):
        return None
    n = 1
    low = [w.lower() for w in words[i + 1 : i + 5]]
    if "." not in text:
        if low[:1] == ["point"] and low[1:2] and re.fullmatch(r"\d+", low[1]):
            text, n = f"{text}.{low[1]}", 3
        elif low[:1] == ["point"] and low[1:2] and low[1] in _ONES:
            digits, used = _digits(low[1:])
            text, n = f"{text}.{digits}", 2 + used
        elif low[:3] == ["and", "a", "half"]:
            text, n = f"{text}.5", 4
        elif low[:1] == ["thousand"]:
            text, n = f"{text}000", 2
    return Figure(float(text), len(text.partition(".")[2]), text), n


def _digits(words: Sequence[str]) -> tuple[str, int]:
    """Digits after a spoken point: ``five four``, ``fifty four``, ``oh two``."""
    digits, n = "", 0
    while n < len(words):
        word = words[n]
        if word in _ONES:
            digits += str(_ONES[word])
        elif re.fullmatch(r"\d+", word):
            digits += word
        elif word in _TEENS:
            digits += str(_TEENS[word])
        elif word in _TENS:
            more = _ONES.get(words[n + 1], 0) if n + 1 < len(words) else 0
            digits += str(_TENS[word] + more)
            n += 1 if more else 0
        else:
            break
        n += 1
    return digits, n


def _whole(words: Sequence[str]) -> tuple[int, int]:
    """Whole number in words and how many words it takes; 0 words when there is none."""
    total = current = n = 0
    last = ""
    while n < len(words):
        word = words[n]
        if word in _ONES and last in ("", "tens", "hundred"):
            current, last = current + _ONES[word], "ones"
        elif word in _TEENS and last in ("", "hundred"):
            current, last = current + _TEENS[word], "teen"
        elif word in _TENS and last in ("", "hundred"):
            current, last = current + _TENS[word], "tens"
        elif (word in _TENS or word in _TEENS) and last == "ones" and 0 < current < 10:
            # "four seventy" is 470
            current, last = 100 * current + _TENS.get(word, _TEENS.get(word, 0)), "tens"
            last = "tens" if word in _TENS else "teen"
        elif word == "hundred" and n and 0 < current < 100:
            current, last = 100 * current, "hundred"
        elif word == "thousand" and n:
            total, current, last = total + 1000 * current, 0, "hundred"
        elif not (word == "and" and last == "hundred" and _counts(words, n + 1)):
            break
        n += 1
    return total + current, n


def _counts(words: Sequence[str], n: int) -> bool:
    return n < len(words) and (words[n] in _ONES or words[n] in _TENS or words[n] in _TEENS)


def _spoken_at(words: Sequence[str], i: int) -> tuple[Figure, int] | None:
    low = [w.lower() for w in words[i : i + 12]]
    if low[0] == "a" and low[1:2] and low[1] in ("hundred", "thousand"):
        value, n = _whole(["one", *low[1:]])
        return Figure(float(value), 0, str(value)), n
    if low[:3] == ["half", "a", *low[2:3]] and unit_at(words, i + 2):
        return Figure(0.5, 1, "0.5"), 2
    value, n = _whole(low)
    text = str(value)
    if n < len(low) and low[n] == "point":
        digits, used = _digits(low[n + 1 :])
        if not used:
            return (Figure(float(value), 0, text), n) if n else None
        return Figure(float(f"{text}.{digits}"), len(digits), f"{text}.{digits}"), n + 1 + used
    if not n:
        return None
    if low[n : n + 3] == ["and", "a", "half"]:
        return Figure(value + 0.5, 1, f"{text}.5"), n + 3
    return Figure(float(value), 0, text), n
