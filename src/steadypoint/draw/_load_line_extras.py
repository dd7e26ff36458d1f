"""What may join a load line: earlier points with the way between, limits, the signal's line."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from steadypoint.draw._canvas import clipped
from steadypoint.draw._scene import Box, Circle, Command, Path, Point, Span
from steadypoint.draw._typography import SMALL, number, plain_number, quantity_symbol, round_number
from steadypoint.draw._wiring import Obstacle

if TYPE_CHECKING:
    from steadypoint.draw._load_line_marks import Chart, Painter

_GHOST: Final = 7.0
_SAMPLES: Final = 60
_BAND: Final = 7.0  # height of the stretch that counts as cut off [px]
_REACH: Final = 40.0  # a name stands at most this far from its point [px]
_NEAR: Final = 24.0  # points closer than this have no arrow between [px]


def draw_extras(painter: Painter) -> None:
    """Everything that is there to draw, under the point."""
    _limits(painter)
    _signal_line(painter)
    _earlier(painter)


def cut_off_band(painter: Painter) -> None:
    """The stretch along the axis in which no current flows."""
    a = painter.frame.area
    box = Box(a.x0, a.y1 - _BAND, a.x1, a.y1)
    corners = (("M", box.x0, box.y0), ("L", box.x1, box.y0), ("L", box.x1, box.y1))
    painter.marks.append(Path((*corners, ("L", box.x0, box.y1), ("Z",)), "shade"))


def _limits(painter: Painter) -> None:
    chart, frame = painter.chart, painter.frame
    V_end, I_end = frame.x.end, frame.y.end
    if chart.P_tot is not None and chart.P_tot < V_end * I_end:
        start = chart.P_tot / I_end
        volts = [start * (V_end / start) ** (k / _SAMPLES) for k in range(_SAMPLES + 1)]
        places = [frame.at(v, chart.P_tot / v) for v in volts]
        painter.path(places, "limit")
        name = (*quantity_symbol("P_tot"), *round_number(chart.P_tot, "W", gap=5.0))
        middle = places[_SAMPLES // 3]
        painter.label("P_tot", middle, ((name, "limitname"),), 6.0)
    if chart.V_CEO is not None and V_end > chart.V_CEO:
        places = [frame.at(chart.V_CEO, I_end), frame.at(chart.V_CEO, 0.0)]
        painter.path(places, "limit")
        name = (*quantity_symbol(chart.V_max_symbol), *round_number(chart.V_CEO, "V", gap=5.0))
        x, y = places[0]
        painter.label("V_CEO", (x, y + 40), ((name, "limitname"),), 6.0)


def _signal_line(painter: Painter) -> None:
    chart, frame = painter.chart, painter.frame
    if chart.signal_R is None:
        return
    V, I = chart.point  # noqa: E741  letter symbols
    foot, top = V + I * chart.signal_R, I + V / chart.signal_R
    piece = clipped(frame.at(0.0, top), frame.at(foot, 0.0), frame.area)
    if piece is None:
        return
    painter.path(list(piece), "signal-line")
    (x0, y0), (x1, y1) = piece
    name = (
        Span("AC load line, ", size=SMALL),
        *number(chart.signal_R, "Ω", size=SMALL),
    )
    share = 0.25
    place = (x0 + (x1 - x0) * share, y0 + (y1 - y0) * share)
    painter.label("AC load line", place, ((name, "name"),), 6.0)


def _earlier(painter: Painter) -> None:
    chart, frame = painter.chart, painter.frame
    if not chart.earlier:
        return
    places = [frame.at(*at) for _, at in chart.earlier]
    for start, end in pairwise([*places, frame.at(*chart.point)]):
        far = math.hypot(end[0] - start[0], end[1] - start[1])
        if far > _NEAR:
            _way(painter, start, end, far)
    for k, ((name, _), (x, y)) in enumerate(zip(chart.earlier, places, strict=True)):
        painter.marks.append(Circle(x, y, _GHOST, "hollow"))
        painter.obstacles.append(Obstacle(Box(x - 8, y - 8, x + 8, y + 8)))
        painter.label(f"earlier {k}", (x, y), (((Span(name, size=SMALL),), "was"),), 10.0)
        # Further off a name would seem to belong to something else; the description has it.
        slots = painter.items[f"earlier {k}"]
        painter.items[f"earlier {k}"] = [s for s in slots if _apart(s.box, x, y) < _REACH]


def _apart(box: Box, x: float, y: float) -> float:
    """Distance of a box from a place. [px]"""
    dx = max(box.x0 - x, 0.0, x - box.x1)
    dy = max(box.y0 - y, 0.0, y - box.y1)
    return math.hypot(dx, dy)


def _way(painter: Painter, start: Point, end: Point, far: float) -> None:
    """An arrow from one point to the next, bowed so that it keeps off the load line."""
    ux, uy = (end[0] - start[0]) / far, (end[1] - start[1]) / far
    # Outwards is where voltage and current are both larger: right and up in the chart.
    nx, ny = -uy, ux
    if nx - ny < 0.0:
        nx, ny = -nx, -ny
    bow = min(26.0, 10.0 + 0.12 * far)
    x0, y0 = start[0] + ux * 5 + nx * 8, start[1] + uy * 5 + ny * 8
    x1, y1 = end[0] - ux * 7 + nx * 11, end[1] - uy * 7 + ny * 11
    mx, my = 0.5 * (x0 + x1) + nx * bow, 0.5 * (y0 + y1) + ny * bow
    length = math.hypot(x1 - mx, y1 - my) or 1.0
    tx, ty = (x1 - mx) / length, (y1 - my) / length
    commands: tuple[Command, ...] = (
        ("M", x0, y0),
        ("Q", mx, my, x1, y1),
        ("M", x1 - tx * 7 - ty * 4, y1 - ty * 7 + tx * 4),
        ("L", x1, y1),
        ("L", x1 - tx * 7 + ty * 4, y1 - ty * 7 - tx * 4),
    )
    painter.marks.append(Path(commands, "path"))
    for k in range(17):
        t = k / 16
        a, b, c = (1 - t) ** 2, 2 * t * (1 - t), t * t
        x, y = a * x0 + b * mx + c * x1, a * y0 + b * my + c * y1
        painter.obstacles.append(Obstacle(Box(x - 3, y - 3, x + 3, y + 3)))


def extra_sentences(chart: Chart) -> str:
    """What the additions say, for the description."""
    text = ""
    for name, (V, I) in chart.earlier:  # noqa: E741  letter symbols
        text += f" {name}: {plain_number(V, 'V')} and {plain_number(I, 'A')}."
    if chart.signal_R is not None:
        text += f" The AC load line goes through the point with {plain_number(chart.signal_R, 'Ω')}"
        top = chart.point[0] + chart.point[1] * chart.signal_R
        text += f" and meets zero current at {plain_number(top, 'V')}."
    limits = []
    if chart.V_CEO is not None:
        limits.append(f"{chart.V_max_symbol} {plain_number(chart.V_CEO, 'V', trim=True)}")
    if chart.P_tot is not None:
        limits.append(f"P_tot {plain_number(chart.P_tot, 'W', trim=True)}")
    if limits:
        own = chart.point[0] * chart.point[1]
        over = (chart.V_CEO is not None and chart.point[0] > chart.V_CEO) or (
            chart.P_tot is not None and own > chart.P_tot
        )
        where = "The point is over its limits" if over else "The point keeps within its limits"
        text += f" {where}, {' and '.join(limits)}."
    return text
