"""Expressions of the working as SymPy expressions, for comparison with printed closed forms."""

from __future__ import annotations

import sympy

from steadypoint.derive import (
    Expr,
    Fraction,
    Function,
    Number,
    Parallel,
    Power,
    Product,
    Sum,
    Symbol,
)


def as_sympy(expr: Expr) -> sympy.Expr:
    """The expression in SymPy; symbols by their names on the sheet, all positive."""
    match expr:
        case Symbol():
            return sympy.Symbol(expr.name, positive=True)
        case Number():
            return sympy.nsimplify(expr.value)
        case Sum():
            return sympy.Add(*(sign * as_sympy(term) for sign, term in expr.terms))
        case Product():
            return sympy.Mul(*(as_sympy(f) for f in expr.factors))
        case Fraction():
            return as_sympy(expr.over) / as_sympy(expr.under)
        case Parallel():
            return 1 / sympy.Add(*(1 / as_sympy(b) for b in expr.branches))
        case Power():
            return as_sympy(expr.base) ** expr.exponent
        case Function():
            return sympy.Symbol(f"abs_{as_sympy(expr.argument)}", positive=True)
        case _:
            raise TypeError(type(expr).__name__)


def symbols(names: str) -> tuple[sympy.Symbol, ...]:
    """Positive symbols."""
    return sympy.symbols(names, positive=True)
