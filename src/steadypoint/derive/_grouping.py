"""Grouping rules: which terms of a polynomial a lecturer would take together.

Voltages with equal coefficients go together, (V_CC − V_BE) R_2; resistances are grouped first by
the gain that multiplies them, R_B + (β + 1)(R_C + R_E), then by elimination ratio.
"""

from __future__ import annotations

from steadypoint.derive._algebra import Atoms, Monomial, Poly, Sort, invert, monomial_expr
from steadypoint.derive._expr import ONE, ZERO, Expr, Fraction, Number, Sum, add, divide, multiply

Terms = list[tuple[int, Expr]]


def write(poly: Poly, atoms: Atoms) -> Expr:
    """Write a polynomial; negative terms never come first where a positive one is there."""
    if not poly:
        return ZERO
    sorts = {atoms.sorts.get(name, Sort.RESISTANCE) for name in poly.atoms}
    if sorts <= {Sort.GAIN}:
        return _gains(poly, atoms)
    if sorts & {Sort.VOLTAGE, Sort.CURRENT}:
        return _led_by(poly, atoms)
    return _resistances(poly, atoms)


def _split(poly: Poly, atoms: Atoms, *leading: Sort) -> list[tuple[Monomial, Poly]]:
    """Collect a polynomial by the part of each monomial that has one of the leading sorts."""
    out: dict[Monomial, Poly] = {}
    for monomial, coefficient in poly.terms.items():
        lead = tuple(p for p in monomial if atoms.sorts.get(p[0]) in leading)
        rest = tuple(p for p in monomial if p not in lead)
        out[lead] = out.get(lead, Poly()) + Poly({rest: coefficient})
    return list(out.items())


def _gather(pairs: list[tuple[Monomial, Poly]]) -> list[tuple[Poly, list[tuple[int, Monomial]]]]:
    """Put together what has the same coefficient up to its sign."""
    groups: list[tuple[Poly, list[tuple[int, Monomial]]]] = []
    for lead, coefficient in pairs:
        for known, members in groups:
            if known.same(coefficient):
                members.append((1, lead))
                break
            if known.same(-coefficient):
                members.append((-1, lead))
                break
        else:
            groups.append((coefficient, [(1, lead)]))
    return groups


def _led_by(poly: Poly, atoms: Atoms) -> Expr:
    terms: Terms = []
    for coefficient, members in _gather(_split(poly, atoms, Sort.VOLTAGE, Sort.CURRENT)):
        factor, sign = (coefficient, 1)
        if coefficient.mostly_negative or next(iter(coefficient.terms.values())) < 0:
            factor, sign = -coefficient, -1
        if factor.is_one:
            terms += [(sign * s, monomial_expr(lead, atoms)) for s, lead in members]
            continue
        first = members[0][0]
        inner = add(*((s * first, monomial_expr(lead, atoms)) for s, lead in members))
        terms.append((sign * first, _times(write(factor, atoms), inner)))
    return _positive_first(terms)


def _times(factor: Expr, inner: Expr) -> Expr:
    """Voltage before its factor, a sum in brackets after it; a fraction bar takes in both."""
    if isinstance(factor, Fraction):
        return divide(multiply(inner, factor.over), factor.under)
    return multiply(factor, inner) if isinstance(inner, Sum) else multiply(inner, factor)


def _positive_first(terms: Terms) -> Expr:
    if terms and terms[0][0] < 0:
        terms = sorted(terms, key=lambda t: -t[0])
    return add(*terms)


def _gains(poly: Poly, atoms: Atoms) -> Expr:
    if len(poly.terms) == 1:
        ((monomial, coefficient),) = poly.terms.items()
        return monomial_expr(monomial, atoms, coefficient)
    expanded = Poly()
    for monomial, coefficient in poly.terms.items():
        if any(exponent < 0 for _, exponent in monomial):
            return _plain_sum(poly, atoms)
        term = Poly.constant(coefficient)
        for name, exponent in monomial:
            base = Poly.atom(name)
            if name.endswith("+1"):
                atoms.declare(name[:-2], Sort.GAIN)
                base = Poly.atom(name[:-2]) + Poly.constant(1)
            for _ in range(exponent):
                term = term * base
        expanded = expanded + term
    ordered = Poly(dict(sorted(expanded.terms.items(), key=lambda kv: -len(kv[0]))))
    return _plain_sum(ordered, atoms)


def _plain_sum(poly: Poly, atoms: Atoms) -> Expr:
    return _positive_first(
        [
            (1 if c > 0 else -1, monomial_expr(monomial, atoms, abs(c)))
            for monomial, c in poly.terms.items()
        ]
    )


def _resistances(poly: Poly, atoms: Atoms) -> Expr:
    by_gain = _split(poly, atoms, Sort.GAIN)
    merged: list[tuple[Poly, Poly]] = []  # (resistance part, gains that share it)
    for gain, resistance in by_gain:
        for place, (known, gains) in enumerate(merged):
            if known.same(resistance):
                merged[place] = (known, gains + Poly({gain: 1}))
                break
        else:
            merged.append((resistance, Poly({gain: 1})))
    merged.sort(key=lambda pair: min(len(m) for m in pair[1].terms))
    terms: Terms = []
    for resistance, gains in merged:
        sign = -1 if all(c < 0 for c in resistance.terms.values()) else 1
        inner = _by_ratio(resistance * sign, atoms)
        terms += _gained(sign, gains, inner, atoms)
    return add(*sorted(terms, key=lambda t: -t[0]))


def _gained(sign: int, gains: Poly, inner: Expr, atoms: Atoms) -> Terms:
    if len(gains.terms) == 1:
        (monomial,) = gains.terms
        under = invert(tuple(p for p in monomial if p[1] < 0))
        if under:
            over = tuple(p for p in monomial if p[1] > 0)
            top = multiply(monomial_expr(over, atoms) if over else ONE, inner)
            return [(sign, divide(top, monomial_expr(under, atoms)))]
    factor = _gains(gains, atoms)
    if factor == ONE:
        return [(sign, inner)]
    if isinstance(inner, Fraction):
        return [(sign, divide(multiply(factor, inner.over), inner.under))]
    return [(sign, multiply(factor, inner))]


def _by_ratio(poly: Poly, atoms: Atoms) -> Expr:
    by_resistance = _split(poly, atoms, Sort.RESISTANCE)
    groups: list[tuple[Poly, list[Monomial]]] = []
    for resistance, ratio in by_resistance:
        for known, members in groups:
            if known.same(ratio):
                members.append(resistance)
                break
        else:
            groups.append((ratio, [resistance]))
    terms: Terms = []
    for ratio, members in groups:
        sign = -1 if all(c < 0 for c in ratio.terms.values()) else 1
        factor = _plain_sum(ratio * sign, atoms)
        inner = add(*((1, monomial_expr(m, atoms)) for m in members))
        if factor == ONE:
            terms += [(sign, monomial_expr(m, atoms)) for m in members]
        elif isinstance(factor, Number):
            terms.append((sign, multiply(factor, inner)))
        elif inner != ONE:
            terms.append(
                (
                    sign,
                    _times(factor, inner)
                    if isinstance(factor, Fraction)
                    else multiply(inner, factor),
                )
            )
        else:
            terms.append((sign, factor))
    return add(*sorted(terms, key=lambda t: -t[0]))
