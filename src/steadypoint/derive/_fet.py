"""The working of a stage with one field-effect transistor: bias line, square law, one quadratic."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

from steadypoint.circuit import GROUND, Circuit, Kind, Part
from steadypoint.derive._algebra import Sort
from steadypoint.derive._branches import branches_of, picture, without_dead_ends
from steadypoint.derive._currents import Marked, mark
from steadypoint.derive._equations import Equations
from steadypoint.derive._expr import (
    ONE,
    ZERO,
    Expr,
    Number,
    Power,
    Relation,
    Symbol,
    add,
    divide,
    evaluate,
    multiply,
    substitute,
    symbols,
)
from steadypoint.derive._fet_exchanged import EXCHANGED, back_to_terminals, exchange, turned_words
from steadypoint.derive._fet_feedback import feedback_of_channel
from steadypoint.derive._fet_held import hold_point, in_saturation
from steadypoint.derive._fet_pairs import by_superposition
from steadypoint.derive._fet_roots import both_roots, closed
from steadypoint.derive._fet_triode import start_again_in_triode, straight
from steadypoint.derive._loops import between, independent, parts_round
from steadypoint.derive._names import Names, givens
from steadypoint.derive._network import turn_arrows
from steadypoint.derive._nodal import solve_nodes
from steadypoint.derive._output import positive_first
from steadypoint.derive._regions import open_capacitors
from steadypoint.derive._solution import Solution
from steadypoint.derive._step import Line
from steadypoint.derive._working import Working
from steadypoint.devices import fet_data
from steadypoint.errors import DerivationError
from steadypoint.solve import FetPoint, OperatingPoint
from steadypoint.values import Quantity


def alone(circuit: Circuit) -> bool:
    """True where the only device with a law of its own is one field-effect transistor."""
    others = [p for p in circuit.parts if p.kind in (Kind.DIODE, Kind.ZENER)]
    return len(circuit.fets) == 1 and not circuit.transistors and not others


def fet_working(circuit: Circuit, point: OperatingPoint, *, board: bool) -> Working:
    """Work a circuit whose only transistor is a field-effect transistor.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    point : OperatingPoint
        Its solved point.
    board : bool
        True on the board rung (the square law is the same there).

    Returns
    -------
    Working

    Raises
    ------
    DerivationError
        If no short way leads to the point.
    """
    return _Stage.of(circuit, point, board=board).write()


@dataclass
class _Stage:
    work: Working
    part: Part
    solved: FetPoint
    threshold: float
    K: float
    junction: bool
    exchanged: bool = False
    """True where the drain acts as the source: ``part`` and ``solved`` are turned round then."""
    pairs: dict[str, Expr] = field(default_factory=dict)
    """Voltages of gate and drain against the source, where they were found by superposition."""

    @staticmethod
    def of(circuit: Circuit, point: OperatingPoint, *, board: bool) -> _Stage:
        (part,) = circuit.fets
        solved = point.fets[part.name]
        n_channel = part.kind in (Kind.N_JFET, Kind.N_MOSFET)
        junction = part.kind in (Kind.N_JFET, Kind.P_JFET)
        sign = 1.0 if n_channel else -1.0
        data = fet_data(part.option, sign, junction=junction, depletion=solved.V_GS_th * sign < 0)
        exchanged = sign * solved.V_DS < -1e-9
        if exchanged:
            part, solved = exchange(part, solved)
        drain, _, source = part.nodes
        ends = (drain, source) if n_channel else (source, drain)
        current = "I_S" if exchanged else "I_D"
        flow = Part(current, Kind.CURRENT_SOURCE, ends, Quantity(abs(solved.I_D), "A"))
        parts = tuple(flow if p.name == part.name else p for p in circuit.parts)
        linear = Circuit(parts, title=circuit.title)
        names = Names.of(linear)
        work = Working(linear, names, {}, givens(linear, names), board=board)
        return _Stage(work, part, solved, data.V_GS_th, data.K, junction, exchanged)

    @property
    def n_channel(self) -> bool:
        return self.part.kind in (Kind.N_JFET, Kind.N_MOSFET)

    @property
    def current(self) -> str:
        """Drain current; the source current where both have changed roles."""
        return "I_S" if self.exchanged else "I_D"

    @property
    def index(self) -> str:
        """No number: it is the only one."""
        return ""

    @property
    def over(self) -> str:
        """Overdrive of the gate."""
        return "V_ov"

    @property
    def gain(self) -> str:
        """Conductance parameter."""
        return "K"

    def pair(self, letters: str) -> str:
        """``V_GS`` of an n-channel, ``V_SG`` of a p-channel type, by the roles of the terminals."""
        return self.terminals(letters.translate(EXCHANGED) if self.exchanged else letters)

    def terminals(self, letters: str) -> str:
        """``V_GS`` of an n-channel, ``V_SG`` of a p-channel type, by the terminals' names."""
        return f"V_{letters if self.n_channel else letters[::-1]}"

    @property
    def opens(self) -> str:
        """The gate voltage at which the channel opens."""
        return self.terminals("GS") + ("_off" if self.threshold < 0 else "_th")

    @property
    def start(self) -> str:
        """What the loops start from."""
        return "drain, which acts as the source," if self.exchanged else "source"

    def write(self) -> Working:
        work = self.work
        work.begin()
        work.values.pop(self.current, None)
        work.atoms.declare(self.current, Sort.CURRENT)
        work.values |= {self.opens: self.threshold, "K": self.K}
        work.atoms.declare(self.opens, Sort.VOLTAGE)
        seen = picture(self.work.circuit)
        open_capacitors(work, (seen.capacitors, seen.shorts, (), seen.bleeders))
        self._assume()
        held = (p for p in work.circuit.supplies if p not in seen.parts)  # at the gate alone
        mark, kept, given = len(work.steps), dict(work.values), dict(work.given)
        try:
            self._network((*seen.parts, *held))
            A, B = self._bias_line()
        except DerivationError:
            del work.steps[mark:]
            work.values, work.given = kept, given
            self.pairs = by_superposition(self)
            A, B = self._bias_line()
        x = self._overdrive(A, B)
        self._output(x)
        return work

    def _assume(self) -> None:
        span, gate = Symbol(self.pair("DS")), Symbol(self.pair("GS"))
        opens = Relation((Symbol(self.opens), Number(self.threshold, "V", given=True)))
        shape: Expr
        if self.junction:
            I_DSS = self.K * self.threshold**2
            self.work.values["I_DSS"] = I_DSS
            self.work.atoms.declare("I_DSS", Sort.CURRENT)
            share = add((1, ONE), (-1, divide(gate, Symbol(self.opens))))
            shape = multiply(Symbol("I_DSS"), Power(share, 2))
            stated: Expr = Relation((Symbol("I_DSS"), Number(I_DSS, "A")))
        else:
            over = add((1, gate), (-1, Symbol(self.opens)))
            shape = multiply(Symbol("K"), Power(over, 2))
            stated = Relation((Symbol("K"), Number(self.K, "A/V²")))
        self.law = shape
        self.work.add(
            "Assumptions",
            *(turned_words(self) if self.exchanged else ()),
            "The gate draws no current. Assume the channel in saturation: ",
            Relation((Symbol(self.current), shape)),
            " with ",
            stated,
            " and ",
            opens,
            "; this needs ",
            Relation((gate, Symbol(self.opens)), ">"),
            " and ",
            Relation((span, add((1, gate), (-1, Symbol(self.opens)))), ">"),
            ". To be checked at the end.",
            reason="square law of the channel",
            loop=(self.part.name,),
        )

    def _network(self, parts: tuple[Part, ...]) -> None:
        work = self.work
        known = {**work.given, **work.values}
        work.nodal = solve_nodes(work.circuit, work.names, {}, known)
        branches = branches_of(parts, work.names, {}, known)
        branches = turn_arrows(work, without_dead_ends(branches, set(self.part.nodes)))
        work.branches = tuple(branches)
        marked = Marked({b.name: b for b in branches}, (), work.names)
        for name in marked.branches:
            work.atoms.declare(work.names.branch_current(name), Sort.CURRENT)
        for _ in range(2):
            loops = independent(marked)
            mark(marked, [[b.name for b, _ in loop] for loop in loops])
        work.given = {n: v for n, v in work.given.items() if n != self.current}
        self.eq = Equations(work, marked, {self.current})
        before = len(work.steps)
        Solution(work, self.eq, loops).run()
        lines = [line for step in work.steps[before:] for line in step.lines]
        if any(
            self.current in symbols(line.right) or self.current in symbols(line.left)
            for line in lines
        ):
            raise DerivationError(
                "The gate's divider carries drain current; no short way leads to this point."
            )

    def _way(self, start: str, goal: str) -> tuple[Expr, tuple[str, ...], str]:
        if self.pairs:
            return self.pairs[goal], (), "="
        if not self.n_channel:
            start, goal = goal, start
        first, last = (self._lands(self.part.node(n)) for n in (start, goal))
        way = between(self.eq.marked, first, last)
        if way is None:
            raise DerivationError(f"No way leads from {start} to {goal} of {self.part.name}.")
        return positive_first(self.eq, way), parts_round(way, self.work.aliases), "="

    def _lands(self, node: str) -> str:
        """Where a node that carries no current gets its voltage from, through its resistors."""
        live = {GROUND, *(n for b in self.eq.marked.branches.values() for n in (b.start, b.end))}
        seen, queue = {node}, [node]
        while queue:
            at = queue.pop(0)
            if at in live:
                return at
            for part in self.work.circuit.parts:
                if part.kind is Kind.RESISTOR and at in part.nodes:
                    fresh = [n for n in part.nodes if n not in seen]
                    seen.update(fresh)
                    queue += fresh
        return node

    def _bias_line(self) -> tuple[float, float]:
        """Gate voltage as a straight line of the drain current: V_GS = A − B I_D."""
        work, gate = self.work, self.pair("GS")
        expr, parts, _ = self._way("source", "gate")
        A = evaluate(expr, {**work.values, self.current: 0.0})
        B = A - evaluate(expr, {**work.values, self.current: 1.0})
        lines = [Line(Symbol(gate), expr)]
        if self.pairs:
            return A, B  # the lines stand there already
        if B:
            slope = multiply(Number(B, "Ω"), Symbol(self.current))
            figures = add((1, Number(A, "V") if A else ZERO), (-1, slope))
            lines.append(Line(Symbol(gate), figures))
        work.atoms.declare(gate, Sort.VOLTAGE)
        if not B:
            lines = [work.solved(gate, expr, Sort.VOLTAGE)]
        self._add(
            "Gate loop",
            f"Go from the {self.start} to the gate. No current flows into the gate"
            + (
                ", so what is left is a straight line of the drain current, the bias line:"
                if B
                else ", so its voltage stands at once:"
            ),
            lines,
            gate if not B else "",
            "Kirchhoff's voltage law",
            (*parts, self.part.name),
        )
        return A, B

    def _overdrive(self, A: float, B: float) -> float:
        """The gate's overdrive V_GS − V_GS_th from line and square law, both roots shown."""
        gate, opens = Symbol(self.pair("GS")), Symbol(self.opens)
        room = A - self.threshold
        if room <= 0.0:
            closed(self, A)
            return 0.0
        if not B:
            return room
        a = B * self.K
        root = math.sqrt(1.0 + 4.0 * a * room)
        good, bad = (root - 1.0) / (2.0 * a), -(root + 1.0) / (2.0 * a)
        over = Symbol(self.over)
        quadratic = add(
            (1, multiply(Number(a, "V⁻¹"), Power(over, 2))), (1, over), (-1, Number(room, "V"))
        )
        self.work.atoms.declare(self.over, Sort.VOLTAGE)
        self._add(
            "One quadratic",
            "Put the square law into the bias line, with the overdrive of the gate as the unknown. "
            "One quadratic is left:",
            [Line(over, add((1, gate), (-1, opens))), Line(quadratic, ZERO)],
            "",
            "algebra",
            (),
        )
        both_roots(self, good, bad)
        return good

    def _output(self, x: float) -> None:
        work = self.work
        span = self.pair("DS")
        work.values.setdefault(self.pair("GS"), x + self.threshold)
        if x > 0.0:
            line = work.solved(self.current, self.law, Sort.CURRENT)
            line = replace(line, numbers=substitute(self.law, self._figure))
            heading = "Source current" if self.exchanged else "Drain current"
            self._add(heading, "The square law gives", [line], self.current, "square law", ())
        expr, parts, _ = self._way("source", "drain")
        line = work.solved(span, expr, Sort.VOLTAGE)
        self._add(
            "Output loop",
            f"From the {self.start} round to the {'source' if self.exchanged else 'drain'}:",
            [line],
            span,
            "Kirchhoff's voltage law",
            (*parts, self.part.name),
        )
        if x > 0.0 and x > work.values[span] * (1.0 + 1e-9):
            gate, _, _ = self._way("source", "gate")
            lines = (straight(work, gate, self.current), straight(work, expr, self.current))
            start_again_in_triode(self, *lines, x)
        elif x > 0.0:
            in_saturation(self, x, work.values[span])
            gate, _, _ = self._way("source", "gate")
            feedback_of_channel(self, gate, straight(work, gate, self.current).slope, x)
        hold_point(self)
        if self.exchanged:
            back_to_terminals(self)

    def _figure(self, symbol: str) -> Expr:
        if symbol == "K":
            return Number(self.K, "A/V²", symbol="K", given=True)
        if symbol == self.opens:
            return Number(self.threshold, "V", symbol=symbol, given=True)
        return self.work.number(symbol)

    def _add(
        self,
        heading: str,
        sentence: str,
        lines: list[Line],
        result: str,
        reason: str,
        loop: tuple[str, ...],
        remark: tuple[str | Expr, ...] = (),
    ) -> None:
        words = (sentence,) if sentence else ()
        self.work.add(
            heading, *words, lines=lines, result=result, reason=reason, loop=loop, remark=remark
        )


__all__ = ["fet_working"]
