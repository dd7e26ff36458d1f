"""Eight numbers abreast: one value type for compiled code, rows of arrays without a compiler.

With Numba a :func:`load` gives eight doubles in one vector register, on which ``+ - * /`` and the
functions of this module work. Without it the same calls work on rows of NumPy arrays, which is only
good for tests. Never imported by the package itself: asked for by name when it is wanted.
"""

from __future__ import annotations

import operator
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np

try:
    import numba
except ImportError:
    numba = None

W = 8
"""Lanes in a group. [-]"""

F = TypeVar("F", bound=Callable[..., Any])


def compiled(function: F) -> F:
    """Compile a function where there is a compiler."""
    if numba is None:
        return function
    made: F = numba.njit(cache=True, error_model="numpy", nogil=True)(function)
    return made


def inlined(function: F) -> F:
    """Compile a function into those that call it, where there is a compiler."""
    if numba is None:
        return function
    made: F = numba.njit(cache=True, error_model="numpy", nogil=True, forceinline=True)(function)
    return made


if TYPE_CHECKING or numba is None:

    def load(rows: Any, row: int) -> Any:
        """Eight numbers of a row."""
        return rows[row].copy()

    def store(rows: Any, row: int, value: Any) -> None:
        """Put eight numbers into a row."""
        rows[row] = value

    def splat(number: float) -> Any:
        """Eight times the same number."""
        return np.full(W, number)

    def where_le(a: Any, b: Any, yes: Any, no: Any) -> Any:
        """Lane by lane ``yes`` where a ≤ b, else ``no``."""
        return np.where(a <= b, yes, no)

    def any_less(a: Any, b: Any) -> bool:
        """Whether a < b in any lane."""
        return bool((a < b).any())

    def magnitude(a: Any) -> Any:
        """Absolute values."""
        return np.abs(a)

    def times_power(a: Any, n: Any) -> Any:
        """``a`` times two to the power that stands in the low bits of ``n``."""
        return (a.view(np.int64) + (n.view(np.int64) << 52)).view(np.float64)

    def exponent(a: Any) -> Any:
        """Binary exponents of positive numbers."""
        return ((a.view(np.int64) >> 52) - 1023).astype(np.float64)

    def mantissa(a: Any) -> Any:
        """Positive numbers scaled into 1 to 2."""
        return ((a.view(np.int64) & 0xFFFFFFFFFFFFF) | 0x3FF0000000000000).view(np.float64)

else:
    from llvmlite import ir
    from numba.core import types
    from numba.core.datamodel import models
    from numba.extending import intrinsic, overload, register_model
    from numba.np.arrayobj import make_array

    _DOUBLES = ir.VectorType(ir.DoubleType(), W)
    _INTEGERS = ir.VectorType(ir.IntType(64), W)

    class _Lanes(types.Type):
        def __init__(self) -> None:
            super().__init__(name="eight lanes")

    _lanes = _Lanes()

    @register_model(_Lanes)
    class _Model(models.PrimitiveModel):
        def __init__(self, manager: Any, kind: Any) -> None:
            super().__init__(manager, kind, _DOUBLES)

    def _whole(number: int) -> Any:
        return ir.Constant(_INTEGERS, [number] * W)

    def _place(context: Any, builder: Any, kind: Any, rows: Any, row: Any) -> Any:
        data = make_array(kind)(context, builder, rows).data
        at = builder.gep(data, [builder.mul(row, ir.Constant(ir.IntType(64), W))])
        return builder.bitcast(at, _DOUBLES.as_pointer())

    @intrinsic
    def load(context: Any, rows: Any, row: Any) -> Any:
        def make(c: Any, b: Any, sig: Any, args: Any) -> Any:
            return b.load(_place(c, b, sig.args[0], args[0], args[1]), align=8)

        return _lanes(rows, types.int64), make

    @intrinsic
    def store(context: Any, rows: Any, row: Any, value: Any) -> Any:
        def make(c: Any, b: Any, sig: Any, args: Any) -> Any:
            b.store(args[2], _place(c, b, sig.args[0], args[0], args[1]), align=8)
            return c.get_dummy_value()

        return types.void(rows, types.int64, _lanes), make

    @intrinsic
    def splat(context: Any, number: Any) -> Any:
        def make(c: Any, b: Any, sig: Any, args: Any) -> Any:
            one = b.insert_element(
                ir.Constant(_DOUBLES, ir.Undefined), args[0], ir.Constant(ir.IntType(32), 0)
            )
            zeros = ir.Constant(ir.VectorType(ir.IntType(32), W), [0] * W)
            return b.shuffle_vector(one, ir.Constant(_DOUBLES, ir.Undefined), zeros)

        return _lanes(types.float64), make

    @intrinsic
    def where_le(context: Any, a: Any, b: Any, yes: Any, no: Any) -> Any:
        def make(c: Any, b: Any, sig: Any, args: Any) -> Any:
            return b.select(b.fcmp_ordered("<=", args[0], args[1]), args[2], args[3])

        return _lanes(_lanes, _lanes, _lanes, _lanes), make

    @intrinsic
    def any_less(context: Any, a: Any, b: Any) -> Any:
        def make(c: Any, b: Any, sig: Any, args: Any) -> Any:
            mask = b.bitcast(b.fcmp_ordered("<", args[0], args[1]), ir.IntType(W))
            return b.icmp_unsigned("!=", mask, ir.Constant(ir.IntType(W), 0))

        return types.boolean(_lanes, _lanes), make

    @intrinsic
    def magnitude(context: Any, a: Any) -> Any:
        def make(c: Any, b: Any, sig: Any, args: Any) -> Any:
            bits = b.bitcast(args[0], _INTEGERS)
            return b.bitcast(b.and_(bits, _whole(2**63 - 1)), _DOUBLES)

        return _lanes(_lanes), make

    @intrinsic
    def times_power(context: Any, a: Any, n: Any) -> Any:
        def make(c: Any, b: Any, sig: Any, args: Any) -> Any:
            bits, power = (b.bitcast(x, _INTEGERS) for x in args)
            return b.bitcast(b.add(bits, b.shl(power, _whole(52))), _DOUBLES)

        return _lanes(_lanes, _lanes), make

    @intrinsic
    def exponent(context: Any, a: Any) -> Any:
        def make(c: Any, b: Any, sig: Any, args: Any) -> Any:
            power = b.lshr(b.bitcast(args[0], _INTEGERS), _whole(52))
            return b.sitofp(b.sub(power, _whole(1023)), _DOUBLES)

        return _lanes(_lanes), make

    @intrinsic
    def mantissa(context: Any, a: Any) -> Any:
        def make(c: Any, b: Any, sig: Any, args: Any) -> Any:
            bits = b.and_(b.bitcast(args[0], _INTEGERS), _whole(0xFFFFFFFFFFFFF))
            return b.bitcast(b.or_(bits, _whole(0x3FF0000000000000)), _DOUBLES)

        return _lanes(_lanes), make

    def _operation(symbol: Any, name: str) -> None:
        @intrinsic
        def both(context: Any, a: Any, b: Any) -> Any:
            def make(c: Any, b: Any, sig: Any, args: Any) -> Any:
                return getattr(b, name)(args[0], args[1])

            return _lanes(_lanes, _lanes), make

        def chosen(a: Any, b: Any) -> Any:
            if isinstance(a, _Lanes) and isinstance(b, _Lanes):
                return lambda a, b: both(a, b)  # noqa: PLW0108  the compiler wants a function of its own
            if isinstance(a, _Lanes) and isinstance(b, types.Float):
                return lambda a, b: both(a, splat(b))
            if isinstance(a, types.Float) and isinstance(b, _Lanes):
                return lambda a, b: both(splat(a), b)
            return None

        chosen.__annotations__.clear()  # the compiler compares signatures, and lambdas have none
        overload(symbol)(chosen)

    for _symbol, _name in (
        (operator.add, "fadd"),
        (operator.sub, "fsub"),
        (operator.mul, "fmul"),
        (operator.truediv, "fdiv"),
    ):
        _operation(_symbol, _name)
