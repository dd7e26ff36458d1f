"""Loops that hang together: express one unknown, insert it, and go back."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from steadypoint.circuit import GROUND
from steadypoint.derive._algebra import Poly, Sort
from steadypoint.derive._branches import Role
from steadypoint.derive._equations import Coefficients
from steadypoint.derive._expr import (
    Expr,
    Number,
    Product,
    Relation,
    Sum,
    Symbol,
    add,
    divide,
    multiply,
    size,
    symbols,
)
from steadypoint.derive._loops import Loop, parts_round, reverse
from steadypoint.derive._names import ACTIVE
from steadypoint.derive._output import positive_first
from steadypoint.derive._statements import Statements, plain
from steadypoint.derive._step import Line, Prose
from steadypoint.derive._working import join_words
from steadypoint.errors import DerivationError

VANISHING = 1e-11
"""Share of its terms below which a coefficient is zero. [-]"""


_COUNTS = {2: "two", 3: "three", 4: "four", 5: "five", 6: "six"}

LONGEST = 30
"""Letters and figures in a closed form that a board can still carry; our own choice. [-]"""


class Elimination(Statements):
    """Solves a small set of loops in letters."""

    def _together(self, loops: Sequence[Loop], unknowns: Sequence[str]) -> None:
        work, eq = self.work, self.equations
        mark = len(work.steps)
        rows: list[tuple[Loop, Coefficients, Poly]] = []
        for loop in loops:
            left, right = eq.row(loop)
            rows.append((loop, left, right))
            self._law_step(loop, self._heading(loop))
        left_over = list(unknowns)
        spent: list[tuple[str, Loop, Coefficients, Poly]] = []
        while len(left_over) > 1:
            place, name = self._easiest(rows, left_over)
            loop, left, right = rows.pop(place)
            self._express(name, loop, left, right)
            spent.append((name, loop, left, right))
            left_over.remove(name)
            rows = [self._insert(row, name, left, right) for row in rows]
        name = left_over[0]
        loop, left, right = rows[0]
        coefficient = left[name]
        if coefficient.mostly_negative:
            coefficient, right = -coefficient, -right
        expr = divide(work.write(right), work.write(coefficient))
        if size(expr) > LONGEST:
            del work.steps[mark:]
            self._with_figures(loops, unknowns)
            return
        self.final[name] = (right, coefficient)
        line = work.solved(name, expr, Sort.CURRENT, eq.sign([s for p in loops for s in p]))
        work.add(
            f"Solve for {plain(name)}",
            f"Insert this in the law of the {self._called(loop)}",
            *self._gains(),
            " and collect ",
            Symbol(name),
            ".",
            lines=[line],
            result=name,
            reason="algebra",
        )
        eq.known.add(name)
        self.finish()
        self._go_back(spent)

    def _go_back(self, spent: list[tuple[str, Loop, Coefficients, Poly]]) -> None:
        """Find the unknowns that were expressed on the way, each where it stands alone."""
        eq = self.equations
        pending = list(reversed(spent))
        while pending:
            ready = [x for x in pending if set(eq.row(x[1])[0]) <= {x[0]}]
            chosen = ready[0] if ready else pending[0]
            pending.remove(chosen)
            if ready:
                self._back(chosen[0], chosen[1])
            else:
                self._back_reduced(*chosen)
            self.finish()

    def _with_figures(self, loops: Sequence[Loop], unknowns: Sequence[str]) -> None:
        """More loops than letters can carry: write them all and solve the set with figures."""
        work, eq = self.work, self.equations
        A = np.zeros((len(loops), len(unknowns)))
        b = np.zeros(len(loops))
        for row, loop in enumerate(loops):
            left, right = eq.row(loop)
            self._law_step(loop, self._heading(loop))
            for name, poly in left.items():
                A[row, unknowns.index(name)] = work.atoms.value(poly, work.values)
            b[row] = work.atoms.value(right, work.values)
        sets = [self._in_figures(A[row], float(b[row]), unknowns) for row in range(len(loops))]
        try:
            x = np.linalg.solve(A, b)
        except np.linalg.LinAlgError:
            raise DerivationError("The loops do not determine the currents.") from None
        lines = []
        for name, value in sorted(zip(unknowns, map(float, x), strict=True)):
            work.values[name] = value
            figure = Number(value, "A", symbol=name)
            lines.append(Line(Symbol(name), figure, None, figure))
        work.add(
            "Solve the set with figures",
            f"These {_COUNTS.get(len(loops), str(len(loops)))} loops hang together; in letters the "
            "result would fill the board. Put in the figures",
            *self._gains(),
            " and collect:",
            lines=[*sets, *lines],
            result=unknowns[0],
            reason="linear equations",
        )
        eq.known.update(unknowns)

    @staticmethod
    def _in_figures(ohms: NDArray[np.float64], volts: float, unknowns: Sequence[str]) -> Line:
        """One loop with its coefficients collected."""
        order = sorted(zip(unknowns, map(float, ohms), strict=True))
        turn = 1 if next((v for _, v in order if v), 1.0) > 0 else -1
        terms: list[tuple[int, Expr]] = []
        for name, value in order:
            if value:
                count = Number(abs(value), "Ω", digits=4)
                sign = turn if value > 0 else -turn
                terms.append((sign, Product((count, Symbol(name)))))
        return Line(add(*terms), Number(turn * volts, "V", digits=4))

    def _gains(self) -> Prose:
        names = self.work.names
        out: list[str | Expr] = []
        for part in self.equations.marked.transistors:
            if self.work.states[part.name] == ACTIVE:
                I_B, I_C = names.current("B", part), names.current("C", part)
                product = multiply(Symbol(names.beta(part)), Symbol(I_B))
                out.append(Relation((Symbol(I_C), product)))
        return (", put ", *join_words(out)) if out else ()

    def _easiest(
        self, rows: list[tuple[Loop, Coefficients, Poly]], left_over: list[str]
    ) -> tuple[int, str]:
        """Which row to solve for which unknown: short, a resistor's current, not a base current."""
        best = None
        for place, (loop, left, right) in enumerate(rows):
            saturated = any(b.role is Role.SATURATED for b, _ in loop)
            for name, poly in left.items():
                if name not in left_over:
                    continue
                plain_current = not any(
                    name == self.work.names.current("B", p)
                    for p in self.equations.marked.transistors
                )
                score = 4 * len(poly.terms) + 2 * len(left) + len(right.terms)
                score += 0 if plain_current else 30
                score -= 10 if saturated and name.startswith("I_C") else 0
                if best is None or score < best[0]:
                    best = (score, place, name)
        if best is None:
            raise DerivationError("The loops do not determine the currents.")
        return best[1], best[2]

    def _express(self, name: str, loop: Loop, left: Coefficients, right: Poly) -> None:
        work = self.work
        coefficient = left[name]
        sign = -1 if coefficient.mostly_negative else 1
        terms: list[tuple[int, Expr]] = [(1, work.write(right * sign))]
        for other, poly in left.items():
            if other == name:
                continue
            moved = poly * -sign
            turn = -1 if moved.mostly_negative else 1
            terms.append((turn, multiply(Symbol(other), work.write(moved * turn))))
        top = add(*sorted(_opened(terms), key=lambda t: -t[0]))
        line = Line(
            Symbol(name),
            divide(top, work.write(coefficient * sign)),
            sign=self.equations.sign(loop),
        )
        work.add(
            f"Express {plain(name)}",
            f"The law of the {self._called(loop)} gives",
            lines=[line],
            reason="algebra",
        )

    def _insert(
        self, row: tuple[Loop, Coefficients, Poly], name: str, left: Coefficients, right: Poly
    ) -> tuple[Loop, Coefficients, Poly]:
        loop, other, other_right = row
        if name not in other:
            return row
        ratio, sign = self.work.atoms.ratio(other[name], left[name])
        out = {n: p for n, p in other.items() if n != name}
        for inner, poly in left.items():
            if inner == name:
                continue
            out[inner] = out.get(inner, Poly()) - ratio * poly * sign
        out = {n: p for n, p in out.items() if not self._vanishes(p)}
        return loop, out, other_right - ratio * right * sign

    def _vanishes(self, poly: Poly) -> bool:
        """True for zero, also where only the ratios in it show that it is zero."""
        atoms, values = self.work.atoms, self.work.values
        whole = abs(atoms.value(poly, values))
        sizes = [abs(atoms.value(Poly({m: c}), values)) for m, c in poly.terms.items()]
        return whole <= VANISHING * sum(sizes)

    def _back(self, name: str, loop: Loop) -> None:
        """Back-substitution: the loop that gave an unknown, now with the others known."""
        work = self.work
        if name in self.equations.known:
            return
        left, right = self.equations.row(loop)
        if set(left) != {name}:
            raise DerivationError(f"{name} cannot be found from its loop.")
        if self._by_base_voltage(name, loop):
            return
        coefficient = left[name]
        if coefficient.mostly_negative:
            coefficient, right = -coefficient, -right
        expr = divide(work.write(right), work.write(coefficient))
        line = work.solved(name, expr, Sort.CURRENT, self.equations.sign(loop))
        work.add(
            f"Solve for {plain(name)}",
            f"Back in the law of the {self._called(loop)}:",
            lines=[line],
            result=name,
            reason="algebra",
        )
        self.equations.known.add(name)

    def _by_base_voltage(self, name: str, loop: Loop) -> bool:
        """Name the voltage at the base where a resistor from it to ground is what is wanted."""
        work, eq = self.work, self.equations
        places = [i for i, (b, _) in enumerate(loop) if eq.marked.name_of(b) == name]
        if len(places) != 1:
            return False
        (place,) = places
        branch, direction = loop[place]
        part = next(
            (
                p
                for p in eq.marked.transistors
                if {branch.start, branch.end} == {p.node("base"), GROUND}
                and p.node("base") == branch.start
                and any(b.name == f"{p.name}:BE" for b, _ in loop)
            ),
            None,
        )
        if part is None or branch.role is not Role.RESISTOR:
            return False
        way = loop[place + 1 :] + loop[:place]
        expr = positive_first(eq, way if direction > 0 else reverse(way))
        if any(s not in work.values for s in symbols(expr)) or isinstance(expr, Symbol):
            return False
        V_B = work.names.node("B", part)
        at_base = work.solved(V_B, expr, Sort.VOLTAGE, eq.sign(way))
        current = divide(Symbol(V_B), Symbol(branch.symbol))
        through = work.solved(name, current, Sort.CURRENT, eq.sign(way))
        whose = "" if work.names.single else f" of {part.name}"
        work.add(
            f"Voltage at the base{whose}, and {plain(name)}",
            "With the emitter current known the voltage at the base follows, and ",
            Symbol(branch.symbol),
            " lies between base and ground:",
            lines=[at_base, through],
            result=name,
            reason="Ohm's law",
            loop=parts_round(loop, work.aliases),
        )
        eq.known.add(name)
        return True

    def _back_reduced(self, name: str, loop: Loop, left: Coefficients, right: Poly) -> None:
        """Back-substitution in an equation from which another unknown has gone already."""
        work = self.work
        rest = right
        for other, poly in left.items():
            if other == name:
                continue
            if other not in work.values:
                raise DerivationError(f"{name} cannot be found from its loop.")
            rest = rest - poly * Poly.atom(other)
        coefficient = left[name]
        if coefficient.mostly_negative:
            coefficient, rest = -coefficient, -rest
        expr = divide(work.write(rest), work.write(coefficient))
        line = work.solved(name, expr, Sort.CURRENT, self.equations.sign(loop))
        work.add(
            f"Solve for {plain(name)}",
            "Back in the equation that was left for it:",
            lines=[line],
            result=name,
            reason="algebra",
        )
        self.equations.known.add(name)


def _opened(terms: list[tuple[int, Expr]]) -> list[tuple[int, Expr]]:
    whole = add(*terms)
    return list(whole.terms) if isinstance(whole, Sum) else [(1, whole)]
