"""Charts of a spread: histogram over a box, and boxes side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.draw._canvas import Canvas, Plot, small
from steadypoint.draw._metrics import width as text_width
from steadypoint.draw._scale import Scale, roomy, symbol_scale
from steadypoint.draw._scene import Box, Path, Scene
from steadypoint.draw._typography import number, plain_number
from steadypoint.errors import QuantityError

_SHARES: Final = (2.5, 25.0, 50.0, 75.0, 97.5)
_MOST_BINS: Final = 48
_LEAST_BINS: Final = 8


def spread_chart(
    values: Sequence[float],
    symbol: str,
    unit: str,
    *,
    stated: float | None = None,
    title: str | None = None,
    width: float = 600.0,
    height: float = 400.0,
) -> Scene:
    """Histogram of many values of one quantity, with its box beneath.

    Parameters
    ----------
    values : sequence of float
        What was found, one for each circuit. [unit]
    symbol, unit : str
        Letter symbol and SI unit of the quantity.
    stated : float, optional
        Value with every part at its stated value. [unit]
    title : str, optional
        Title of the chart.
    width, height : float
        Size of the chart. [px]

    Returns
    -------
    Scene
        Bars count the values; the box holds the middle half, its line is the median, its whiskers
        hold 95 %.

    Raises
    ------
    QuantityError
        If there are fewer than four values, or some are no numbers.

    References
    ----------
    D. Freedman, P. Diaconis, "On the histogram as a density estimator: L2 theory", Zeitschrift für
    Wahrscheinlichkeitstheorie und verwandte Gebiete 57 (1981) 453-476: width of the bars.
    """
    data = _checked(values, symbol)
    counts, edges = _bars(data)
    low, high = roomy(float(edges[0]), float(edges[-1]), from_zero=False, room=0.04)
    if stated is not None:
        low, high = min(low, stated), max(high, stated)
    canvas = Canvas(width, height)
    scale = symbol_scale(symbol, unit, low, high)
    upper = Plot(scale, _count_scale(int(counts.max())), Box(64, 42, width - 28, height - 128))
    strip = Plot(scale, Scale(0, 1), Box(64, height - 122, width - 28, height - 54))
    canvas.axes(upper, x_figures=False, x_name=False)
    for count, start, end in zip(counts, edges, edges[1:], strict=False):
        if count:
            (x0, y0), (x1, y1) = upper.at(float(start), float(count)), upper.at(float(end), 0.0)
            canvas.rectangle(Box(x0, y0, x1, y1), "bar", solid=True)
    canvas.axis_below(strip)
    five = [float(v) for v in np.percentile(data, _SHARES)]
    _box_marks(canvas, strip, five, 0.38)
    for key, words, value in (
        ("low", "95 % from ", five[0]),
        ("median", "median ", five[2]),
        ("high", "to ", five[4]),
    ):
        label = (*small(words), *number(value, unit))
        role = "point" if key == "median" else "minor"
        canvas.name(key, [strip.at(value, 0.62)], [(label, role)], _around(strip), off=2.0)
    if stated is not None:
        x, y = upper.at(stated, 0.0)
        canvas.marks.append(Path((("M", x, upper.area.y0), ("L", x, y)), "guide"))
        canvas.keep_off([(x, upper.area.y0), (x, y)])
        label = (*small("stated "), *number(stated, unit))
        room = Box(upper.area.x0 + 4, 0, width - 4, upper.area.y1)
        canvas.name("stated", [(x, upper.area.y0 - 4)], [(label, "minor")], room, off=3.0)
    return canvas.scene(
        title or f"Spread of {symbol}", _description(data, five, symbol, unit, stated)
    )


def box_chart(
    groups: Mapping[str, Sequence[float]],
    symbol: str,
    unit: str,
    *,
    title: str | None = None,
    width: float = 600.0,
) -> Scene:
    """Boxes of several spreads under each other, over one scale.

    Parameters
    ----------
    groups : mapping of str to sequence of float
        Values by the name of their circuit. [unit]
    symbol, unit : str
        Letter symbol and SI unit of the quantity.
    title : str, optional
        Title of the chart.
    width : float, default 600
        Width of the chart; its height follows from the number of groups. [px]

    Returns
    -------
    Scene
        Box of the middle half, line of the median, whiskers that hold 95 %.

    Raises
    ------
    QuantityError
        If there is no group, or a group has fewer than four values.
    """
    if not groups:
        raise QuantityError("A box chart needs at least one group of values.")
    data = {name: _checked(values, f"{symbol} of {name}") for name, values in groups.items()}
    fives = {n: [float(v) for v in np.percentile(d, _SHARES)] for n, d in data.items()}
    ends = (min(f[0] for f in fives.values()), max(f[4] for f in fives.values()))
    low, high = roomy(*ends, from_zero=ends[0] >= 0.0 and ends[0] < 0.5 * ends[1], room=0.1)
    row = 62.0
    height = 24.0 + row * len(groups) + 50.0
    canvas = Canvas(width, height)
    scale = symbol_scale(symbol, unit, low, high)
    canvas.axis_below(Plot(scale, Scale(0, 1), Box(24, 12, width - 28, height - 50)))
    note = "box: the middle half, line: the median, whiskers: 95 %"
    canvas.say(24, height - 9, small(note), "start", "minor")
    said = []
    for k, (name, five) in enumerate(fives.items()):
        top = 16.0 + row * k
        canvas.say(24, top + 12, small(name), "start", "name")
        strip = Plot(scale, Scale(0, 1), Box(24, top + 10, width - 28, top + row))
        _box_marks(canvas, strip, five, 0.5, half=9.0)
        line = number(five[2], unit)
        room = Box(24, top - 2, width - 4, top + row)
        canvas.name(name, [strip.at(five[2], 0.72)], [(line, "point")], room, off=1.0)
        said.append(
            f"{name}: median {plain_number(five[2], unit)}, "
            f"95 % from {plain_number(five[0], unit)} to {plain_number(five[4], unit)}."
        )
    return canvas.scene(title or f"Spreads of {symbol}", " ".join(said))


def _checked(values: Sequence[float], what: str) -> NDArray[np.float64]:
    data = np.asarray(values, dtype=np.float64).ravel()
    if len(data) < 4:
        raise QuantityError(f"A spread of {what} needs at least four values, not {len(data)}.")
    if not np.isfinite(data).all():
        bad = int((~np.isfinite(data)).sum())
        raise QuantityError(f"{bad} of the values of {what} are no numbers. Leave them out.")
    return data


def _bars(data: NDArray[np.float64]) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    if np.ptp(data) <= 1e-12 * max(abs(float(data[0])), 1e-300):
        middle = float(data[0])
        half = 0.05 * abs(middle) or 0.5
        return np.histogram(data, bins=1, range=(middle - half, middle + half))
    count = len(np.histogram_bin_edges(data, "fd")) - 1
    return np.histogram(data, bins=min(max(count, _LEAST_BINS), _MOST_BINS))


def _count_scale(most: int) -> Scale:
    return Scale(0.0, max(1.12 * most, 4.0), "", name=small("circuits"), most=5)


def _around(plot: Plot) -> Box:
    a = plot.area
    return Box(a.x0 - 40, a.y0 - 4, a.x1 + 24, a.y1 - 3)


def _box_marks(
    canvas: Canvas, plot: Plot, five: list[float], at: float, *, half: float = 11.0
) -> None:
    """Box, median and whiskers at a height of a strip."""
    (x0, y), (x1, _), (x2, _), (x3, _), (x4, _) = (plot.at(v, at) for v in five)
    for a, b in ((x0, x1), (x3, x4)):
        canvas.marks.append(Path((("M", a, y), ("L", b, y)), "line"))
    for x in (x0, x4):
        canvas.marks.append(Path((("M", x, y - 6), ("L", x, y + 6)), "line"))
    canvas.rectangle(Box(x1, y - half, x3, y + half), "bar")
    canvas.marks.append(Path((("M", x2, y - half), ("L", x2, y + half)), "median"))
    canvas.block(Box(x0 - 2, y - 7, x4 + 2, y + 7))
    canvas.block(Box(x1 - 1, y - half - 1, x3 + 1, y + half + 1))


def _description(
    data: NDArray[np.float64], five: list[float], symbol: str, unit: str, stated: float | None
) -> str:
    low, first, middle, third, high = (plain_number(v, unit) for v in five)
    text = (
        f"{symbol} of {len(data)} circuits. The median is {middle}; half of them lie from {first} "
        f"to {third}, 95 % from {low} to {high}, all from {plain_number(float(data.min()), unit)} "
        f"to {plain_number(float(data.max()), unit)}."
    )
    if stated is not None:
        text += f" With every part as stated it is {plain_number(stated, unit)}."
    return text


def label_width(names: Sequence[str]) -> float:
    """Width of the widest of some row names. [px]"""
    return max((text_width(small(n)) for n in names), default=0.0)
