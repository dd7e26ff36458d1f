"""Frames for the stage as an amplifier: gain and phase against frequency, waveforms in time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from steadypoint.draw._canvas import Canvas, Plot, small
from steadypoint.draw._scale import Scale, roomy, word_scale
from steadypoint.draw._scene import Box, Path, Scene, Span
from steadypoint.draw._typography import SMALL, plain_number, quantity_symbol
from steadypoint.errors import QuantityError

_ROLES: Final = ("curve", "curve-volt", "curve-third", "loadline")
_NAMES: Final = ("curvename", "voltname", "thirdname", "name")


def bode_chart(
    frequencies: Sequence[float],
    response: Sequence[complex],
    *,
    corners: Mapping[str, float] | None = None,
    title: str | None = None,
    width: float = 600.0,
    height: float = 520.0,
) -> Scene:
    """Magnitude in decibels above phase in degrees, against frequency in decades.

    Parameters
    ----------
    frequencies : sequence of float
        Rising. [Hz]
    response : sequence of complex
        Output over input at each of them. [-]
    corners : mapping of str to float, optional
        Frequencies to mark, by name. [Hz]
    title : str, optional
        Title of the chart.
    width, height : float
        Size of the chart. [px]

    Returns
    -------
    Scene
        The chart; the phase is continued over turns.

    Raises
    ------
    QuantityError
        If the frequencies do not rise from above zero, or the lengths differ.
    """
    f = np.asarray(frequencies, dtype=np.float64)
    H = np.asarray(response, dtype=np.complex128)
    _require_pairs(f, H)
    if f[0] <= 0.0:
        raise QuantityError("Frequencies in decades start above zero.")
    if not np.abs(H).min() > 0.0:
        raise QuantityError("A response of zero has no decibels. Leave that frequency out.")
    gain, phase = 20.0 * np.log10(np.abs(H)), np.degrees(np.unwrap(np.angle(H)))
    canvas = Canvas(width, height)
    middle = 0.5 * (height - 88.0)
    scale = word_scale("frequency", "Hz", float(f[0]), float(f[-1]), logarithmic=True)
    boxes = (Box(64, 34, width - 28, 8 + middle), Box(64, 60 + middle, width - 28, height - 54))
    upper = Plot(scale, _fitted("gain", "dB", gain), boxes[0])
    lower = Plot(scale, _fitted("phase", "°", phase), boxes[1])
    canvas.axes(upper, x_figures=False, x_name=False)
    canvas.axes(lower)
    canvas.line(upper, list(zip(f.tolist(), gain.tolist(), strict=True)), "curve")
    canvas.line(lower, list(zip(f.tolist(), phase.tolist(), strict=True)), "curve-volt")
    most = int(np.argmax(gain))
    text = (
        f"Gain and phase from {plain_number(f[0], 'Hz')} to {plain_number(f[-1], 'Hz')}. "
        f"The gain is largest at {plain_number(f[most], 'Hz')}: {_decibels(gain[most])}."
    )
    x, y = upper.at(float(f[most]), float(gain[most]))
    room = Box(68, 4, width - 4, upper.area.y1 - 4)
    top = (Span(_decibels(gain[most]), weight="num"),)
    canvas.name("largest", [(x, y)], [(top, "curvename")], room)
    for name, at in (corners or {}).items():
        if not f[0] <= at <= f[-1]:
            continue
        level = float(np.interp(np.log(at), np.log(f), gain))
        text += f" {name}: {plain_number(at, 'Hz')}, where the gain is {_decibels(level)}."
        for plot in (upper, lower):
            px = plot.at(at, plot.y.low)[0]
            ends = ((px, plot.area.y0), (px, plot.area.y1))
            canvas.marks.append(Path((("M", *ends[0]), ("L", *ends[1])), "guide"))
            canvas.keep_off(ends)
        line = (Span(f"{name} ", size=SMALL), Span(plain_number(at, "Hz"), weight="num"))
        px, py = upper.at(at, level)
        places = [(px, py), (px, upper.area.y1 - 40), (px, upper.area.y1 - 70)]
        canvas.name(name, places, [(line, "minor")], room)
    return canvas.scene(title or "Gain and phase against frequency", text)


@dataclass(frozen=True, slots=True)
class Trace:
    """One waveform.

    Parameters
    ----------
    symbol, unit : str
        Letter symbol and SI unit.
    values : tuple of float
        Values at the times of the chart. [unit]
    """

    symbol: str
    unit: str
    values: tuple[float, ...]


def waveform_chart(
    times: Sequence[float],
    traces: Sequence[Trace],
    *,
    clipped: Sequence[tuple[float, float, str]] = (),
    title: str | None = None,
    width: float = 600.0,
) -> Scene:
    """Waveforms against time, one panel for each unit.

    Parameters
    ----------
    times : sequence of float
        Rising. [s]
    traces : sequence of Trace
        At most four for each unit.
    clipped : sequence of (float, float, str)
        Stretches to hatch, from and to [s], with the word that says why.
    title : str, optional
        Title of the chart.
    width : float, default 600
        Width of the chart; its height follows from the number of panels. [px]

    Returns
    -------
    Scene
        The chart; every trace bears its symbol.

    Raises
    ------
    QuantityError
        If there is no trace, too many, or the lengths differ.
    """
    t = np.asarray(times, dtype=np.float64)
    units = list(dict.fromkeys(trace.unit for trace in traces))
    if not units:
        raise QuantityError("A chart of waveforms needs at least one.")
    for trace in traces:
        _require_pairs(t, np.asarray(trace.values))
    panel = 200.0
    canvas = Canvas(width, 34.0 + len(units) * (panel + 52.0))
    said = []
    for k, unit in enumerate(units):
        group = [trace for trace in traces if trace.unit == unit]
        if len(group) > len(_ROLES):
            raise QuantityError(f"A panel holds at most four waveforms, not {len(group)}.")
        top = 34.0 + k * (panel + 52.0)
        values = np.concatenate([np.asarray(trace.values) for trace in group])
        ends = roomy(float(values.min()), float(values.max()), from_zero=False, room=0.14)
        name = (*small("voltage"),) if unit == "V" else (*small("current"),)
        area = Box(64, top, width - 66, top + panel)
        y = Scale(*ends, unit, name=name, most=5)
        plot = Plot(word_scale("time", "s", float(t[0]), float(t[-1])), y, area)
        for start, end, word in clipped:
            _hatch(canvas, plot, start, end, word, named=k == 0)
        last = k == len(units) - 1
        canvas.axes(plot, x_figures=last, x_name=last)
        for n, trace in enumerate(group):
            canvas.line(plot, list(zip(t.tolist(), trace.values, strict=True)), _ROLES[n])
        for n, trace in enumerate(group):
            places = [plot.at(float(t[-1]), trace.values[-1])]
            places += [plot.at(float(t[i]), trace.values[i]) for i in _spots(trace.values)]
            room = Box(68, top - 10, width - 4, top + panel - 4)
            line = quantity_symbol(trace.symbol)
            canvas.name(trace.symbol, places, [(line, _NAMES[n])], room)
            low, high = min(trace.values), max(trace.values)
            said.append(
                f"{trace.symbol} lies between {plain_number(low, unit)} and "
                f"{plain_number(high, unit)}."
            )
    for start, end, word in clipped:
        span = f"from {plain_number(start, 's')} to {plain_number(end, 's')}"
        said.append(f"{word.capitalize()} {span}.")
    head = f"Waveforms over {plain_number(float(t[-1] - t[0]), 's')}. "
    return canvas.scene(title or "Waveforms", head + " ".join(said))


def _hatch(canvas: Canvas, plot: Plot, start: float, end: float, word: str, *, named: bool) -> None:
    a = plot.area
    x0, x1 = plot.at(start, plot.y.low)[0], plot.at(end, plot.y.low)[0]
    box = Box(max(x0, a.x0), a.y0, min(x1, a.x1), a.y1)
    if box.x1 - box.x0 < 1.0:
        return
    canvas.hatched(box)
    if named:
        places = [(0.5 * (box.x0 + box.x1), y) for y in (a.y0 - 2, a.y1 - 20, a.y0 + 30)]
        room = Box(a.x0 + 4, a.y0 - 22, a.x1 + 60, a.y1 - 4)
        canvas.name(f"{word} {start:g}", places, [(small(word), "minor")], room, off=1.0)


def _spots(values: Sequence[float]) -> list[int]:
    """Where a name may stand: near the largest and the least value, then anywhere."""
    v = np.asarray(values)
    return [int(np.argmax(v)), int(np.argmin(v)), *range(0, len(v), max(1, len(v) // 12))]


def _fitted(words: str, unit: str, values: NDArray[np.float64]) -> Scale:
    low, high = float(values.min()), float(values.max())
    if high - low < 1.0:
        low, high = low - 5.0, high + 5.0
    return word_scale(words, unit, *roomy(low, high, from_zero=False, room=0.12))


def _decibels(value: float) -> str:
    return f"{value:.1f}\u202fdB".replace("-", "−")


def _require_pairs(x: NDArray[np.float64], y: ArrayLike) -> None:
    values = np.asarray(y)
    if len(x) != len(values):
        raise QuantityError(f"{len(x)} places and {len(values)} values do not belong together.")
    if len(x) < 2 or not (np.diff(x) > 0.0).all():
        raise QuantityError("A curve needs at least two places, each above the one before.")
    if not (np.isfinite(x).all() and np.isfinite(values).all()):
        raise QuantityError("Some values of the curve are no numbers. Leave them out.")
