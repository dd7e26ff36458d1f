"""The proof of a choice replayed with exact fractions, box by box.

The search works with floating-point numbers and is trusted with nothing here: determinants are
taken anew in whole numbers, corners are put in as fractions, and every slab that the search cut
off, and every box that it left, has to be shown empty of better sets.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Any, Final

from steadypoint.choose._choice import Choice
from steadypoint.choose._exact_determinants import determinants
from steadypoint.choose._problem import Corner, Problem
from steadypoint.choose._record import Box, Event, Record
from steadypoint.choose._search import Search
from steadypoint.choose._wish import Wish, problem_of

Polynomial = list[Fraction]

_MOST_EVENTS: Final = 200_000


class Exact:
    """A problem in exact fractions.

    Parameters
    ----------
    problem : Problem
        The problem; only its statement is used, none of its floating-point polynomials.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        p, m = problem, problem.model
        self.D, self.N = determinants(p)
        self.names = [*m.resistors, *m.transistors]
        self.values = [[Fraction(repr(float(v))) for v in values] for values in p.values]
        self.target = Fraction(repr(p.target))
        self.cache: dict[tuple[int, Corner], tuple[Polynomial, Polynomial]] = {}

    def span(self, name: str) -> tuple[Fraction, Fraction]:
        """Limits of a factor; of a free resistor relative to its stated value."""
        p = self.problem
        if name in p.betas:
            low, high = p.betas[name]
            return Fraction(repr(float(low))), Fraction(repr(float(high)))
        t = Fraction(repr(float(p.tolerances.get(name, 0.0))))
        if name in p.lattices:
            return 1 - t, 1 + t
        value = next(Fraction(repr(r.value)) for r in p.model.net.resistors if r.name == name)
        return value * (1 - t), value * (1 + t)

    def moving(self) -> list[str]:
        """Factors in the order of a corner's bits: free ones, then what else has limits."""
        p = self.problem
        rest = [n for n in self.names if n not in p.names]
        return [*p.names, *(n for n in rest if self.span(n)[0] != self.span(n)[1])]

    def at_corner(self, output: int, corner: Corner) -> tuple[Polynomial, Polynomial]:
        """N and D at a corner, in the stated values of the free resistors."""
        key = (output, corner)
        if key not in self.cache:
            self.cache[key] = self._at_corner(output, corner)
        return self.cache[key]

    def _at_corner(self, output: int, corner: Corner) -> tuple[Polynomial, Polynomial]:
        p = self.problem
        middle = corner.vertex < 0
        picks = dict(zip([d.name for d in p.moving], corner.drives, strict=False))
        weights = [Fraction(0)] * (len(p.model.sources) + 1)
        weights[-1] = Fraction(1)
        for d in p.drives:
            low, high = Fraction(repr(float(d.low))), Fraction(repr(float(d.high)))
            value = (low + high) / 2 if middle else (high if picks.get(d.name, False) else low)
            for source, factor in d.sources.items():
                weights[p.model.sources.index(source)] += value * Fraction(repr(float(factor)))
        N = [
            sum((w * c for w, c in zip(weights, row, strict=True) if c), Fraction(0))
            for row in zip(*self.N[output], strict=True)
        ]
        D = [Fraction(c) for c in self.D]
        return self._put(N, corner), self._put(D, corner)

    def _put(self, coefficients: Polynomial, corner: Corner) -> Polynomial:
        """Put in all factors but the free resistors, and order these as the problem does."""
        p = self.problem
        order = self.moving()
        values: dict[str, Fraction] = {}
        for name in self.names:
            low, high = self.span(name)
            if corner.vertex < 0:
                # the middle of a beta is a root: the float that the search used stands for it
                centre = Fraction(1) if name in p.names else Fraction(math.sqrt(low * high))
                values[name] = centre
            else:
                up = name in order and corner.vertex >> order.index(name) & 1
                values[name] = high if up else low
        out = [Fraction(0)] * (1 << p.n)
        for index, c in enumerate(coefficients):
            if not c:
                continue
            place, term = 0, Fraction(c)
            for bit, name in enumerate(self.names):
                if index >> bit & 1:
                    term *= values[name]
                    if name in p.names:
                        place |= 1 << p.names.index(name)
            out[place] += term
        return out

    def corners(self) -> Iterator[Corner]:
        """All corners of everything that varies."""
        for vertex in range(1 << len(self.moving())):
            for drives in itertools.product((False, True), repeat=len(self.problem.moving)):
                yield Corner(vertex, drives)

    def distance(self, places: Sequence[int]) -> Fraction:
        """Exact greatest distance of a set over all corners."""
        x = [v[i] for v, i in zip(self.values, places, strict=True)]
        worst = Fraction(-10)
        for corner in self.corners():
            N, D = self.at_corner(0, corner)
            ratio = value_at(N, x) / (value_at(D, x) * self.target)
            both = max(ratio - 1, 1 - ratio) if self.problem.two_sided else ratio
            worst = max(worst, both)
        return worst

    def meets(self, places: Sequence[int]) -> bool:
        """Whether a set meets every condition at every corner, exactly."""
        x = [v[i] for v, i in zip(self.values, places, strict=True)]
        for output, condition in enumerate(self.problem.conditions, start=1):
            corners = [Corner(-1, ())] if condition.nominal else self.corners()
            if any(value_at(self.at_corner(output, c)[0], x) < 0 for c in corners):
                return False
        return True


def value_at(coefficients: Sequence[Fraction], x: Sequence[Fraction]) -> Fraction:
    """Value of a multi-affine polynomial."""
    v = list(coefficients)
    for value in x:
        v = [a + b * value for a, b in zip(v[0::2], v[1::2], strict=True)]
    return v[0]


class Replay:
    """Goes through a record and shows every step.

    Parameters
    ----------
    exact : Exact
        The problem.
    corners : sequence of (int, bool, Corner)
        Corners that the search used: output, side, corner.
    best : sequence of tuple of int
        Places of the sets of the answer.
    """

    def __init__(
        self,
        exact: Exact,
        corners: Sequence[tuple[int, bool, Corner]],
        best: Sequence[tuple[int, ...]],
    ) -> None:
        self.exact = exact
        self.best = {places[: exact.problem.relevant] for places in best}
        self.limit = max((exact.distance(places) for places in best), default=None)
        n = exact.problem.n
        self.scale = math.lcm(*(v.denominator for values in exact.values for v in values))
        self.whole = [[int(v * self.scale) for v in values] for values in exact.values]
        self.strict: list[list[int]] = []
        self.loose: list[list[int]] = []
        pairs: dict[bool, tuple[Polynomial, Polynomial]] = {}
        for output, upper, corner in corners:
            N, D = exact.at_corner(output, corner)
            if output:
                self.strict.append(_whole(N, self.scale))
            elif self.limit is not None:
                sign = -1 if upper else 1
                poly = [
                    self.limit * exact.target * d + sign * (c - exact.target * d)
                    if exact.problem.two_sided
                    else self.limit * exact.target * d - c
                    for c, d in zip(N, D, strict=True)
                ]
                self.loose.append(_whole(poly, self.scale))
                pairs.setdefault(upper, (N, D))
        self.ratio = None
        if self.limit is not None and len(pairs) == 2:
            self.ratio = _ratio(pairs, self.limit, n, self.scale)

    def run(self, record: Record) -> tuple[bool, str]:
        """True when the record proves the answer; else where it does not."""
        p = self.exact.problem
        root = (tuple([0] * p.n), tuple(len(v) - 1 for v in p.values))
        left: dict[Box, int] = {root: 1}
        for event in record.events:
            if left.get(event.box, 0) < 1:
                return False, f"box {event.box} was never there"
            left[event.box] -= 1
            children, fault = self._step(event)
            if fault:
                return False, fault
            for child in children:
                left[child] = left.get(child, 0) + 1
        for box, count in left.items():
            if count and not self._hopeless(*box):
                return False, f"box {box} may hold a better set"
        return True, ""

    def _step(self, event: Event) -> tuple[list[Box], str]:
        """Boxes that an event leaves, and what is wrong with it."""
        first, last = event.box
        if event.kind == "split":
            i, place = event.factor, event.place
            lower = (first, (*last[:i], place, *last[i + 1 :]))
            return [lower, ((*first[:i], place + 1, *first[i + 1 :]), last)], ""
        if event.kind == "point" or event.after is None:
            good = self._point(event.box)
            return [], "" if good else f"the set at {event.box} may be better"
        for i, (a, b) in enumerate(zip(*event.after, strict=True)):
            for low, high in ((first[i], min(a - 1, last[i])), (max(b + 1, first[i]), last[i])):
                start = (*first[:i], low, *first[i + 1 :])
                end = (*last[:i], high, *last[i + 1 :])
                if low <= high and not self._hopeless(start, end):
                    return [], f"the slab {start}, {end} may hold a better set"
        return ([] if event.empty else [event.after]), ""

    def _hopeless(self, first: Sequence[int], last: Sequence[int]) -> bool:
        """Whether one polynomial shows at all corners of a box that it holds nothing better."""
        if any(a > b for a, b in zip(first, last, strict=True)):
            return True
        low = [v[i] for v, i in zip(self.whole, first, strict=True)]
        high = [v[i] for v, i in zip(self.whole, last, strict=True)]
        if any(max(_at_corners(c, low, high)) < 0 for c in self.strict):
            return True
        if any(max(_at_corners(c, low, high)) <= 0 for c in self.loose):
            return True
        return self.ratio is not None and max(_bernstein(self.ratio, low, high)) <= 0

    def _point(self, box: Box) -> bool:
        p = self.exact.problem
        if box[0][: p.relevant] in self.best or self._hopeless(*box):
            return True
        spans = [range(a, b + 1) for a, b in zip(*box, strict=True)]
        if self.limit is not None:
            places = tuple(r[0] for r in spans)
            if self.exact.distance(places) >= self.limit:
                return True
        return not any(self.exact.meets(places) for places in itertools.product(*spans))


def _whole(coefficients: Sequence[Fraction], scale: int) -> list[int]:
    """The same polynomial in whole numbers, for values that are scaled up to whole ones."""
    raw = [c / Fraction(scale) ** j.bit_count() for j, c in enumerate(coefficients)]
    common = math.lcm(*(c.denominator for c in raw))
    return [int(c * common) for c in raw]


def _at_corners(coefficients: Sequence[int], low: Sequence[int], high: Sequence[int]) -> list[int]:
    v = list(coefficients)
    for i, (a, b) in enumerate(zip(low, high, strict=True)):
        bit = 1 << i
        for j in range(len(v)):
            if not j & bit:
                base, slope = v[j], v[j | bit]
                v[j], v[j | bit] = base + slope * a, base + slope * b
    return v


def _ratio(
    pairs: dict[bool, tuple[Polynomial, Polynomial]], limit: Fraction, n: int, scale: int
) -> list[int]:
    """(1 + J) N_low D_high - (1 - J) N_high D_low, whole, to base 3."""
    (N_high, D_high), (N_low, D_low) = pairs[True], pairs[False]
    out = [Fraction(0)] * 3**n
    place = [sum(3**i for i in range(n) if j >> i & 1) for j in range(1 << n)]
    for first, second, factor in ((N_low, D_high, 1 + limit), (N_high, D_low, limit - 1)):
        for i, a in enumerate(first):
            if a:
                for j, b in enumerate(second):
                    if b:
                        out[place[i] + place[j]] += factor * a * b
    scaled = []
    for j, c in enumerate(out):
        degree = sum(j // 3**i % 3 for i in range(n))
        scaled.append(c / Fraction(scale) ** degree)
    common = math.lcm(*(c.denominator for c in scaled))
    return [int(c * common) for c in scaled]


def _bernstein(coefficients: Sequence[int], low: Sequence[int], high: Sequence[int]) -> list[int]:
    """Twice (for each factor) the Bernstein coefficients, so that they stay whole."""
    v, step = list(coefficients), 1
    for a, b in zip(low, high, strict=True):
        for j in range(len(v)):
            if j // step % 3 == 0:
                c0, c1, c2 = v[j], v[j + step], v[j + 2 * step]
                v[j] = 2 * (c0 + a * (c1 + a * c2))
                v[j + step] = 2 * c0 + (a + b) * c1 + 2 * a * b * c2
                v[j + 2 * step] = 2 * (c0 + b * (c1 + b * c2))
        step *= 3
    return v


def verified(wish: Wish, answer: Choice) -> dict[str, Any]:
    """Replay the proof of an answer with exact fractions.

    Parameters
    ----------
    wish : Wish
        What was wanted.
    answer : Choice
        What was answered.

    Returns
    -------
    dict
        ``valid``, ``steps`` and a ``sentence``.
    """
    problem = problem_of(wish)
    record = Record()
    search = Search(problem, max(1, len(answer.sets)), record=record)
    outcome = search.run()
    if len(record.events) > _MOST_EVENTS or not outcome.optimal:
        return {
            "valid": False,
            "steps": len(record.events),
            "sentence": "The search is too large, or was stopped, to be replayed with fractions.",
        }
    replay = Replay(Exact(problem), list(search.bounds.corners), [f.places for f in outcome.sets])
    valid, fault = replay.run(record)
    limit = "" if replay.limit is None else f" at ±{100 * float(replay.limit):.4g} %"
    sentence = (
        f"Replayed with exact fractions: {len(record.events):,} steps hold{limit}."
        if valid
        else f"The replay with exact fractions failed: {fault}."
    )
    return {"valid": valid, "steps": len(record.events), "sentence": sentence}
