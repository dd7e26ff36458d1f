"""What every chart with a bias line marks: the point, and the line across the whole plot."""

from __future__ import annotations

import math

from steadypoint.draw._canvas import Canvas, Plot, Values
from steadypoint.draw._scene import Box, Path, Point
from steadypoint.draw._typography import number, quantity_symbol


def mark_point(
    canvas: Canvas, plot: Plot, at: Point, across: tuple[str, str], up: tuple[str, str]
) -> None:
    """Disc at a place, guides to both axes, and its two values."""
    x, y = plot.at(*at)
    a = plot.area
    for end in ((x, a.y1), (a.x0, y)):
        canvas.marks.append(Path((("M", x, y), ("L", *end)), "guide"))
        canvas.keep_off([(x, y), end])
    canvas.disc((x, y))
    lines = []
    for (symbol, unit), value in ((across, at[0]), (up, at[1])):
        lines.append(((*quantity_symbol(symbol), *number(value, unit, gap=5.0)), "point"))
    room = Box(a.x0 + 4, a.y0 - 10, a.x1 + 24, a.y1 - 4)
    canvas.name("point", [(x, y)], lines, room, off=11.0)


def stretched(
    line: tuple[tuple[float, float], tuple[float, float]],
    ends: tuple[float, float],
    tops: tuple[float, float],
) -> Values:
    """The line through two places, long enough to cross the whole plot."""
    (x0, y0), (x1, y1) = line
    if math.isclose(x0, x1, abs_tol=1e-15):
        return [(x0, tops[0]), (x0, tops[1])]
    slope = (y1 - y0) / (x1 - x0)
    return [(x, y0 + slope * (x - x0)) for x in ends]


def along(
    plot: Plot,
    line: tuple[tuple[float, float], tuple[float, float]],
    ends: tuple[tuple[float, float], tuple[float, float]],
) -> list[Point]:
    """Places on the line within the plot, where its name may stand."""
    (x0, y0), (x1, y1) = stretched(line, *ends)
    shares = (0.15, 0.3, 0.45, 0.6, 0.75, 0.9)
    inside = [(x0 + (x1 - x0) * s, y0 + (y1 - y0) * s) for s in shares]
    return [plot.at(*p) for p in inside if plot.holds(*p)] or [plot.at(x0, y0)]


def mark_zero(canvas: Canvas, plot: Plot, ends: tuple[float, float], top: float) -> None:
    """A thin upright where the voltage is zero, if that is within the plot."""
    if ends[0] < 0.0 < ends[1]:
        (x, y0), (_, y1) = plot.at(0.0, 0.0), plot.at(0.0, top)
        canvas.marks.append(Path((("M", x, y0), ("L", x, y1)), "tick"))
        canvas.keep_off([(x, y0), (x, y1)])
