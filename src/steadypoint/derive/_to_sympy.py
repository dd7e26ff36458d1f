"""The working as SymPy equations; SymPy is loaded only here and only when asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from steadypoint.derive._expr import (
    Expr,
    Fraction,
    Function,
    Number,
    Parallel,
    Power,
    Product,
    Relation,
    Sum,
    Symbol,
)
from steadypoint.errors import DerivationError

if TYPE_CHECKING:
    from steadypoint.derive._step import Derivation

MISSING = (
    "The export of equations needs SymPy, which is not installed. "
    "Install Steadypoint with its extra 'sympy', or SymPy itself."
)


def _sympy() -> Any:
    try:
        import sympy
    except ImportError:
        raise DerivationError(MISSING) from None
    return sympy


def sympy_equations(derivation: Derivation) -> tuple[Any, ...]:
    """All lines of a working as ``sympy.Eq`` in letters, in their order.

    A limit (→) is no equation and is left out. Approximations (≈) become equations, true within
    the board rung.
    """
    sympy = _sympy()
    return tuple(
        sympy.Eq(_convert(line.left, sympy), _convert(line.right, sympy), evaluate=False)
        for step in derivation
        for line in step.lines
        if line.sign != "→"
    )


def to_sympy(expr: Expr) -> Any:
    """An expression in SymPy, built node by node; no text is ever parsed.

    Parameters
    ----------
    expr : Expr
        What to convert. A relation becomes an equation.

    Returns
    -------
    sympy.Basic
        Symbols carry the names of the sheet (``V_BE``, ``RB``, ``beta``); resistances and gains
        are positive, voltages and currents real.

    Raises
    ------
    DerivationError
        If SymPy is not installed.

    Examples
    --------
    >>> from steadypoint.derive import Fraction, Sum, Symbol
    >>> to_sympy(Fraction(Sum(((1, Symbol("VCC")), (-1, Symbol("V_BE")))), Symbol("RB")))
    (VCC - V_BE)/RB
    """
    return _convert(expr, _sympy())


def _convert(expr: Expr, sympy: Any) -> Any:
    def inner(part: Expr) -> Any:
        return _convert(part, sympy)

    match expr:
        case Symbol():
            positive = expr.name.startswith(("R", "beta"))
            return sympy.Symbol(expr.name, **({"positive": True} if positive else {"real": True}))
        case Number():
            whole = expr.value == int(expr.value)
            return sympy.Integer(int(expr.value)) if whole else sympy.Float(expr.value)
        case Sum():
            return sympy.Add(*(sign * inner(term) for sign, term in expr.terms))
        case Product():
            return sympy.Mul(*map(inner, expr.factors))
        case Fraction():
            return inner(expr.over) / inner(expr.under)
        case Parallel():
            return 1 / sympy.Add(*(1 / inner(branch) for branch in expr.branches))
        case Power():
            return inner(expr.base) ** expr.exponent
        case Function():
            return {"ln": sympy.log, "exp": sympy.exp, "abs": sympy.Abs}[expr.name](
                inner(expr.argument)
            )
        case Relation() if len(expr.sides) == 2:
            return sympy.Eq(*map(inner, expr.sides), evaluate=False)
        case _:
            raise DerivationError(f"{type(expr).__name__} is no expression to compute with.")
