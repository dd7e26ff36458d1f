"""A value with its unit and the digits in which it is stated."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, order=True)
class Quantity:
    """A value in an SI unit.

    Parameters
    ----------
    value : float
        Value in the coherent SI unit (kelvin for temperatures).
    unit : str
        Unit symbol without prefix: ``Ω``, ``V``, ``A``, ``F``, ``H``, ``W``, ``K``, ``Hz``, ``S`` or
        empty for a pure number.
    digits : int or None
        Significant digits in which the value is stated; None when it is not a stated figure.
        Takes no part in equality: 3k3 and 3.30 kΩ are the same resistance.
    written : str
        The text as written by its author, or empty. Takes no part in equality.
    """

    value: float
    unit: str = ""
    digits: int | None = field(default=None, compare=False)
    written: str = field(default="", compare=False)
