"""The third way to a point of one transistor: take it out and look at what it sees."""

from __future__ import annotations

import random
from dataclasses import dataclass, field

from steadypoint.circuit import Kind, Part
from steadypoint.derive._algebra import Sort
from steadypoint.derive._branches import Branch, Role, branches_of, picture, without_dead_ends
from steadypoint.derive._check import DRAWS, check_steps, observed, random_values
from steadypoint.derive._currents import Marked, mark
from steadypoint.derive._discussion import how_far
from steadypoint.derive._equations import Equations
from steadypoint.derive._expr import (
    ZERO,
    Expr,
    Number,
    Relation,
    Symbol,
    add,
    divide,
    evaluate,
    multiply,
    substitute,
    symbols,
)
from steadypoint.derive._loops import Loop, between, independent, parts_round
from steadypoint.derive._names import CUTOFF
from steadypoint.derive._network import turn_arrows
from steadypoint.derive._nodal import Nodal, solve_nodes
from steadypoint.derive._output import positive_first, require
from steadypoint.derive._regions import assumptions, check_regions, open_capacitors
from steadypoint.derive._solution import Solution
from steadypoint.derive._star import Star
from steadypoint.derive._step import Derivation, Line, Prose
from steadypoint.derive._thevenin import merge_parallel, reduce_ports
from steadypoint.derive._working import Working
from steadypoint.errors import CircuitError, DerivationError
from steadypoint.solve import OperatingPoint, Region

SHORT = 4
"""Symbols up to which an arm is written out in the closed form. [-]"""

_LEADS = {"B": "base", "C": "collector", "E": "emitter"}


def by_thevenin(work: Working, point: OperatingPoint) -> Derivation:
    """Write the working of one active transistor by what it sees when it is taken out.

    Parameters
    ----------
    work : Working
        An empty working of the exact rung.
    point : OperatingPoint
        The solved point, against which everything is checked.

    Raises
    ------
    CircuitError
        If the circuit has not one transistor in the active region, or a current source leaves a
        lead without a finite resistance.
    DerivationError
        If a line does not hold at the solved point or at random values.
    """
    solved = list(point.transistors.values())
    if len(solved) != 1 or solved[0].region is not Region.ACTIVE:
        raise CircuitError(
            "The Thévenin way is written for one transistor in the active region. "
            "Work this circuit by loops."
        )
    if any(p.kind is Kind.CURRENT_SOURCE for p in work.circuit.parts):
        raise CircuitError(
            "The Thévenin way takes the transistor out, and a current source must go on flowing "
            "somewhere. Work this circuit by loops."
        )
    view = _View(work)
    view.equivalents()
    view.take_out()
    view.look_back()
    view.solve()
    view.limit()
    check_regions(work)
    view.check(point)
    return Derivation(work.circuit, "exact", tuple(work.steps), dict(work.values))


def _turned(steps: int) -> Prose:
    """How the resistors between the leads become a star."""
    first = "With the sources replaced by short circuits the resistors form a "
    if steps > 1:
        return (first, "mesh between the leads. Turn it into a star; on the way there stand")
    return (
        first,
        "delta between the leads. Turn it into a star: each arm is the product of its two "
        "neighbours over the sum of all three,",
    )


@dataclass
class _View:
    work: Working
    branches: list[Branch] = field(default_factory=list)
    volts: dict[str, Expr] = field(default_factory=dict)

    def __post_init__(self) -> None:
        work = self.work
        (self.transistor,) = work.circuit.transistors
        work.begin()
        seen = picture(work.circuit)
        open_capacitors(work, (seen.capacitors, seen.shorts, seen.idle, seen.bleeders))
        assumptions(work, anew=False)
        self.on = dict(work.states)
        self.out = self.on | {self.transistor.name: CUTOFF}
        self.part: Part = next(p for p in seen.parts if p.kind.is_transistor)
        self.parts = seen.parts
        names = work.names
        self.junction, self.span = names.junction(self.part), names.span(self.part)

    def equivalents(self) -> None:
        """Replace what hangs on one lead alone by its Thévenin equivalent."""
        work = self.work
        pins = set(self.part.nodes)
        branches = branches_of(self.parts, work.names, work.states, work.values)
        branches = without_dead_ends(branches, pins)
        branches = merge_parallel(work, branches)
        branches = reduce_ports(work, branches, (self.part,))
        self.branches = [
            b
            for b in without_dead_ends(branches, pins)
            if b.role not in (Role.JUNCTION, Role.CONTROLLED)
        ]

    def take_out(self) -> None:
        """What stands between the open leads."""
        work, part = self.work, self.part
        work.states = self.out
        work.nodal = self._nodal(self.out, dict(work.given))
        self.branches = turn_arrows(work, self.branches)
        marked = Marked({b.name: b for b in self.branches}, (), work.names)
        for name in marked.branches:
            work.atoms.declare(work.names.branch_current(name), Sort.CURRENT)
        loops: list[Loop] = independent(marked)
        mark(marked, [[b.name for b, _ in loop] for loop in loops])
        eq = Equations(work, marked)
        Solution(work, eq, independent(marked)).run()
        lines: list[Line] = []
        round_: list[str] = []
        npn = part.kind is Kind.NPN
        for symbol, letter in ((self.junction, "B"), (self.span, "C")):
            ends = part.node("emitter"), part.node(_LEADS[letter])
            way = between(eq.marked, *(ends if npn else ends[::-1]))
            if way is None:
                raise DerivationError("Nothing joins the open leads.")
            expr = positive_first(eq, way)
            require(work, expr)
            lines.append(work.solved(f"{symbol}_open", expr, Sort.VOLTAGE))
            self.volts[letter] = expr
            round_ += parts_round(way, work.aliases)
        work.add(
            "Take the transistor out",
            "With the transistor out no current flows in its leads. Between them stand the open "
            "voltages",
            lines=lines,
            result=f"{self.junction}_open",
            reason="Kirchhoff's voltage law",
            loop=tuple(dict.fromkeys(round_)),
        )

    def look_back(self) -> None:
        """The resistance in each lead with the sources replaced by short circuits."""
        work = self.work
        star = Star(work, self.branches, {x: self.part.node(w) for x, w in _LEADS.items()})
        self.arms = star.arms
        if star.lines:
            work.add(
                "Star and delta",
                *_turned(len(star.lines)),
                lines=star.lines,
                reason="Thévenin's theorem",
                loop=tuple(p.name for p in self.parts if p.kind is Kind.RESISTOR),
            )
        lines = []
        for x in "BEC":
            if self.arms[x] == ZERO:
                work.values[f"r_{x}"] = 0.0
                lines.append(Line(Symbol(f"r_{x}"), ZERO))
            else:
                lines.append(work.solved(f"r_{x}", self.arms[x], Sort.RESISTANCE))
        work.add(
            "Look back into the circuit",
            "Replace the sources by short circuits. What is left is a star with one resistance "
            "in each lead of the transistor:",
            lines=lines,
            result="r_B",
            reason="Thévenin's theorem",
            loop=tuple(p.name for p in self.parts if p.kind is Kind.RESISTOR),
        )

    def _arm(self, letter: str) -> Expr:
        return ZERO if self.arms[letter] == ZERO else Symbol(f"r_{letter}")

    def _form(self, volts: Expr, r_B: Expr, r_E: Expr) -> Expr:
        more = self.work.atoms.atom_expr(self.work.names.beta(self.part) + "+1")
        emitter = ZERO if r_E == ZERO else multiply(more, r_E)
        return divide(add((1, volts), (-1, Symbol(self.junction))), add((1, r_B), (1, emitter)))

    def solve(self) -> None:
        """The base current by one loop, and all that follows from it."""
        work, names, part = self.work, self.work.names, self.part
        work.states = self.on
        work.nodal = self._nodal(self.on, dict(work.given))
        I_B, I_C, I_E = (Symbol(names.current(x, part)) for x in "BCE")
        opened = Symbol(f"{self.junction}_open")
        r_B, r_E, r_C = (self._arm(x) for x in "BEC")
        if r_B == ZERO and r_E == ZERO:
            raise DerivationError("No resistance limits the base current.")
        self.begin = len(work.steps)
        drops: list[tuple[int, Expr]] = [(1, opened)]
        drops += [(-1, multiply(I_B, r_B))] if r_B != ZERO else []
        drops += [(-1, Symbol(self.junction))]
        drops += [(-1, multiply(I_E, r_E))] if r_E != ZERO else []
        work.add(
            "Put the transistor back",
            "Now the transistor sees one source and one resistance in each lead. Round base and "
            "emitter",
            lines=[Line(add(*drops), ZERO)],
            reason="Kirchhoff's voltage law",
            loop=(part.name,),
        )
        general = self._form(opened, r_B, r_E)
        written = self._form(self.volts["B"], self.arms["B"], self.arms["E"])
        lines = [work.solved(I_B.name, general, Sort.CURRENT)]
        if general != written and self._is_short(written):
            lines = [
                Line(I_B, general),
                work.solved(I_B.name, written, Sort.CURRENT),
            ]
        more = work.atoms.atom_expr(names.beta(part) + "+1")
        said: list[str | Expr] = []
        if r_E != ZERO:
            said = ["With ", Relation((I_E, multiply(more, I_B))), " that is one unknown:"]
        work.add(f"Solve for {I_B.name}", *said, lines=lines, result=I_B.name, reason="algebra")
        self._others(I_B, I_C, I_E)
        V_CE = add(
            (1, Symbol(f"{self.span}_open")),
            (-1, multiply(I_C, r_C) if r_C != ZERO else ZERO),
            (-1, multiply(I_E, r_E) if r_E != ZERO else ZERO),
        )
        work.add(
            "Collector–emitter voltage",
            "Round collector and emitter the same star gives",
            lines=[work.solved(self.span, V_CE, Sort.VOLTAGE)],
            result=self.span,
            reason="Kirchhoff's voltage law",
            loop=(part.name,),
        )

    def _is_short(self, expr: Expr) -> bool:
        own = (self.volts["B"], self.arms["B"], self.arms["E"])
        currents = any(s.startswith("I_") for s in symbols(expr))
        return not currents and all(len(list(symbols(e))) <= SHORT for e in own)

    def _others(self, I_B: Symbol, I_C: Symbol, I_E: Symbol) -> None:
        work, part = self.work, self.part
        beta = Symbol(work.names.beta(part))
        for heading, symbol, expr, reason in (
            ("Collector current", I_C, multiply(beta, I_B), "current gain"),
            ("Emitter current", I_E, add((1, I_C), (1, I_B)), "Kirchhoff's current law"),
        ):
            work.add(
                heading,
                lines=[work.solved(symbol.name, expr, Sort.CURRENT)],
                result=symbol.name,
                reason=reason,
                loop=(part.name,),
            )

    def limit(self) -> None:
        """What the star says of β."""
        work, names, part = self.work, self.work.names, self.part
        r_B, r_E = self._arm("B"), self._arm("E")
        beta, I_C = Symbol(names.beta(part)), Symbol(names.current("C", part))
        if r_E == ZERO:
            work.add(
                "What the star shows",
                "Nothing stands in the emitter lead, so ",
                I_C,
                " is proportional to ",
                beta,
                ": the point is not held.",
                reason="limit for large β",
                loop=(part.name,),
            )
            return
        top = add((1, Symbol(f"{self.junction}_open")), (-1, Symbol(self.junction)))
        target = divide(top, r_E)
        figure = Number(evaluate(target, work.values), "A", symbol=I_C.name)
        line = Line(I_C, target, substitute(target, work.number), figure, "→")
        large = multiply(beta, r_E)
        ohms = [Number(evaluate(x, work.values), "Ω") for x in (r_B, large)]
        value, met = figure.value / work.values[I_C.name], float("inf")
        said: Prose = ("Nothing stands in the base lead: for large ", beta)
        if r_B != ZERO:
            met = ohms[1].value / ohms[0].value
            said = ("If ", Relation((r_B, large), "≪"), ", here ", ohms[0], " against ", ohms[1])
        work.add(
            "What the star shows",
            *said,
            ", the collector current no longer depends on the gain:",
            lines=[line],
            remark=how_far(value, met),
            reason="limit for large β",
            loop=(part.name,),
        )

    def _nodal(self, states: dict[str, str], values: dict[str, float]) -> Nodal:
        return solve_nodes(self.work.circuit, self.work.names, states, values)

    def check(self, point: OperatingPoint) -> None:
        """Every line at the solved point and at random values, by the node equations.

        Raises
        ------
        DerivationError
            If one misses.
        """
        work = self.work
        chance = random.Random(len(work.circuit.parts))  # noqa: S311  repeatable trial values
        here = dict(work.given)
        self._same(point)
        for place, given in enumerate([here, *(random_values(work, chance) for _ in range(DRAWS))]):
            opened = self._nodal(self.out, given)
            values = check_steps(
                work, self.branches, opened, given, work.steps[: self.begin], here=not place
            )
            self._check_star(given, opened, values)
            closed = self._nodal(self.on, given)
            now = observed(work, given, closed)
            known = {k: v for k, v in values.items() if k.endswith("_open") or k not in now}
            steps = work.steps[self.begin :]
            check_steps(work, (), closed, given, steps, here=not place, known=known)

    def _same(self, point: OperatingPoint) -> None:
        (solved,) = point.transistors.values()
        sign = 1.0 if self.part.kind is Kind.NPN else -1.0
        names, values = self.work.names, self.work.values
        for symbol, true in (
            (names.current("B", self.part), solved.I_B),
            (names.current("C", self.part), solved.I_C),
            (self.span, solved.V_CE),
        ):
            if abs(values[symbol] - sign * true) > 1e-6 * max(abs(true), 1e-12):
                raise DerivationError(f"{symbol} does not agree with the solved point.")

    def _check_star(self, given: dict[str, float], opened: Nodal, values: dict[str, float]) -> None:
        """Press a current through two leads of the open circuit and measure what rises."""
        nodes = {x: self.transistor.node(word) for x, word in _LEADS.items()}
        r = {x: values.get(f"r_{x}", 0.0) for x in "BCE"}
        amps = 1e-3

        def rise(lead: str, of: str) -> float:
            pressed: dict[str, float] = {}
            for node, flows in ((nodes[lead], amps), (nodes["E"], -amps)):
                pressed[node] = pressed.get(node, 0.0) + flows
            after = solve_nodes(
                self.work.circuit, self.work.names, self.out, given, injected=pressed
            )
            high, low = nodes[of], nodes["E"]
            before = opened.volts[high] - opened.volts[low]
            return (after.volts[high] - after.volts[low] - before) / amps

        expected = {
            ("B", "B"): r["B"] + r["E"],
            ("B", "C"): r["E"],
            ("C", "C"): r["C"] + r["E"],
        }
        largest = max(1.0, *r.values())
        for (lead, of), ohms in expected.items():
            if abs(rise(lead, of) - ohms) > 1e-6 * largest:
                raise DerivationError("The star is not what the transistor sees.")
