"""Laurent polynomials over opaque atoms, and the grouping that makes them read like a board.

An atom is the name of a symbol. ``beta+1`` is an atom of its own, written (β + 1), never expanded.
An elimination ratio such as (R_C + R_1)/R_2 is an opaque atom too; it carries its definition and is
taken apart only where its denominator cancels.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import TypeAlias

from steadypoint.derive._expr import (
    ONE,
    ZERO,
    Expr,
    Function,
    Number,
    Symbol,
    add,
    divide,
    evaluate,
    multiply,
)

Monomial: TypeAlias = tuple[tuple[str, int], ...]
UNIT_MONOMIAL: Monomial = ()


class Sort(Enum):
    """What an atom is; decides how it is grouped."""

    RESISTANCE = "Ω"
    VOLTAGE = "V"
    CURRENT = "A"
    GAIN = ""
    RATIO = "ratio"


@dataclass(frozen=True, slots=True)
class Poly:
    """A polynomial with whole coefficients; exponents may be negative.

    Parameters
    ----------
    terms : mapping of monomial to int
        Coefficients in the order in which the monomials came up; no zeros.
    """

    terms: Mapping[Monomial, int] = field(default_factory=dict)

    @staticmethod
    def constant(value: int) -> Poly:
        """A whole number."""
        return Poly({UNIT_MONOMIAL: value} if value else {})

    @staticmethod
    def atom(name: str, exponent: int = 1) -> Poly:
        """A single atom."""
        return Poly({((name, exponent),): 1})

    def __bool__(self) -> bool:
        return bool(self.terms)

    def __add__(self, other: Poly) -> Poly:
        out = dict(self.terms)
        for monomial, coefficient in other.terms.items():
            out[monomial] = out.get(monomial, 0) + coefficient
            if out[monomial] == 0:
                del out[monomial]
        return Poly(out)

    def __neg__(self) -> Poly:
        return Poly({m: -c for m, c in self.terms.items()})

    def __sub__(self, other: Poly) -> Poly:
        return self + (-other)

    def __mul__(self, other: Poly | int) -> Poly:
        if isinstance(other, int):
            other = Poly.constant(other)
        out: dict[Monomial, int] = {}
        for m1, c1 in self.terms.items():
            for m2, c2 in other.terms.items():
                monomial = join(m1, m2)
                out[monomial] = out.get(monomial, 0) + c1 * c2
                if out[monomial] == 0:
                    del out[monomial]
        return Poly(out)

    @property
    def atoms(self) -> set[str]:
        """Names of all atoms."""
        return {name for monomial in self.terms for name, _ in monomial}

    @property
    def is_one(self) -> bool:
        """True for the number one."""
        return dict(self.terms) == {UNIT_MONOMIAL: 1}

    @property
    def mostly_negative(self) -> bool:
        """True when more terms carry a minus than a plus."""
        return sum(1 if c < 0 else -1 for c in self.terms.values()) > 0

    def same(self, other: Poly) -> bool:
        """Equal whatever the order of the terms."""
        return dict(self.terms) == dict(other.terms)

    def linear(self, name: str) -> tuple[Poly, Poly]:
        """Coefficient of an atom to the first power, and the rest."""
        with_atom: dict[Monomial, int] = {}
        rest: dict[Monomial, int] = {}
        for monomial, coefficient in self.terms.items():
            if (name, 1) in monomial:
                with_atom[tuple(p for p in monomial if p[0] != name)] = coefficient
            else:
                rest[monomial] = coefficient
        return Poly(with_atom), Poly(rest)


def join(first: Monomial, second: Monomial) -> Monomial:
    """Product of two monomials."""
    powers = dict(first)
    for name, exponent in second:
        powers[name] = powers.get(name, 0) + exponent
        if powers[name] == 0:
            del powers[name]
    return tuple(sorted(powers.items()))


@dataclass
class Atoms:
    """What is known of each atom: its sort, and for ratios their definition."""

    sorts: dict[str, Sort] = field(default_factory=dict)
    ratios: dict[str, tuple[Poly, Poly]] = field(default_factory=dict)

    def declare(self, name: str, sort: Sort) -> str:
        """Make an atom known."""
        self.sorts.setdefault(name, sort)
        return name

    def value(self, poly: Poly, values: Mapping[str, float]) -> float:
        """Value of a polynomial in SI units."""
        total = 0.0
        for monomial, coefficient in poly.terms.items():
            product = float(coefficient)
            for name, exponent in monomial:
                product *= self.atom_value(name, values) ** exponent
            total += product
        return total

    def atom_value(self, name: str, values: Mapping[str, float]) -> float:
        """Value of one atom in SI units."""
        if name in self.ratios:
            over, under = self.ratios[name]
            return self.value(over, values) / self.value(under, values)
        return evaluate(self.atom_expr(name), values)

    def atom_expr(self, name: str) -> Expr:
        """How an atom is written."""
        if name in self.ratios:
            over, under = self.ratios[name]
            return divide(self.write(over), self.write(under))
        if name.endswith("+1"):
            return add((1, Symbol(name[:-2])), (1, ONE))
        if name.startswith("|"):
            return Function("abs", Symbol(name.strip("|")))
        return Symbol(name)

    def ratio(self, over: Poly, under: Poly) -> tuple[Poly, int]:
        """Quotient of two polynomials, with at most one new opaque atom, and its sign."""
        sign = 1
        if over.mostly_negative:
            over, sign = -over, -sign
        if under.mostly_negative:
            under, sign = -under, -sign
        over, under = _without_common_factor(over, under)
        if over.same(under):
            return Poly.constant(1), sign
        if len(under.terms) == 1 and next(iter(under.terms.values())) == 1 and len(over.terms) == 1:
            (monomial,) = under.terms
            return over * Poly({tuple((n, -e) for n, e in monomial): 1}), sign
        for name, (known_over, known_under) in self.ratios.items():
            if known_over.same(over) and known_under.same(under):
                return Poly.atom(name), sign
        name = f"%{len(self.ratios) + 1}"
        self.ratios[name] = (over, under)
        self.sorts[name] = Sort.RATIO
        return Poly.atom(name), sign

    def cancel(self, poly: Poly) -> Poly:
        """Take ratio atoms apart where their one-term denominator divides the monomial."""
        for monomial, coefficient in poly.terms.items():
            powers = dict(monomial)
            for name, exponent in monomial:
                if name not in self.ratios or exponent != 1:
                    continue
                over, under = self.ratios[name]
                if len(under.terms) != 1 or next(iter(under.terms.values())) != 1:
                    continue
                (divisor,) = under.terms
                if not divisor or not any(powers.get(a, 0) > 0 for a, _ in divisor):
                    continue
                rest = join(tuple(p for p in monomial if p[0] != name), invert(divisor))
                remaining = {m: c for m, c in poly.terms.items() if m != monomial}
                return self.cancel(Poly(remaining) + over * Poly({rest: coefficient}))
        return poly

    def write(self, poly: Poly) -> Expr:
        """The polynomial in the grouping a lecturer would choose."""
        from steadypoint.derive._grouping import write

        return write(self.cancel(poly), self)


def invert(monomial: Monomial) -> Monomial:
    """One over a monomial."""
    return tuple((name, -exponent) for name, exponent in monomial)


def _without_common_factor(over: Poly, under: Poly) -> tuple[Poly, Poly]:
    common: dict[str, int] | None = None
    for monomial in [*over.terms, *under.terms]:
        powers = dict(monomial)
        if common is None:
            common = powers
        else:
            common = {
                name: min(exponent, powers[name])
                for name, exponent in common.items()
                if exponent > 0 and powers.get(name, 0) > 0
            }
    if not common:
        return over, under
    inverse = Poly({tuple(sorted((n, -e) for n, e in common.items())): 1})
    return over * inverse, under * inverse


def total(polys: Iterable[Poly]) -> Poly:
    """Sum of polynomials."""
    out = Poly()
    for poly in polys:
        out = out + poly
    return out


def monomial_expr(monomial: Monomial, atoms: Atoms, coefficient: int = 1) -> Expr:
    """A monomial as a product or fraction; gains first."""
    order = sorted(monomial, key=lambda p: _rank(p[0], atoms))
    over = [atoms.atom_expr(n) for n, e in order for _ in range(max(e, 0))]
    under = [atoms.atom_expr(n) for n, e in order for _ in range(max(-e, 0))]
    if abs(coefficient) != 1:
        over.insert(0, Number(float(abs(coefficient))))
    whole = divide(multiply(*over), multiply(*under))
    return add((-1, whole)) if coefficient < 0 else whole


def _rank(name: str, atoms: Atoms) -> int:
    order = (Sort.GAIN, Sort.CURRENT, Sort.VOLTAGE, Sort.RESISTANCE, Sort.RATIO)
    return order.index(atoms.sorts.get(name, Sort.RESISTANCE))


__all__ = [
    "ZERO",
    "Atoms",
    "Monomial",
    "Poly",
    "Sort",
    "invert",
    "join",
    "monomial_expr",
    "total",
]
