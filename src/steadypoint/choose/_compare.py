"""Arrangements brought to the same point with standard values, then moved: which holds it best."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from steadypoint.choose._choice import choose, rounded_up
from steadypoint.choose._input_resistance import input_resistance
from steadypoint.choose._wish import Wish
from steadypoint.circuit import Circuit, Kind, apply_setting
from steadypoint.errors import CircuitError, SolveError
from steadypoint.solve import OperatingPoint, Region, operating_point
from steadypoint.values import format_quantity

_SUPPLY_CHANGE: Final = 0.1
_DROP: Final = 1.0 / 3.0
_CENTRED: Final = 0.05


class Purpose(StrEnum):
    """What a recommendation is for."""

    STEADY = "steady"
    SIMPLE = "simple"
    LIGHT_LOAD = "light load"


@dataclass(frozen=True, slots=True)
class Move:
    """How far I_C moved.

    Parameters
    ----------
    words : str
        What was changed.
    percent : float
        Change of I_C in percent of its value before; NaN where there is no point. [-]
    point : OperatingPoint or None
        The point after.
    left_active : bool
        Whether the transistor is no longer active.
    """

    words: str
    percent: float
    point: OperatingPoint | None
    left_active: bool


@dataclass(frozen=True, slots=True)
class Contender:
    """One arrangement of a comparison.

    Parameters
    ----------
    name : str
        What it is called.
    circuit : Circuit
        With the chosen values, beta in the middle of its limits.
    point : OperatingPoint
        Its point on the device rung.
    moves : tuple of Move
        Beta doubled, beta least and most, cold, hot, supply down and up.
    worst_spread : float
        Greatest distance of I_C from the wish at any corner of tolerances, beta and temperature, on
        the hand rung, proved. [-]
    resistors : int
        How many it takes. [-]
    supply_current : float
        From the positive rails. [A]
    input_resistance : float
        Small-signal, capacitors as short circuits; NaN without an input. [Ω]
    chosen : bool
        Whether the values were chosen here, or taken as given.
    """

    name: str
    circuit: Circuit
    point: OperatingPoint
    moves: tuple[Move, ...]
    worst_spread: float
    resistors: int
    supply_current: float
    input_resistance: float
    chosen: bool

    @property
    def doubled(self) -> Move:
        """What a doubled beta does."""
        return self.moves[0]


@dataclass(frozen=True, slots=True)
class Comparison:
    """Arrangements side by side.

    Parameters
    ----------
    transistor_current, supply : float
        The point that was asked for. [A], [V]
    contenders : tuple of Contender
        In the order asked for.
    left_out : tuple of (str, str)
        Arrangements that cannot be brought to this point, and why.
    """

    transistor_current: float
    supply: float
    contenders: tuple[Contender, ...]
    left_out: tuple[tuple[str, str], ...] = ()

    def best(self, purpose: Purpose = Purpose.STEADY) -> Contender:
        """The one to take for a purpose.

        Parameters
        ----------
        purpose : Purpose, default steady
            What counts.
        """
        if purpose is Purpose.SIMPLE:
            return min(self.contenders, key=lambda c: (c.resistors, c.worst_spread))
        if purpose is Purpose.LIGHT_LOAD:
            return max(
                self.contenders,
                key=lambda c: -1.0 if math.isnan(c.input_resistance) else c.input_resistance,
            )
        return min(self.contenders, key=lambda c: c.worst_spread)

    def recommendation(self, purpose: Purpose = Purpose.STEADY) -> str:
        """The sentence that recommends one for a purpose.

        Parameters
        ----------
        purpose : Purpose, default steady
            What counts.
        """
        best = self.best(purpose)
        if len(self.contenders) == 1:
            return (
                f"Only the {best.name} was compared: a doubled beta changes I_C by "
                f"{_percent(best.doubled.percent)}."
            )
        worst = max(self.contenders, key=lambda c: c.worst_spread)
        if purpose is Purpose.SIMPLE:
            return (
                f"With the fewest parts comes the {best.name}: {best.resistors} resistors; but "
                f"I_C may lie ±{rounded_up(best.worst_spread)} % off."
            )
        if purpose is Purpose.LIGHT_LOAD:
            return (
                f"The {best.name} loads its source least, with "
                f"{format_quantity(best.input_resistance, 'Ω', 2)} at its input."
            )
        text = (
            f"For a point that hardly feels which transistor is put in, take the {best.name}: a "
            f"doubled beta changes I_C by {_percent(best.doubled.percent)}"
        )
        return (
            f"{text}, against {_percent(worst.doubled.percent)} with the {worst.name}; it takes "
            f"{best.resistors} resistors instead of {worst.resistors} and "
            f"{best.supply_current / worst.supply_current:.2g} times the supply current."
        )


def compare(
    arrangements: Sequence[tuple[str, Circuit]],
    collector_current: float,
    *,
    beta: tuple[float, float] = (100.0, 400.0),
    temperature: tuple[float, float] = (273.15, 323.15),
    series: str = "E24",
    as_given: bool = False,
) -> Comparison:
    """Bring arrangements to the same point, then change beta, temperature and supply.

    Parameters
    ----------
    arrangements : sequence of (str, Circuit)
        Names and circuits, all from the same supply.
    collector_current : float
        Wanted I_C, met within 5 % in the middle of everything; V_CE is to be half of the largest
        rail, and a collector resistor to drop a third of it, so that a sixth is left for the
        emitter. [A]
    beta : (float, float)
        Limits of beta; the middle is their geometric mean. [-]
    temperature : (float, float)
        Limits of the temperature. [K]
    series : str, default "E24"
        Series of the resistors, with its tolerance.
    as_given : bool, default False
        Take the circuits with the values they have.

    Returns
    -------
    Comparison
        Each with the standard values that hold I_C best (proved), solved with real devices.

    Raises
    ------
    CircuitError
        If none of them can be brought to the point.
    """
    found: list[Contender] = []
    left_out: list[tuple[str, str]] = []
    supply = 0.0
    for name, circuit in arrangements:
        rails = [abs(p.value.value) for p in circuit.parts if p.kind is Kind.SUPPLY and p.value]
        supply = max([0.0, *rails])
        try:
            wish = Wish(
                circuit,
                collector_current,
                V_CE=0.5 * supply,
                collector_drop=_DROP * supply,
                centred=_CENTRED,
                series=series,
                beta=beta,
                temperature=temperature,
                least_voltage=-math.inf,
                swing=0.0,
            )
            found.append(_contender(name, wish, as_given=as_given))
        except (CircuitError, SolveError) as fault:
            left_out.append((name, str(fault)))
    if not found:
        raise CircuitError(f"Nothing can be compared. {left_out[0][0]}: {left_out[0][1]}")
    return Comparison(collector_current, supply, tuple(found), tuple(left_out))


def _contender(name: str, wish: Wish, *, as_given: bool) -> Contender:
    spread, circuit = math.nan, wish.circuit
    if as_given:
        from steadypoint.choose._choice import device_spread

        spread = device_spread(wish, circuit)
    else:
        answer = choose(wish, 1, seconds=10.0)
        if not answer.sets:
            loose = replace(wish, most_supply_current=20.0 * wish.collector_current)
            answer = choose(loose, 1, seconds=10.0)
        if not answer.sets:
            raise CircuitError(
                f"no standard values bring it to {format_quantity(wish.collector_current, 'A')} "
                f"with half the supply across {wish.transistor}"
            )
        spread, circuit = answer.sets[0].worst_spread, answer.sets[0].circuit
    middle = math.sqrt(wish.beta[0] * wish.beta[1])
    circuit = apply_setting(circuit, f"beta={middle:.6g}")
    room = sum(wish.temperature) / 2.0
    point = operating_point(circuit, "device", temperature=room)
    return Contender(
        name,
        circuit,
        point,
        _moves(wish, circuit, point, middle, room),
        spread,
        sum(p.kind is Kind.RESISTOR for p in circuit.parts),
        _supply_current(circuit, point),
        input_resistance(circuit, temperature=room),
        not as_given,
    )


def _moves(
    wish: Wish, circuit: Circuit, point: OperatingPoint, middle: float, room: float
) -> tuple[Move, ...]:
    rails = [p for p in circuit.parts if p.kind is Kind.SUPPLY and p.value is not None]

    def supply(factor: float) -> list[str]:
        return [f"{p.name}={p.value.value * factor:.8g}V" for p in rails if p.value]

    low, high = wish.beta
    cold, hot = wish.temperature
    changes: list[tuple[str, list[str], float]] = [
        ("beta doubled", [f"beta={2.0 * middle:.6g}"], room),
        (f"beta {low:g}", [f"beta={low:.6g}"], room),
        (f"beta {high:g}", [f"beta={high:.6g}"], room),
        (format_quantity(cold, "°C", 2), [], cold),
        (format_quantity(hot, "°C", 2), [], hot),
        ("supply −10 %", supply(1.0 - _SUPPLY_CHANGE), room),
        ("supply +10 %", supply(1.0 + _SUPPLY_CHANGE), room),
    ]
    return tuple(_move(wish, circuit, point, *change) for change in changes)


def _move(
    wish: Wish,
    circuit: Circuit,
    point: OperatingPoint,
    words: str,
    settings: list[str],
    temperature: float,
) -> Move:
    for setting in settings:
        circuit = apply_setting(circuit, setting)
    try:
        after = operating_point(circuit, "device", temperature=temperature)
    except SolveError:
        return Move(words, math.nan, None, True)
    q = after.transistors[wish.transistor]
    before = abs(point.transistors[wish.transistor].I_C)
    percent = 100.0 * (abs(q.I_C) / before - 1.0)
    return Move(words, percent, after, q.region is not Region.ACTIVE)


def _supply_current(circuit: Circuit, point: OperatingPoint) -> float:
    """What the positive rails deliver. [A]"""
    rails = [p for p in circuit.parts if p.kind is Kind.SUPPLY and p.value and p.value.value > 0.0]
    return float(sum(abs(point.parts[p.name].I) for p in rails))


def _percent(value: float) -> str:
    if math.isnan(value):
        return "an unknown amount"
    text = f"{value:+.2g}" if abs(value) < 99.5 else f"{value:+.0f}"
    return text.replace("-", "−") + " %"
