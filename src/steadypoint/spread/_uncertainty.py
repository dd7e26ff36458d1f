"""Quoted uncertainty by the law of propagation (JCGM 100, GUM)."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadypoint.circuit import Circuit
from steadypoint.errors import ConvergenceError, QuantityError
from steadypoint.solve import solve_many
from steadypoint.spread._columns import Column, column
from steadypoint.spread._sampling import correlations
from steadypoint.spread._variation import Variation
from steadypoint.values import format_quantity

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """A quantity with its expanded uncertainty.

    Parameters
    ----------
    quantity : str
        What it is of.
    unit : str
        SI unit.
    value : float
        Value with every setting in the middle of its limits. [SI]
    contributions : mapping of str to float
        c_i u(x_i) of each setting, with its sign. [SI]
    combined : float
        Combined standard uncertainty u_c. [SI]
    k : float
        Coverage factor. [-]
    """

    quantity: str
    unit: str
    value: float
    contributions: Mapping[str, float]
    combined: float
    k: float = 2.0

    @property
    def expanded(self) -> float:
        """Expanded uncertainty U = k u_c. [SI]"""
        return self.k * self.combined

    @property
    def sentence(self) -> str:
        """The result as the GUM (7.2.4) would have it said."""
        return (
            f"{self.quantity} = {format_quantity(self.value, self.unit)} ± "
            f"{format_quantity(self.expanded, self.unit, 2)}, with k = {self.k:g}, "
            f"which holds about 95 % of the copies if their distribution is close to a normal one."
        )


def combined_uncertainty(
    contributions: Sequence[float], correlation: FloatArray | None = None
) -> float:
    """Combined standard uncertainty.

    Parameters
    ----------
    contributions : sequence of float
        c_i u(x_i), with their signs. [unit of the result]
    correlation : ndarray, shape (k, k), optional
        Correlation coefficients r(x_i, x_j); without it the inputs are independent. [-]

    Returns
    -------
    float
        u_c. [unit of the result]

    Raises
    ------
    QuantityError
        If the matrix does not fit.

    References
    ----------
    JCGM 100:2008, equations (10) and (16).

    Examples
    --------
    >>> round(combined_uncertainty([3.0, -4.0]), 6)
    5.0
    """
    c = np.asarray(contributions, dtype=float)
    if correlation is None:
        return math.sqrt(float(c @ c))
    r = np.asarray(correlation, dtype=float)
    if r.shape != (len(c), len(c)):
        raise QuantityError("The correlation matrix does not fit the number of contributions.")
    return math.sqrt(max(0.0, float(c @ r @ c)))


def uncertainty(
    circuit: Circuit, variations: Sequence[Variation], quantity: str = "I_C", *, k: float = 2.0
) -> Uncertainty:
    """Expanded uncertainty of a quantity on the device rung.

    Parameters
    ----------
    circuit : Circuit
        The nominal circuit.
    variations : sequence of Variation
        What is uncertain.
    quantity : str, default "I_C"
        As for :func:`steadypoint.spread.monte_carlo`.
    k : float, default 2
        Coverage factor. [-]

    Returns
    -------
    Uncertainty
        Contributions are half the difference between the results at x_i + u(x_i) and
        x_i - u(x_i), as JCGM 100:2008, 5.1.3, note 2 allows.

    Raises
    ------
    QuantityError
        If nothing varies.
    ConvergenceError
        If the circuit has no operating point at one of these values.

    Notes
    -----
    The law is linear; where the quantity bends within the limits, or a transistor leaves its
    region, the histogram of :func:`steadypoint.spread.monte_carlo` tells more (JCGM 101).
    """
    if not variations:
        raise QuantityError("Nothing is uncertain. Name a variation, such as beta 100..400.")
    wanted = column(circuit, quantity)
    middle = {v.setting: float(v.quantile(0.5)) for v in variations}
    names = list(middle)
    u = np.array([v.standard_uncertainty for v in variations])
    rows = np.tile(np.array(list(middle.values()))[:, None], (1, 2 * len(u) + 1))
    for i, step in enumerate(u):
        rows[i, 1 + 2 * i] += step
        rows[i, 2 + 2 * i] -= step
    values = _values(circuit, dict(zip(names, rows, strict=True)), wanted)
    parts = 0.5 * (values[1::2] - values[2::2])
    return Uncertainty(
        wanted.name,
        wanted.unit,
        float(values[0]),
        dict(zip(names, parts.tolist(), strict=True)),
        combined_uncertainty(parts.tolist(), correlations(variations)),
        k,
    )


def _values(circuit: Circuit, rows: Mapping[str, FloatArray], wanted: Column) -> FloatArray:
    points = solve_many(circuit, rows)
    if not points.converged.all():
        reason = next(iter(points.reasons.values()), "")
        raise ConvergenceError(
            f"{wanted.name} has no value at one of the values one standard uncertainty away. "
            f"{reason}".strip()
        )
    return wanted.of(points)
