"""Polynomials that are affine in each factor, evaluated at the corners of boxes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


def at_corners(coefficients: FloatArray, low: FloatArray, high: FloatArray) -> FloatArray:
    """Values of multi-affine polynomials at all corners of many boxes.

    Parameters
    ----------
    coefficients : ndarray, shape (p, 2**n)
        Bit i of a coefficient's index tells whether factor i is in its term.
    low, high : ndarray, shape (n, b)
        Limits of each factor in each box.

    Returns
    -------
    ndarray, shape (p, 2**n, b)
        Bit i of the corner's index tells whether factor i is at its upper limit.
    """
    n, b = low.shape
    p = coefficients.shape[0]
    if not p or not b:
        return np.empty((p, 1 << n, b))  # nothing to put in
    if not n:
        return np.broadcast_to(coefficients[:, :, None], (p, 1, b)).copy()
    v = np.empty((p, 1 << n, b))
    coefficients = coefficients[:, :, None]
    for k, limit in enumerate((low[0], high[0])):
        at_limit = v[:, k::2]
        np.multiply(coefficients[:, 1::2], limit, out=at_limit)
        at_limit += coefficients[:, 0::2]
    for i in range(1, n):
        pairs = v.reshape(p, -1, 2, 1 << i, b)
        without, factor = pairs[:, :, 0], pairs[:, :, 1]
        lower = factor * low[i]
        factor *= high[i]
        factor += without
        without += lower
    return v


def at_points(coefficients: FloatArray, x: FloatArray) -> FloatArray:
    """Values of multi-affine polynomials at many points.

    Parameters
    ----------
    coefficients : ndarray, shape (p, 2**n)
        As for :func:`at_corners`.
    x : ndarray, shape (n, b)
        Points.

    Returns
    -------
    ndarray, shape (p, b)
    """
    n, b = x.shape
    v = coefficients[:, :, None]
    for i in range(n):
        v = v[:, 0::2] + v[:, 1::2] * x[i]
    return np.ascontiguousarray(np.broadcast_to(v[:, 0], (coefficients.shape[0], b)))


def fixed(coefficients: FloatArray, bit: int, value: float) -> FloatArray:
    """Polynomials with one factor put in, which leaves one bit less.

    Parameters
    ----------
    coefficients : ndarray, shape (..., 2**n)
        Polynomials.
    bit : int
        Which factor.
    value : float
        Its value.

    Returns
    -------
    ndarray, shape (..., 2**(n - 1))
    """
    pairs = coefficients.reshape(*coefficients.shape[:-1], -1, 2, 1 << bit)
    put = pairs[..., 0, :] + value * pairs[..., 1, :]
    return np.ascontiguousarray(put.reshape(*coefficients.shape[:-1], -1))


def scaled(coefficients: FloatArray, factors: FloatArray) -> FloatArray:
    """Polynomials in x·factor instead of x.

    Parameters
    ----------
    coefficients : ndarray, shape (..., 2**n)
        Polynomials.
    factors : ndarray, shape (n,)
        One for each bit. [-]

    Returns
    -------
    ndarray, shape (..., 2**n)
    """
    out = coefficients.copy()
    for i, factor in enumerate(factors):
        out.reshape(*out.shape[:-1], -1, 2, 1 << i)[..., 1, :] *= factor
    return out


def permuted(coefficients: FloatArray, order: list[int]) -> FloatArray:
    """Polynomials with their bits in another order.

    Parameters
    ----------
    coefficients : ndarray, shape (..., 2**n)
        Polynomials.
    order : list of int
        The old bit of each new one.

    Returns
    -------
    ndarray, shape (..., 2**n)
    """
    index = np.arange(1 << len(order))
    old = np.zeros_like(index)
    for new, bit in enumerate(order):
        old |= (index >> new & 1) << bit
    return np.ascontiguousarray(coefficients[..., old])


def product(first: FloatArray, second: FloatArray, n: int) -> FloatArray:
    """Product of two multi-affine polynomials: at most quadratic in each factor.

    Parameters
    ----------
    first, second : ndarray, shape (2**n,)
        Polynomials.
    n : int
        Factors. [-]

    Returns
    -------
    ndarray, shape (3**n,)
        Digit i (to base 3) of a coefficient's index is the power of factor i.
    """
    out = np.zeros(3**n)
    index = np.arange(1 << n)
    place = np.zeros_like(index)
    for i in range(n):
        place += (index >> i & 1) * 3**i
    for j in np.flatnonzero(first):
        np.add.at(out, place[j] + place, first[j] * second)
    return out


def bernstein(coefficients: FloatArray, low: FloatArray, high: FloatArray) -> FloatArray:
    """Bernstein coefficients over boxes of polynomials at most quadratic in each factor.

    Their least and greatest enclose all values within the box (range property: J. Garloff,
    "Convergent bounds for the range of multivariate polynomials", LNCS 212, 1986).

    Parameters
    ----------
    coefficients : ndarray, shape (p, 3**n)
        As :func:`product` gives them.
    low, high : ndarray, shape (n, b)
        Limits of each factor in each box.

    Returns
    -------
    ndarray, shape (p, 3**n, b)
    """
    n, b = low.shape
    p = coefficients.shape[0]
    v = np.empty((p, 3**n, b))
    v[...] = coefficients[:, :, None]
    for i in range(n):
        triples = v.reshape(p, -1, 3, 3**i, b)
        a, first, second = triples[:, :, 0], triples[:, :, 1], triples[:, :, 2]
        toward_high = second * high[i]
        toward_high += first
        second *= low[i]
        second += first
        np.multiply(second, 0.5 * high[i], out=first)
        first += toward_high * (0.5 * low[i])
        first += a
        second *= low[i]
        toward_high *= high[i]
        toward_high += a
        a += second
        second[...] = toward_high
    return v


def half_maxima(values: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Greatest values at the corners of each half of many boxes.

    Parameters
    ----------
    values : ndarray, shape (p, 2**n, b)
        As :func:`at_corners` gives them.

    Returns
    -------
    halves : ndarray, shape (n, 2, p, b)
        With each factor at its lower and at its upper limit.
    overall : ndarray, shape (p, b)
        Of all corners.
    """
    p, corners, b = values.shape
    n = corners.bit_length() - 1
    halves = np.empty((n, 2, p, b))
    for i in reversed(range(n)):
        lower, upper = values[:, : 1 << i], values[:, 1 << i :]
        lower.max(axis=1, out=halves[i, 0])
        upper.max(axis=1, out=halves[i, 1])
        values = np.maximum(lower, upper)
    return halves, values[:, 0]
