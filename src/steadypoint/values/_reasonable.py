"""Values that a lesson's circuit can hold."""

from __future__ import annotations

import math

from steadypoint.errors import QuantityError
from steadypoint.values._quantity import Quantity
from steadypoint.values._units import Unit, unit_of
from steadypoint.values._writing import format_quantity


def reasonable(quantity: Quantity, name: str) -> Quantity:
    """Refuse a value out of reason.

    Parameters
    ----------
    quantity : Quantity
        What is to be checked.
    name : str
        What carries the value, for the sentence (``RC``, ``VCC``, ``the temperature``).

    Returns
    -------
    Quantity
        The same quantity.

    Raises
    ------
    QuantityError
        If the value is not finite, is zero or negative where that makes no sense, or lies outside
        the range of its unit.

    Examples
    --------
    >>> reasonable(Quantity(3300.0, "Ω"), "RC").value
    3300.0
    """
    unit = unit_of(quantity.unit)
    value = quantity.value
    what = unit.name.split(" ", 1)[1]
    if not math.isfinite(value):
        raise QuantityError(f"{name} has no finite value. Give {unit.name} {_range(unit)}.")
    if value < 0 and not unit.signed:
        raise QuantityError(
            f"{name} is {_shown(value, unit)}, but a {what} cannot be negative. "
            f"Give one {_range(unit)}."
        )
    if value == 0:
        if unit.zero:
            return quantity
        raise QuantityError(f"{name} is {_shown(value, unit)}, {_zero(unit)} {_range(unit)}.")
    if not unit.low <= abs(value) <= unit.high:
        raise QuantityError(
            f"{name} is {_shown(value, unit)}, which is out of reason for {unit.name}. "
            f"Give one {_range(unit)}."
        )
    return quantity


def _zero(unit: Unit) -> str:
    if unit.symbol == "Ω":
        return "which is no part. Join its nodes instead or give a resistance"
    return f"but {unit.name} cannot be zero. Give one"


def _shown(value: float, unit: Unit) -> str:
    return format_quantity(value, unit.symbol, None, plain=True)


def _range(unit: Unit) -> str:
    low, high = _shown(unit.low, unit), _shown(unit.high, unit)
    return f"from {low} to {high}"
