"""Axes of charts: steps of 1, 2 or 5, direct names, no frame."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from steadypoint.draw._scene import Box, Mark, Path, Point, Span, Text
from steadypoint.draw._typography import quantity_symbol
from steadypoint.values import shown

_STEPS: Final = (1.0, 2.0, 5.0, 10.0)
_PREFIXES: Final = {"p": 1e-12, "n": 1e-9, "µ": 1e-6, "m": 1e-3, "": 1.0, "k": 1e3, "M": 1e6}
TICK_SIZE: Final = 13.0


def nice_step(span: float, most: int) -> float:
    """Step of 1, 2 or 5 times a power of ten that cuts a span into at most ``most`` pieces."""
    rough = span / most
    power = 10.0 ** math.floor(math.log10(rough))
    for step in _STEPS:
        if step * power >= rough * (1 - 1e-9):
            return step * power
    return 10.0 * power


def ticks(end: float, step: float) -> list[float]:
    """Places of ticks from 0 to the end."""
    return [k * step for k in range(int(end / step + 1e-9) + 1)]


@dataclass(frozen=True, slots=True)
class Axis:
    """One axis from 0.

    Parameters
    ----------
    symbol, unit : str
        Quantity and SI unit.
    end : float
        Largest value. [unit]
    most : int
        Most steps between ticks.
    """

    symbol: str
    unit: str
    end: float
    most: int = 6

    @property
    def step(self) -> float:
        """Distance of ticks. [unit]"""
        return nice_step(self.end, self.most)

    @property
    def prefix(self) -> str:
        """Prefix under which all ticks are written."""
        unit = shown(self.step, self.unit, 1).unit
        unit_of_end = shown(self.end, self.unit, 3).unit
        return (unit_of_end or unit).removesuffix(self.unit)

    def figure(self, value: float) -> str:
        """A tick's figure."""
        scaled = value / _PREFIXES.get(self.prefix, 1.0)
        return f"{scaled:.6g}".replace("-", "−")

    @property
    def name(self) -> tuple[Span, ...]:
        """Name of the axis, ``I_C in mA``."""
        return (*quantity_symbol(self.symbol), Span(f" in {self.prefix}{self.unit}"))


@dataclass(frozen=True, slots=True)
class Frame:
    """The plot area with its axes.

    Parameters
    ----------
    x, y : Axis
        Horizontal and vertical axis.
    area : Box
        Where the values lie. [px]
    """

    x: Axis
    y: Axis
    area: Box

    def at(self, x: float, y: float) -> Point:
        """Place of a pair of values. [px]"""
        a = self.area
        return (
            round(a.x0 + (a.x1 - a.x0) * x / self.x.end, 2),
            round(a.y1 - (a.y1 - a.y0) * y / self.y.end, 2),
        )

    def marks(self) -> list[Mark]:
        """Axes, grid, ticks and names."""
        a, out = self.area, list[Mark]()
        for value in ticks(self.y.end, self.y.step):
            y = self.at(0, value)[1]
            if value:
                out.append(Path((("M", a.x0, y), ("L", a.x1, y)), "grid"))
            out.append(_tick(a.x0 - 9, y + 4.5, self.y.figure(value), "end"))
        for value in ticks(self.x.end, self.x.step):
            x = self.at(value, 0)[0]
            out.append(Path((("M", x, a.y1), ("L", x, a.y1 + 5)), "tick"))
            out.append(_tick(x, a.y1 + 20, self.x.figure(value), "middle"))
        axes = (("M", a.x0, a.y0 - 8), ("L", a.x0, a.y1), ("L", a.x1 + 8, a.y1))
        out.append(Path(axes, "axis"))
        out.append(Text(a.x0 - 32, a.y0 - 15, self.y.name))
        out.append(Text(a.x1 + 8, a.y1 + 41, self.x.name, "end"))
        return out


def _tick(x: float, y: float, figure: str, anchor: str) -> Text:
    return Text(x, y, (Span(figure, size=TICK_SIZE),), anchor, "minor")
