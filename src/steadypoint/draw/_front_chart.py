"""The front of a choice: what more supply current buys, and the sets to pick from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from steadypoint.draw._canvas import Canvas, Plot, small
from steadypoint.draw._metrics import width as text_width
from steadypoint.draw._scale import Scale, roomy, word_scale
from steadypoint.draw._scene import Box, Circle, Group, Path, Scene, Span
from steadypoint.draw._typography import designator, number, plain_number, quantity_symbol
from steadypoint.errors import QuantityError
from steadypoint.values import letter_code

_ROW: Final = 22.0
_GAP: Final = 14.0


@dataclass(frozen=True, slots=True)
class FrontPoint:
    """One set of a front.

    Parameters
    ----------
    supply_current : float
        What it may take from the supply. [A]
    spread : float
        Greatest relative distance of I_C from the wish. [-]
    values : mapping of str to float
        Resistances by name. [Ω]
    """

    supply_current: float
    spread: float
    values: Mapping[str, float]


def front_chart(
    front: Sequence[FrontPoint],
    *,
    chosen: int | None = None,
    title: str | None = None,
    width: float = 600.0,
) -> Scene:
    """Spread against supply current, each set with its number, and their values beneath.

    Parameters
    ----------
    front : sequence of FrontPoint
        The sets, rising in supply current.
    chosen : int, optional
        Number of the set that was picked, from 1; drawn as the point, the others hollow.
    title : str, optional
        Title of the chart.
    width : float, default 600
        Width of the chart; its height follows from the number of sets. [px]

    Returns
    -------
    Scene
        Groups bear ``data-set`` with their number, for a page on which one is picked.

    Raises
    ------
    QuantityError
        If there are no sets, or ``chosen`` is none of them.
    """
    if not front:
        raise QuantityError("The front holds no set. Widen the wish, then draw it.")
    if chosen is not None and not 1 <= chosen <= len(front):
        raise QuantityError(f"The front has sets 1 to {len(front)}, not {chosen}.")
    height = 330.0 + _ROW * (len(front) + 1)
    canvas = Canvas(width, height)
    plot = _plot(front, Box(64, 42, width - 40, 262))
    canvas.axes(plot)
    _steps(canvas, plot, front)
    for k, one in enumerate(front, start=1):
        _mark(canvas, plot, k, one, picked=k == chosen)
    _table(canvas, front, chosen, 338.0)
    return canvas.scene(title or "Spread against supply current", _told(front, chosen))


def _plot(front: Sequence[FrontPoint], area: Box) -> Plot:
    currents = [p.supply_current for p in front]
    spreads = [100.0 * p.spread for p in front]
    across = word_scale(
        "supply current", "A", *roomy(min(currents), max(currents), from_zero=False)
    )
    low, high = roomy(0.0, max(spreads))
    name = (*quantity_symbol("I_C"), Span(" within ±"))
    return Plot(across, Scale(low, high, "%", False, name), area)


def _steps(canvas: Canvas, plot: Plot, front: Sequence[FrontPoint]) -> None:
    """A limit between two sets allows the one before: the front is a staircase."""
    values = []
    for before, after in pairwise(front):
        values += [
            (before.supply_current, 100.0 * before.spread),
            (after.supply_current, 100.0 * before.spread),
        ]
    values.append((front[-1].supply_current, 100.0 * front[-1].spread))
    canvas.line(plot, values, "guide")


def _mark(canvas: Canvas, plot: Plot, k: int, one: FrontPoint, *, picked: bool) -> None:
    x, y = place = plot.at(one.supply_current, 100.0 * one.spread)
    marks = [Circle(x, y, 7.5, "disc" if picked else "hollow")]
    if picked:
        marks.append(Circle(x, y, 2.4, "eye"))
    canvas.marks.append(Group("set", tuple(marks), data=(("set", str(k)),)))
    canvas.block(Box(x - 8, y - 8, x + 8, y + 8))
    room = Box(plot.area.x0, 0.0, canvas.box.x1 - 4, plot.area.y1)
    line = (Span(str(k), weight="strong"),)
    canvas.name(f"set {k}", [place], [(line, "point" if picked else "name")], room, off=6.0)


def _table(canvas: Canvas, front: Sequence[FrontPoint], chosen: int | None, top: float) -> None:
    """Number, supply current, spread and values of each set."""
    names = list(front[0].values)
    heads = [small("set"), small("supply"), small("I_C within"), *(designator(n) for n in names)]
    rows = []
    for k, one in enumerate(front, start=1):
        codes = [(Span(letter_code(one.values[n]), weight="num"),) for n in names]
        spread = (Span(f"±{100.0 * one.spread:.3g}\u202f%", weight="num"),)
        mark = (Span(f"{k}" + (" picked" if k == chosen else ""), weight="strong"),)
        rows.append([mark, number(one.supply_current, "A"), spread, *codes])
    heads[2] = (*small("within"),)
    columns = list(zip(heads, *rows, strict=True))
    widths = [max(text_width(cell) for cell in column) for column in columns]
    room = canvas.box.x1 - 2 * 24.0 - sum(widths)
    gap = max(_GAP, min(40.0, room / max(1, len(widths) - 1)))
    x = 24.0
    for column, wide in zip(columns, widths, strict=True):
        for row, cell in enumerate(column):
            canvas.say(x, top + _ROW * row, cell, "start", "minor" if row == 0 else "name")
        x += wide + gap
    y = top + 7.0
    canvas.marks.append(Path((("M", 24.0, y), ("L", canvas.box.x1 - 24.0, y)), "grid"))


def _told(front: Sequence[FrontPoint], chosen: int | None) -> str:
    said = []
    for k, one in enumerate(front, start=1):
        values = ", ".join(f"{n} {letter_code(v)}" for n, v in one.values.items())
        said.append(
            f"Set {k}{', picked' if k == chosen else ''}: at most "
            f"{plain_number(one.supply_current, 'A')}, I_C within ±{100.0 * one.spread:.3g} %, "
            f"{values}."
        )
    return " ".join(said)


__all__ = ["FrontPoint", "front_chart"]
