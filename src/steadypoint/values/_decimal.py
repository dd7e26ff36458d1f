"""Decimal arithmetic on the shortest decimal of a float."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Context, Decimal
from typing import Final, Literal

#: What becomes of a figure that lies halfway: away from zero, or to the even digit.
Halves = Literal["away", "even"]

_MODES: Final = {"away": ROUND_HALF_UP, "even": ROUND_HALF_EVEN}

# Floats carry 15 safe decimal digits; a twelfth digit is beyond every figure of a lesson, and sums
# such as 0.1 + 0.2 lose their noise here.
SAFE_DIGITS: Final = 12


def shortest(value: float) -> Decimal:
    """The shortest decimal that gives this float again (2.675 is 2.675, not 2.67499...)."""
    return Decimal(repr(float(value)))


def to_digits(number: Decimal, digits: int, halves: Halves = "away") -> Decimal:
    """A decimal in a number of significant digits, trailing zeros kept.

    Parameters
    ----------
    number : Decimal
        Finite number.
    digits : int
        Significant digits, at least 1. [-]
    halves : {"away", "even"}
        Rule for a figure that lies exactly halfway.
    """
    if not number:
        return Decimal(0)
    context = Context(prec=digits, rounding=_MODES[halves])
    rounded = context.plus(number)
    return rounded.quantize(Decimal(1).scaleb(rounded.adjusted() - digits + 1), context=context)


def tidy(value: float) -> Decimal:
    """A float in at most twelve significant digits, trailing zeros dropped."""
    return to_digits(shortest(value), SAFE_DIGITS, "even").normalize()


def round_to(value: float, digits: int, *, halves: Halves = "away") -> float:
    """Round to significant digits, by the decimal that a reader sees.

    Parameters
    ----------
    value : float
        Finite value.
    digits : int
        Significant digits, at least 1. [-]
    halves : {"away", "even"}, default "away"
        ISO 80000-1:2009, annex B: ``"away"`` is its rule B, the rounding of textbooks, used for
        every figure shown; ``"even"`` is its rule A, for readings of which a mean is formed.

    Returns
    -------
    float
        The float nearest to the rounded decimal. [unit of value]

    Examples
    --------
    >>> round_to(2.675, 3), round_to(2.675, 3, halves="even"), round_to(2.665, 3, halves="even")
    (2.68, 2.68, 2.66)
    """
    return float(to_digits(shortest(value), digits, halves))
