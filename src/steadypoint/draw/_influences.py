"""Which part moves the point how far: a bar for each, the longest on top."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from steadypoint.draw._canvas import Canvas, Plot, small
from steadypoint.draw._scale import Scale, symbol_scale
from steadypoint.draw._scene import Box, Path, Scene, Span
from steadypoint.draw._spread_charts import label_width
from steadypoint.draw._typography import SMALL, number, plain_number, quantity_symbol
from steadypoint.errors import QuantityError

_ROW: Final = 34.0
_HALF: Final = 8.0


@dataclass(frozen=True, slots=True)
class Influence:
    """What one part does to a quantity.

    Parameters
    ----------
    name : str
        The part, or what else moves.
    low, high : float
        The quantity with the part at its lower and at its upper end. [unit of the quantity]
    low_says, high_says : str
        The ends in words, such as ``−5 %`` or ``β 100``.
    """

    name: str
    low: float
    high: float
    low_says: str = "least"
    high_says: str = "most"

    @property
    def span(self) -> float:
        """How far the quantity moves. [unit of the quantity]"""
        return abs(self.high - self.low)


def influence_chart(
    influences: Sequence[Influence],
    symbol: str,
    unit: str,
    stated: float,
    *,
    title: str | None = None,
    width: float = 600.0,
) -> Scene:
    """Influences on one quantity, the largest on top.

    Parameters
    ----------
    influences : sequence of Influence
        What each part does, alone.
    symbol, unit : str
        Letter symbol and SI unit of the quantity.
    stated : float
        The quantity with every part as stated. [unit]
    title : str, optional
        Title of the chart.
    width : float, default 600
        Width of the chart; its height follows from the number of bars. [px]

    Returns
    -------
    Scene
        A full bar towards the lower end of each part, a hollow one towards its upper end.

    Raises
    ------
    QuantityError
        If there are no influences.
    """
    if not influences:
        raise QuantityError("A chart of influences needs at least one.")
    rows = sorted(influences, key=lambda i: -i.span)
    values = [stated, *(v for i in rows for v in (i.low, i.high))]
    least, most = min(values), max(values)
    room = 0.1 * (most - least) or 0.1 * abs(stated) or 1.0
    left = 34.0 + label_width([i.name for i in rows])
    height = 46.0 + _ROW * len(rows) + 54.0
    canvas = Canvas(width, height)
    area = Box(left + 94, 46.0, width - 128, height - 54.0)
    plot = Plot(symbol_scale(symbol, unit, least - room, most + room), Scale(0, 1), area)
    canvas.axis_below(plot)
    middle = plot.at(stated, 0.0)[0]
    canvas.block(Box(middle - 2, 30.0, middle + 2, area.y1))
    for k, influence in enumerate(rows):
        _row(canvas, plot, influence, 46.0 + _ROW * (k + 0.5), middle, unit)
    canvas.marks.append(Path((("M", middle, 36.0), ("L", middle, area.y1)), "median"))
    line = (Span("stated ", size=SMALL), *number(stated, unit))
    canvas.say(middle, 24.0, line, "middle", "point")
    return canvas.scene(
        title or f"Influences on {symbol}", _description(rows, symbol, unit, stated)
    )


def _row(
    canvas: Canvas, plot: Plot, influence: Influence, y: float, middle: float, unit: str
) -> None:
    name = influence.name
    # A letter symbol is set as one; parts and words stay upright.
    line = quantity_symbol(name, 0.85) if "_" in name and " " not in name else small(name)
    canvas.say(24.0, y + 4.5, line, "start", "name")
    if influence.span <= 1e-6 * abs(influence.low or 1.0):
        canvas.say(middle + 8, y + 4.5, small("no change"), "start", "minor")
        return
    ends = []
    for value, role in ((influence.low, "bar-full"), (influence.high, "bar")):
        x = plot.at(value, 0.0)[0]
        ends.append(x)
        if abs(x - middle) > 0.5:
            box = Box(min(x, middle), y - _HALF, max(x, middle), y + _HALF)
            canvas.rectangle(box, role, solid=True)
    same_side = (ends[0] - middle) * (ends[1] - middle) > 0
    longer = max((0, 1), key=lambda n: abs(ends[n] - middle))
    for n, x, value, word in zip(
        (0, 1),
        ends,
        (influence.low, influence.high),
        (influence.low_says, influence.high_says),
        strict=True,
    ):
        line = (*number(value, unit, size=SMALL), Span(f" at {word}", size=SMALL))
        leftmost = x == min(ends) and not (same_side and x > middle)
        if same_side and n != longer:
            continue  # the nearer end of two on one side lies inside the longer bar
        anchor, at = ("end", x - 6) if leftmost else ("start", x + 6)
        canvas.say(at, y + 4.5, line, anchor, "minor")


def _description(rows: Sequence[Influence], symbol: str, unit: str, stated: float) -> str:
    text = f"Influences on {symbol}, which is {plain_number(stated, unit)} with all as stated."
    for i in rows:
        text += (
            f" {i.name}: {plain_number(i.low, unit)} at {i.low_says}, "
            f"{plain_number(i.high, unit)} at {i.high_says}."
        )
    return text
