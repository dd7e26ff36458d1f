"""Before and after: two points side by side, what moved, by how much, and the regions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from steadypoint.circuit import Circuit
from steadypoint.errors import QuantityError
from steadypoint.solve import Model, OperatingPoint, operating_point
from steadypoint.spread._changes import Change, read_changes
from steadypoint.spread._readings import (
    Reading,
    reading,
    region_word,
    regions_at,
    usual_readings,
)
from steadypoint.values import format_quantity

STANDS: Final = 5e-4
"""Relative change below which a quantity stands still. [-]"""


@dataclass(frozen=True, slots=True)
class Moved:
    """One quantity before and after.

    Parameters
    ----------
    quantity : Reading
        Which.
    before, after : float
        Its values, magnitudes for pnp. [SI]
    """

    quantity: Reading
    before: float
    after: float

    @property
    def difference(self) -> float:
        """After less before. [SI]"""
        return self.after - self.before

    @property
    def percent(self) -> float | None:
        """Difference in percent of the value before; None where that is as good as zero. [-]"""
        if abs(self.before) < (1e-12 if self.quantity.unit == "A" else 1e-9):
            return None
        return 100.0 * self.difference / abs(self.before)

    @property
    def sentence(self) -> str:
        """How it moved, with the base of the percentage named."""
        name = _shown(self.quantity)
        first, second = (format_quantity(v, self.quantity.unit) for v in (self.before, self.after))
        percent = self.percent
        if percent is None:
            return f"{name} goes from {first} to {second}."
        if abs(percent) < 100.0 * STANDS:
            return f"{name} stays at {first}."
        word = "rises" if self.difference > 0.0 else "falls"
        return f"{name} {word} from {first} to {second}, {in_percent(percent)} of the value before."


@dataclass(frozen=True, slots=True)
class BeforeAfter:
    """A circuit before and after changes that are made together.

    Parameters
    ----------
    changes : tuple of Change
        What was changed.
    before, after : OperatingPoint
        The two points; each holds its circuit.
    moved : tuple of Moved
        The quantities, in the order asked for.
    """

    changes: tuple[Change, ...]
    before: OperatingPoint
    after: OperatingPoint
    moved: tuple[Moved, ...]

    @property
    def text(self) -> str:
        """The changes as written."""
        return ", ".join(change.text for change in self.changes)

    @property
    def words(self) -> str:
        """The changes in words."""
        return ", ".join(change.words for change in self.changes)

    @property
    def regions(self) -> tuple[str, ...]:
        """One sentence for each transistor: what happened to its region."""
        said = []
        after = regions_at(self.after)
        for name, old in regions_at(self.before).items():
            fet = name in self.before.fets
            first, second = (region_word(region, fet=fet) for region in (old, after[name]))
            if first == second:
                said.append(f"{name} stays {first}.")
            else:
                said.append(f"{name} was {first} and is {second} now.")
        return tuple(said)

    @property
    def sentence(self) -> str:
        """The whole in words."""
        head = f"Changed: {self.words} ({self.before.model} model)."
        return " ".join([head, *(m.sentence for m in self.moved), *self.regions])


def in_percent(value: float) -> str:
    """A signed percentage with three digits.

    Parameters
    ----------
    value : float
        The percentage. [%]
    """
    size = format_quantity(abs(value), "", 3, plain=True) if abs(value) < 1e3 else ""
    size = size or f"{abs(value):.0f}"
    return f"{'−' if value < 0.0 else '+'}{size} %"


def _shown(quantity: Reading) -> str:
    if quantity.of_node:
        return quantity.name
    return f"{quantity.owner}.{quantity.symbol}"


def before_and_after(
    circuit: Circuit,
    changes: str | Sequence[Change],
    *,
    model: Model | str | None = None,
    quantities: Sequence[str] = (),
    self_heating: bool = False,
) -> BeforeAfter:
    """Solve a circuit before and after changes.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    changes : str or sequence of Change
        Changes made together, as :func:`steadypoint.spread.read_changes` reads them.
    model : Model or str, optional
        Rung; ``device`` where a temperature or a type changes or junctions heat themselves,
        ``exact`` otherwise.
    quantities : sequence of str, optional
        What is compared; output current and voltage of every transistor by default.
    self_heating : bool, default False
        Whether junctions warm up by their own power.

    Returns
    -------
    BeforeAfter

    Raises
    ------
    QuantityError
        If there is no change, or the exact or board rung is asked about a temperature.
    UnknownNameError
        If a name is not in the circuit.
    SolveError
        If one of the two has no point; the sentence says which.

    Examples
    --------
    >>> from steadypoint.circuit import arrangement
    >>> result = before_and_after(arrangement("base bias").circuit, "beta x1.5")
    >>> round(result.moved[0].percent)
    50
    """
    made = read_changes(circuit, changes) if isinstance(changes, str) else tuple(changes)
    warm = any(change.of_temperature for change in made)
    swapped = any(change.new_type for change in made)
    rung = Model(model) if model else Model.DEVICE if warm or swapped or self_heating else None
    rung = rung or Model.EXACT
    if warm and rung is not Model.DEVICE:
        raise QuantityError(
            f"The {rung} model knows no temperature. Use the device model, or change V_BE by "
            f"-2 mV for each kelvin."
        )
    old, new = circuit, circuit
    for change in made:
        old = change.before(old)
    new = old
    for change in made:
        new = change.after(new)
    before = operating_point(old, rung, self_heating=self_heating)
    after = operating_point(new, rung, self_heating=self_heating)
    wanted = [reading(circuit, q) for q in quantities] or list(usual_readings(circuit))
    moved = tuple(Moved(q, q.of(before), q.of(after)) for q in wanted)
    return BeforeAfter(made, before, after, moved)
