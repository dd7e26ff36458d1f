"""The chart kit: plot areas, marks, and names that find a free place beside what they name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from steadypoint.draw._axes import TICK_SIZE
from steadypoint.draw._labels import Slot, choose
from steadypoint.draw._metrics import text_box, width
from steadypoint.draw._scale import Line, Scale
from steadypoint.draw._scene import (
    Box,
    Circle,
    Command,
    Group,
    Mark,
    Path,
    Point,
    Scene,
    Span,
    Text,
)
from steadypoint.draw._typography import SMALL
from steadypoint.draw._wiring import Obstacle

_HIGH: Final = 17.0
_HATCH: Final = 12.0
_RINGS: Final = (0.0, 7.0, 16.0, 30.0, 48.0, 72.0, 104.0)

Values = Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Plot:
    """A plot area with its scales.

    Parameters
    ----------
    x, y : Scale
        Horizontal and vertical scale.
    area : Box
        Where the values lie. [px]
    """

    x: Scale
    y: Scale
    area: Box

    def at(self, x: float, y: float) -> Point:
        """Place of a pair of values. [px]"""
        a = self.area
        return (
            round(float(a.x0 + (a.x1 - a.x0) * self.x.share(x)), 2),
            round(float(a.y1 - (a.y1 - a.y0) * self.y.share(y)), 2),
        )

    def holds(self, x: float, y: float) -> bool:
        """True when a pair of values lies inside."""
        return -1e-9 <= self.x.share(x) <= 1 + 1e-9 and -1e-9 <= self.y.share(y) <= 1 + 1e-9


class Canvas:
    """Collects the marks of one chart and places its names.

    Parameters
    ----------
    width, height : float
        Size of the chart. [px]
    """

    def __init__(self, width: float, height: float) -> None:
        self.box = Box(0.0, 0.0, width, height)
        self.marks: list[Mark] = []
        self.fixed: list[Box] = []
        self.obstacles: list[Obstacle] = []
        self.items: dict[str, list[Slot]] = {}
        self.texts: dict[str, tuple[tuple[Line, str], ...]] = {}

    # --- frame ---------------------------------------------------------------------------------

    def axes(self, plot: Plot, *, x_figures: bool = True, x_name: bool = True) -> None:
        """Grid, ticks, axes and names; panels above another leave the horizontal figures out."""
        a = plot.area
        for value in plot.y.ticks:
            y = plot.at(plot.x.low, value)[1]
            if y < a.y1 - 1:
                self.marks.append(Path((("M", a.x0, y), ("L", a.x1, y)), "grid"))
            self.say(a.x0 - 9, y + 4.5, small(plot.y.figure(value)), "end", "minor")
        for value in plot.y.fine_ticks:
            y = plot.at(plot.x.low, value)[1]
            self.marks.append(Path((("M", a.x0 - 3, y), ("L", a.x0, y)), "tick"))
        for value in plot.x.fine_ticks:
            x = plot.at(value, plot.y.low)[0]
            self.marks.append(Path((("M", x, a.y1), ("L", x, a.y1 + 3)), "tick"))
        taken = -1e9
        for value in plot.x.ticks:
            x = plot.at(value, plot.y.low)[0]
            self.marks.append(Path((("M", x, a.y1), ("L", x, a.y1 + 5)), "tick"))
            figure = small(plot.x.figure(value))
            if x_figures and x - width(figure) / 2 > taken + 5:
                self.say(x, a.y1 + 20, figure, "middle", "minor")
                taken = x + width(figure) / 2
        lines = (("M", a.x0, a.y0 - 8), ("L", a.x0, a.y1), ("L", a.x1 + 8, a.y1))
        self.marks.append(Path(lines, "axis"))
        self.block(Box(a.x0 - 2, a.y0 - 8, a.x0 + 2, a.y1))
        self.block(Box(a.x0, a.y1 - 2, a.x1 + 8, a.y1 + 6))
        self.say(max(8.0, a.x0 - 48), a.y0 - 16, plot.y.heading)
        if x_name:
            self.say(a.x1 + 8, a.y1 + 41, plot.x.heading, "end")

    def axis_below(self, plot: Plot) -> None:
        """A horizontal axis alone, for strips and bars, with thin lines up from its ticks."""
        a = plot.area
        for value in plot.x.ticks:
            x = plot.at(value, plot.y.low)[0]
            self.marks.append(Path((("M", x, a.y0), ("L", x, a.y1)), "grid"))
            self.marks.append(Path((("M", x, a.y1), ("L", x, a.y1 + 5)), "tick"))
            self.say(x, a.y1 + 20, small(plot.x.figure(value)), "middle", "minor")
        self.marks.append(Path((("M", a.x0, a.y1), ("L", a.x1 + 8, a.y1)), "axis"))
        self.block(Box(a.x0, a.y1 - 2, a.x1 + 8, a.y1 + 6))
        self.say(a.x1 + 8, a.y1 + 41, plot.x.heading, "end")

    def block(self, box: Box) -> None:
        """Keep names away from a box."""
        self.obstacles.append(Obstacle(box))

    # --- marks ---------------------------------------------------------------------------------

    def line(self, plot: Plot, values: Values, role: str, *, solid: bool = True) -> None:
        """A line through values, cut at the edges of the plot; ``solid`` keeps names off it."""
        run: list[Point] = []
        for piece in _inside(plot, values):
            if run and piece[0] != run[-1]:
                self._stroke(run, role, solid=solid)
                run = []
            run = run or [piece[0]]
            run.append(piece[1])
        if run:
            self._stroke(run, role, solid=solid)

    def _stroke(self, places: list[Point], role: str, *, solid: bool) -> None:
        commands: list[Command] = [("M" if k == 0 else "L", *p) for k, p in enumerate(places)]
        self.marks.append(Path(tuple(commands), role))
        if solid:
            self.keep_off(places)

    def keep_off(self, places: Sequence[Point]) -> None:
        """Keep names off a run of places."""
        for (x0, y0), (x1, y1) in pairwise(places):
            pieces = max(1, int(max(abs(x1 - x0), abs(y1 - y0)) / 6))
            for k in range(pieces):
                a, b = k / pieces, (k + 1) / pieces
                xa, xb = x0 + (x1 - x0) * a, x0 + (x1 - x0) * b
                ya, yb = y0 + (y1 - y0) * a, y0 + (y1 - y0) * b
                box = Box(min(xa, xb), min(ya, yb), max(xa, xb), max(ya, yb))
                self.block(box.grown(2.0))

    def rectangle(self, box: Box, role: str, *, solid: bool = False) -> None:
        """A rectangle."""
        corners = (
            ("M", box.x0, box.y0),
            ("L", box.x1, box.y0),
            ("L", box.x1, box.y1),
            ("L", box.x0, box.y1),
            ("Z",),
        )
        self.marks.append(Path(corners, role))
        if solid:
            self.block(box)

    def hatched(self, box: Box) -> None:
        """A hatched rectangle, for stretches that a word names as well."""
        self.rectangle(box, "ground")
        commands: list[Command] = []
        start = box.x0 - (box.y1 - box.y0)
        count = int((box.x1 - start) / _HATCH) + 1
        for k in range(count):
            x = start + k * _HATCH
            # Rising line from (x, y1) to (x + height, y0), cut at the sides.
            left, right = max(x, box.x0), min(x + box.y1 - box.y0, box.x1)
            if right - left > 0.5:
                commands.append(("M", round(left, 2), round(box.y1 - (left - x), 2)))
                commands.append(("L", round(right, 2), round(box.y1 - (right - x), 2)))
        if commands:
            self.marks.append(Path(tuple(commands), "hatch"))

    def disc(self, place: Point, role: str = "disc") -> None:
        """The point (``disc``) or an earlier one (``hollow``)."""
        x, y = place
        self.marks.append(Circle(x, y, 7.5, role))
        if role == "disc":
            self.marks.append(Circle(x, y, 2.4, "eye"))
        self.block(Box(x - 8, y - 8, x + 8, y + 8))

    # --- words ---------------------------------------------------------------------------------

    def say(self, x: float, y: float, line: Line, anchor: str = "start", role: str = "name") -> Box:
        """A text with a fixed place; returns its extent."""
        text = Text(x, y, line, anchor, role)
        box = text_box(text)
        self.marks.append(text)
        self.fixed.append(box)
        self.obstacles.append(Obstacle(box, is_text=True))
        return box

    def name(
        self,
        key: str,
        places: Sequence[Point],
        lines: Sequence[tuple[Line, str]],
        within: Box,
        *,
        off: float = 5.0,
    ) -> None:
        """A text that looks for room beside the first of some places, or one of the next.

        Parameters
        ----------
        key : str
            Name of the label.
        places : sequence of Point
            Where it may stand, the best first. [px]
        lines : sequence of (tuple of Span, str)
            Lines with their roles.
        within : Box
            Room it must not leave. [px]
        off : float
            Least distance from the place. [px]
        """
        wide, high = max(width(line) for line, _ in lines), len(lines) * _HIGH
        slots = []
        for n, (x, y) in enumerate(places):
            for ring, grow in enumerate(_RINGS):
                d = off + grow
                for price, dx, dy in (
                    (0.0, d, -d - high),
                    (0.6, -d - wide, -d - high),
                    (1.0, d, d),
                    (1.2, -d - wide, d),
                    (1.4, d, -high / 2),
                    (1.6, -d - wide, -high / 2),
                    (1.8, -wide / 2, -d - high),
                    (2.0, -wide / 2, d),
                ):
                    left = min(max(x + dx, within.x0), within.x1 - wide)
                    box = Box(left, y + dy, left + wide, y + dy + high)
                    cost = price + 2.0 * ring + 0.7 * n
                    if box.y0 >= within.y0 and box.y1 <= within.y1 and left >= within.x0:
                        slots.append(Slot("at", (left, y + dy), box, price=cost))
        self.items[key], self.texts[key] = slots, tuple(lines)

    def _place(self) -> list[Box]:
        wanted = {k: slots for k, slots in self.items.items() if slots}
        slots, crowded = choose(wanted, self.obstacles)
        boxes: list[Box] = []
        for key, slot in slots.items():
            if key in crowded:
                continue  # left out rather than set over something; the description has it
            texts = []
            for k, (line, role) in enumerate(self.texts[key]):
                text = Text(slot.box.x0, slot.box.y0 + 13 + k * _HIGH, line, "start", role)
                texts.append(text)
                boxes.append(text_box(text))
            self.marks.append(Group("label", tuple(texts), data=(("label", key),)))
        return boxes

    def scene(self, title: str, description: str) -> Scene:
        """The finished chart."""
        labels = [*self.fixed, *self._place()]
        drawn = tuple(o.box for o in self.obstacles if not o.is_text)
        return Scene(title, description, self.box, tuple(self.marks), "chart", tuple(labels), drawn)


def _inside(plot: Plot, values: Values) -> list[tuple[Point, Point]]:
    """Pieces of a line inside the plot area, in figure units."""
    a = plot.area
    out = []
    for first, second in pairwise(plot.at(x, y) for x, y in values):
        piece = clipped(first, second, a)
        if piece is not None:
            out.append(piece)
    return out


def clipped(first: Point, second: Point, area: Box) -> tuple[Point, Point] | None:
    """A stretch cut at the edges of a box, or None when nothing of it lies inside.

    References
    ----------
    Y.-D. Liang, B. A. Barsky, "A New Concept and Method for Line Clipping", ACM Transactions on
    Graphics 3 (1984) 1-22.
    """
    (x0, y0), (x1, y1) = first, second
    dx, dy = x1 - x0, y1 - y0
    start, end = 0.0, 1.0
    for p, q in ((-dx, x0 - area.x0), (dx, area.x1 - x0), (-dy, y0 - area.y0), (dy, area.y1 - y0)):
        if p == 0.0:
            if q < -1e-6:
                return None
            continue
        t = q / p
        if p < 0:
            start = max(start, t)
        else:
            end = min(end, t)
    if start > end + 1e-9:
        return None

    def along(t: float) -> Point:
        return round(x0 + dx * t, 2), round(y0 + dy * t, 2)

    return along(start) if start else first, along(end) if end < 1.0 else second


def small(words: str) -> Line:
    """Words in the size of the figures on axes."""
    return (Span(words, size=min(SMALL, TICK_SIZE)),)
