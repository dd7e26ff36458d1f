"""What the printers have in common: brackets by precedence, one method per node."""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import Final

from steadypoint.derive._expr import (
    Expr,
    Fraction,
    Function,
    Number,
    Parallel,
    PartName,
    Power,
    Product,
    Relation,
    Sum,
    Symbol,
    is_numeric,
)
from steadypoint.derive._figures import figure
from steadypoint.derive._step import Line, Prose

LOOSEST: Final = 0
SUM: Final = 1
PARALLEL: Final = 2
PRODUCT: Final = 3
FRACTION: Final = 4
POWER: Final = 5
TIGHTEST: Final = 6


class Printer(ABC):
    """Turns an expression into a text of one notation.

    A subclass says how leaves, fractions, signs and brackets look; where brackets are needed is
    decided here. ``fraction_level`` is how tightly the notation's fraction holds together:
    a slash binds like a product, a drawn fraction bar needs no brackets.
    """

    fraction_level: int = TIGHTEST

    def show(self, expr: Expr, level: int = LOOSEST) -> str:
        """Text of an expression, in brackets when it is looser than ``level``."""
        own, text = self._node(expr)
        return self.brackets(text) if own < level else text

    def _node(self, expr: Expr) -> tuple[int, str]:
        match expr:
            case Symbol():
                return TIGHTEST, self.symbol(expr)
            case PartName():
                return TIGHTEST, self.part(expr)
            case Number():
                loose = figure(expr).negative or "×" in figure(expr).digits
                return (SUM if loose else TIGHTEST), self.number(expr)
            case Sum():
                return SUM, self._sum(expr)
            case Product():
                return PRODUCT, self._product(expr)
            case Parallel():
                return PARALLEL, self.parallel([self.show(b, FRACTION) for b in expr.branches])
            case Fraction():
                return self.fraction_level, self.fraction(expr)
            case Power():
                return POWER, self.power(self.show(expr.base, TIGHTEST), expr.exponent)
            case Function():
                return TIGHTEST, self.function(expr.name, self.show(expr.argument))
            case Relation():
                sides = [self.show(side) for side in expr.sides]
                return LOOSEST, self.relation(sides, expr.sign)

    def _sum(self, expr: Sum) -> str:
        pieces: list[str] = []
        for place, (sign, term) in enumerate(expr.terms):
            # a minus must not be followed by another sign, nor a leading one by a sum
            text = self.show(term, PARALLEL)
            if place == 0:
                pieces.append(self.minus(prefix=True) + text if sign < 0 else self.first(term))
            else:
                pieces.append((self.minus() if sign < 0 else self.plus()) + text)
        return self.row(pieces)

    def first(self, term: Expr) -> str:
        """First term of a sum: a negative figure needs no brackets there."""
        return self.show(term, LOOSEST if isinstance(term, Number) else PARALLEL)

    def _product(self, expr: Product) -> str:
        pieces = [self.show(expr.factors[0], PRODUCT)]
        for before, factor in zip(expr.factors, expr.factors[1:], strict=False):
            figures = is_numeric(before) and is_numeric(factor)
            pieces.append(self.times(visible=figures))
            pieces.append(
                self.show(factor, FRACTION if self.fraction_level < FRACTION else PRODUCT)
            )
        return self.row(pieces)

    def row(self, pieces: list[str]) -> str:
        """Pieces written one after the other."""
        return "".join(pieces)

    @abstractmethod
    def symbol(self, expr: Symbol) -> str:
        """A letter symbol."""

    @abstractmethod
    def part(self, expr: PartName) -> str:
        """A part's name."""

    @abstractmethod
    def number(self, expr: Number) -> str:
        """A figure with its unit."""

    @abstractmethod
    def fraction(self, expr: Fraction) -> str:
        """One over the other."""

    @abstractmethod
    def parallel(self, branches: list[str]) -> str:
        """Branches in parallel."""

    @abstractmethod
    def power(self, base: str, exponent: int) -> str:
        """A power."""

    @abstractmethod
    def function(self, name: str, argument: str) -> str:
        """A function."""

    @abstractmethod
    def relation(self, sides: list[str], sign: str) -> str:
        """Sides with a sign of relation between them."""

    @abstractmethod
    def brackets(self, text: str) -> str:
        """Round brackets."""

    @abstractmethod
    def plus(self) -> str:
        """Plus between terms."""

    @abstractmethod
    def minus(self, *, prefix: bool = False) -> str:
        """Minus between terms, or before the first."""

    @abstractmethod
    def times(self, *, visible: bool) -> str:
        """Multiplication: a cross between figures, nothing to see between letters."""

    @abstractmethod
    def line(self, line: Line) -> str:
        """A line of mathematics, set apart."""

    @abstractmethod
    def prose(self, prose: Prose) -> str:
        """Running text with expressions in it."""

    def any(self, what: Expr | Line | Prose | str) -> str:
        """Whatever it is, in this notation."""
        if isinstance(what, str):
            return self.prose((what,))
        if isinstance(what, tuple):
            return self.prose(what)
        return self.line(what) if isinstance(what, Line) else self.show(what)
