"""What can be changed on the drawing: names, values, and the next value up or down."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from steadypoint.circuit import Circuit, Kind, Part
from steadypoint.values import (
    Quantity,
    format_quantity,
    letter_code,
    next_down,
    next_up,
    split_symbol,
)

_SERIES: Final = {Kind.RESISTOR: "E24", Kind.CAPACITOR: "E12", Kind.INDUCTOR: "E12"}
_FET_LETTERS: Final = ("I_DSS", "K", "V_GS_th", "V_GS_off")


@dataclass(frozen=True, slots=True)
class Given:
    """A stated figure.

    Parameters
    ----------
    part : str
        Part that carries it in the drawing.
    setting : str
        What is set: ``RC`` or ``Q1.beta``.
    symbol : str
        Letter symbol, for people.
    quantity : Quantity
        Its value.
    series : str
        Series that it steps through, or empty.
    """

    part: str
    setting: str
    symbol: str
    quantity: Quantity
    series: str = ""

    @property
    def written(self) -> str:
        """The value as one would type it again."""
        return self.quantity.written or format_quantity(
            self.quantity.value, self.quantity.unit, None
        ).replace("\u202f", " ")

    @property
    def label(self) -> str:
        """Name that a screen reader says: ``R C``."""
        parts = split_symbol(self.symbol)
        return f"{parts.base} {parts.sub}".strip()

    def stepped(self, by: int) -> str:
        """The value some steps up (or down), as it is typed.

        Parameters
        ----------
        by : int
            Steps; negative ones go down. [-]
        """
        value = self.quantity.value
        for _ in range(min(abs(by), 200)):
            value = self._next(value, up=by > 0)
        return _typed(value, self.quantity.unit, coded=bool(self.series))

    def _next(self, value: float, *, up: bool) -> float:
        if self.series:
            return next_up(value, self.series) if up else next_down(value, self.series)
        size = self._size(value)
        steps = value / size
        nearest = round(steps)
        whole = nearest if abs(steps - nearest) < 1e-6 else None
        if whole is not None:
            steps = whole + (1 if up else -1)
        else:
            steps = float(int(steps // 1) + (1 if up else 0))
        after = steps * size
        return after if after * value > 0 else value

    def _size(self, value: float) -> float:
        if self.setting.endswith(".beta"):
            return 10.0
        if self.quantity.unit == "V" and abs(value) > 2.0:
            return 1.0
        power = 1.0
        while power > abs(value):
            power /= 10.0
        while power * 10.0 <= abs(value):
            power *= 10.0
        return power / 10.0


def _typed(value: float, unit: str, *, coded: bool) -> str:
    """A value as a lecturer types it: 4k7, 10u, 820, 9 V."""
    if coded and (unit != "Ω" or value >= 1000.0):
        return letter_code(value, unit, kilo="k", micro="u")
    if not unit or coded:
        return f"{value:.6g}"
    return format_quantity(float(f"{value:.6g}"), unit, None, plain=True).replace("\u202f", " ")


def givens(circuit: Circuit) -> tuple[Given, ...]:
    """All stated figures that the drawing shows, in the order of the sheet.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    """
    found = [given for part in circuit.parts if (given := _of(part)) is not None]
    return tuple(found)


def _of(part: Part) -> Given | None:
    if part.kind.is_bipolar:
        beta = part.option("beta")
        value = 100.0 if beta is None else beta
        return Given(part.name, f"{part.name}.beta", "beta", Quantity(value, "", 3, f"{value:g}"))
    if part.kind.is_fet:
        stated = dict(part.options)
        letter = next((s for s in _FET_LETTERS if s in stated), "")
        if not letter:
            return None
        return Given(part.name, f"{part.name}.{letter}", letter, stated[letter])
    if part.value is None:
        return None
    return Given(part.name, part.name, part.name, part.value, _SERIES.get(part.kind, ""))
