"""Solving the loops in the order of their dependence, with the sentences that go with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from steadypoint.circuit import Part
from steadypoint.derive._algebra import Poly, Sort
from steadypoint.derive._branches import Role
from steadypoint.derive._equations import Coefficients, Equations
from steadypoint.derive._expr import Expr, PartName, Relation, Symbol, add, divide, multiply
from steadypoint.derive._graph import in_order, match
from steadypoint.derive._loops import Loop, itinerary, parts_round
from steadypoint.derive._names import ACTIVE
from steadypoint.derive._step import Line, Prose
from steadypoint.derive._working import Working, join_words
from steadypoint.errors import DerivationError

LARGEST_SET = 3
"""Loops that are still solved together in letters. [-]"""


@dataclass
class Solution:
    """Solves a marked network.

    Parameters
    ----------
    work : Working
        The working to write on.
    equations : Equations
        Rows of the loops.
    loops : list of Loop
        Independent loops.
    final : dict of str to (Poly, Poly)
        For each unknown found in closed form the right side and the coefficient.
    """

    work: Working
    equations: Equations
    loops: list[Loop]
    final: dict[str, tuple[Poly, Poly]] = field(default_factory=dict)

    @property
    def many(self) -> bool:
        """True with more than one transistor."""
        return not self.work.names.single

    def run(self) -> None:
        """Solve every loop; afterwards every named current has a value."""
        marked = self.equations.marked
        unknowns = [marked.name_of(marked.branches[n]) for n in marked.links]
        rows = sorted(self.loops, key=lambda p: not any(b.role is Role.JUNCTION for b, _ in p))
        uses = []
        for loop in rows:
            left, _ = self.equations.row(loop)
            if not left:
                raise DerivationError("A loop holds constant voltages only.")
            uses.append(set(left))
        if len(rows) != len(unknowns):
            raise DerivationError("The loops and the unknown currents do not match.")
        owner = match({i: sorted(u) for i, u in enumerate(uses)})
        if len(owner) != len(rows):
            raise DerivationError("The loops do not determine the currents.")
        owns = {name: row for row, name in owner.items()}
        depends = {row: {owns[n] for n in used if owns[n] != row} for row, used in enumerate(uses)}
        self.finish()
        for group in in_order(depends):
            loops = [rows[i] for i in group]
            names = [owner[i] for i in group]
            if len(group) == 1:
                self._single(loops[0], names[0])
            elif len(group) <= LARGEST_SET:
                self._together(loops, names)
            else:
                raise DerivationError("Too many loops hang together to be solved in letters.")
            self.finish()
        self.finish()

    # -- one loop, one unknown -------------------------------------------------------------

    def _single(self, loop: Loop, unknown: str) -> None:
        eq = self.equations
        left, right = eq.row(loop)
        if set(left) != {unknown}:
            raise DerivationError(f"A loop holds more unknowns than {unknown}.")
        self._law_step(loop, self._heading(loop))
        coefficient = left[unknown]
        if coefficient.mostly_negative:
            coefficient, right = -coefficient, -right
        self.final[unknown] = (right, coefficient)
        alone = self._only_current(loop)
        sign = eq.sign(loop)
        if alone is not None and alone != unknown:
            self._solve_alone(loop, alone, sign)
            return
        if alone is None:
            self._substitute_step(loop, unknown)
        expr = divide(self.work.write(right), self.work.write(coefficient))
        line = self.work.solved(unknown, expr, Sort.CURRENT, sign)
        self.work.add(f"Solve for {plain(unknown)}", lines=[line], result=unknown, reason="algebra")
        eq.known.add(unknown)

    def _only_current(self, loop: Loop) -> str | None:
        """Name of the one current that flows in every resistor of a loop, if there is one."""
        shown = [self.equations.marked.shown(b.name) for b, _ in loop if b.role is Role.RESISTOR]
        shown = [s for s in shown if s]
        if shown and len(shown[0]) == 1 and all(s == shown[0] for s in shown):
            (name,) = shown[0]
            return name if name not in self.equations.known else None
        return None

    def _solve_alone(self, loop: Loop, name: str, sign: str) -> None:
        """Solve for the one current that flows round, I_E for instance, then split it."""
        work = self.work
        ohms, right = Poly(), Poly()
        for branch, direction in loop:
            if branch.role is not Role.RESISTOR:
                right = right - Poly.atom(branch.symbol) * direction
                continue
            count = self.equations.marked.shown(branch.name).get(name, 0)
            ohms = ohms + Poly.atom(branch.symbol) * (direction * count)
        if ohms.mostly_negative:
            ohms, right = -ohms, -right
        line = work.solved(name, divide(work.write(right), work.write(ohms)), Sort.CURRENT, sign)
        work.add(
            f"Solve for {plain(name)}",
            "Only one current, ",
            Symbol(name),
            ", flows through the resistance of this loop, so the loop gives it at once.",
            lines=[line],
            result=name,
            reason="algebra",
        )
        self.equations.known.add(name)
        self._split(name)

    def _split(self, name: str) -> None:
        """From an emitter or collector current to the base current."""
        work, names = self.work, self.work.names
        for part in self.equations.marked.transistors:
            I_B, I_C, I_E = (names.current(letter, part) for letter in "BCE")
            if name not in (I_C, I_E):
                continue
            if work.states[part.name] != ACTIVE:
                self._split_saturated(part, name)
                continue
            beta = names.beta(part)
            equal = part.name in self.equations.marked.equal_I_E
            if name == I_E and equal:
                self._state("Collector current", I_C, Symbol(I_E), "≈", part)
                gain: Expr = Symbol(beta)
            elif name == I_E:
                gain = work.atoms.atom_expr(f"{beta}+1")
            else:
                gain = Symbol(beta)
            source = I_C if equal else name
            self._state("Base current", I_B, divide(Symbol(source), gain), "=", part)
            self.equations.known |= {I_B, name}

    def _split_saturated(self, part: Part, name: str) -> None:
        """In saturation the third current follows from the other two."""
        names, work = self.work.names, self.work
        I_B, I_C, I_E = (names.current(letter, part) for letter in "BCE")
        if name != I_E:
            return
        for known, wanted, heading in (
            (I_B, I_C, "Collector current"),
            (I_C, I_B, "Base current"),
        ):
            if known in work.values and wanted not in work.values:
                expr = add((1, Symbol(I_E)), (-1, Symbol(known)))
                self._state(heading, wanted, expr, "=", part, why="Kirchhoff’s current law:")
                self.equations.known |= {known, wanted, I_E}

    def _substitute_step(self, loop: Loop, unknown: str) -> None:
        said: list[str | Expr] = []
        names, marked = self.work.names, self.equations.marked
        for part in marked.transistors:
            I_B, I_C, I_E = (names.current(letter, part) for letter in "BCE")
            if unknown != I_B or self.work.states[part.name] != ACTIVE:
                continue
            used = {n for b, _ in loop if b.role is Role.RESISTOR for n in marked.shown(b.name)}
            beta = Symbol(names.beta(part))
            more = self.work.atoms.atom_expr(names.beta(part) + "+1")
            equal = part.name in marked.equal_I_E
            if I_E in used and equal:
                product = multiply(beta, Symbol(I_B))
                said.append(Relation((Symbol(I_E), Symbol(I_C), product), "≈"))
            elif I_E in used:
                said.append(Relation((Symbol(I_E), multiply(more, Symbol(I_B)))))
            if I_C in used and I_B in used and not equal:
                both = add((1, Symbol(I_C)), (1, Symbol(I_B)))
                said.append(Relation((both, multiply(more, Symbol(I_B)))))
            elif I_C in used:
                said.append(Relation((Symbol(I_C), multiply(beta, Symbol(I_B)))))
        line = self.equations.substituted(loop, unknown)
        if not said or line == self.equations.law(loop):
            return
        verb = " leaves one unknown:" if len(said) == 1 else " leave one unknown:"
        self.work.add("Substitute", *join_words(said), verb, lines=[line], reason="I_C = β I_B")

    # -- several loops together ------------------------------------------------------------

    def _together(self, loops: Sequence[Loop], unknowns: Sequence[str]) -> None:
        work, eq = self.work, self.equations
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
        self.final[name] = (right, coefficient)
        expr = divide(work.write(right), work.write(coefficient))
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
        out = {n: p for n, p in out.items() if p}
        return loop, out, other_right - ratio * right * sign

    def _back(self, name: str, loop: Loop) -> None:
        """Back-substitution: the loop that gave an unknown, now with the others known."""
        work = self.work
        if name in self.equations.known:
            return
        left, right = self.equations.row(loop)
        if set(left) != {name}:
            raise DerivationError(f"{name} cannot be found from its loop.")
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

    # -- what both need ----------------------------------------------------------------------

    def _heading(self, loop: Loop) -> str:
        roles = [b.role for b, _ in loop]
        if Role.JUNCTION in roles:
            if Role.SOURCE not in roles and Role.DROP not in roles:
                return "Base–emitter loop"
            owners = dict.fromkeys(b.parts[0] for b, _ in loop if b.role is Role.JUNCTION)
            return "Input loop" + (f" of {' and '.join(owners)}" if self.many else "")
        if Role.SATURATED in roles:
            return "Output loop"
        names = [b.name for b, _ in loop if b.role in (Role.RESISTOR, Role.DROP)]
        return f"Loop through {', '.join(names)}"

    def _called(self, loop: Loop) -> str:
        heading = self._heading(loop)
        return heading[0].lower() + heading[1:]

    def _law_step(self, loop: Loop, heading: str) -> None:
        marked = self.equations.marked
        self.work.add(
            heading,
            "Go round ",
            *itinerary(loop, marked),
            ".",
            lines=[self.equations.law(loop)],
            reason="Kirchhoff's voltage law",
            loop=parts_round(loop, self.work.aliases),
        )

    def finish(self) -> None:
        """State I_C and I_E where I_B is known, and base currents that follow from a node."""
        eq, names = self.equations, self.work.names
        for part in eq.marked.transistors:
            I_B, I_C, I_E = (names.current(letter, part) for letter in "BCE")
            active = self.work.states[part.name] == ACTIVE
            values = self.work.values
            if I_B not in values and f"{part.name}:BE" not in eq.marked.links:
                self._base_from_node(part)
            if active and I_B in values and I_C not in values:
                expr = multiply(Symbol(names.beta(part)), Symbol(I_B))
                self._state("Collector current", I_C, expr, "=", part)
            if I_B in values and I_C in values:
                eq.known |= {I_B, I_C}
                if I_E not in values:
                    self._emitter_current(part)
                eq.known.add(I_E)

    def _emitter_current(self, part: Part) -> None:
        names, eq = self.work.names, self.equations
        I_B, I_C, I_E = (names.current(letter, part) for letter in "BCE")
        shown = {n for b in eq.marked.branches if b in eq.marked.kcl for n in eq.marked.shown(b)}
        equal = part.name in eq.marked.equal_I_E
        expr = Symbol(I_C) if equal else add((1, Symbol(I_C)), (1, Symbol(I_B)))
        if I_E in shown:
            self._state("Emitter current", I_E, expr, "≈" if equal else "=", part)
        else:
            self.work.solved(I_E, expr, Sort.CURRENT)

    def _base_from_node(self, part: Part) -> None:
        """Base current of a transistor whose base or emitter current is fixed by a node."""
        eq, names, work = self.equations, self.work.names, self.work
        sums = eq.marked.base_sum(part)
        I_B, I_C, I_E = (names.current(letter, part) for letter in "BCE")
        rest = {n: c for n, c in sums.items() if n != I_C}
        if not sums or any(n not in work.values for n in rest):
            return
        expr = eq.current_expr(rest)
        if I_C not in sums:
            self._state("Base current", I_B, expr, "=", part, why="Node equation at the base:")
        elif sums[I_C] == -1 and work.states[part.name] == ACTIVE:
            why = "Kirchhoff's current law at the emitter:"
            self._state("Emitter current", I_E, expr, "=", part, why=why)
            eq.known.add(I_E)
            self._split(I_E)
        else:
            raise DerivationError(f"The base current of {part.name} is given only by itself.")
        eq.known.add(I_B)

    def _state(
        self, heading: str, symbol: str, expr: Expr, sign: str, part: Part, why: str = ""
    ) -> None:
        line = self.work.solved(symbol, expr, Sort.CURRENT, sign)
        of = f" of {part.name}" if self.many else ""
        self.work.add(
            heading + of,
            *((why,) if why else ()),
            lines=[line],
            result=symbol,
            reason="current gain" if not why else "Kirchhoff's current law",
            loop=(part.name,),
        )


def _opened(terms: list[tuple[int, Expr]]) -> list[tuple[int, Expr]]:
    whole = add(*terms)
    from steadypoint.derive._expr import Sum

    return list(whole.terms) if isinstance(whole, Sum) else [(1, whole)]


def plain(symbol: str) -> str:
    """A symbol's name in a heading."""
    from steadypoint.derive._print_text import to_text

    return to_text(Symbol(symbol))


__all__ = ["LARGEST_SET", "PartName", "Solution", "plain"]
