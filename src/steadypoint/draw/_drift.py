"""The drift chart: I_C and V_CE, or I_D and V_DS, while one value runs through a range."""

from __future__ import annotations

from typing import Final

from steadypoint.circuit import Circuit
from steadypoint.draw._canvas import Canvas, Plot, small
from steadypoint.draw._describe import region_words
from steadypoint.draw._metrics import width as text_width
from steadypoint.draw._scale import Line, Scale, roomy, symbol_scale
from steadypoint.draw._scene import Box, Path, Point, Scene, Span
from steadypoint.draw._stages import current_words, symbols
from steadypoint.draw._typography import (
    SMALL,
    designator,
    number,
    plain_number,
    quantity_symbol,
)
from steadypoint.draw._varied import Varied, vary
from steadypoint.errors import QuantityError
from steadypoint.solve import Model, Region
from steadypoint.values import split_symbol

_ZERO_CELSIUS: Final = 273.15
_DECADES_FROM: Final = 20.0
_LEFT: Final = 64.0
_RIGHT: Final = 28.0


def drift_chart(
    circuit: Circuit,
    name: str,
    low: float,
    high: float,
    *,
    transistor: str | None = None,
    model: Model | str | None = None,
    points: int = 81,
    logarithmic: bool | None = None,
    title: str | None = None,
    width: float = 600.0,
    height: float = 520.0,
) -> Scene:
    """Collector current and V_CE, or drain current and V_DS, against one value of the circuit.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    name : str
        What runs: ``beta``, ``Q1.beta``, ``temperature``, a part (``RB``) or a supply (``VCC``);
        of a field-effect transistor ``V_GS_off``, ``I_DSS``, ``V_GS_th`` or ``K``.
    low, high : float
        Range in SI units, a temperature in kelvin.
    transistor : str, optional
        Whose point is shown; the first by default.
    model : Model or str, optional
        Rung; ``device`` for a temperature and ``exact`` for anything else by default.
    points : int, default 81
        Values that are solved. [-]
    logarithmic : bool, optional
        With decades; by default when the range spans a factor of 20 or more.
    title : str, optional
        Title of the chart.
    width, height : float
        Size of the chart. [px]

    Returns
    -------
    Scene
        Two panels over one scale. Stretches in which the transistor is saturated or cut off are
        hatched and named, of a field-effect transistor those in the triode region or cut off. For
        pnp and p-channel the magnitudes V_EC or V_SD.

    Raises
    ------
    QuantityError
        If the range is none, or out of reason for what runs.
    UnknownNameError
        If nothing in the circuit has this name.
    CircuitError
        If the circuit has no transistor.
    NoSolutionError
        If no value of the range has an operating point.

    Examples
    --------
    >>> from steadypoint import arrangement
    >>> scene = drift_chart(arrangement("voltage divider").circuit, "beta", 50, 400)
    >>> scene.title
    'Drift of Q1 against beta'
    """
    if not low < high:
        raise QuantityError(
            f"A range runs from a smaller to a larger value, not from {low:g} to {high:g}."
        )
    if logarithmic and low <= 0.0:
        raise QuantityError(f"Decades need a range above zero; this one starts at {low:g}.")
    if not 2 <= points <= 2001:
        raise QuantityError(f"A drift chart takes 2 to 2001 points, not {points}.")
    decades = logarithmic
    if decades is None:
        decades = name != "temperature" and low > 0.0 and high / low >= _DECADES_FROM
    rung = Model(model) if model else (Model.DEVICE if name == "temperature" else Model.EXACT)
    values = _range(low, high, points, decades=decades)
    run = vary(circuit, name, values, transistor=transistor, model=rung)
    scale = _scale(run, low, high, decades=decades)
    heading = title or f"Drift of {run.transistor} against {name}"
    return _Chart(run, scale, rung, width, height).scene(heading)


def _range(low: float, high: float, count: int, *, decades: bool) -> list[float]:
    shares = [k / (count - 1) for k in range(count)]
    if decades:
        return [low * (high / low) ** s for s in shares]
    return [low + (high - low) * s for s in shares]


def _scale(run: Varied, low: float, high: float, *, decades: bool) -> Scale:
    if run.symbol == "temperature":
        ends = (low - _ZERO_CELSIUS, high - _ZERO_CELSIUS)
        return Scale(*ends, "°C", decades, (Span("temperature"),))
    return Scale(low, high, run.unit, decades, _name(run.symbol))


def _name(symbol: str) -> Line:
    owner, dot, option = symbol.rpartition(".")
    if dot:
        return (*quantity_symbol(option), Span(" of "), *designator(owner))
    # Parts are named upright, quantities in italics, as in the schematic.
    if "_" in symbol or symbol == "K" or split_symbol(symbol).base == "β":
        return quantity_symbol(symbol)
    return designator(symbol)


class _Chart:
    def __init__(self, run: Varied, scale: Scale, rung: Model, width: float, height: float) -> None:
        self.run, self.rung = run, rung
        self.canvas = Canvas(width, height)
        middle = 0.5 * (height - 54.0 - 34.0)
        upper = Box(_LEFT, 34.0, width - _RIGHT, 34.0 + middle - 26.0)
        lower = Box(_LEFT, 34.0 + middle + 26.0, width - _RIGHT, height - 54.0)
        mark = run.transistor[1:] if run.transistor != "Q1" else ""
        voltage, amount = (f"{s}{mark}" for s in symbols(run.kind))
        shaded = any(s.region in self.hatched for s in run.samples)
        currents = roomy(0.0, max(s.I for s in run.samples), room=0.3 if shaded else 0.16)
        voltages = roomy(min(0.0, *(s.V for s in run.samples)), max(s.V for s in run.samples))
        self.current = Plot(scale, symbol_scale(amount, "A", *currents), upper)
        self.voltage = Plot(scale, symbol_scale(voltage, "V", *voltages), lower)
        self.symbol = voltage

    def x(self, at: float) -> float:
        return at - _ZERO_CELSIUS if self.run.symbol == "temperature" else at

    def scene(self, title: str) -> Scene:
        canvas = self.canvas
        for region in self.hatched:
            for stretch in self.run.stretches(region):
                self.shade(region, stretch)
        canvas.axes(self.current, x_figures=False, x_name=False)
        canvas.axes(self.voltage)
        samples = self.run.samples
        canvas.line(self.current, [(self.x(s.at), s.I) for s in samples], "curve")
        canvas.line(self.voltage, [(self.x(s.at), s.V) for s in samples], "curve-volt")
        self.ends()
        self.stated()
        return canvas.scene(title, self.description())

    @property
    def hatched(self) -> tuple[Region, ...]:
        """Regions in which the transistor does not amplify as it should."""
        low = Region.TRIODE if self.run.kind.is_fet else Region.SATURATION
        return low, Region.CUTOFF, Region.REVERSE

    def shade(self, region: Region, stretch: tuple[float, float]) -> None:
        fet = self.run.kind.is_fet
        word = "triode" if region is Region.TRIODE else region_words(region, fet=fet)
        for k, plot in enumerate((self.current, self.voltage)):
            a = plot.area
            x0 = plot.at(self.x(stretch[0]), plot.y.low)[0]
            x1 = plot.at(self.x(stretch[1]), plot.y.low)[0]
            box = Box(max(x0, a.x0), a.y0, min(x1, a.x1), a.y1)
            if box.x1 - box.x0 < 1.0:
                continue
            self.canvas.hatched(box)
            if k == 0:
                wide = text_width(small(word))
                room = Box(max(a.x0 + 4, box.x1 - wide - 200), a.y0 - 8, a.x1, a.y1 - 4)
                places = [(box.x0 + (box.x1 - box.x0) * f, y) for y in _rows(box) for f in _INNER]
                self.canvas.name(
                    f"{word} {stretch[0]:g}", places, [(small(word), "minor")], room, off=2.0
                )

    def ends(self) -> None:
        """Values at both ends of each curve."""
        for key, sample in (("first", self.run.samples[0]), ("last", self.run.samples[-1])):
            if self.run.stated is not None and self.run.stated.at == sample.at:
                continue  # the point says it
            x = self.x(sample.at)
            for plot, unit, role, value in (
                (self.current, "A", "curvename", sample.I),
                (self.voltage, "V", "voltname", sample.V),
            ):
                lines = [(number(value, unit), role)]
                self.canvas.name(f"{key} {unit}", [plot.at(x, value)], lines, _room(plot))

    def stated(self) -> None:
        sample = self.run.stated
        if sample is None:
            return
        for plot, unit, value in ((self.current, "A", sample.I), (self.voltage, "V", sample.V)):
            place = plot.at(self.x(sample.at), value)
            self.guide(plot, place)
            self.canvas.disc(place)
            line = number(value, unit, size=15.0)
            lines = [(line, "point")]
            if unit == "A":
                lines.append((self.stated_words(sample.at), "minor"))
            self.canvas.name(f"point {unit}", [place], lines, _room(plot), off=10.0)

    def stated_words(self, at: float) -> Line:
        """Name and stated value of what runs, under the point."""
        return (*_name(self.run.symbol), Span(f" = {self.at_words(at)}", size=SMALL))

    def guide(self, plot: Plot, place: Point) -> None:
        x, y = place
        self.canvas.marks.append(Path((("M", x, y), ("L", x, plot.area.y1)), "guide"))

    def at_words(self, at: float) -> str:
        if self.run.symbol == "temperature":
            return f"{at - _ZERO_CELSIUS:.3g}\u202f°C".replace("-", "−")
        return plain_number(at, self.run.unit, 3, trim=True)

    def description(self) -> str:
        run = self.run
        first, last = run.samples[0], run.samples[-1]
        V, I = symbols(run.kind)  # noqa: E741  letter symbols
        text = (
            f"{current_words(run.kind)} and {V} of {run.transistor} against {run.symbol} from "
            f"{self.at_words(first.at)} to {self.at_words(last.at)}, {self.rung.value} rung. "
            f"{I} goes from {plain_number(first.I, 'A')} to {plain_number(last.I, 'A')}, "
            f"{V} from {plain_number(first.V, 'V')} to {plain_number(last.V, 'V')}."
        )
        if run.stated is not None:
            s = run.stated
            text += (
                f" At the stated {self.at_words(s.at)} they are {plain_number(s.I, 'A')} and "
                f"{plain_number(s.V, 'V')}: {region_words(s.region, fet=run.kind.is_fet)}."
            )
        for region in self.hatched:
            for a, b in run.stretches(region):
                words = region_words(region).capitalize()
                text += f" {words} from {self.at_words(a)} to {self.at_words(b)}."
        if run.missing:
            values = "value has" if run.missing == 1 else "values have"
            text += f" {run.missing} {values} no operating point and are left out."
        return text


_INNER: Final = (0.04, 0.3, 0.6, 0.9)


def _rows(box: Box) -> list[float]:
    return [box.y0 + 4.0 + k * (box.y1 - box.y0) / 6 for k in range(6)]


def _room(plot: Plot) -> Box:
    a = plot.area
    return Box(a.x0 + 4, a.y0 - 12, a.x1 + _RIGHT - 4, a.y1 - 4)
