"""Functions of eight numbers abreast; see :mod:`steadypoint.kernels._eight`."""

from __future__ import annotations

from typing import Any

from steadypoint.kernels._eight import (
    exponent,
    inlined,
    mantissa,
    splat,
    times_power,
    where_le,
)


@inlined
def exponential(x: Any) -> Any:
    """Exponential to the rounding of doubles, after Cody and Waite's reduction."""
    x = where_le(x, splat(700.0), x, splat(700.0))
    x = where_le(splat(-700.0), x, x, splat(-700.0))
    n = x * 1.4426950408889634 + 6755399441055744.0
    turns = n - 6755399441055744.0
    r = x - turns * 6.93147180369123816490e-01
    r = r - turns * 1.90821492927058770002e-10
    s = r * 1.6059043836821613e-10 + 2.0876756987868099e-9
    s = s * r + 2.5052108385441720e-8
    s = s * r + 2.7557319223985888e-7
    s = s * r + 2.7557319223985893e-6
    s = s * r + 2.4801587301587302e-5
    s = s * r + 1.9841269841269841e-4
    s = s * r + 1.3888888888888889e-3
    s = s * r + 8.3333333333333332e-3
    s = s * r + 4.1666666666666664e-2
    s = s * r + 1.6666666666666666e-1
    s = s * r + 0.5
    s = s * r * r + r + 1.0
    return times_power(s, n)


@inlined
def logarithm(x: Any) -> Any:
    """Natural logarithm to nine digits: it only steers the way, never the point."""
    m = mantissa(x)
    h = where_le(m, splat(1.4142135623730951), splat(0.0), splat(1.0))
    m = m * (1.0 - 0.5 * h)
    f = (m - 1.0) / (m + 1.0)
    q = f * f
    s = 0.2222222222222222 + q * 0.1818181818181818
    s = 2.0 + q * (0.6666666666666666 + q * (0.4 + q * (0.2857142857142857 + q * s)))
    return f * s + (exponent(x) + h) * 0.6931471805599453
