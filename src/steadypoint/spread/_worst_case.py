"""Worst case: the extremes of a circuit's quantities over all tolerances, and where they are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.circuit import Circuit, at_temperature, follows_temperature
from steadypoint.errors import CircuitError, QuantityError, SolveError
from steadypoint.solve import OperatingPoint, Region, operating_point, tangent
from steadypoint.solve._linear import regions_of
from steadypoint.solve._many_settings import TEMPERATURE, circuit_of, targets
from steadypoint.solve._pieces import logarithmic_laws
from steadypoint.spread._box import MOST_FACTORS, Box, Row
from steadypoint.spread._branches import Found, largest
from steadypoint.spread._readings import (
    Reading,
    reading,
    region_word,
    regions_at,
    usual_readings,
)
from steadypoint.spread._variation import Variation
from steadypoint.spread._warming import Warming, warmed_circuit
from steadypoint.values import format_quantity

FloatArray = NDArray[np.float64]

AGREE: Final = 1e-6
"""Relative difference from the solved corner at which an extreme does not count as proved. [-]"""

MOST_CORNERS: Final = 256
"""Corners that are solved one by one where nothing can be proved. [-]"""


@dataclass(frozen=True, slots=True)
class Extremes:
    """Smallest and largest value of one quantity over the box.

    Parameters
    ----------
    quantity : Reading
        Which.
    nominal, low, high : float
        As stated, smallest and largest, magnitudes for pnp. [SI]
    corner_low, corner_high : mapping of str to float
        Where the extremes are: value of each setting, a temperature in kelvin. [SI]
    words_low, words_high : str
        The same in words: ``R1 high, R2 low, β least, cold``.
    directions : mapping of str to str
        ``rises``, ``falls``, ``stands`` over the whole box, proved, or ``turns or open``.
    proved : bool
        Whether no point of the box passes them.
    """

    quantity: Reading
    nominal: float
    low: float
    high: float
    corner_low: Mapping[str, float]
    corner_high: Mapping[str, float]
    words_low: str
    words_high: str
    directions: Mapping[str, str]
    proved: bool

    @property
    def sentence(self) -> str:
        """The extremes in words."""
        unit = self.quantity.unit
        low, high, stated = (format_quantity(v, unit) for v in (self.low, self.high, self.nominal))
        owner = "" if self.quantity.of_node else f"{self.quantity.owner}."
        name = self.quantity.name if self.quantity.of_node else f"{owner}{self.quantity.symbol}"
        tail = "" if self.proved else " These are the worst of the points tried, not proved."
        return (
            f"{name} lies between {low} ({self.words_low}) and {high} ({self.words_high}); "
            f"it is {stated} as stated.{tail}"
        )


@dataclass(frozen=True, slots=True)
class WorstCase:
    """Extremes of a circuit over the box of its tolerances, on the exact rung.

    Parameters
    ----------
    circuit : Circuit
        As stated.
    variations : tuple of Variation
        The box.
    extremes : mapping of str to Extremes
        By the name of the quantity.
    regions : mapping of str to tuple of Region
        Regions that each transistor has at the stated point and in the corners looked at.
    boxes : int
        Boxes that were looked at. [-]
    """

    circuit: Circuit
    variations: tuple[Variation, ...]
    extremes: Mapping[str, Extremes]
    regions: Mapping[str, tuple[Region, ...]]
    boxes: int

    @property
    def proved(self) -> bool:
        """Whether all extremes are proved."""
        return all(e.proved for e in self.extremes.values())

    @property
    def sentences(self) -> tuple[str, ...]:
        """One sentence for each quantity, and one for each transistor that changes its region."""
        said = [e.sentence for e in self.extremes.values()]
        for name, regions in self.regions.items():
            if len(regions) > 1:
                fet = self.circuit.part(name).kind.is_fet
                first, *others = (region_word(region, fet=fet) for region in regions)
                may = " or ".join(others)
                said.append(f"{name} is {first} as stated, but may be {may} within the limits.")
        return tuple(said)


def worst_case(
    circuit: Circuit,
    variations: Sequence[Variation],
    quantities: Sequence[str] = (),
    *,
    assumed: Warming | None = None,
) -> WorstCase:
    """Extremes over all values within the limits, at once, on the exact rung.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    variations : sequence of Variation
        The limits; their distributions and correlations play no part.
    quantities : sequence of str, optional
        Currents and voltages; output current and voltage of every transistor by default.
    assumed : Warming, optional
        What a varied temperature does to V_BE, a diode's V_F and a stated leakage; gains have the
        limits that are given for them.

    Returns
    -------
    WorstCase
        Extremes are proved where the parts follow straight pieces: each quantity is monotone in
        each figure alone within a piece, so its extremes lie at corners, and borders between pieces
        are closed in by branch and bound. With field-effect transistors, logarithmic laws or
        varied thermistors the corners are solved one by one, and the result says that it is not
        proved.

    Raises
    ------
    QuantityError
        If nothing varies, a setting varies twice, or limits are out of reason.
    UnknownNameError
        If the circuit has no such quantity.
    SolveError
        If the circuit has no point as stated.

    Examples
    --------
    >>> from steadypoint.circuit import arrangement
    >>> from steadypoint.spread import read_variation
    >>> circuit = arrangement("base bias").circuit
    >>> box = [read_variation(circuit, "beta 100..200"), read_variation(circuit, "RB ±5%")]
    >>> worst_case(circuit, box, ["I_C"]).extremes["Q1.I_C"].words_low
    'β least, RB high'
    """
    _check(circuit, variations)
    rules = assumed or Warming()
    wanted = [reading(circuit, q) for q in quantities] or list(usual_readings(circuit))
    law = tangent(circuit)
    stated = operating_point(circuit, "exact")
    straight = not law.tab.channels and not logarithmic_laws(law.tab, stated.temperature)
    straight = straight and not _warm_parts_vary(circuit, variations)
    # What stands in the matrix for a thermistor is not the value that its limits speak of.
    straight &= not any(follows_temperature(part) for part in circuit.parts)
    low, high = (np.array([getattr(v, side) for v in variations]) for side in ("low", "high"))
    _refuse_beyond_reason(circuit, variations)
    if straight:
        box = Box(circuit, law.tab, law.piece.state, variations, rules)
        straight = len(box.factors) <= MOST_FACTORS
    extremes, boxes, states = {}, 0, {law.piece.state}
    seen: dict[str, list[Region]] = {}
    for quantity in wanted:
        if straight:
            row = Row(box, quantity)
            ends = [largest(box, row, law.piece.state, low, high, s) for s in (-1.0, 1.0)]
        else:
            ends = _by_corners(circuit, variations, quantity, rules)
        one = _extremes(circuit, variations, quantity, ends, stated, rules, seen)
        extremes[quantity.name] = one if straight else replace(one, proved=False)
        boxes += sum(e.boxes for e in ends)
        states |= {s for e in ends for s in e.states}
    if straight:
        for state in states:
            piece = replace(law.piece, state=state, x=np.ones_like(law.piece.x))
            for q, region in zip(law.tab.network.bipolars, regions_of(law.tab, piece), strict=True):
                seen.setdefault(q.name, []).append(region)
    regions = {
        name: tuple(dict.fromkeys([region, *seen.get(name, [])]))
        for name, region in regions_at(stated).items()
    }
    return WorstCase(circuit, tuple(variations), extremes, regions, boxes)


def _check(circuit: Circuit, variations: Sequence[Variation]) -> None:
    if not variations:
        raise QuantityError(
            "Nothing varies. State tolerances on the sheet (RB 470k ±5%) or give limits, "
            "such as beta 100..400."
        )
    if not circuit.transistors and not circuit.fets:
        raise CircuitError("The circuit has no transistor and therefore no operating point.")
    taken: dict[object, str] = {}
    for variation in variations:
        for target in targets(circuit, variation.setting) or (None,):
            if target in taken:
                raise QuantityError(
                    f"{variation.setting} and {taken[target]} set the same figure. Leave one out."
                )
            taken[target] = variation.setting


def _refuse_beyond_reason(circuit: Circuit, variations: Sequence[Variation]) -> None:
    from steadypoint.solve._many_settings import out_of_reason

    ends = {v.setting: np.array([v.low, v.high]) for v in variations}
    for name, pair in ends.items():
        if out_of_reason(circuit, {name: pair}, 2).any():
            raise QuantityError(f"The limits of {name} are out of reason.")


def _warm_parts_vary(circuit: Circuit, variations: Sequence[Variation]) -> bool:
    """Whether a thermistor or the like is moved, by its own limits or by the temperature."""
    following = {part.name for part in circuit.parts if follows_temperature(part)}
    names = {variation.setting.partition(".")[0] for variation in variations}
    return bool(following) and (TEMPERATURE in names or bool(following & names))


def circuit_at(circuit: Circuit, values: Mapping[str, float], rules: Warming) -> Circuit:
    """The circuit with one set of values; a temperature moves drops and stated leakage.

    Parameters
    ----------
    circuit : Circuit
        As stated.
    values : mapping of str to float
        By setting. [SI]
    rules : Warming
        What a temperature does.
    """
    changed = circuit_of(circuit, {n: v for n, v in values.items() if n != TEMPERATURE})
    if TEMPERATURE in values:
        T = values[TEMPERATURE]
        changed = warmed_circuit(at_temperature(changed, T), T, rules)
    return changed


def _extremes(
    circuit: Circuit,
    variations: Sequence[Variation],
    quantity: Reading,
    ends: Sequence[Found],
    stated: OperatingPoint,
    rules: Warming,
    seen: dict[str, list[Region]],
) -> Extremes:
    """Both ends with their corners, each solved anew as a check."""
    names = [v.setting for v in variations]
    corners = [dict(zip(names, e.at.tolist(), strict=True)) for e in ends]
    values = [sign * e.value for sign, e in zip((-1.0, 1.0), ends, strict=True)]
    proved = all(e.proved for e in ends)
    for corner, value in zip(corners, values, strict=True):
        try:
            point = operating_point(circuit_at(circuit, corner, rules), "exact")
        except SolveError:
            proved = False
            continue
        there = quantity.of(point)
        floor = 1e-12 if quantity.unit == "A" else 1e-8
        proved &= abs(there - value) <= AGREE * abs(value) + floor
        for name, region in regions_at(point).items():
            seen.setdefault(name, []).append(region)
    slopes = ends[1].slopes
    directions = {n: _direction(s) for n, s in zip(names, slopes.tolist(), strict=True)}
    words = [_words(circuit, variations, c, directions) for c in corners]
    return Extremes(
        quantity=quantity,
        nominal=quantity.of(stated),
        low=values[0],
        high=values[1],
        corner_low=corners[0],
        corner_high=corners[1],
        words_low=words[0],
        words_high=words[1],
        directions=directions,
        proved=proved,
    )


def _direction(slope: float) -> str:
    if slope == 0.0:
        return "stands"
    return "rises" if slope > 0.0 else "falls" if slope < 0.0 else "turns or open"


def _words(
    circuit: Circuit,
    variations: Sequence[Variation],
    corner: Mapping[str, float],
    directions: Mapping[str, str],
) -> str:
    """``R1 high, R2 low, β least, cold``; what does not matter is left out."""
    said = []
    for v in variations:
        if directions[v.setting] == "stands":
            continue
        value = corner[v.setting]
        owner, dot, symbol = v.setting.rpartition(".")
        shown = "β" if (symbol or owner) == "beta" else symbol or owner
        shown = f"{shown} of {owner}" if dot else shown
        gain = symbol in ("beta", "V_A")
        between = end_words(circuit, v.setting, value)
        if v.setting == TEMPERATURE:
            words = ("cold", "hot", f"at {between}")
        elif gain:
            words = (f"{shown} least", f"{shown} most", f"{shown} {between}")
        else:
            words = (f"{shown} low", f"{shown} high", f"{shown} at {between}")
        said.append(words[0] if value == v.low else words[1] if value == v.high else words[2])
    return ", ".join(said) or "anywhere"


def end_words(circuit: Circuit, setting: str, value: float) -> str:
    """A value of a setting as people read it: ``48.0 kΩ``, ``150``, ``25 °C``.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    setting : str
        As in :class:`steadypoint.spread.Variation`.
    value : float
        The value, a temperature in kelvin. [SI]
    """
    if setting == TEMPERATURE:
        return f"{value - 273.15:.3g} °C".replace("-", "−")
    unit = _unit(circuit, setting)
    return format_quantity(value, unit) if unit else f"{value:.4g}"


def _unit(circuit: Circuit, setting: str) -> str:
    part = {p.name: p for p in circuit.parts}.get(setting)
    if part is not None and part.value is not None:
        return part.value.unit
    return {"V": "V", "I": "A", "R": "Ω", "r": "Ω"}.get(setting.rpartition(".")[2][:1], "")


def _by_corners(
    circuit: Circuit, variations: Sequence[Variation], quantity: Reading, rules: Warming
) -> list[Found]:
    """Extremes by solving corners: all of them, or for many variations the two that slopes name."""
    low, high = (np.array([getattr(v, side) for v in variations]) for side in ("low", "high"))
    names = [v.setting for v in variations]

    def value_at(at: FloatArray) -> float:
        values = dict(zip(names, at.tolist(), strict=True))
        return quantity.of(operating_point(circuit_at(circuit, values, rules), "exact"))

    if 2 ** len(names) <= MOST_CORNERS:
        from steadypoint.spread._box import corner_signs

        tried = [np.where(up, high, low) for up in corner_signs(len(names))]
    else:
        middle = np.array([min(max(v.nominal, v.low), v.high) for v in variations])
        sides = []
        for k in range(len(names)):
            pair = [np.where(np.arange(len(names)) == k, side, middle) for side in (low, high)]
            sides.append(value_at(pair[1]) >= value_at(pair[0]))
        up = np.array(sides)
        tried = [np.where(up, high, low), np.where(up, low, high)]
    values = np.array([value_at(at) for at in tried])
    open_ = np.full(len(names), np.nan)
    return [
        Found(sense * values[k], np.inf, tried[k], open_, len(tried), frozenset())
        for sense, k in ((-1.0, int(values.argmin())), (1.0, int(values.argmax())))
    ]
