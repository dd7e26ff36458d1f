"""One panel of a chart of a registered type: axes, curves by name, figures with their limits."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from steadypoint.draw._axes import TICK_SIZE, nice_step
from steadypoint.draw._scene import Box, Circle, Command, Group, Mark, Path, Point, Span, Text
from steadypoint.draw._typography import SMALL, quantity_symbol
from steadypoint.values import shown

_CAP = 5.0  # half width of the cap of a limit [px]
_STEM = 16.0  # length of the stem of a lone limit, towards what is allowed [px]
_LINE = 16.0  # distance of names that would touch [px]
_SCALES = {"": 1.0, "n": 1e-9, "µ": 1e-6, "m": 1e-3, "k": 1e3}


@dataclass(frozen=True, slots=True)
class Span1:
    """Range of an axis.

    Parameters
    ----------
    symbol, unit : str
        Quantity and SI unit, empty for a pure number.
    low, high : float
        Ends. [unit]
    logarithmic : bool
        True for decades.
    """

    symbol: str
    unit: str
    low: float
    high: float
    logarithmic: bool = False

    def share(self, value: float) -> float:
        """Place of a value between the ends, 0 to 1. [-]"""
        if self.logarithmic:
            value = max(value, 1e-300)
            return math.log(value / self.low) / math.log(self.high / self.low)
        return (value - self.low) / (self.high - self.low)

    @property
    def ticks(self) -> list[float]:
        """Values that bear a figure."""
        if self.logarithmic:
            first = math.ceil(math.log10(self.low) - 1e-9)
            last = math.floor(math.log10(self.high) + 1e-9)
            return [10.0**k for k in range(first, last + 1)]
        step = nice_step(self.high - self.low, 6)
        first = math.ceil(self.low / step - 1e-9)
        return [k * step for k in range(first, math.floor(self.high / step + 1e-9) + 1)]

    @property
    def prefix(self) -> str:
        """Prefix of a linear axis."""
        if not self.unit or self.logarithmic:
            return ""
        unit = shown(max(abs(self.low), abs(self.high)), self.unit, 2).unit
        return unit.removesuffix(self.unit)

    def figure(self, value: float) -> str:
        """Text of a tick."""
        if self.logarithmic:
            number, unit = shown(value, self.unit, 1)
            return f"{number}\u202f{unit}"
        return f"{value / _SCALES[self.prefix]:.6g}".replace("-", "−")

    @property
    def name(self) -> tuple[Span, ...]:
        """Name of the axis with its unit."""
        unit = "" if self.logarithmic or not self.unit else f" in {self.prefix}{self.unit}"
        spans = quantity_symbol(self.symbol)
        return (*spans, Span(unit)) if unit else spans


@dataclass(frozen=True, slots=True)
class NamedCurve:
    """A curve with the name that stands on it.

    Parameters
    ----------
    points : sequence of (float, float)
        Values along both axes.
    name : str
        What tells it from the others, such as ``25 °C``.
    role : str
        ``curve`` or ``curve-faint``.
    """

    points: Sequence[Point]
    name: str
    role: str = "curve-faint"


@dataclass(frozen=True, slots=True)
class SheetFigure:
    """A figure of the data sheet in the plane of a panel.

    Parameters
    ----------
    x, y : tuple of (float or None, float or None, float or None)
        Minimum, typical value and maximum along each axis; a condition has all three equal.
    label : str
        Sentence for a screen reader.
    """

    x: tuple[float | None, float | None, float | None]
    y: tuple[float | None, float | None, float | None]
    label: str


@dataclass(frozen=True, slots=True)
class Panel:
    """A plot area with its axes.

    Parameters
    ----------
    x, y : Span1
        Axes.
    area : Box
        Where the values lie. [px]
    """

    x: Span1
    y: Span1
    area: Box

    def at(self, x: float, y: float) -> Point:
        """Place of a pair of values, kept inside the area. [px]"""
        a = self.area
        across = min(max(self.x.share(x), 0.0), 1.0)
        up = min(max(self.y.share(y), 0.0), 1.0)
        return (
            round(a.x0 + (a.x1 - a.x0) * across, 2),
            round(a.y1 - (a.y1 - a.y0) * up, 2),
        )

    def axes(self) -> list[Mark]:
        """Grid, ticks, axes and names."""
        a, out = self.area, list[Mark]()
        for value in self.y.ticks:
            y = self.at(self.x.low, value)[1]
            if y < a.y1 - 1:
                out.append(Path((("M", a.x0, y), ("L", a.x1, y)), "grid"))
            out.append(_tick(a.x0 - 9, y + 4.5, self.y.figure(value), "end"))
        for value in self.x.ticks:
            x = self.at(value, self.y.low)[0]
            if a.x0 + 1 < x < a.x1 - 1:
                out.append(Path((("M", x, a.y0), ("L", x, a.y1)), "grid"))
            out.append(Path((("M", x, a.y1), ("L", x, a.y1 + 5)), "tick"))
            out.append(_tick(x, a.y1 + 20, self.x.figure(value), "middle"))
        lines = (("M", a.x0, a.y0 - 8), ("L", a.x0, a.y1), ("L", a.x1 + 8, a.y1))
        out.append(Path(lines, "axis"))
        out.append(Text(a.x0 - 32, a.y0 - 15, self.y.name))
        out.append(Text(a.x1 + 8, a.y1 + 41, self.x.name, "end"))
        return out

    def curves(self, curves: Sequence[NamedCurve]) -> list[Mark]:
        """Curves, each with its name beside its end."""
        out: list[Mark] = []
        ends: list[tuple[float, float, NamedCurve]] = []
        for curve in curves:
            places = [self.at(*p) for p in curve.points if 0.0 <= self.y.share(p[1]) <= 1.0]
            if len(places) < 2:
                continue
            commands: list[Command] = [("M", *places[0]), *(("L", *p) for p in places[1:])]
            out.append(Path(tuple(commands), curve.role))
            ends.append((*places[-1], curve))
        return out + self._names(ends)

    def _names(self, ends: list[tuple[float, float, NamedCurve]]) -> list[Mark]:
        """Names at the ends of curves, kept apart in the order of the ends."""
        out: list[Mark] = []
        lowest = self.area.y1 + 1.0
        for x, end, curve in sorted(ends, key=lambda e: -e[1]):
            y = min(end + 4.5, lowest)
            lowest = y - _LINE
            role = "curvename" if curve.role == "curve" else "minor"
            text = (Span(curve.name, size=SMALL),)
            out.append(Text(max(x, self.area.x1 - 4) + 10, y, text, "start", role))
        return out

    def figures(self, figures: Sequence[SheetFigure]) -> list[Mark]:
        """Figures of the sheet: a disc for a typical value, a bar for limits."""
        return [Group("sheet", tuple(self._figure(f)), label=f.label) for f in figures]

    def _figure(self, f: SheetFigure) -> list[Path | Circle]:
        vertical = f.x[0] == f.x[2] and f.x[0] is not None
        low, typ, high = f.y if vertical else f.x
        fixed = (f.x if vertical else f.y)[0] or 0.0
        axis = self.y if vertical else self.x

        def place(value: float) -> Point:
            return self.at(fixed, value) if vertical else self.at(value, fixed)

        out: list[Path | Circle] = []
        seen = [v for v in (low, high) if v is not None and -1e-9 <= axis.share(v) <= 1 + 1e-9]
        ends = [place(v) for v in (low, high) if v is not None]
        if len(ends) == 2:
            out.append(Path((("M", *ends[0]), ("L", *ends[1])), "state-line"))
        elif seen:
            side = -1.0 if low is not None else 1.0
            x, y = ends[0]
            tip = (x, y + side * _STEM) if vertical else (x - side * _STEM, y)
            out.append(Path((("M", x, y), ("L", *tip)), "state-line"))
        for value in seen:  # a bar whose end lies outside runs to the edge without a cap
            x, y = place(value)
            cap = (
                (("M", x - _CAP, y), ("L", x + _CAP, y))
                if vertical
                else (("M", x, y - _CAP), ("L", x, y + _CAP))
            )
            out.append(Path(cap, "state-line"))
        if typ is not None:
            out.append(Circle(*place(typ), 5.5, "disc"))
        return out


def _tick(x: float, y: float, figure: str, anchor: str) -> Text:
    return Text(x, y, (Span(figure, size=TICK_SIZE),), anchor, "minor")
