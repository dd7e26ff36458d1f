"""Loop equations in the unknown currents, as polynomials."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TypeAlias

from steadypoint.circuit import Part
from steadypoint.derive._algebra import Poly, Sort
from steadypoint.derive._branches import Branch, Role
from steadypoint.derive._currents import Currents, Marked
from steadypoint.derive._expr import ZERO, Expr, Number, Symbol, add, multiply
from steadypoint.derive._loops import Loop
from steadypoint.derive._names import ACTIVE
from steadypoint.derive._step import Line
from steadypoint.derive._twins import Tie, carried, in_letters, ties
from steadypoint.derive._working import Working
from steadypoint.errors import DerivationError

Coefficients: TypeAlias = dict[str, Poly]
"""Coefficient of each unknown; the constant part stands under the empty name."""


@dataclass
class Equations:
    """Turns loops into rows.

    Parameters
    ----------
    work : Working
        The working.
    marked : Marked
        Network with its currents.
    known : set of str
        Currents that are solved already; they stand in later rows under their own name.
    """

    work: Working
    marked: Marked
    known: set[str] = field(default_factory=set)
    deep: int = 0
    tied: dict[frozenset[str], Tie] = field(default_factory=dict)

    def tie(self, loops: Iterable[Loop]) -> None:
        """Give each loop of constant drops alone the pair of junctions whose currents are equal.

        Raises
        ------
        DerivationError
            If a loop of constant voltages is left without one.
        """
        work, names = self.work, self.marked.names
        left = list(ties(work.circuit, names, work.states, work.given))
        self.tied = {}
        for loop in sorted(loops, key=len):
            if any(b.role in (Role.RESISTOR, Role.CURRENT) for b, _ in loop):
                continue
            if self.matched(loop) is not None:
                pair = {p.name for p in self.matched(loop) or ()}
                left = [t for t in left if {j.part.name for j in t} != pair]
                continue
            owners = {n for b, _ in loop for n in b.parts}
            near = [t for t in left if {j.part.name for j in t} <= owners] or left
            if not near:
                raise DerivationError("A loop holds constant voltages only.")
            left.remove(near[0])
            self.tied[frozenset(b.name for b, _ in loop)] = near[0]

    def tie_of(self, loop: Loop) -> Tie | None:
        """The equal junctions that stand for a loop of constant drops."""
        return self.tied.get(frozenset(b.name for b, _ in loop))

    def expand(self, name: str) -> Coefficients:
        """A named current in the unknowns.

        Raises
        ------
        DerivationError
            If currents define each other in a circle.
        """
        if name in self.known:
            return {"": Poly.atom(name)}
        if self.work.atoms.sorts.get(name) is Sort.CURRENT and name in self.work.given:
            return {"": Poly.atom(name)}
        if self.deep > 40:
            raise DerivationError(f"{name} depends on itself.")
        self.deep += 1
        try:
            for part in self.marked.transistors:
                letters = {self.marked.names.current(letter, part): letter for letter in "BCE"}
                if name in letters:
                    return self._of_transistor(part, letters[name], name)
        finally:
            self.deep -= 1
        return {name: Poly.constant(1)}

    def _of_transistor(self, part: Part, letter: str, name: str) -> Coefficients:
        names = self.marked.names
        I_B, I_C = names.current("B", part), names.current("C", part)
        active = self.work.states[part.name] == ACTIVE
        beta = names.beta(part)
        if letter == "B":
            return self._base(part, active=active)
        if letter == "C":
            if active:
                return scaled(self.expand(I_B), Poly.atom(beta))
            branch = f"{part.name}:CE"
            if branch in self.marked.links or name in self.marked.kcl[branch]:
                return {name: Poly.constant(1)}
            return self.total(self.marked.kcl[branch])
        if active and part.name in self.marked.equal_I_E:
            return self.expand(I_C)
        if active:
            return scaled(self.expand(I_B), Poly.atom(f"{beta}+1"))
        return summed(self.expand(I_B), self.expand(I_C))

    def _base(self, part: Part, *, active: bool) -> Coefficients:
        names = self.marked.names
        I_B, I_C = names.current("B", part), names.current("C", part)
        if f"{part.name}:BE" in self.marked.links:
            return {I_B: Poly.constant(1)}
        sums = self.marked.base_sum(part)
        if I_C not in sums:
            return self.total(sums)
        if sums[I_C] != -1 or not active:
            raise DerivationError(f"The base current of {part.name} is given only by itself.")
        rest = {n: c for n, c in sums.items() if n != I_C}  # this is I_E
        gain = names.beta(part) + ("" if part.name in self.marked.equal_I_E else "+1")
        # written as I_E again, the sum would lead straight back here
        return scaled(self.total(rest, as_it_stands=True), Poly.atom(gain, -1))

    def total(self, currents: Currents, *, as_it_stands: bool = False) -> Coefficients:
        """A sum of named currents in the unknowns."""
        out: Coefficients = {}
        if not self.marked.equal_I_E and not as_it_stands:
            currents = self.marked.tidy(currents)
        for name, count in currents.items():
            out = summed(out, scaled(self.expand(name), Poly.constant(count)))
        return out

    def matched(self, loop: Loop) -> tuple[Part, Part] | None:
        """Two transistors whose junctions alone make a loop: a matched pair."""
        owners = [b.parts[0] for b, _ in loop if b.role is Role.JUNCTION]
        if len(loop) != 2 or len(owners) != 2:
            return None
        first, second = sorted(
            (self.marked.names.circuit.part(n) for n in owners), key=self.marked.transistors.index
        )
        swapped = self.marked.names.swapped
        forward = all(
            self.work.states[p.name] == ACTIVE and p.name not in swapped for p in (first, second)
        )
        return (first, second) if forward else None

    def row(self, loop: Loop) -> tuple[Coefficients, Poly]:
        """Coefficients of the unknowns and the right side of a loop's equation."""
        pair = self.matched(loop)
        if pair is not None:
            first, second = (self.expand(self.marked.names.current("C", p)) for p in pair)
            row = summed(second, scaled(first, Poly.constant(-1)))
            return {n: p for n, p in row.items() if n}, -row.get("", Poly())
        tie = self.tie_of(loop)
        if tie is not None:
            return self._tied(tie)
        left: Coefficients = {}
        right = Poly()
        for branch, direction in loop:
            if branch.role is Role.RESISTOR:
                for name, poly in self.total(self.marked.shown(branch.name)).items():
                    term = poly * Poly.atom(branch.symbol) * direction
                    if name:
                        left = summed(left, {name: term})
                    else:
                        right = right - term
            elif branch.role is not Role.CONTROLLED:
                right = right - Poly.atom(branch.symbol) * direction
        return left, right

    def _tied(self, tie: Tie) -> tuple[Coefficients, Poly]:
        """Equal currents of two junctions as a row."""
        (lead, under), (follow, other) = (in_letters(self.marked.names, j) for j in tie)
        row: Coefficients = {}
        for side, factor in ((follow, under), (lead, -other)):
            for name, poly in side.items():
                row = summed(row, scaled(self._whole(name), poly * factor))
        return {n: p for n, p in row.items() if n}, -row.get("", Poly())

    def _whole(self, name: str) -> Coefficients:
        """A current in the unknowns, also that of a diode that is none of them itself."""
        branches = self.marked.branches
        inner = [n for n in self.marked.tree if self.marked.name_of(branches[n]) == name]
        if name not in self.known and inner and branches[inner[0]].role is Role.DROP:
            return self.total(self.marked.kcl[inner[0]])
        return self.expand(name)

    def current_expr(self, currents: Mapping[str, int]) -> Expr:
        """A sum of currents as it is written, positive ones first."""
        order = sorted(currents.items(), key=lambda nc: (nc[1] < 0, self._rank(nc[0])))
        return add(
            *((1 if c > 0 else -1, multiply(Number(float(abs(c))), Symbol(n))) for n, c in order)
        )

    def _rank(self, name: str) -> int:
        for part in self.marked.transistors:
            for place, letter in enumerate("ECB"):
                if name == self.marked.names.current(letter, part):
                    return place
        return 3

    def drop(self, branch: Branch) -> tuple[int, Expr]:
        """Voltage across a branch along its arrow, as it is written, with its sign before it."""
        if branch.role is not Role.RESISTOR:
            return 1, self.work.atoms.atom_expr(branch.symbol)
        shown = self.marked.shown(branch.name)
        sign = -1 if shown and all(c < 0 for c in shown.values()) else 1
        current = self.current_expr({n: sign * c for n, c in shown.items()})
        whole = ZERO if current == ZERO else multiply(current, Symbol(branch.symbol))
        return sign, whole

    def voltages(self, loop: Loop) -> Expr:
        """Sum of the rises along a loop or way."""
        terms = []
        for branch, direction in loop:
            sign, expr = self.drop(branch)
            terms.append((-direction * sign, expr))
        return add(*terms)

    def law(self, loop: Loop) -> Line:
        """Kirchhoff's voltage law round a loop; for a matched pair what follows from it."""
        pair = self.matched(loop)
        if pair is not None:
            first, second = (Symbol(self.marked.names.current("C", p)) for p in pair)
            return Line(second, first)
        tie = self.tie_of(loop)
        if tie is not None:
            leader, follower = (Symbol(carried(self.marked.names, j)) for j in tie)
            return Line(follower, leader)
        return Line(self.voltages(loop), ZERO, sign=self.sign(loop))

    def substituted(self, loop: Loop, unknown: str) -> Line:
        """The law with every current written in the one unknown."""
        terms: list[tuple[int, Expr]] = []
        for branch, direction in loop:
            if branch.role is not Role.RESISTOR:
                terms.append((-direction, self.drop(branch)[1]))
                continue
            for name, poly in self.total(self.marked.shown(branch.name)).items():
                sign = -1 if poly.mostly_negative else 1
                factor = self.work.write(poly * sign)
                own = (Symbol(unknown),) if name else ()
                terms.append((-direction * sign, multiply(factor, *own, Symbol(branch.symbol))))
        return Line(add(*terms), ZERO, sign=self.sign(loop))

    def sign(self, loop: Iterable[tuple[Branch, int]]) -> str:
        """``≈`` where an approximation touches a branch of the loop."""
        return "≈" if any(b.name in self.work.touched for b, _ in loop) else "="


def scaled(row: Mapping[str, Poly], factor: Poly) -> Coefficients:
    """Every coefficient times a factor."""
    return {name: poly * factor for name, poly in row.items()}


def summed(first: Mapping[str, Poly], second: Mapping[str, Poly]) -> Coefficients:
    """Sum of two rows, zeros left out."""
    out = dict(first)
    for name, poly in second.items():
        out[name] = out.get(name, Poly()) + poly
        if not out[name]:
            del out[name]
    return out
