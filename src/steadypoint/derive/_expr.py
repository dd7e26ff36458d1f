"""A small tree of immutable nodes for the expressions a lecturer writes on the board.

The tree keeps the shape in which something is written: ``Parallel`` stays R₁ ∥ R₂, a fraction
stays a fraction, and nothing is simplified here (that is the work of ``_algebra``). ``Symbol``
names a quantity by its letter symbol (``V_BE``, ``beta``, ``I_C``) or a part by its designator
(``RB``, ``VCC``); ``Number`` is a value with its unit and the symbol it stands for.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TypeAlias

from steadypoint.errors import DerivationError


@dataclass(frozen=True, slots=True)
class Symbol:
    """A quantity by its letter symbol, or the value of a part by its designator.

    Parameters
    ----------
    name : str
        For instance ``V_BE``, ``V_CE_sat``, ``beta``, ``RB``, ``VCC``.
    """

    name: str


@dataclass(frozen=True, slots=True)
class Number:
    """A value shown in figures.

    Parameters
    ----------
    value : float
        Value in the SI unit, never rounded.
    unit : str
        SI unit without prefix; empty for a pure number.
    digits : int, default 3
        Significant digits to show. [-]
    symbol : str
        Name of the symbol that the figure stands for, or empty.
    given : bool
        True for a value stated in the circuit: shown as stated, without padding zeros.
    """

    value: float
    unit: str = ""
    digits: int = 3
    symbol: str = ""
    given: bool = False


@dataclass(frozen=True, slots=True)
class Sum:
    """Terms with their signs, in the order they are written.

    Parameters
    ----------
    terms : tuple of (int, Expr)
        Sign (+1 or -1) and term.
    """

    terms: tuple[tuple[int, Expr], ...]


@dataclass(frozen=True, slots=True)
class Product:
    """Factors in the order they are written.

    Parameters
    ----------
    factors : tuple of Expr
        The factors.
    """

    factors: tuple[Expr, ...]


@dataclass(frozen=True, slots=True)
class Fraction:
    """One expression over another.

    Parameters
    ----------
    over, under : Expr
        Numerator and denominator.
    """

    over: Expr
    under: Expr


@dataclass(frozen=True, slots=True)
class Parallel:
    """Resistances in parallel, R₁ ∥ R₂.

    Parameters
    ----------
    branches : tuple of Expr
        The resistances.
    """

    branches: tuple[Expr, ...]


@dataclass(frozen=True, slots=True)
class Power:
    """A base with a whole exponent.

    Parameters
    ----------
    base : Expr
        What is raised.
    exponent : int
        The power. [-]
    """

    base: Expr
    exponent: int


@dataclass(frozen=True, slots=True)
class Function:
    """A named function of one argument.

    Parameters
    ----------
    name : str
        ``ln``, ``exp`` or ``abs``.
    argument : Expr
        What it is taken of.
    """

    name: str
    argument: Expr


@dataclass(frozen=True, slots=True)
class PartName:
    """A part by its designator, set upright in running text.

    Parameters
    ----------
    name : str
        Designator as on the sheet.
    """

    name: str


@dataclass(frozen=True, slots=True)
class Relation:
    """Sides held together by a sign of relation.

    Parameters
    ----------
    sides : tuple of Expr
        The sides.
    sign : str
        ``=``, ``≈``, ``<``, ``>``, ``≪`` or ``→``.
    """

    sides: tuple[Expr, ...]
    sign: str = "="


Expr: TypeAlias = (
    Symbol | Number | Sum | Product | Fraction | Parallel | Power | Function | PartName | Relation
)

ZERO = Number(0.0)
ONE = Number(1.0)


def add(*terms: tuple[int, Expr]) -> Expr:
    """Sum of signed terms; nested sums are joined, zeros left out."""
    flat: list[tuple[int, Expr]] = []
    for sign, term in terms:
        if term == ZERO:
            continue
        if isinstance(term, Sum):
            flat += [(sign * inner_sign, inner) for inner_sign, inner in term.terms]
        else:
            flat.append((sign, term))
    if not flat:
        return ZERO
    if len(flat) == 1 and flat[0][0] > 0:
        return flat[0][1]
    return Sum(tuple(flat))


def multiply(*factors: Expr) -> Expr:
    """Product of factors; nested products are joined, ones left out."""
    flat: list[Expr] = []
    for factor in factors:
        if factor == ONE:
            continue
        if isinstance(factor, Product):
            flat += factor.factors
        else:
            flat.append(factor)
    if not flat:
        return ONE
    return flat[0] if len(flat) == 1 else Product(tuple(flat))


def divide(over: Expr, under: Expr) -> Expr:
    """A fraction, unless the denominator is one or there is nothing above the bar."""
    if over == ZERO:
        return ZERO
    return over if under == ONE else Fraction(over, under)


def parallel(*branches: Expr) -> Expr:
    """Parallel connection; a single branch stays itself."""
    return branches[0] if len(branches) == 1 else Parallel(branches)


def negate(expr: Expr) -> Expr:
    """The expression with its sign turned, without a leading minus where that is possible."""
    if isinstance(expr, Fraction):
        return Fraction(negate(expr.over), expr.under)
    if isinstance(expr, Product) and isinstance(expr.factors[0], Sum):
        return Product((negate(expr.factors[0]), *expr.factors[1:]))
    if isinstance(expr, Sum):
        turned = tuple((-sign, term) for sign, term in expr.terms)
        return turned[0][1] if len(turned) == 1 and turned[0][0] > 0 else Sum(turned)
    return Sum(((-1, expr),))


def children(expr: Expr) -> tuple[Expr, ...]:
    """The direct parts of an expression."""
    match expr:
        case Sum():
            return tuple(term for _, term in expr.terms)
        case Product():
            return expr.factors
        case Fraction():
            return (expr.over, expr.under)
        case Parallel():
            return expr.branches
        case Power():
            return (expr.base,)
        case Function():
            return (expr.argument,)
        case Relation():
            return expr.sides
        case _:
            return ()


def symbols(expr: Expr) -> Iterator[str]:
    """Names of all symbols, in the order they are written."""
    if isinstance(expr, Symbol):
        yield expr.name
    for child in children(expr):
        yield from symbols(child)


def is_numeric(expr: Expr) -> bool:
    """True when every leaf is a number."""
    parts = children(expr)
    return all(is_numeric(p) for p in parts) if parts else isinstance(expr, Number)


def evaluate(expr: Expr, values: Mapping[str, float]) -> float:
    """Value of an expression in SI units.

    Parameters
    ----------
    expr : Expr
        What to evaluate.
    values : mapping of str to float
        Value of each symbol by name, SI units.

    Raises
    ------
    DerivationError
        If a symbol has no value.
    """
    match expr:
        case Symbol():
            if expr.name not in values:
                raise DerivationError(f"No value is known for {expr.name} at this point.")
            return values[expr.name]
        case Number():
            return expr.value
        case Sum():
            return math.fsum(sign * evaluate(term, values) for sign, term in expr.terms)
        case Product():
            return math.prod(evaluate(factor, values) for factor in expr.factors)
        case Fraction():
            return evaluate(expr.over, values) / evaluate(expr.under, values)
        case Parallel():
            return 1.0 / math.fsum(1.0 / evaluate(b, values) for b in expr.branches)
        case Power():
            return float(evaluate(expr.base, values) ** expr.exponent)
        case Function():
            return _FUNCTIONS[expr.name](evaluate(expr.argument, values))
        case _:
            raise DerivationError(f"{type(expr).__name__} carries no value.")


_FUNCTIONS: Mapping[str, Callable[[float], float]] = {"ln": math.log, "exp": math.exp, "abs": abs}


def substitute(expr: Expr, numbers: Callable[[str], Expr]) -> Expr:
    """The same expression with figures in place of symbols; (β + 1) becomes one figure.

    Parameters
    ----------
    expr : Expr
        What is written in letters.
    numbers : callable
        Gives for each symbol's name what to write instead.
    """
    match expr:
        case Symbol():
            return numbers(expr.name)
        case Sum():
            terms = tuple((sign, substitute(term, numbers)) for sign, term in expr.terms)
            if all(isinstance(term, Number) and not term.unit for _, term in terms):
                return _one_figure(terms)
            return Sum(terms)
        case Product():
            return Product(tuple(substitute(f, numbers) for f in expr.factors))
        case Fraction():
            return Fraction(substitute(expr.over, numbers), substitute(expr.under, numbers))
        case Parallel():
            return Parallel(tuple(substitute(b, numbers) for b in expr.branches))
        case Power():
            return replace(expr, base=substitute(expr.base, numbers))
        case Function():
            inner = substitute(expr.argument, numbers)
            if expr.name == "abs" and isinstance(inner, Number):
                return replace(inner, value=abs(inner.value))
            return replace(expr, argument=inner)
        case Relation():
            return replace(expr, sides=tuple(substitute(s, numbers) for s in expr.sides))
        case _:
            return expr


def _one_figure(terms: tuple[tuple[int, Expr], ...]) -> Number:
    total = math.fsum(sign * term.value for sign, term in terms if isinstance(term, Number))
    named = "+".join(t.symbol or f"{t.value:g}" for _, t in terms if isinstance(t, Number))
    return Number(total, symbol=named, digits=4, given=True)


def size(expr: Expr) -> int:
    """Number of leaves, a measure of how long an expression is."""
    return sum(map(size, children(expr))) or 1
