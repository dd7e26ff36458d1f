"""A circuit over a range of temperatures, and the ends of its active region."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.circuit import Circuit
from steadypoint.errors import CircuitError, QuantityError, SolveError, ThermalRunawayError
from steadypoint.solve import Model, OperatingPoint, Region, operating_point
from steadypoint.spread._readings import (
    Reading,
    reading,
    region_word,
    regions_at,
    usual_readings,
)
from steadypoint.values import format_quantity

FloatArray = NDArray[np.float64]

LOWEST, HIGHEST = 208.15, 473.15
"""Range in which junctions are computed: -65 to 200 °C. [K]"""

FINE: Final = 0.005
"""Width to which the temperature of a change of region is closed in. [K]"""

_KELVIN: Final = 273.15


@dataclass(frozen=True, slots=True)
class RegionChange:
    """A temperature at which a transistor changes its region.

    Parameters
    ----------
    transistor : str
        Which.
    temperature : float
        Temperature of the junctions, or of the air where they heat themselves. [K]
    below, above : Region
        Regions on both sides.
    """

    transistor: str
    temperature: float
    below: Region
    above: Region


@dataclass(frozen=True, slots=True)
class TemperatureRange:
    """A circuit's quantities over temperature, on the device rung.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    self_heating : bool
        Whether junctions heat themselves; temperatures are then those of the air.
    temperatures : ndarray, shape (n,)
        Rising. [K]
    quantities : mapping of str to Reading
        By name.
    values : mapping of str to ndarray, shape (n,)
        By name, magnitudes for pnp; NaN where there is no point. [SI]
    changes : tuple of RegionChange
        Rising in temperature.
    runs_away_at : float or None
        Temperature of the air from which a junction runs away. [K]
    faults : tuple of str
        One sentence for each other temperature without a point.
    """

    circuit: Circuit
    self_heating: bool
    temperatures: FloatArray
    quantities: Mapping[str, Reading]
    values: Mapping[str, FloatArray]
    changes: tuple[RegionChange, ...]
    runs_away_at: float | None
    faults: tuple[str, ...]

    @property
    def leaves_active(self) -> Mapping[str, tuple[RegionChange, ...]]:
        """Changes out of the active (for field-effect transistors: saturation) region, by name."""
        fets = {part.name for part in self.circuit.fets}
        out: dict[str, tuple[RegionChange, ...]] = {}
        for change in self.changes:
            wanted = Region.SATURATION if change.transistor in fets else Region.ACTIVE
            if wanted in (change.below, change.above):
                out[change.transistor] = (*out.get(change.transistor, ()), change)
        return out

    @property
    def sentences(self) -> tuple[str, ...]:
        """What the range says, in words."""
        said = [self._moved(name) for name in self.values]
        where = "of the air" if self.self_heating else "of the junction"
        fets = {part.name for part in self.circuit.fets}
        for c in self.changes:
            words = [region_word(r, fet=c.transistor in fets) for r in (c.below, c.above)]
            said.append(
                f"{c.transistor} is {words[0]} below {celsius(c.temperature)} {where} and "
                f"{words[1]} above."
            )
        if self.runs_away_at is not None:
            coldest = self.runs_away_at == self.temperatures[0]
            word = "already at" if coldest else "above"
            said.append(f"With the air {word} {celsius(self.runs_away_at)} a junction runs away.")
        return (*said, *self.faults)

    def _moved(self, name: str) -> str:
        quantity, values = self.quantities[name], self.values[name]
        good = np.flatnonzero(np.isfinite(values))
        if not len(good):
            return f"{name} has no value in this range."
        first, last = int(good[0]), int(good[-1])
        ends = [format_quantity(float(values[k]), quantity.unit) for k in (first, last)]
        T = [celsius(float(self.temperatures[k])) for k in (first, last)]
        name = name if quantity.of_node else f"{quantity.owner}.{quantity.symbol}"
        return f"{name} goes from {ends[0]} at {T[0]} to {ends[1]} at {T[1]}."


def celsius(temperature: float) -> str:
    """Temperature in degrees Celsius for reading."""
    return f"{temperature - _KELVIN:.4g} °C".replace("-", "−")


def temperature_range(
    circuit: Circuit,
    low: float,
    high: float,
    *,
    points: int = 41,
    quantities: Sequence[str] = (),
    self_heating: bool = False,
    progress: Callable[[int, int], object] | None = None,
) -> TemperatureRange:
    """Solve a circuit over a range of temperatures on the device rung.

    Parameters
    ----------
    circuit : Circuit
        The circuit; registered types follow their full model, with a gain that rises with
        temperature, others the exponential law.
    low, high : float
        Ends of the range. [K]
    points : int, default 41
        Temperatures that are solved, evenly spread; changes of region are closed in between. [-]
    quantities : sequence of str, optional
        What is kept; output current and voltage of every transistor by default.
    self_heating : bool, default False
        Whether junctions warm up by their own power; needs their R_thJA.
    progress : callable, optional
        Called as ``progress(done, total)``.

    Returns
    -------
    TemperatureRange

    Raises
    ------
    QuantityError
        If the range is none or out of reason.
    CircuitError
        If a thermal resistance is missing, or there is no transistor.
    UnknownNameError
        If the circuit has no such quantity.

    Examples
    --------
    >>> from steadypoint.circuit import arrangement
    >>> warm = temperature_range(arrangement("voltage divider").circuit, 253.15, 343.15, points=7)
    >>> warm.changes
    ()
    """
    if not low < high:
        raise QuantityError("A temperature range runs from the colder to the warmer end.")
    if low < LOWEST or high > HIGHEST:
        raise QuantityError("Junctions are computed from −65 to 200 °C. Narrow the range.")
    if not 2 <= points <= 2001:
        raise QuantityError(f"A temperature range takes 2 to 2001 points, not {points}.")
    if not circuit.transistors and not circuit.fets:
        raise CircuitError("The circuit has no transistor and therefore no operating point.")
    wanted = [reading(circuit, q) for q in quantities] or list(usual_readings(circuit))
    temperatures = np.linspace(low, high, points)
    solved: list[OperatingPoint | None] = []
    faults: list[str] = []
    runs_away: float | None = None
    for k, T in enumerate(temperatures.tolist()):
        point: OperatingPoint | None = None
        try:
            point = point_at(circuit, T, heated=self_heating)
        except ThermalRunawayError:
            last = temperatures[k - 1] if k and solved[-1] is not None else None
            if runs_away is None:
                runs_away = T if last is None else _runaway_between(circuit, float(last), T)
        except SolveError as fault:
            faults.append(f"At {celsius(T)}: {fault}")
        solved.append(point)
        if progress is not None:
            progress(k + 1, points)
    changes: list[RegionChange] = []
    for k in range(points - 1):
        a, b = solved[k], solved[k + 1]
        if a is not None and b is not None:
            ends = float(temperatures[k]), float(temperatures[k + 1])
            changes += _changes_between(circuit, ends, (a, b), heated=self_heating)
    values = {
        q.name: np.array([math.nan if p is None else q.of(p) for p in solved]) for q in wanted
    }
    kept = {q.name: q for q in wanted}
    return TemperatureRange(
        circuit,
        self_heating,
        temperatures,
        kept,
        values,
        tuple(changes),
        runs_away,
        tuple(faults),
    )


def point_at(circuit: Circuit, temperature: float, *, heated: bool) -> OperatingPoint:
    """Point on the device rung with junctions, or with heated ones the air, at a temperature."""
    return operating_point(circuit, Model.DEVICE, temperature=temperature, self_heating=heated)


def _changes_between(
    circuit: Circuit,
    ends: tuple[float, float],
    points: tuple[OperatingPoint, OperatingPoint],
    *,
    heated: bool,
) -> list[RegionChange]:
    """Changes of region between two temperatures, by halving; several in between are followed."""
    (low, high), (a, b) = ends, points
    before, after = regions_at(a), regions_at(b)
    moved = [name for name in before if before[name] is not after[name]]
    if not moved:
        return []
    middle = 0.5 * (low + high)
    if high - low <= FINE:
        return [RegionChange(name, middle, before[name], after[name]) for name in moved]
    try:
        half = point_at(circuit, middle, heated=heated)
    except SolveError:
        return []
    return [
        *_changes_between(circuit, (low, middle), (a, half), heated=heated),
        *_changes_between(circuit, (middle, high), (half, b), heated=heated),
    ]


def _runaway_between(circuit: Circuit, low: float, high: float) -> float:
    """Temperature of the air from which a junction runs away, between two. [K]"""
    while high - low > FINE:
        middle = 0.5 * (low + high)
        try:
            point_at(circuit, middle, heated=True)
        except ThermalRunawayError:
            high = middle
        else:
            low = middle
    return 0.5 * (low + high)
