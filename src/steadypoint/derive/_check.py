"""Nothing is shown before it has been held against the solved point, here and at random values."""

from __future__ import annotations

import math
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from steadypoint.circuit import Kind
from steadypoint.derive._branches import Branch
from steadypoint.derive._expr import ZERO, Expr, Number, Sum, Symbol, evaluate, symbols
from steadypoint.derive._mirrors import EXPONENTIAL
from steadypoint.derive._names import Names
from steadypoint.derive._network import branch_currents
from steadypoint.derive._nodal import Nodal, solve_nodes
from steadypoint.derive._step import Line, Step
from steadypoint.derive._twins import Junction, ties
from steadypoint.derive._working import Working
from steadypoint.errors import DerivationError
from steadypoint.solve import OperatingPoint

TOLERANCE = 1e-7
"""Largest relative miss of a line. [-]"""

DEFINITIONS = ("Thévenin's theorem", "resistors in parallel")

FLOOR = 1e-2
"""Share of the largest voltage or current below which a quantity is judged as that share. [-]"""

NOTHING = 1e-12
"""Current below which the figures of ``solve`` are noise. [A]"""

DRAWS = 3
"""Sets of random values at which every line is checked. [-]"""


def check_working(work: Working, point: OperatingPoint) -> None:
    """Hold every line of a working against the solved point and at random values.

    Parameters
    ----------
    work : Working
        A finished working.
    point : OperatingPoint
        The solved point.

    Raises
    ------
    DerivationError
        If a line misses.
    """
    seed = sum(map(ord, "".join(p.name for p in work.circuit.parts)))
    chance = random.Random(seed)  # noqa: S311  repeatable trial values, nothing secret
    for place, (start, end, states, branches) in enumerate(work.segments):
        before = [s for s in work.steps[:start] if s.reason in DEFINITIONS]
        steps = [*before, *work.steps[start:end]]
        nodal = solve_nodes(work.circuit, work.names, states, work.given, neglects=work.neglects)
        if place == len(work.segments) - 1:
            _same_point(work, nodal, point)
        _Trial(work, branches, nodal, dict(work.given)).check(steps, here=True)
        for _ in range(DRAWS):
            values = random_values(work, chance)
            try:
                trial = solve_nodes(
                    work.circuit, work.names, states, values, neglects=work.neglects
                )
            except DerivationError:
                continue
            _Trial(work, branches, trial, values).check(steps, here=False)


def random_values(work: Working, chance: random.Random) -> dict[str, float]:
    """Stated symbols with random values: resistances and gains by half, drops by a tenth."""
    out = {}
    for name, value in work.given.items():
        spread = 0.1 if name.startswith("V_") else 0.4
        out[name] = value * math.exp(chance.uniform(-spread, spread))
    names = work.names
    for leader, follower in ties(work.circuit, names, work.states, work.given):
        _keep_equal(names, leader, follower, out)
    return out


def _keep_equal(names: Names, leader: Junction, follower: Junction, out: dict[str, float]) -> None:
    """Junctions in parallel keep equal drops."""
    drops = []
    for junction in (leader, follower):
        part = junction.part
        if not part.kind.is_bipolar:
            drops.append((names.drop(part, junction.state), 0.0))
        else:
            inner = junction.backward and junction.both
            less = out[names.saturated(part)] if inner else 0.0
            drops.append((names.junction(part), less))
    (first, less), (second, other) = drops
    volts = out[first] - less
    if other:
        out[names.saturated(follower.part)] = out[second] - volts
    else:
        out[second] = volts


def observed(work: Working, values: Mapping[str, float], nodal: Nodal) -> dict[str, float]:
    """Every symbol that the node equations give, as the working counts it."""
    out = dict(values)
    names = work.names
    for part in work.circuit.transistors:
        sign = 1.0 if part.kind is Kind.NPN else -1.0
        C, B, E = (nodal.volts[n] for n in part.nodes)
        for letter, volts in zip("CBE", (C, B, E), strict=True):
            out[names.node(letter, part)] = volts
            symbol = names.current(letter, part)
            out[symbol] = nodal.amps[symbol]
        out[names.span(part)] = sign * (C - E)
        out[f"{names.junction(part)}_open"] = sign * (B - E)
        out[f"{names.span(part)}_open"] = sign * (C - E)
    for part in work.circuit.parts:
        if part.kind in (Kind.DIODE, Kind.ZENER) and part.name in nodal.amps:
            out[names.branch_current(part.name)] = nodal.amps[part.name]
    return out


def check_steps(
    work: Working,
    branches: Sequence[Branch],
    nodal: Nodal,
    given: Mapping[str, float],
    steps: Sequence[Step],
    *,
    here: bool,
    known: Mapping[str, float] | None = None,
) -> dict[str, float]:
    """Hold some steps against one solution of the node equations.

    Parameters
    ----------
    work : Working
        The working.
    branches : sequence of Branch
        The network whose resistor currents the steps name.
    nodal : Nodal
        The solution.
    given : mapping of str to float
        Stated symbols.
    steps : sequence of Step
        What is checked.
    here : bool
        True at the stated values: figures are checked too.
    known : mapping of str to float, optional
        Symbols that other steps have defined.

    Returns
    -------
    dict of str to float
        Every symbol met.

    Raises
    ------
    DerivationError
        If a line misses.
    """
    trial = _Trial(work, branches, nodal, dict(given), dict(known or {}))
    trial.check(steps, here=here)
    return trial.values


@dataclass
class _Trial:
    """One set of values at which lines are checked."""

    work: Working
    branches: Sequence[Branch]
    nodal: Nodal
    given: dict[str, float]
    known: dict[str, float] = field(default_factory=dict)

    def check(self, steps: Sequence[Step], *, here: bool) -> None:
        """Check all lines.

        Raises
        ------
        DerivationError
            If one misses.
        """
        self.values = observed(self.work, self.given, self.nodal) | self.known
        self.volts = max(1e-3, *(abs(v) for v in self.nodal.volts.values())) * FLOOR
        amps = [
            abs(self.nodal.volts[p.nodes[0]] - self.nodal.volts[p.nodes[1]]) / self.given[p.name]
            for p in self.work.circuit.parts
            if p.kind is Kind.RESISTOR
        ]
        ohms = [self.given[p.name] for p in self.work.circuit.parts if p.kind is Kind.RESISTOR]
        noise = 1e-3 * self.volts / min(ohms, default=1.0)
        self.amps = max([1e-12, *amps, noise]) * FLOOR
        lines = [(s, line) for s in steps for line in s.lines if line.sign != "→"]
        if not here:
            # a set that was solved with figures has figures for these values only
            lines = [
                (s, line)
                for s, line in lines
                if line.right == ZERO or not isinstance(line.right, Number)
            ]
        for step, line in lines:
            if step.reason in DEFINITIONS and isinstance(line.left, Symbol):
                name = line.left.name
                self.values.setdefault(name, evaluate(line.right, self.values))
        self.values |= branch_currents(self.work, self.branches, self.nodal, self.values)
        for step, line in lines:
            if step.reason == EXPONENTIAL and not here:
                continue
            self._check_line(step, line, here=here)

    def _check_line(self, step: Step, line: Line, *, here: bool) -> None:
        values = self.values
        if isinstance(line.left, Symbol) and line.left.name not in values:
            values[line.left.name] = evaluate(line.right, values)
        if any(s not in values for s in symbols(line.left)):
            raise DerivationError(f"{step.heading}: a symbol has no value.")
        left, right = evaluate(line.left, values), evaluate(line.right, values)
        unit = self.work.unit(line.left.name) if isinstance(line.left, Symbol) else "V"
        floor = {"V": self.volts, "A": self.amps}.get(unit, 1e-15)
        scale = max(size_of(line.left, values), size_of(line.right, values), floor)
        allowed = max(TOLERANCE * scale, NOTHING if unit == "A" else 0.0)
        if abs(left - right) > allowed:
            raise DerivationError(f"{step.heading}: the line does not hold at the solved point.")
        shown = line.result
        if here and shown is not None and abs(shown.value - left) > allowed:
            raise DerivationError(f"{step.heading}: the figure misses the solved point.")


def _same_point(work: Working, nodal: Nodal, point: OperatingPoint) -> None:
    """The node equations must give the proved point."""
    scale = max(1.0, max(map(abs, point.nodes.values()), default=1.0))
    for node, volts in nodal.volts.items():
        if abs(volts - point.nodes[node]) > 1e-6 * scale and node not in nodal.floating:
            raise DerivationError(f"Node {node} does not agree with the solved point.")
    most = max((abs(p.I) for p in point.parts.values()), default=0.0)
    for name, solved in point.transistors.items():
        part = work.circuit.part(name)
        sign = 1.0 if part.kind is Kind.NPN else -1.0
        collected = -solved.I_E if name in work.names.swapped else solved.I_C
        for letter, amps in (("B", solved.I_B), ("C", collected)):
            mine = nodal.amps[work.names.current(letter, part)]
            largest = max(abs(solved.I_E), abs(solved.I_C), 1e-6 * most, 1e-12)
            if abs(mine - sign * amps) > max(1e-6 * largest, NOTHING):
                raise DerivationError(f"I_{letter} of {name} does not agree with the solved point.")


def size_of(expr: Expr, values: Mapping[str, float]) -> float:
    """Largest term of a sum, so that differences of large terms are judged fairly."""
    if isinstance(expr, Sum):
        return max(abs(evaluate(term, values)) for _, term in expr.terms)
    return abs(evaluate(expr, values))
