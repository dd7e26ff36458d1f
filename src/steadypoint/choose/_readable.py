"""Numbers that teach: standard values whose working comes out in few digits."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.choose._choice import with_values
from steadypoint.choose._corners import at_points, fixed, permuted
from steadypoint.choose._hand_model import Functional, HandModel, hand_model
from steadypoint.choose._wish import Wish
from steadypoint.circuit import Circuit, Kind, apply_setting
from steadypoint.errors import CircuitError
from steadypoint.solve import OperatingPoint, operating_point

FloatArray = NDArray[np.float64]

_AT_ONCE: Final = 200_000
_MOST: Final = 20_000_000
_SLACK: Final = 0.004
_WIDTHS: Final = (0.06, 0.12)


class Place(StrEnum):
    """Where on the load line a lesson wants its point."""

    MIDDLE = "middle"
    NEAR_SATURATION = "near saturation"
    NEAR_CUT_OFF = "near cut-off"


_SHARES: Final = {Place.MIDDLE: 0.5, Place.NEAR_SATURATION: 0.15, Place.NEAR_CUT_OFF: 0.85}


@dataclass(frozen=True, slots=True)
class ReadableSet:
    """Values with a point that reads well on the board.

    Parameters
    ----------
    values : mapping of str to float
        Resistances. [Ω]
    circuit : Circuit
        With these values.
    point : OperatingPoint
        Its point on the exact rung.
    digits : mapping of str to int
        Significant digits that say each of I_B, I_C and V_CE within 0.4 %. [-]
    """

    values: Mapping[str, float]
    circuit: Circuit
    point: OperatingPoint
    digits: Mapping[str, int]


def readable(
    wish: Wish, place: Place = Place.MIDDLE, sets: int = 5, *, beta: float = 100.0
) -> tuple[ReadableSet, ...]:
    """Standard values whose I_B, I_C and V_CE come out in few digits.

    Parameters
    ----------
    wish : Wish
        The circuit, its free resistors and series, and the rough I_C: within a factor of two.
    place : Place, default middle
        Where V_CE is to be on the load line.
    sets : int, default 5
        Sets to give. [-]
    beta : float, default 100
        The beta of the lesson. [-]

    Returns
    -------
    tuple of ReadableSet
        Fewest digits first; then the rounder resistances.

    Raises
    ------
    CircuitError
        If there are too many combinations, or none puts the point there.
    """
    circuit = apply_setting(wish.circuit, f"beta={beta:.6g}")
    model = hand_model(circuit)
    lattices = [_near(wish, r) for r in wish.free]
    total = math.prod(len(v) for v in lattices)
    if total > _MOST:
        raise CircuitError(
            f"{total:,} combinations are too many to read through. Free fewer resistors, or use a "
            "coarser series such as E6."
        )
    fields = _fields(circuit, model, wish)
    for width in _WIDTHS:
        best = _best(wish, lattices, fields, _window(circuit, place, width), sets)
        if best:
            return tuple(_set(circuit, wish, values) for _, values in best)
    raise CircuitError(
        f"No values of the series put the point there with about {wish.collector_current:g} A. "
        "Wish another current, or a finer series."
    )


def _best(
    wish: Wish,
    lattices: list[FloatArray],
    fields: list[tuple[FloatArray, FloatArray]],
    window: tuple[float, float],
    sets: int,
) -> list[tuple[float, tuple[float, ...]]]:
    """Fewest digits first, of all combinations with V_CE in the window."""
    best: list[tuple[float, tuple[float, ...]]] = []
    for x in _grid(lattices):
        I_B, I_C, V_CE = (at_points(N[None], x)[0] / at_points(D[None], x)[0] for N, D in fields)
        good = (I_B > 0) & (window[0] <= V_CE) & (window[1] >= V_CE)
        good &= (0.5 * wish.collector_current <= I_C) & (2.0 * wish.collector_current >= I_C)
        if good.any():
            cost = sum(_digits(v[good]) for v in (I_B, I_C, V_CE)) + _roughness(x[:, good])
            order = np.argsort(cost, kind="stable")[:sets]
            best += [(float(cost[j]), tuple(x[:, good][:, j].tolist())) for j in order]
            best = sorted(best)[:sets]
    return best


def _near(wish: Wish, resistor: str) -> FloatArray:
    """Values from a thousandth of supply over current up to a thousand times it. [Ω]"""
    rails = [abs(p.value.value) for p in wish.circuit.parts if p.kind is Kind.SUPPLY and p.value]
    middle = max(rails, default=10.0) / wish.collector_current
    lattice = wish.lattice(resistor)
    return lattice[(lattice >= 0.02 * middle) & (lattice <= 300.0 * middle)]


def _fields(circuit: Circuit, model: HandModel, wish: Wish) -> list[tuple[FloatArray, FloatArray]]:
    """N and D of I_B, I_C and V_CE in the free resistances, all else put in."""
    q = wish.circuit.part(wish.transistor)
    s = 1.0 if q.kind is Kind.NPN else -1.0
    V_CE = {f"V({q.nodes[0]})": s, f"V({q.nodes[2]})": -s}
    V_CE.pop("V(ground)", None)
    asked: list[Functional] = [{f"I_B({q.name})": 1.0}, {f"I_C({q.name})": 1.0}, V_CE]
    weights = np.array([*(_source(circuit, name) for name in model.sources), 1.0])
    names = [*model.resistors, *model.transistors]
    order = [names.index(r) for r in wish.free]
    order += [i for i in range(len(names)) if i not in order]
    out = []
    for quantity in asked:
        N, D = weights @ model.numerators(quantity), model.D
        N, D = permuted(N, order), permuted(D, order)
        for bit in range(len(names) - 1, len(wish.free) - 1, -1):
            value = _factor(circuit, names[order[bit]])
            N, D = fixed(N, bit, value), fixed(D, bit, value)
        out.append((N, D))
    return out


def _factor(circuit: Circuit, name: str) -> float:
    part = circuit.part(name)
    if part.kind is Kind.RESISTOR and part.value is not None:
        return part.value.value
    return part.option("beta") or 100.0


def _source(circuit: Circuit, name: str) -> float:
    kind, bracket, part = name.rstrip(")").partition("(")
    if not bracket:
        value = circuit.part(name).value
        return 0.0 if value is None else value.value
    stated = circuit.part(part)
    if kind == "V_Z" and stated.value is not None:
        return stated.value.value
    return stated.option(kind) or {"I_CBO": 0.0}.get(kind, 0.7)


def _window(circuit: Circuit, place: Place, width: float) -> tuple[float, float]:
    rails = [abs(p.value.value) for p in circuit.parts if p.kind is Kind.SUPPLY and p.value]
    supply = max(rails, default=10.0)
    return (_SHARES[place] - width) * supply, (_SHARES[place] + width) * supply


def _grid(lattices: list[FloatArray]) -> Iterator[FloatArray]:
    """All combinations, some at a time."""
    sizes = [len(v) for v in lattices]
    total = math.prod(sizes)
    for start in range(0, total, _AT_ONCE):
        index = np.unravel_index(np.arange(start, min(total, start + _AT_ONCE)), sizes)
        yield np.array([v[i] for v, i in zip(lattices, index, strict=True)])


def _digits(values: FloatArray) -> FloatArray:
    """Least number of digits, one to four, that says each value within 0.4 %."""
    out = np.full(values.shape, 4.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        power = np.floor(np.log10(np.abs(values)))
        for digits in (3, 2, 1):
            step = 10.0 ** (power - digits + 1)
            near = np.abs(np.rint(values / step) * step - values) <= _SLACK * np.abs(values)
            out[near] = digits
    return out


def _roughness(x: FloatArray) -> FloatArray:
    """A little for every resistance that is no round figure."""
    leading = x / 10.0 ** np.floor(np.log10(x))
    round_one = np.isclose(leading, np.rint(leading))
    return np.asarray(0.01 * (~round_one).sum(axis=0))


def _set(circuit: Circuit, wish: Wish, values: tuple[float, ...]) -> ReadableSet:
    named = dict(zip(wish.free, values, strict=True))
    changed = with_values(circuit, named)
    point = operating_point(changed, "exact")
    q = point.transistors[wish.transistor]
    digits = {
        symbol: int(_digits(np.array([abs(value)]))[0])
        for symbol, value in (("I_B", q.I_B), ("I_C", q.I_C), ("V_CE", q.V_CE))
    }
    return ReadableSet(named, changed, point, digits)
