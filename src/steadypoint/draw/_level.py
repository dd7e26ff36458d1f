"""The level: a tube from saturated or triode (left) to cut off (right), the point as a disc."""

from __future__ import annotations

import math
from typing import Final

from steadypoint.circuit import GROUND
from steadypoint.draw._metrics import text_box, width
from steadypoint.draw._scene import Box, Circle, Command, Mark, Path, Scene, Span, Text
from steadypoint.draw._stages import (
    chosen_transistor,
    is_low,
    low_word,
    magnitudes,
    stage_point,
    stage_points,
    state_words,
    symbols,
)
from steadypoint.draw._typography import SMALL, number, plain_number, quantity_symbol
from steadypoint.errors import CircuitError, SolveError
from steadypoint.solve import FetPoint, OperatingPoint, Region, load_line_ends

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
    """Where a point stands between saturated (a field-effect transistor: triode) and cut off.

    Parameters
    ----------
    point : OperatingPoint
        The solved circuit.
    transistor : str, optional
        Which transistor; the first by default.
    before : OperatingPoint, optional
        An earlier point, drawn hollow.
    wanted : tuple of float, optional
        Wanted window of V_CE or V_DS; its middle third by default. [V]
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
    if not (point.transistors or point.fets):
        raise CircuitError("The circuit has no transistor and therefore no level.")
    name = chosen_transistor(point.circuit, transistor)
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
    """V_CE or V_DS at which the transistor is cut off. [V]"""
    own = abs(magnitudes(stage_point(point, name))[0])
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
        self.now = stage_point(point, name)
        self.was = stage_points(before).get(name) if before is not None else None
        self.kind = point.circuit.part(name).kind
        self.full = full
        self.wide = wide
        self.x0, self.x1 = _MARGIN, wide - _MARGIN
        self.y = _TOP + _HIGH / 2
        self.symbol = symbols(self.kind)[0]
        self.texts: list[Text] = []

    def place(self, V: float) -> float:
        share = min(1.0, max(0.0, V / self.full))
        return round(self.x0 + (self.x1 - self.x0) * share, 2)

    def draw(self, low: float, high: float) -> list[Mark]:
        marks: list[Mark] = [_pill(self.x0 - 1, _TOP, self.x1 + 1, _TOP + _HIGH), *self.triode()]
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

    def triode(self) -> list[Mark]:
        """The stretch up to V_DS = V_GS - V_GS_th at the present V_GS."""
        if not isinstance(self.now, FetPoint):
            return []
        over = abs(self.now.V_GS - self.now.V_GS_th)
        if self.now.region not in (Region.TRIODE, Region.SATURATION) or over <= 0.0:
            return []
        x0, x1, y0, y1 = self.x0, self.place(over), _TOP + 1.5, _TOP + _HIGH - 1.5
        corners = (("M", x0, y0), ("L", x1, y0), ("L", x1, y1), ("L", x0, y1), ("Z",))
        return [Path(corners, "shade")]

    def disc(self, x: float) -> list[Mark]:
        if is_low(self.now):
            # A saturated transistor stands at the wall; a triode region has room to stand in.
            return [_half(x if self.kind.is_fet else self.x0, self.y, 1, "state-full")]
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
            (f"{plain_number(0.0, 'V', 1, trim=True)}, {low_word(self.kind)}", self.x0, "start"),
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
        words = state_words(self.now)
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
