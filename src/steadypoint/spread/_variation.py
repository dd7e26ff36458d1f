"""What varies between copies of a circuit: a setting, its limits, its distribution."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from steadypoint.circuit import Circuit, Kind, apply_setting
from steadypoint.devices import NOMINAL_TEMPERATURE
from steadypoint.errors import QuantityError, did_you_mean
from steadypoint.values import read_tolerance

FloatArray = NDArray[np.float64]

_EXAMPLES: Final = "RB ±5%, beta 100..400 log-normal, VCC 8.5V..9.5V or temperature 0C..40C"
_LIMIT: Final = 3.0  # standard deviations from the middle of a normal distribution to its limits
_TRACKED: Final = {"reel": 0.9, "die": 0.98}


class Shape(StrEnum):
    """How values lie between their limits."""

    UNIFORM = "uniform"
    TRIANGULAR = "triangular"
    NORMAL = "normal"
    LOG_NORMAL = "log-normal"


@dataclass(frozen=True, slots=True)
class Variation:
    """One setting of a circuit with the limits within which its copies lie.

    Parameters
    ----------
    setting : str
        ``RB``, ``Q1.beta``, ``beta`` (of all transistors alike), ``VCC`` or ``temperature``.
    nominal, low, high : float
        Stated value and limits, in SI units; a temperature in kelvin.
    shape : Shape, default uniform
        Distribution between the limits. A normal or log-normal one is cut at its limits, which are
        three standard deviations from its middle; the triangle has its top at the stated value.
    group : str, default ""
        What has this in common with others of the same group, such as a reel or a die.
    correlation : float, default 0
        Correlation with each other member of the group, of the normal scores. [-]

    Notes
    -----
    Limits without any other knowledge mean a uniform distribution: JCGM 100:2008 (GUM), 4.3.7.
    """

    setting: str
    nominal: float
    low: float
    high: float
    shape: Shape = Shape.UNIFORM
    group: str = ""
    correlation: float = 0.0

    def __post_init__(self) -> None:
        """Refuse limits that hold nothing."""
        if not (math.isfinite(self.low) and math.isfinite(self.high) and self.low < self.high):
            raise QuantityError(
                f"The limits of {self.setting} are no range. Write the lower one first, "
                f"as in {_EXAMPLES}."
            )
        if self.shape is Shape.LOG_NORMAL and self.low <= 0.0:
            raise QuantityError(
                f"A log-normal {self.setting} needs limits above zero. Use uniform or normal."
            )
        if self.shape is Shape.TRIANGULAR and not self.low <= self.nominal <= self.high:
            raise QuantityError(
                f"A triangular {self.setting} needs its stated value between its limits. "
                f"Use uniform, or other limits."
            )
        if not 0.0 <= self.correlation <= 1.0:
            raise QuantityError(
                f"The correlation of {self.setting} is {self.correlation:g}. "
                f"Write one between 0 and 1."
            )

    def quantile(self, share: FloatArray | float) -> FloatArray:
        """Value below which a share of the copies lies.

        Parameters
        ----------
        share : float or ndarray
            Shares between 0 and 1. [-]

        Returns
        -------
        ndarray
            Values in SI units, of the same shape.
        """
        u = np.asarray(share, dtype=float)
        if self.shape is Shape.UNIFORM:
            return np.asarray(self.low + (self.high - self.low) * u)
        if self.shape is Shape.TRIANGULAR:
            return _triangle(u, self.low, self.nominal, self.high)
        tail = float(ndtr(-_LIMIT))
        z = ndtri(tail + u * (1.0 - 2.0 * tail)) / _LIMIT
        if self.shape is Shape.NORMAL:
            return np.asarray(0.5 * (self.low + self.high) + 0.5 * (self.high - self.low) * z)
        low, high = math.log(self.low), math.log(self.high)
        return np.asarray(np.exp(0.5 * (low + high) + 0.5 * (high - low) * z))

    @property
    def standard_uncertainty(self) -> float:
        """Standard deviation of the distribution, in SI units.

        The uniform one gives (high - low)/√12 and the triangle about its middle (high - low)/√24:
        JCGM 100:2008, 4.3.7 and 4.3.9.
        """
        width = self.high - self.low
        if self.shape is Shape.UNIFORM:
            return width / math.sqrt(12.0)
        if self.shape is Shape.TRIANGULAR:
            a, b, c = self.low, self.high, self.nominal
            return math.sqrt((a * a + b * b + c * c - a * b - a * c - b * c) / 18.0)
        nodes, weights = np.polynomial.legendre.leggauss(64)
        x = self.quantile(0.5 * (nodes + 1.0))
        mean = float(0.5 * weights @ x)
        return math.sqrt(float(0.5 * weights @ (x - mean) ** 2))


def _triangle(u: FloatArray, low: float, top: float, high: float) -> FloatArray:
    width = high - low
    left = low + np.sqrt(u * width * (top - low))
    right = high - np.sqrt((1.0 - u) * width * (high - top))
    return np.asarray(np.where(u * width < top - low, left, right))


def read_variation(circuit: Circuit, text: str) -> Variation:
    """Variation that a reader writes.

    Parameters
    ----------
    circuit : Circuit
        The circuit that varies.
    text : str
        A setting with a tolerance or with two limits, and what else is known: ``RB ±5%``,
        ``beta 100..400 log-normal``, ``RC ±1% reel A``, ``Q1.beta 100..200 die``,
        ``temperature 0C..40C``.

    Returns
    -------
    Variation

    Raises
    ------
    UnknownNameError
        If the circuit has nothing of this name; the nearest is suggested.
    QuantityError
        If limits are no range, or a word says nothing.

    Examples
    --------
    >>> from steadypoint.circuit import arrangement
    >>> circuit = arrangement("base bias").circuit
    >>> read_variation(circuit, "beta 100..400 log-normal").high
    400.0
    """
    words = text.replace("±", " ±").split()
    if len(words) < 2:
        raise QuantityError(f"'{text.strip()}' is no variation. Write {_EXAMPLES}.")
    setting, limits, rest = words[0], words[1], words[2:]
    if limits == "±" and rest:
        limits, rest = limits + rest[0], rest[1:]
    while rest and (rest[0].startswith("..") or limits.endswith("..")):
        limits, rest = limits + rest[0], rest[1:]
    if limits.startswith("±") and rest and rest[0] == "%":
        limits, rest = limits + "%", rest[1:]
    if limits.startswith("±"):
        nominal = stated_value(circuit, setting)
        room = abs(nominal) * read_tolerance(limits)
        low, high = nominal - room, nominal + room
    else:
        low, high = _limits(circuit, setting, limits, text)
        nominal = _stated_or_middle(circuit, setting, low, high)
    shape, group, correlation = _traits(rest, text)
    return Variation(setting, nominal, low, high, shape, group, correlation)


def _limits(circuit: Circuit, setting: str, limits: str, text: str) -> tuple[float, float]:
    first, dots, second = limits.partition("..")
    if not dots or not first or not second:
        raise QuantityError(f"'{text.strip()}' states no limits. Write {_EXAMPLES}.")
    values = [
        stated_value(apply_setting(circuit, f"{setting}={figure}"), setting)
        for figure in (first, second)
    ]
    return values[0], values[1]


def _stated_or_middle(circuit: Circuit, setting: str, low: float, high: float) -> float:
    try:
        stated = stated_value(circuit, setting)
    except QuantityError:
        return 0.5 * (low + high)
    return stated if low <= stated <= high else 0.5 * (low + high)


def _traits(words: Sequence[str], text: str) -> tuple[Shape, str, float]:
    shape, group, correlation = Shape.UNIFORM, "", 0.0
    left = list(words)
    while left:
        word = left.pop(0)
        if word in _TRACKED:
            name = left.pop(0) if left and left[0] not in (*_TRACKED, *Shape) else ""
            group, correlation = f"{word} {name}".strip(), _TRACKED[word]
            continue
        try:
            shape = Shape(word)
        except ValueError:
            known = (*(str(s) for s in Shape), *_TRACKED)
            hint = did_you_mean(word, known) or f" Use {', '.join(known)}."
            raise QuantityError(f"'{word}' in '{text.strip()}' says nothing here.{hint}") from None
    return shape, group, correlation


def stated_value(circuit: Circuit, setting: str) -> float:
    """Value that a circuit states for a setting, in SI units.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    setting : str
        As in :class:`Variation`.

    Returns
    -------
    float

    Raises
    ------
    UnknownNameError
        If the circuit has nothing of this name.
    QuantityError
        If the circuit states no value for it.
    """
    parts = {part.name: part for part in circuit.parts}
    value = parts[setting].value if setting in parts else None
    if value is not None:
        return value.value
    if setting == "temperature":
        stated = circuit.temperature
        return NOMINAL_TEMPERATURE if stated is None else stated.value
    owner, dot, symbol = setting.partition(".")
    found: float | None = None
    if dot and owner in parts:
        found = parts[owner].option(symbol)
    elif not dot:
        options = [p.option(setting) for p in circuit.parts if p.kind.is_transistor]
        found = next((v for v in options if v is not None), None)
    if found is None:
        apply_setting(circuit, f"{setting}=1")  # raises with the sentence for an unknown name
        raise QuantityError(
            f"The circuit states no {setting}. Write its limits, such as {setting} 100..400."
        )
    return found


def tolerances(
    circuit: Circuit, *, resistors: float | None = None, shape: Shape = Shape.UNIFORM
) -> tuple[Variation, ...]:
    """Variations by the tolerances that a sheet states.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    resistors : float, optional
        Relative tolerance of resistors whose tolerance the sheet leaves open; without it those do
        not vary. [-]
    shape : Shape, default uniform
        Distribution of them all.

    Returns
    -------
    tuple of Variation
        In the order of the sheet; empty when nothing has a tolerance.
    """
    found: list[Variation] = []
    for part in circuit.parts:
        tolerance = part.tolerance
        if tolerance is None and part.kind is Kind.RESISTOR:
            tolerance = resistors
        if tolerance and part.value is not None:
            value = part.value.value
            room = abs(value) * tolerance
            found.append(Variation(part.name, value, value - room, value + room, shape))
    return tuple(found)


def with_shape(variations: Sequence[Variation], shape: Shape) -> tuple[Variation, ...]:
    """The same limits with another distribution.

    Parameters
    ----------
    variations : sequence of Variation
        What varies.
    shape : Shape
        The distribution.

    Returns
    -------
    tuple of Variation
    """
    return tuple(replace(v, shape=shape) for v in variations)
