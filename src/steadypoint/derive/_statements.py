"""What every way of solving has in common: headings, loop laws, and currents stated at once."""

from __future__ import annotations

from dataclasses import dataclass, field

from steadypoint.circuit import Part
from steadypoint.derive._algebra import Poly, Sort
from steadypoint.derive._branches import Role
from steadypoint.derive._equations import Equations
from steadypoint.derive._expr import Expr, Symbol, add, divide, multiply
from steadypoint.derive._loops import Loop, itinerary, parts_round
from steadypoint.derive._mirrors import unequal_drops
from steadypoint.derive._names import ACTIVE
from steadypoint.derive._step import Line
from steadypoint.derive._twins import Tie, carried, made_up
from steadypoint.derive._working import Working
from steadypoint.errors import DerivationError


@dataclass
class Statements:
    """States what follows at once once a current is known.

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

    def _heading(self, loop: Loop) -> str:
        roles = [b.role for b, _ in loop]
        if self.equations.matched(loop) is not None:
            return "Matched pair"
        if self.equations.tie_of(loop) is not None:
            return "Equal junctions"
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
        pair = self.equations.matched(loop)
        if pair is not None:
            self.work.add(
                "Matched transistors",
                f"{pair[0].name} and {pair[1].name} have the same base–emitter voltage. Being "
                "matched and equally warm they carry the same collector current.",
                lines=[self.equations.law(loop)],
                reason="matched junctions",
                loop=tuple(p.name for p in pair),
            )
            return
        tie = self.equations.tie_of(loop)
        if tie is not None:
            self._tie_step(tie, self.equations.law(loop))
            return
        self.work.add(
            heading,
            "Go round ",
            *itinerary(loop, marked),
            ".",
            lines=[self.equations.law(loop)],
            reason="Kirchhoff's voltage law",
            loop=parts_round(loop, self.work.aliases),
        )
        unequal_drops(self.work, self.equations, loop)

    def _tie_step(self, tie: Tie, law: Line) -> None:
        """Why two junctions carry the same current, and what that current is."""
        names, work = self.work.names, self.work
        said: list[str] = []
        lines: list[Line] = []
        for junction in tie:
            kind = "base–collector" if junction.backward else "base–emitter"
            bipolar = junction.part.kind.is_bipolar
            name = junction.part.name
            said.append(f"the {kind} junction of {name}" if bipolar else name)
            if junction.both:
                symbol = work.atoms.declare(carried(names, junction), Sort.CURRENT)
                lines.append(Line(Symbol(symbol), made_up(names, junction)))
        self.work.add(
            "Equal junctions",
            f"{said[0][0].upper()}{said[0][1:]} and {said[1]} lie in parallel with the same drop; "
            "how the current divides, the constant drops leave open. Taken as matched, both "
            "junctions carry the same current.",
            *(
                (" Where both junctions of a transistor conduct, each current follows from ",)
                if lines
                else ()
            ),
            *((Symbol("I_B"), " and ", Symbol("I_C"), ".") if lines else ()),
            lines=[*lines, law],
            reason="matched junctions",
            loop=tuple(j.part.name for j in tie),
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
            if I_B in values:
                self._before(part)
            if not active and I_C not in values and f"{part.name}:CE" not in eq.marked.links:
                self._collector_from_node(part)
            if not active and I_E in values and (I_B in values) != (I_C in values):
                self._split_saturated(part, I_E)
            if active and I_B in values and I_C not in values:
                expr = multiply(Symbol(names.beta(part)), Symbol(I_B))
                self._state("Collector current", I_C, expr, "=", part)
            if I_B in values and I_C in values:
                eq.known |= {I_B, I_C}
                if I_E not in values:
                    self._emitter_current(part)
                eq.known.add(I_E)

    def _last_of_node(self, part: Part) -> None:
        """The one current at a base's node that is still missing, the others being known."""
        eq, names, values = self.equations, self.work.names, self.work.values
        I_B = names.current("B", part)
        sums = eq.marked.kcl.get(f"{part.name}:BE", {})
        missing = [n for n in sums if n not in values]
        if I_B not in values or len(missing) != 1 or abs(sums[missing[0]]) != 1:
            return
        (name,) = missing
        turn = sums[name]
        rest = {n: -c * turn for n, c in sums.items() if n != name} | {I_B: turn}
        line = self.work.solved(name, eq.current_expr(rest), Sort.CURRENT)
        self.work.add(
            f"Solve for {plain(name)}",
            f"Node equation at the base of {part.name}:",
            lines=[line],
            result=name,
            reason="Kirchhoff's current law",
            loop=(part.name,),
        )
        eq.known.add(name)

    def _emitter_current(self, part: Part) -> None:
        names, eq = self.work.names, self.equations
        I_B, I_C, I_E = (names.current(letter, part) for letter in "BCE")
        shown = {n for b in eq.marked.branches if b in eq.marked.kcl for n in eq.marked.shown(b)}
        equal = part.name in eq.marked.equal_I_E
        expr = Symbol(I_C) if equal else add((1, Symbol(I_C)), (1, Symbol(I_B)))
        if I_E in shown or part.name in self.work.names.swapped:
            self._state("Emitter current", I_E, expr, "≈" if equal else "=", part)
        else:
            self.work.solved(I_E, expr, Sort.CURRENT)

    def _before(self, part: Part) -> None:
        """A base current that comes whole from another transistor gives that one's current."""
        names = self.work.names
        sums = self.equations.marked.base_sum(part)
        if f"{part.name}:BE" in self.equations.marked.links or list(sums.values()) != [1]:
            return
        (name,) = sums
        if name in self.work.values:
            return
        for other in self.equations.marked.transistors:
            for letter, heading in (("E", "Emitter current"), ("C", "Collector current")):
                if name == names.current(letter, other):
                    base = Symbol(names.current("B", part))
                    why = f"The base current of {part.name} comes from {other.name}:"
                    self._state(heading, name, base, "=", other, why=why)
                    self.equations.known.add(name)
                    self._split(name)

    def _collector_from_node(self, part: Part) -> None:
        """Collector current of a saturated transistor whose node fixes it."""
        sums = self.equations.marked.kcl[f"{part.name}:CE"]
        if all(n in self.work.values for n in sums):
            I_C = self.work.names.current("C", part)
            expr = self.equations.current_expr(sums)
            why = "Kirchhoff’s current law at the collector:"
            self._state("Collector current", I_C, expr, "=", part, why=why)

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

    def _state(
        self, heading: str, symbol: str, expr: Expr, sign: str, part: Part, why: str = ""
    ) -> None:
        line = self.work.solved(symbol, expr, Sort.CURRENT, sign)
        of = f" of {part.name}" if self.many else ""
        kind = heading.partition(" ")[0].lower()
        heading = f"{self.work.names.word(kind, part).capitalize()} current"
        self.work.add(
            heading + of,
            *((why,) if why else ()),
            lines=[line],
            result=symbol,
            reason="current gain" if not why else "Kirchhoff's current law",
            loop=(part.name,),
        )


def plain(symbol: str) -> str:
    """A symbol's name in a heading."""
    from steadypoint.derive._print_text import to_text

    return to_text(Symbol(symbol))
