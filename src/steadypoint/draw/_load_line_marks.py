"""Marks of the load line chart: axes, curves, line, point, and names that find free places."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from steadypoint.draw._axes import Frame
from steadypoint.draw._end_names import EndNames
from steadypoint.draw._labels import Slot, choose
from steadypoint.draw._load_line_extras import cut_off_band, draw_extras
from steadypoint.draw._metrics import text_box, width
from steadypoint.draw._output_curves import Curve
from steadypoint.draw._scene import (
    Box,
    Circle,
    Command,
    Group,
    Mark,
    Path,
    Point,
    Span,
    Text,
)
from steadypoint.draw._typography import (
    SMALL,
    number,
    plain_number,
    quantity_symbol,
    round_number,
)
from steadypoint.draw._wiring import Obstacle
from steadypoint.solve import Region

Line = tuple[Span, ...]
_HIGH: Final = 17.0
_MOVED: Final = 32.0  # a point that moved less than this has no arrow [px]


@dataclass(frozen=True)
class Chart:
    """What the chart shows, in magnitudes."""

    frame: Frame
    name: str
    symbol: str
    ends: tuple[float, float]
    point: tuple[float, float]
    region: Region
    V_sat: float
    own: Curve | None
    further: list[Curve]
    formula: EndNames
    before: tuple[float, float] | None = None
    before_curve: Curve | None = None
    before_ends: tuple[float, float] | None = None
    earlier: tuple[tuple[str, tuple[float, float]], ...] = ()
    signal_R: float | None = None
    P_tot: float | None = None
    V_CEO: float | None = None
    low_word: str = "saturated"
    V_max_symbol: str = "V_CEO"
    boundary: tuple[tuple[float, float], ...] = ()
    words: str = ""


class Painter:
    """Turns a chart into marks."""

    def __init__(self, chart: Chart) -> None:
        self.chart = chart
        self.frame = chart.frame
        self.marks: list[Mark] = []
        self.items: dict[str, list[Slot]] = {}
        self.texts: dict[str, tuple[tuple[Line, str], ...]] = {}
        self.obstacles: list[Obstacle] = []

    def draw(self) -> tuple[list[Mark], list[Box], list[Box]]:
        chart, frame = self.chart, self.frame
        self.shade()
        cut_off_band(self)
        axes = frame.marks()
        self.marks += axes
        self.obstacles += [Obstacle(text_box(m), is_text=True) for m in axes if isinstance(m, Text)]
        a = frame.area
        self.obstacles.append(Obstacle(Box(a.x0 - 2, a.y0 - 8, a.x0 + 2, a.y1)))
        self.obstacles.append(Obstacle(Box(a.x0, a.y1 - 2, a.x1 + 8, a.y1 + 6)))
        if chart.boundary:
            self.path([frame.at(*place) for place in chart.boundary], "boundary")
        for curve in chart.further:
            self.curve(curve, "curve-faint", "curvename-faint")
        if chart.before_curve is not None:
            self.curve(chart.before_curve, "curve-was", "was")
        if chart.own is not None:
            self.curve(chart.own, "curve", "curvename")
        if chart.before_ends is not None:
            self.line(chart.before_ends, "curve-was")
        self.line(chart.ends, "loadline")
        self.guides()
        draw_extras(self)
        self.points()
        self.names()
        labels = self.place()
        axes_texts = [o.box for o in self.obstacles if o.is_text]
        drawn = [o.box for o in self.obstacles if not o.is_text]
        return self.marks, axes_texts + labels, drawn

    def shade(self) -> None:
        """The stretch of saturation, or the triode region left of its boundary."""
        if self.chart.boundary:
            self.shade_triode()
            return
        x0, y0 = self.frame.at(0.0, self.frame.y.end)
        x1, y1 = self.frame.at(self.chart.V_sat, 0.0)
        self.marks.append(
            Path((("M", x0, y0), ("L", x1, y0), ("L", x1, y1), ("L", x0, y1), ("Z",)), "shade")
        )

    def shade_triode(self) -> None:
        edge = [self.frame.at(*place) for place in self.chart.boundary]
        corner = (edge[-1][0], self.frame.area.y0)
        left = (self.frame.area.x0, self.frame.area.y0)
        commands: list[Command] = [("M" if k == 0 else "L", *p) for k, p in enumerate(edge)]
        commands += [("L", *corner), ("L", *left), ("Z",)]
        self.marks.append(Path(tuple(commands), "shade"))

    def curve(self, curve: Curve, role: str, name_role: str) -> None:
        top = self.frame.y.end
        places = [self.frame.at(v, min(i, top)) for v, i in curve.points]
        self.path(places, role)
        if curve.end > top:
            return
        x, y = places[-1]
        amount = round_number if role == "curve-faint" else number
        line: Line = (*quantity_symbol(curve.symbol), *amount(curve.drive, curve.unit, gap=5.0))
        if role != "curve-faint" and self.gain_moved():
            gain = number(curve.beta, "", gap=4.0)
            line = (*quantity_symbol("beta"), *gain, Span(", "), *line)
        key = f"curve {len(self.texts)}"
        self.texts[key] = ((line, name_role),)
        wide = width(line)
        self.items[key] = [
            _slot(x - back - wide, y + up, wide, 1, price=0.01 * back + (3 if up > 0 else 0))
            for back in (0.0, 20.0, 60.0, 120.0, 200.0)
            for up in (-_HIGH - 3, 4.0)
        ]

    def gain_moved(self) -> bool:
        """True when the earlier transistor had another beta: the curves then say which is whose."""
        now, was = self.chart.own, self.chart.before_curve
        return now is not None and was is not None and now.beta != was.beta

    def path(self, places: list[Point], role: str) -> None:
        commands: list[Command] = [("M" if k == 0 else "L", *p) for k, p in enumerate(places)]
        self.marks.append(Path(tuple(commands), role))
        for (x0, y0), (x1, y1) in pairwise(places):
            pieces = max(1, int(max(abs(x1 - x0), abs(y1 - y0)) / 6))
            for k in range(pieces):
                a, b = k / pieces, (k + 1) / pieces
                xa, xb = x0 + (x1 - x0) * a, x0 + (x1 - x0) * b
                ya, yb = y0 + (y1 - y0) * a, y0 + (y1 - y0) * b
                box = Box(min(xa, xb), min(ya, yb), max(xa, xb), max(ya, yb)).grown(2.0)
                self.obstacles.append(Obstacle(box))

    def line(self, ends: tuple[float, float], role: str) -> None:
        V, I = ends  # noqa: E741  letter symbols
        top = self.frame.y.end
        start = (V, 0.0)
        end = (0.0, I) if math.isfinite(I) else (V, top)
        if math.isfinite(I) and top < I:
            end = (V * (1 - top / I), top)
        self.path([self.frame.at(*start), self.frame.at(*end)], role)

    def guides(self) -> None:
        x, y = self.frame.at(*self.chart.point)
        a = self.frame.area
        for place in (((x, y), (x, a.y1)), ((x, y), (a.x0, y))):
            (x0, y0), (x1, y1) = place
            self.marks.append(Path((("M", x0, y0), ("L", x1, y1)), "guide"))
            box = Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))
            self.obstacles.append(Obstacle(box.grown(0.7)))

    def points(self) -> None:
        chart = self.chart
        x, y = self.frame.at(*chart.point)
        if chart.before is not None:
            bx, by = self.frame.at(*chart.before)
            far = math.hypot(x - bx, y - by)
            self.marks.append(Circle(bx, by, 9.0, "hollow"))
            self.obstacles.append(Obstacle(Box(bx - 9, by - 9, bx + 9, by + 9)))
            if far > _MOVED:
                self.marks.append(_arrow((bx, by), (x, y), far))
        self.marks += [Circle(x, y, 9.5, "disc"), Circle(x, y, 3.0, "eye")]
        self.obstacles.append(Obstacle(Box(x - 10, y - 10, x + 10, y + 10)))

    def names(self) -> None:
        """Texts with their candidate places, the point first."""
        chart = self.chart
        x, y = self.frame.at(*chart.point)
        V, I = chart.point  # noqa: E741  letter symbols
        lines: list[tuple[Line, str]] = [(_pair(V, I, 15.0, "strong"), "point")]
        if chart.before is not None:
            was = _pair(*chart.before, SMALL, "text")
            lines.append(((Span("was ", size=SMALL, tone="was"), *was), "was"))
        self.label("point", (x, y), tuple(lines), 13.0)
        Vx, Vy = self.frame.at(chart.ends[0], 0.0)
        ends = round_number(chart.ends[0], "V")
        volts = (*chart.formula.volts, Span(" = "), *ends) if chart.formula.volts else ends
        self.label("V end", (Vx, Vy), ((volts, "name"),), 6.0)
        self.label("cut off", (Vx, Vy), (((_small("cut off"),), "minor"),), 5.0)
        if math.isfinite(chart.ends[1]):
            Ix, Iy = self.frame.at(0.0, chart.ends[1])
            amps = number(chart.ends[1], "A", gap=0.0)
            sign = " = " if chart.formula.same else " ≈ "
            line = (*chart.formula.amps, Span(sign), *amps) if chart.formula.amps else amps
            self.label("I end", (Ix, Iy), ((line, "name"),), 6.0)
        self.name_of_low()

    def name_of_low(self) -> None:
        """``saturated`` right of its stretch, ``triode`` within its region."""
        a = self.frame.area
        word: Line = (_small(self.chart.low_word),)
        wide = width(word)
        self.texts["low"] = ((word, "minor"),)
        heights = [a.y0 + 6.0 * k for k in range(60) if a.y0 + 6.0 * k + _HIGH < a.y1 - 4]
        if not self.chart.boundary:
            sx, _ = self.frame.at(self.chart.V_sat, 0.0)
            self.items["low"] = [_slot(sx + 6, y, wide, 1, price=y) for y in heights]
            return
        edge = [self.frame.at(*place) for place in self.chart.boundary]
        slots = []
        for y in heights:
            inner = [x for x, at in edge if at <= y + _HIGH] or [edge[-1][0]]
            slots += [_slot(x, y, wide, 1, price=y) for x in (a.x0 + 8, inner[0] - wide - 8)]
            slots.append(_slot(edge[-1][0] + 6, y, wide, 1, price=y + 400.0))
        self.items["low"] = [s for s in slots if s.box.x0 >= a.x0 + 6]

    def label(self, key: str, at: Point, lines: tuple[tuple[Line, str], ...], off: float) -> None:
        x, y = at
        wide = max(width(line) for line, _ in lines)
        high = len(lines) * _HIGH
        a = self.frame.area
        frame = Box(a.x0 + 3, a.y0 - 30, a.x1 + 22, a.y1 - 3)
        slots = []
        for k, grow in enumerate((0.0, 8.0, 18.0, 32.0, 50.0, 75.0)):
            d = off + grow
            for price, dx, dy in (
                (0.0, d, -d - high),
                (1.0, d, d),
                (1.5, -d - wide, -d - high),
                (2.0, -d - wide, d),
                (2.5, -wide / 2, -d - high),
                (2.6, d, -high / 2),
                (3.0, -wide / 2, d),
            ):
                at_x = min(x + dx, frame.x1 - wide)
                slots.append(_slot(at_x, y + dy, wide, len(lines), price=price + 2.0 * k))
        self.items[key] = [s for s in slots if _inside(s.box, frame)]
        self.texts[key] = lines

    def place(self) -> list[Box]:
        order = ("point", "V end", "I end")
        keys = [*order, *(k for k in self.items if k not in order)]
        items = {k: self.items[k] for k in keys if self.items.get(k)}
        slots, crowded = choose(items, self.obstacles)
        labels: list[Box] = []
        for key, slot in slots.items():
            if key in crowded and key not in order:
                continue  # a curve's name without room is left out, the point's never
            texts = []
            for k, (line, role) in enumerate(self.texts[key]):
                role_ = {"curvename-faint": "minor"}.get(role, role)
                text = Text(slot.box.x0, slot.box.y0 + 13 + k * _HIGH, line, "start", role_)
                texts.append(text)
                labels.append(text_box(text))
            self.marks.append(Group("label", tuple(texts), data=(("label", key),)))
        return labels


def _slot(x: float, y: float, wide: float, lines: int, *, price: float) -> Slot:
    return Slot("at", (x, y), Box(x, y, x + wide, y + lines * _HIGH), price=price)


def _inside(box: Box, frame: Box) -> bool:
    return box.x0 >= frame.x0 and box.x1 <= frame.x1 and box.y0 >= frame.y0 and box.y1 <= frame.y1


def _small(word: str) -> Span:
    return Span(word, size=SMALL)


def _pair(V: float, I: float, size: float, weight: str) -> Line:  # noqa: E741
    text = f"{plain_number(V, 'V')}, {plain_number(I, 'A')}"
    return (Span(text, size=size, weight=weight),)


def _arrow(start: Point, end: Point, far: float) -> Path:
    ux, uy = (end[0] - start[0]) / far, (end[1] - start[1]) / far
    x0, y0 = start[0] + ux * 12, start[1] + uy * 12
    x1, y1 = end[0] - ux * 15, end[1] - uy * 15
    return Path(
        (
            ("M", x0, y0),
            ("L", x1, y1),
            ("M", x1 - ux * 8 - uy * 5, y1 - uy * 8 + ux * 5),
            ("L", x1, y1),
            ("L", x1 - ux * 8 + uy * 5, y1 - uy * 8 - ux * 5),
        ),
        "path",
    )
