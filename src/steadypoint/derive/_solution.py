"""Solving the loops in the order of their dependence, with the sentences that go with it."""

from __future__ import annotations

from collections.abc import Sequence

from steadypoint.derive._algebra import Poly, Sort
from steadypoint.derive._branches import Role
from steadypoint.derive._elimination import Elimination
from steadypoint.derive._expr import Expr, Relation, Symbol, add, divide, multiply, symbols
from steadypoint.derive._graph import in_order, match
from steadypoint.derive._loops import Loop
from steadypoint.derive._names import ACTIVE
from steadypoint.derive._statements import plain
from steadypoint.derive._working import join_words
from steadypoint.errors import DerivationError

LARGEST_SET = 3
"""Loops that are still solved together in letters. [-]"""

LONGEST = 40
"""Symbols in an expression that a board still takes. [-]"""


class Solution(Elimination):
    """Solves a marked network."""

    def run(self) -> None:
        """Solve every loop; afterwards every named current has a value."""
        marked = self.equations.marked
        unknowns = [marked.name_of(marked.branches[n]) for n in marked.links]
        self.equations.tie(self.loops)
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
        if any(not used <= set(owns) for used in uses):
            raise DerivationError("The loops hold more currents than they determine.")
        depends = {row: {owns[n] for n in used if owns[n] != row} for row, used in enumerate(uses)}
        self.finish()
        for group in in_order(depends):
            loops = [rows[i] for i in group]
            names = [owner[i] for i in group]
            if len(group) == 1:
                self._single(loops[0], names[0])
            elif len(group) > LARGEST_SET or not self._in_letters(loops, names):
                self._with_figures(loops, names)
            self.finish()
        self.finish()
        for part in marked.transistors:
            self._last_of_node(part)
        self.finish()
        for part in marked.transistors:
            for letter in "BCE":
                if self.work.names.current(letter, part) not in self.work.values:
                    raise DerivationError(f"I_{letter} of {part.name} was not found.")

    def _in_letters(self, loops: Sequence[Loop], unknowns: Sequence[str]) -> bool:
        """Solve a set in letters; nothing is written where they would fill the board."""
        work, eq = self.work, self.equations
        length = len(work.steps)
        kept = dict(work.values), dict(work.found_in), set(eq.known), dict(self.final)
        self._together(loops, unknowns)
        lines = [line for step in work.steps[length:] for line in step.lines]
        if max(sum(1 for _ in symbols(line.right)) for line in lines) <= LONGEST:
            return True
        del work.steps[length:]
        work.values, work.found_in, eq.known, self.final = kept
        return False

    def _single(self, loop: Loop, unknown: str) -> None:
        eq = self.equations
        left, right = eq.row(loop)
        if set(left) != {unknown}:
            raise DerivationError(f"A loop holds more unknowns than {unknown}.")
        self._law_step(loop, self._heading(loop))
        if self._copied(loop):
            return
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

    def _copied(self, loop: Loop) -> bool:
        """A matched pair of which one current is known: the other is the same."""
        pair = self.equations.matched(loop)
        if pair is None:
            return False
        names, values = self.work.names, self.work.values
        for known, other in (pair, pair[::-1]):
            source, copy = names.current("C", known), names.current("C", other)
            if source in values and copy not in values:
                self._state("Collector current", copy, Symbol(source), "=", other)
                self._split(copy)
                return True
        return False

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
