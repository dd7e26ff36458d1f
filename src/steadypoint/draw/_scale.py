"""Scales of charts: linear or in decades, with ticks at 1, 2 and 5."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final

from steadypoint.draw._axes import nice_step
from steadypoint.draw._scene import Span
from steadypoint.draw._typography import quantity_symbol
from steadypoint.values import shown

_PREFIXES: Final = {
    "p": 1e-12,
    "n": 1e-9,
    "µ": 1e-6,
    "m": 1e-3,
    "": 1.0,
    "k": 1e3,
    "M": 1e6,
    "G": 1e9,
}
_PLAIN: Final = ("", "°", "dB", "°C", "%")
_FEW_DECADES: Final = 2.2  # below this 2 and 5 bear figures as well
_EPS: Final = 1e-9

Line = tuple[Span, ...]
Ends = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Scale:
    """One direction of a chart.

    Parameters
    ----------
    low, high : float
        Ends. [unit]
    unit : str
        Unit of the values; ``°C``, ``dB``, ``°`` and ``%`` take no prefix.
    logarithmic : bool
        True for decades.
    name : tuple of Span
        What the axis is called, without its unit.
    most : int
        Most steps between ticks of a linear scale.
    """

    low: float
    high: float
    unit: str = ""
    logarithmic: bool = False
    name: Line = field(default=())
    most: int = 6

    def share(self, value: float) -> float:
        """Place of a value between the ends, 0 to 1 inside. [-]"""
        if self.logarithmic:
            return math.log(max(value, 1e-300) / self.low) / math.log(self.high / self.low)
        return (value - self.low) / (self.high - self.low)

    @property
    def ticks(self) -> list[float]:
        """Values that bear a figure."""
        if not self.logarithmic:
            step = nice_step(self.high - self.low, self.most)
            first, last = math.ceil(self.low / step - _EPS), math.floor(self.high / step + _EPS)
            return [k * step for k in range(first, last + 1)]
        decades = math.log10(self.high / self.low)
        factors = (1.0, 2.0, 5.0) if decades < _FEW_DECADES else (1.0,)
        return self._steps(factors, max(1, math.ceil(decades / 9)))

    @property
    def fine_ticks(self) -> list[float]:
        """Values of a scale in decades that bear a tick without a figure."""
        if not self.logarithmic or math.log10(self.high / self.low) > 6:
            return []
        return self._steps(tuple(float(k) for k in range(2, 10)), 1)

    def _steps(self, factors: Iterable[float], every: int) -> list[float]:
        first = math.floor(math.log10(self.low) - _EPS)
        last = math.floor(math.log10(self.high) + _EPS)
        low, high = self.low * (1 - _EPS), self.high * (1 + _EPS)
        every_one = (f * 10.0**k for k in range(first, last + 1, every) for f in factors)
        return [v for v in every_one if low <= v <= high]

    @property
    def prefix(self) -> str:
        """Prefix under which a linear scale is written."""
        if self.logarithmic or self.unit in _PLAIN:
            return ""
        most = max(abs(self.low), abs(self.high))
        return shown(most, self.unit, 2).unit.removesuffix(self.unit)

    def figure(self, value: float) -> str:
        """Text of a tick."""
        if self.logarithmic and self.unit not in _PLAIN:
            number, unit = shown(value, self.unit, 1)
            return f"{number}\u202f{unit}"
        scaled = value / _PREFIXES.get(self.prefix, 1.0)
        return f"{0.0 if abs(scaled) < 1e-12 else scaled:.{self._digits}g}".replace("-", "−")

    @property
    def _digits(self) -> int:
        """Digits that keep neighbouring ticks apart."""
        if self.logarithmic:
            return 6
        most = max(abs(self.low), abs(self.high)) or 1.0
        return min(15, max(6, 2 + math.ceil(math.log10(most / (self.high - self.low)))))

    @property
    def heading(self) -> Line:
        """Name of the axis with its unit."""
        if (self.logarithmic and self.unit not in _PLAIN) or not self.unit:
            return self.name
        return (*self.name, Span(f" in {self.prefix}{self.unit}"))


def symbol_scale(
    symbol: str, unit: str, low: float, high: float, *, logarithmic: bool = False
) -> Scale:
    """Scale of a quantity with a letter symbol."""
    return Scale(low, high, unit, logarithmic, quantity_symbol(symbol))


def word_scale(
    words: str, unit: str, low: float, high: float, *, logarithmic: bool = False
) -> Scale:
    """Scale of a quantity that has a name in words."""
    return Scale(low, high, unit, logarithmic, (Span(words),))


def roomy(low: float, high: float, *, from_zero: bool = True, room: float = 0.14) -> Ends:
    """Ends of a linear scale with room for labels; zero stays an end where it is one.

    Parameters
    ----------
    low, high : float
        Least and largest value shown.
    from_zero : bool
        With zero on the scale.
    room : float
        Share of the range that is added. [-]
    """
    if from_zero:
        low, high = min(low, 0.0), max(high, 0.0)
    if high <= low:
        more = 0.1 * abs(high) or 1.0
        return low - more, high + more
    more = room * (high - low)
    keep_low, keep_high = from_zero and low == 0.0, from_zero and high == 0.0
    return low if keep_low else low - more, high if keep_high else high + more
