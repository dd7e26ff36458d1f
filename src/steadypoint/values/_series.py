"""The preferred number series of IEC 60063."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from decimal import Decimal
from functools import cache
from typing import Final, NamedTuple

from steadypoint.errors import QuantityError, UnknownNameError
from steadypoint.values._decimal import tidy
from steadypoint.values._tables import E24, E192

#: Tolerance that each series is meant for, IEC 60063 (relative). [-]
SERIES_TOLERANCE: Final[dict[str, float]] = {
    "E3": 0.4,
    "E6": 0.2,
    "E12": 0.1,
    "E24": 0.05,
    "E48": 0.02,
    "E96": 0.01,
    "E192": 0.005,
}


@cache
def _mantissas(name: str) -> tuple[Decimal, ...]:
    key = name.strip().upper()
    if key not in SERIES_TOLERANCE:
        known = ", ".join(SERIES_TOLERANCE)
        raise UnknownNameError(f"There is no series '{name}' of preferred values. Use {known}.")
    count = int(key[1:])
    # Each series of two digits holds every second value of the next, and so does each of three.
    figures = E24[:: 24 // count] if count <= 24 else E192[:: 192 // count]
    return tuple(Decimal(f).scaleb(-1 if count <= 24 else -2) for f in figures)


def series(name: str) -> tuple[float, ...]:
    """One decade of a series, from 1 up to but not including 10.

    Parameters
    ----------
    name : str
        ``E3``, ``E6``, ``E12``, ``E24``, ``E48``, ``E96`` or ``E192``.

    Returns
    -------
    tuple of float
        In rising order. [-]

    Raises
    ------
    UnknownNameError
        If there is no such series.

    References
    ----------
    IEC 60063:2015, Preferred number series for resistors and capacitors.

    Examples
    --------
    >>> series("E6")
    (1.0, 1.5, 2.2, 3.3, 4.7, 6.8)
    """
    return tuple(float(m) for m in _mantissas(name))


def is_in_series(value: float, name: str) -> bool:
    """True when the value is one of the series, to twelve digits.

    Parameters
    ----------
    value : float
        Positive value. [any unit]
    name : str
        Series.

    Returns
    -------
    bool
        Whether the series holds it.

    Raises
    ------
    QuantityError
        If the value is not positive and finite.
    UnknownNameError
        If there is no such series.

    Examples
    --------
    >>> is_in_series(4700.0, "E12"), is_in_series(4990.0, "E24")
    (True, False)
    """
    return _place(_exact(value), name).member is not None


def nearest(value: float, name: str = "E24") -> float:
    """Value of the series with the smallest ratio to a value.

    Parameters
    ----------
    value : float
        Positive value. [any unit]
    name : str, default "E24"
        Series.

    Returns
    -------
    float
        Nearest by ratio, as the tolerances are relative. No decimal lies exactly between two
        neighbours, since their product is never a square. [same unit]

    Raises
    ------
    QuantityError
        If the value is not positive and finite.
    UnknownNameError
        If there is no such series.

    Examples
    --------
    >>> nearest(4500.0), nearest(0.31e-6, "E6")
    (4700.0, 3.3e-07)
    """
    exact = _exact(value)
    below, member, above = _place(exact, name)
    if member is not None:
        return float(member)
    return float(above if exact * exact > below * above else below)


def next_up(value: float, name: str = "E24") -> float:
    """Smallest value of the series above a value, never the value itself.

    Parameters
    ----------
    value : float
        Positive value. [any unit]
    name : str, default "E24"
        Series.

    Returns
    -------
    float
        Value of the series. [same unit]

    Raises
    ------
    QuantityError
        If the value is not positive and finite.
    UnknownNameError
        If there is no such series.

    Examples
    --------
    >>> next_up(4700.0), next_up(9.5, "E12")
    (5100.0, 10.0)
    """
    return float(_place(_exact(value), name).above)


def next_down(value: float, name: str = "E24") -> float:
    """Largest value of the series below a value, never the value itself.

    Parameters
    ----------
    value : float
        Positive value. [any unit]
    name : str, default "E24"
        Series.

    Returns
    -------
    float
        Value of the series. [same unit]

    Raises
    ------
    QuantityError
        If the value is not positive and finite.
    UnknownNameError
        If there is no such series.

    Examples
    --------
    >>> next_down(4700.0), next_down(1.0, "E12")
    (4300.0, 0.82)
    """
    return float(_place(_exact(value), name).below)


def at_least(value: float, name: str = "E24") -> float:
    """Smallest value of the series that is not below a value.

    Parameters
    ----------
    value : float
        Positive value. [any unit]
    name : str, default "E24"
        Series.

    Returns
    -------
    float
        Value of the series. [same unit]

    Raises
    ------
    QuantityError
        If the value is not positive and finite.
    UnknownNameError
        If there is no such series.
    """
    place = _place(_exact(value), name)
    return float(place.above if place.member is None else place.member)


def at_most(value: float, name: str = "E24") -> float:
    """Largest value of the series that is not above a value.

    Parameters
    ----------
    value : float
        Positive value. [any unit]
    name : str, default "E24"
        Series.

    Returns
    -------
    float
        Value of the series. [same unit]

    Raises
    ------
    QuantityError
        If the value is not positive and finite.
    UnknownNameError
        If there is no such series.
    """
    place = _place(_exact(value), name)
    return float(place.below if place.member is None else place.member)


def neighbours(value: float, name: str = "E24") -> tuple[float, float]:
    """Next value down and next value up, never the value itself.

    Parameters
    ----------
    value : float
        Positive value. [any unit]
    name : str, default "E24"
        Series.

    Returns
    -------
    (float, float)
        Values of the series around the value. [same unit]

    Raises
    ------
    QuantityError
        If the value is not positive and finite.
    UnknownNameError
        If there is no such series.

    Examples
    --------
    >>> neighbours(4700.0, "E12"), neighbours(5000.0, "E12")
    ((3900.0, 5600.0), (4700.0, 5600.0))
    """
    below, _, above = _place(_exact(value), name)
    return float(below), float(above)


def values_between(low: float, high: float, name: str = "E24") -> tuple[float, ...]:
    """All values of a series from a lowest to a highest value, both included if they belong.

    Parameters
    ----------
    low, high : float
        Positive limits, low not above high. [any unit]
    name : str, default "E24"
        Series.

    Returns
    -------
    tuple of float
        In rising order; empty when no value of the series lies between. [same unit]

    Raises
    ------
    QuantityError
        If a limit is not positive and finite, or low lies above high.
    UnknownNameError
        If there is no such series.

    Examples
    --------
    >>> values_between(470.0, 1500.0, "E6")
    (470.0, 680.0, 1000.0, 1500.0)
    """
    first, last = _exact(low), _exact(high)
    if first > last:
        raise QuantityError(f"There is nothing between {low:g} and {high:g}: swap the limits.")
    return tuple(
        float(m.scaleb(power))
        for power in range(first.adjusted(), last.adjusted() + 1)
        for m in _mantissas(name)
        if first <= m.scaleb(power) <= last
    )


class _Place(NamedTuple):
    """A value's place in a series: next value below, itself if it belongs, next value above."""

    below: Decimal
    member: Decimal | None
    above: Decimal


def _place(exact: Decimal, name: str) -> _Place:
    decade = _mantissas(name)
    power = exact.adjusted()
    mantissa = exact.scaleb(-power)
    first, past = bisect_left(decade, mantissa), bisect_right(decade, mantissa)
    below = decade[first - 1] if first else decade[-1].scaleb(-1)
    above = decade[past] if past < len(decade) else Decimal(10)
    member = exact if first < past else None
    return _Place(below.scaleb(power), member, above.scaleb(power))


def _exact(value: float) -> Decimal:
    if not (math.isfinite(value) and value > 0):
        raise QuantityError("A preferred value needs a finite value above zero to be near to.")
    # Twelve digits, so that 4699.9999999999 of a computation is 4700.
    return tidy(value)
