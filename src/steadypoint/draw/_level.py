"""The level: a tube from saturated (left) to cut off (right), the point as a disc."""

from __future__ import annotations

import math
from typing import Final

from steadypoint.circuit import GROUND, Kind
from steadypoint.draw._describe import region_words
from steadypoint.draw._metrics import text_box, width
from steadypoint.draw._output_curves import magnitudes
from steadypoint.draw._scene import Box, Circle, Command, Mark, Path, Scene, Span, Text
from steadypoint.draw._typography import SMALL, number, plain_number, quantity_symbol
from steadypoint.errors import CircuitError, SolveError, UnknownNameError
from steadypoint.solve import OperatingPoint, Region, load_line_ends

_HIGH: Final = 30.0
_TOP: Final = 26.0
_MARGIN: Final = 14.0


def level(
    point: OperatingPoint,
    transistor: str | None = None,
    *,
    before: OperatingPoint | None = None,
    wanted: tuple[float, float] | None = None,
    width: float = 520.0,
) -> Scene:
    """Where a point stands between saturated and cut off.

    Parameters
    ----------
    point : OperatingPoint
        The solved circuit.
    transistor : str, optional
        Which transistor; the first by default.
    before : OperatingPoint, optional
        An earlier point, drawn hollow.
    wanted : tuple of float, optional
        Wanted window of the collector-emitter voltage; its middle third by default. [V]
    width : float, default 520
        Width of the figure. [px]

    Returns
    -------
    Scene
        The figure.

    Raises
    ------
    UnknownNameError
        If there is no such transistor.
    CircuitError
        If the circuit has no transistor.
    """
    name = transistor or next(iter((*point.transistors, *point.fets)), "")
    if name in point.fets:
        raise CircuitError(
            f"{name} is a field-effect transistor; the level is drawn for bipolar transistors only "
            "so far."
        )
    if not name:
        raise CircuitError("The circuit has no transistor and therefore no level.")
    if name not in point.transistors:
        raise UnknownNameError(
            f"There is no transistor '{name}'. The circuit has {', '.join(point.transistors)}."
        )
    full = full_voltage(point, name)
    low, high = wanted or (full / 3, 2 * full / 3)
    tube = _Tube(name, point, before, full, width)
    return Scene(
        f"Level of {name}",
        tube.description(),
        Box(0.0, 0.0, width, _TOP + _HIGH + 26),
        tuple(tube.draw(low, high)),
        "level",
        tuple(text_box(t) for t in tube.texts),
    )


def full_voltage(point: OperatingPoint, name: str) -> float:
    """Collector-emitter voltage at which the transistor is cut off. [V]"""
    own = abs(point.transistors[name].V_CE)
    try:
        end = abs(load_line_ends(point.circuit, name, point.model, point=point).V_CE)
    except (CircuitError, SolveError):
        values = [v for n, v in point.nodes.items() if n == GROUND or "." not in n]
        end = max(values) - min(values) if values else own
    return max(end, own, 1e-3) if math.isfinite(end) else max(own, 1e-3)


class _Tube:
    def __init__(
        self,
        name: str,
        point: OperatingPoint,
        before: OperatingPoint | None,
        full: float,
        wide: float,
    ) -> None:
        self.now = point.transistors[name]
        self.was = before.transistors.get(name) if before is not None else None
        self.full = full
        self.wide = wide
        self.x0, self.x1 = _MARGIN, wide - _MARGIN
        self.y = _TOP + _HIGH / 2
        self.symbol = "V_EC" if point.circuit.part(name).kind is Kind.PNP else "V_CE"
        self.texts: list[Text] = []

    def place(self, V: float) -> float:
        share = min(1.0, max(0.0, V / self.full))
        return round(self.x0 + (self.x1 - self.x0) * share, 2)

    def draw(self, low: float, high: float) -> list[Mark]:
        marks: list[Mark] = [_pill(self.x0 - 1, _TOP, self.x1 + 1, _TOP + _HIGH)]
        for V in (low, high):
            x = self.place(V)
            marks.append(Path((("M", x, _TOP + 1), ("L", x, _TOP + _HIGH - 1)), "mark"))
        V, _ = magnitudes(self.now)
        x = self.place(V)
        if self.was is not None:
            marks += self.ghost(x)
        marks += self.disc(x)
        self.words(V, x, low, high)
        return [*marks, *self.texts]

    def disc(self, x: float) -> list[Mark]:
        if self.now.region is Region.SATURATION:
            return [_half(self.x0, self.y, 1, "state-full")]
        if self.now.region is Region.CUTOFF:
            return [_half(self.x1, self.y, 0, "state-line")]
        return [Circle(x, self.y, 10.0, "disc"), Circle(x, self.y, 3.0, "eye")]

    def ghost(self, x: float) -> list[Mark]:
        assert self.was is not None  # noqa: S101  the caller has looked
        old = self.place(magnitudes(self.was)[0])
        if abs(old - x) < 2:
            return []
        out: list[Mark] = [Circle(old, self.y, 10.0, "hollow")]
        way = 1.0 if x > old else -1.0
        if abs(x - old) > 36:
            tip = x - way * 17
            commands: tuple[Command, ...] = (
                ("M", old + way * 13, self.y),
                ("L", tip, self.y),
                ("M", tip - way * 6, self.y - 5),
                ("L", tip, self.y),
                ("L", tip - way * 6, self.y + 5),
            )
            out.append(Path(commands, "path"))
        return out

    def words(self, V: float, x: float, low: float, high: float) -> None:
        head = (*quantity_symbol(self.symbol), *number(V, "V", gap=5.0))
        half = width(head) / 2
        middle = min(max(x, self.x0 + half), self.x1 - half)
        self.texts.append(Text(middle, _TOP - 8, head, "middle"))
        y = _TOP + _HIGH + 18
        ends = (
            (f"{plain_number(0.0, 'V', 1, trim=True)}, saturated", self.x0, "start"),
            (f"cut off, {plain_number(self.full, 'V', trim=True)}", self.x1, "end"),
        )
        for words, at, anchor in ends:
            self.texts.append(Text(at, y, (Span(words, size=SMALL),), anchor, "minor"))
        limits = [plain_number(V, "V", trim=True) for V in (low, high)]
        window = f"wanted {limits[0]} to {limits[1]}"
        text = Text(
            (self.place(low) + self.place(high)) / 2,
            y,
            (Span(window, size=SMALL),),
            "middle",
            "minor",
        )
        if not any(text_box(text).grown(6).overlaps(text_box(t)) for t in self.texts[1:]):
            self.texts.append(text)

    def description(self) -> str:
        V, _ = magnitudes(self.now)
        words = region_words(self.now.region)
        text = f"{words[0].upper()}{words[1:]}: {self.symbol} {plain_number(V, 'V')}"
        text += f" of {plain_number(self.full, 'V', trim=True)}"
        if self.was is not None:
            text += f", before {plain_number(magnitudes(self.was)[0], 'V')}"
        return text + "."


def _pill(x0: float, y0: float, x1: float, y1: float) -> Path:
    r = 6.0
    return Path(
        (
            ("M", x0 + r, y0),
            ("L", x1 - r, y0),
            ("A", r, 1, x1, y0 + r),
            ("L", x1, y1 - r),
            ("A", r, 1, x1 - r, y1),
            ("L", x0 + r, y1),
            ("A", r, 1, x0, y1 - r),
            ("L", x0, y0 + r),
            ("A", r, 1, x0 + r, y0),
            ("Z",),
        ),
        "tube",
    )


def _half(x: float, y: float, sweep: int, role: str) -> Path:
    """A half disc on a wall of the tube."""
    return Path((("M", x, y - 12), ("A", 12.0, sweep, x, y + 12), ("Z",)), role)
