"""Arrangements side by side: for each the level, other points on it, and how far I_C moved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from steadypoint.draw._canvas import Canvas, small
from steadypoint.draw._level import full_voltage
from steadypoint.draw._scene import Box, Circle, Path, Scene, Span
from steadypoint.draw._stages import (
    chosen_transistor,
    low_word,
    magnitudes,
    stage_point,
    state_words,
    symbols,
)
from steadypoint.draw._typography import SMALL, number, plain_number, quantity_symbol
from steadypoint.errors import CircuitError
from steadypoint.solve import OperatingPoint

_ROW: Final = 108.0
_TUBE: Final = 28.0
_SIDE: Final = 24.0


@dataclass(frozen=True, slots=True)
class Compared:
    """One arrangement of a comparison.

    Parameters
    ----------
    name : str
        What it is called.
    point : OperatingPoint
        Its point.
    others : tuple of (str, OperatingPoint)
        Further points by what was changed, such as ``β 240``.
    transistor : str
        Whose point; the first when empty.
    """

    name: str
    point: OperatingPoint
    others: tuple[tuple[str, OperatingPoint], ...] = ()
    transistor: str = ""


def comparison_chart(
    rows: Sequence[Compared], *, title: str | None = None, width: float = 600.0
) -> Scene:
    """Arrangements under each other, with how far their points move.

    Parameters
    ----------
    rows : sequence of Compared
        The arrangements.
    title : str, optional
        Title of the chart.
    width : float, default 600
        Width of the chart; its height follows from the number of rows. [px]

    Returns
    -------
    Scene
        For each a tube from saturated to cut off with the point as a disc, the further points
        hollow, and the change of the collector or drain current from the least to
        the largest of them.

    Raises
    ------
    CircuitError
        If there is nothing to compare, or a circuit has no transistor.
    """
    if not rows:
        raise CircuitError("There is nothing to compare. Give at least one arrangement.")
    height = 14.0 + _ROW * len(rows) + 22.0
    canvas = Canvas(width, height)
    said = [_draw(canvas, row, 14.0 + _ROW * k, width) for k, row in enumerate(rows)]
    kinds = [r.point.circuit.part(_name(r)).kind for r in rows]
    words = " or ".join(dict.fromkeys(low_word(kind) for kind in kinds))
    canvas.say(_SIDE, height - 12, small(f"0\u202fV, {words}"), "start", "minor")
    canvas.say(width - _SIDE, height - 12, small("cut off"), "end", "minor")
    return canvas.scene(title or "Arrangements compared", " ".join(said))


def _name(row: Compared) -> str:
    return chosen_transistor(row.point.circuit, row.transistor or None)


def _draw(canvas: Canvas, row: Compared, top: float, width: float) -> str:
    name = _name(row)
    now = stage_point(row.point, name)
    current = symbols(row.point.circuit.part(name).kind)[1]
    V, I = magnitudes(now)  # noqa: E741  letter symbols
    others = [(w, magnitudes(stage_point(p, name)), p) for w, p in row.others]
    full = max(full_voltage(row.point, name), *(o[1][0] for o in others), V)
    canvas.say(_SIDE, top + 14, (Span(row.name, size=15.0, weight="strong"),))
    currents = [I, *(o[1][1] for o in others)]
    change = ""
    if others and min(currents) > 0.0:
        change = f"+{100 * (max(currents) / min(currents) - 1):.3g}\u202f%"
        symbol = quantity_symbol(current)
        line = (*symbol, Span(change, size=17.0, weight="strong", gap=8.0))
    else:
        line = (*quantity_symbol(current), *number(I, "A", gap=6.0))
    canvas.say(width - _SIDE, top + 14, line, "end")
    tube = Box(_SIDE, top + 42, width - _SIDE, top + 42 + _TUBE)
    y = 0.5 * (tube.y0 + tube.y1)
    canvas.rectangle(tube, "tube")

    def at(volts: float) -> float:
        inside = min(max(volts / full, 0.0), 1.0)
        return round(tube.x0 + 12 + (tube.x1 - tube.x0 - 24) * inside, 2)

    for k, (word, (other, _), _p) in enumerate(others):
        x = at(other)
        if abs(x - at(V)) > 12:
            canvas.marks.append(Path((("M", at(V), y), ("L", x, y)), "guide"))
        canvas.marks.append(Circle(x, y, 8.5, "hollow"))
        room = Box(_SIDE, tube.y1, width - _SIDE, tube.y1 + 20)
        steps = (0.0, 12.0, 24.0, 40.0, 60.0) if other >= V else (0.0, -12.0, -24.0, -40.0, -60.0)
        places = [(x + dx, tube.y1) for dx in steps]
        canvas.name(f"{row.name} {k}", places, [(small(word), "was")], room, off=1.0)
    x = at(V)
    canvas.marks += [Circle(x, y, 9.5, "disc"), Circle(x, y, 3.0, "eye")]
    canvas.block(tube)
    line = (*number(V, "V", size=SMALL), Span(", ", size=SMALL), *number(I, "A", size=SMALL))
    room = Box(_SIDE, top + 22, width - _SIDE, top + 42)
    canvas.name(f"{row.name} point", [(x, top + 42)], [(line, "point")], room, off=1.0)
    text = f"{row.name}: {plain_number(V, 'V')}, {plain_number(I, 'A')}, "
    text += f"{state_words(now)}"
    for word, (other, amount), point in others:
        region = state_words(stage_point(point, name))
        text += f"; {word}: {plain_number(other, 'V')}, {plain_number(amount, 'A')}, {region}"
    return text + (f"; {current} changes by {change[1:]}." if change else ".")
