"""The rounding chain of the board: every result is rounded to three digits and carried on so."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import ROUND_HALF_UP, Decimal

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
    children,
    evaluate,
    is_numeric,
    symbols,
)
from steadypoint.derive._step import Derivation, Line, Prose, Step
from steadypoint.derive._working import join_words


def rounded_to(value: float, digits: int) -> float:
    """A value at so many significant digits, halves rounded up as on paper.

    Parameters
    ----------
    value : float
        The value.
    digits : int
        Significant digits. [-]

    Returns
    -------
    float

    Examples
    --------
    >>> rounded_to(47.0834e-6, 3)
    4.71e-05
    """
    if value == 0.0:
        return 0.0
    exact = Decimal(f"{value:.12g}")  # twelve digits: what a product of rounded figures can have
    place = Decimal(1).scaleb(exact.adjusted() - digits + 1)
    return float(exact.quantize(place, ROUND_HALF_UP))


def round_as_on_board(derivation: Derivation) -> Derivation:
    """The working with each result rounded as it is written, and used so from there on.

    Parameters
    ----------
    derivation : Derivation
        A working that carries its figures unrounded.

    Returns
    -------
    Derivation
        The same steps; ``values`` holds the rounded figures, ``carried`` the unrounded ones, and
        the last step names every figure that the rounding moves.
    """
    if derivation.carried:
        return derivation
    chain = _Chain(derivation.values)
    steps = tuple(chain.step(step) for step in derivation.steps)
    values = {**derivation.values, **chain.rounded}
    steps = (*steps, chain.difference())
    return replace(derivation, steps=steps, values=values, carried=dict(derivation.values))


@dataclass
class _Chain:
    carried: Mapping[str, float]
    rounded: dict[str, float] = field(default_factory=dict)
    shown: dict[str, Number] = field(default_factory=dict)

    def known(self) -> dict[str, float]:
        return {**self.carried, **self.rounded}

    def step(self, step: Step) -> Step:
        sentence = self.prose(step.sentence)
        lines = tuple(self.line(line) for line in step.lines)
        result = step.result
        if result is not None and result.symbol in self.rounded:
            result = replace(result, value=self.rounded[result.symbol])
        return replace(
            step, sentence=sentence, lines=lines, remark=self.prose(step.remark), result=result
        )

    def line(self, line: Line) -> Line:
        if line.result is None:
            return line
        known = self.known()
        computed = line.right
        alone = isinstance(computed, Number)
        if not alone and any(s not in known for s in symbols(computed)):
            return line
        value = line.result.value if alone else evaluate(computed, known)
        number = line.result
        if not number.given:
            value = rounded_to(value, number.digits)
        number = replace(number, value=value)
        if isinstance(line.left, Symbol) and line.sign != "→" and not number.given:
            self.rounded[line.left.name] = value
            self.shown[line.left.name] = number
        right = number if alone else computed
        figures = None if line.numbers is None else self.figures(line.numbers)
        return replace(line, right=right, numbers=figures, result=number)

    def figures(self, expr: Expr) -> Expr:
        """Figures of symbols that were rounded, rounded."""
        match expr:
            case Number():
                if expr.symbol in self.rounded and not expr.given:
                    return replace(expr, value=self.rounded[expr.symbol])
                return expr
            case Sum():
                return Sum(tuple((sign, self.figures(term)) for sign, term in expr.terms))
            case Product():
                return Product(tuple(map(self.figures, expr.factors)))
            case Fraction():
                return Fraction(self.figures(expr.over), self.figures(expr.under))
            case Parallel():
                return Parallel(tuple(map(self.figures, expr.branches)))
            case Power() | Function():
                return expr
            case Relation():
                return self.relation(expr)
            case _:
                return expr

    def relation(self, expr: Relation) -> Relation:
        """``β I_B = 14.8 mA`` in running text follows the rounded figures."""
        sides = list(map(self.figures, expr.sides))
        known = self.known()
        first, last = sides[0], sides[-1]
        inner = children(first)
        if (
            expr.sign in ("=", "≈")
            and len(sides) == 2
            and isinstance(last, Number)
            and not last.given
            and inner
            and not is_numeric(first)
            and not isinstance(first, Relation)
            and all(s in known for s in symbols(first))
            and any(s in self.rounded for s in symbols(first))
        ):
            sides[-1] = replace(last, value=rounded_to(evaluate(first, known), last.digits))
        return replace(expr, sides=tuple(sides))

    def prose(self, prose: Prose) -> Prose:
        return tuple(p if isinstance(p, str) else self.figures(p) for p in prose)

    def difference(self) -> Step:
        """The figures that the rounding moves, each with what it would be carried unrounded."""
        moved = []
        for symbol, number in self.shown.items():
            true = self.carried.get(symbol)
            if true is None or rounded_to(true, number.digits) == number.value:
                continue
            moved.append((symbol, number, replace(number, value=true)))
        heading = "What the rounding moves"
        reason = "three significant digits"
        if not moved:
            said = "Carried unrounded, every figure above would read the same."
            return Step(heading, (said,), reason=reason)
        sentence: Prose = (
            "Each result was rounded as it stands and carried on so. Carried unrounded, ",
            *join_words([Symbol(s) for s, _, _ in moved]),
            " would read differently in the last digit:",
        )
        lines = tuple(Line(Symbol(s), true, None, true) for s, _, true in moved)
        return Step(heading, sentence, lines, reason=reason)


__all__ = ["round_as_on_board", "rounded_to"]
