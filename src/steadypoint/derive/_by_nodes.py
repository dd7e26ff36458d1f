"""The second way to a point of one transistor: node voltages instead of loops."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from steadypoint.circuit import GROUND, Kind, Part
from steadypoint.derive._algebra import Sort
from steadypoint.derive._branches import Picture, picture
from steadypoint.derive._check import DRAWS, observed, random_values
from steadypoint.derive._expr import (
    ZERO,
    Expr,
    Number,
    Symbol,
    add,
    divide,
    evaluate,
    multiply,
    substitute,
)
from steadypoint.derive._names import OFF, is_signal_source
from steadypoint.derive._nodal import Nodal, solve_nodes
from steadypoint.derive._regions import assumptions, check_regions, open_capacitors
from steadypoint.derive._step import Derivation, Line
from steadypoint.derive._working import Working, join_words
from steadypoint.errors import CircuitError, DerivationError
from steadypoint.solve import OperatingPoint, Region

TOLERANCE = 1e-7
"""Largest relative miss of an equation. [-]"""


def by_nodes(work: Working, point: OperatingPoint) -> Derivation:
    """Write the working of one active transistor by node voltages.

    Parameters
    ----------
    work : Working
        An empty working of the exact rung.
    point : OperatingPoint
        The solved point, against which everything is checked.

    Raises
    ------
    CircuitError
        If the circuit has not one transistor in the active region.
    DerivationError
        If an equation does not hold at the solved point or at random values.
    """
    solved = list(point.transistors.values())
    if len(solved) != 1 or solved[0].region is not Region.ACTIVE:
        raise CircuitError(
            "The node-voltage way is written for one transistor in the active region. "
            "Work this circuit by loops."
        )
    work.begin()
    seen = picture(work.circuit)
    open_capacitors(work, (seen.capacitors, seen.shorts, seen.idle, seen.bleeders))
    assumptions(work, anew=False)
    nodes = _Nodes(work, seen)
    nodes.equations()
    nodes.check(point)
    nodes.solve()
    nodes.transistor_figures()
    check_regions(work)
    return Derivation(work.circuit, "exact", tuple(work.steps), dict(work.values))


@dataclass
class _Nodes:
    work: Working
    seen: Picture
    volts: dict[str, Expr] = field(default_factory=dict)
    unknown: dict[str, str] = field(default_factory=dict)
    lines: list[Line] = field(default_factory=list)

    def __post_init__(self) -> None:
        (self.transistor,) = (p for p in self.seen.parts if p.kind.is_transistor)
        self.parts = [p for p in self.seen.parts if len(p.nodes) == 2]
        self.diodes = [
            p
            for p in self.parts
            if p.kind in (Kind.DIODE, Kind.ZENER) and self.work.states[p.name] != OFF
        ]
        self.volts[GROUND] = ZERO
        sources = [p for p in self.parts if p.kind in (Kind.SUPPLY, Kind.VOLTAGE_SOURCE)]
        for _ in sources:
            for part in sources:
                self._rail(part)
        nodes = dict.fromkeys(n for p in self.seen.parts for n in p.nodes)
        self.free = [n for n in nodes if n not in self.volts]
        if any(n in self.free for p in sources for n in p.nodes):
            raise DerivationError("A source between two free nodes is not worked by node voltages.")
        for node in self.free:
            self._name(node)

    def _rail(self, part: Part) -> None:
        first, second = part.nodes
        own: Expr = ZERO if is_signal_source(part) else Symbol(part.name)
        if second in self.volts and first not in self.volts:
            self.volts[first] = add((1, self.volts[second]), (1, own))
        elif first in self.volts and second not in self.volts:
            self.volts[second] = add((1, self.volts[first]), (-1, own))

    def _name(self, node: str) -> None:
        names, symbol = self.work.names, f"V_{len(self.unknown) + 1}"
        for letter in "CEB":
            terminal = {"C": "collector", "E": "emitter", "B": "base"}[letter]
            if self.transistor.node(terminal) == node:
                symbol = names.node(letter, self.transistor)
        self.unknown[node] = symbol
        self.volts[node] = Symbol(symbol)
        self.work.atoms.declare(symbol, Sort.VOLTAGE)

    def equations(self) -> None:
        """Name the unknowns and write one equation for each."""
        names, work = self.work.names, self.work
        I_B = Symbol(names.current("B", self.transistor))
        diodes = [Symbol(names.branch_current(p.name)) for p in self.diodes]
        for symbol in diodes:
            work.atoms.declare(symbol.name, Sort.CURRENT)
        self.symbols = [*self.unknown.values(), I_B.name, *(s.name for s in diodes)]
        work.add(
            "Unknowns",
            "The rails are known. Unknown are ",
            *join_words([Symbol(s) for s in self.symbols]),
            ".",
            reason="choice of unknowns",
            loop=tuple(p.name for p in self.seen.parts),
        )
        kirchhoff = [Line(self._leaving(node), ZERO) for node in self.free]
        work.add(
            "Node equations",
            "At every node the currents that leave it add up to zero; the collector carries β "
            "times, the emitter β + 1 times the base current.",
            lines=kirchhoff,
            reason="Kirchhoff's current law",
            loop=tuple(p.name for p in self.seen.parts),
        )
        base, emitter = (self.volts[self.transistor.node(t)] for t in ("base", "emitter"))
        if self.transistor.kind is Kind.PNP:
            base, emitter = emitter, base
        drops = [Line(add((1, base), (-1, emitter)), Symbol(names.junction(self.transistor)))]
        for part in self.diodes:
            state = work.states[part.name]
            first, second = (self.volts[n] for n in part.nodes)
            if state == "breakdown":
                first, second = second, first
            drops.append(Line(add((1, first), (-1, second)), Symbol(names.drop(part, state))))
        work.add(
            "Junctions",
            "Each conducting junction ties two node voltages together:",
            lines=drops,
            reason="constant junction voltage",
            loop=(self.transistor.name, *(p.name for p in self.diodes)),
        )
        self.lines = [*kirchhoff, *drops]
        if len(self.lines) != len(self.symbols):
            raise DerivationError("Node equations and unknowns do not match.")

    def _leaving(self, node: str) -> Expr:
        names, here = self.work.names, self.volts[node]
        terms: list[tuple[int, Expr]] = []
        for part in self.parts:
            if node not in part.nodes or part.kind in (Kind.DIODE, Kind.ZENER):
                continue
            place = part.nodes.index(node)
            if part.kind is Kind.RESISTOR:
                there = self.volts[part.nodes[1 - place]]
                terms.append((1, divide(add((1, here), (-1, there)), Symbol(part.name))))
            elif part.kind is Kind.CURRENT_SOURCE:
                terms.append((1 if place == 0 else -1, Symbol(part.name)))
        for part in self.diodes:
            if node in part.nodes:
                into = 1 if part.nodes.index(node) == 0 else -1
                way = -into if self.work.states[part.name] == "breakdown" else into
                terms.append((way, Symbol(names.branch_current(part.name))))
        beta = names.beta(self.transistor)
        I_B = Symbol(names.current("B", self.transistor))
        gains = {"C": Symbol(beta), "B": None, "E": self.work.atoms.atom_expr(f"{beta}+1")}
        turn = 1 if self.transistor.kind is Kind.NPN else -1
        for letter, end in zip("CBE", self.transistor.nodes, strict=True):
            if end == node:
                gain = gains[letter]
                term: Expr = I_B if gain is None else multiply(gain, I_B)
                terms.append((turn * (-1 if letter == "E" else 1), term))
        return add(*sorted(terms, key=lambda term: -term[0]))

    def check(self, point: OperatingPoint) -> None:
        """Every equation at the solved point and at random values."""
        import random

        work = self.work
        chance = random.Random(len(work.circuit.parts))  # noqa: S311  repeatable trial values
        sets = [dict(work.given), *(random_values(work, chance) for _ in range(DRAWS))]
        for place, given in enumerate(sets):
            nodal = solve_nodes(work.circuit, work.names, work.states, given)
            values = self._observed(given, nodal)
            if place == 0:
                for node, symbol in self.unknown.items():
                    if abs(values[symbol] - point.nodes[node]) > 1e-6 * self._scale(values):
                        raise DerivationError(f"{symbol} does not agree with the solved point.")
            for line in self.lines:
                self._holds(line, values)

    def _observed(self, given: Mapping[str, float], nodal: Nodal) -> dict[str, float]:
        values = observed(self.work, given, nodal)
        values |= {symbol: nodal.volts[node] for node, symbol in self.unknown.items()}
        for part in self.diodes:
            values[self.work.names.branch_current(part.name)] = nodal.amps[part.name]
        return values

    def _scale(self, values: Mapping[str, float]) -> float:
        return max([1.0, *(abs(values[s]) for s in self.unknown.values())])

    def _holds(self, line: Line, values: Mapping[str, float]) -> None:
        miss = abs(evaluate(line.left, values) - evaluate(line.right, values))
        largest = self._scale(values)
        if line.right == ZERO:
            ohms = [values[p.name] for p in self.parts if p.kind is Kind.RESISTOR]
            largest = largest / min(ohms, default=1.0)
        if miss > TOLERANCE * largest:
            raise DerivationError("A node equation does not hold at the solved point.")

    def solve(self) -> None:
        """Put in figures and solve the set."""
        work, n = self.work, len(self.symbols)
        work.add(
            "Put in figures",
            lines=[
                Line(substitute(x.left, work.number), substitute(x.right, work.number))
                for x in self.lines
            ],
            reason="stated values",
        )

        def misses(trial: Mapping[str, float]) -> list[float]:
            values = {**work.values, **trial}
            return [evaluate(x.left, values) - evaluate(x.right, values) for x in self.lines]

        nothing = dict.fromkeys(self.symbols, 0.0)
        rest = np.array(misses(nothing))
        columns = [np.array(misses({**nothing, s: 1.0})) - rest for s in self.symbols]
        found = np.linalg.solve(np.column_stack(columns), -rest)
        lines = []
        for symbol, value in zip(self.symbols, found, strict=True):
            work.values[symbol] = float(value)
            figure = Number(float(value), work.unit(symbol), symbol=symbol)
            lines.append(Line(Symbol(symbol), figure, None, figure))
        work.add(
            "Solve the set",
            f"{n} linear equations for {n} unknowns give",
            lines=lines,
            result=work.names.current("B", self.transistor),
            reason="linear equations",
            loop=(self.transistor.name,),
        )

    def transistor_figures(self) -> None:
        """The currents and V_CE of the transistor."""
        work, part, names = self.work, self.transistor, self.work.names
        I_B, I_C = (Symbol(names.current(x, part)) for x in "BC")
        beta = Symbol(names.beta(part))
        work.add(
            "Collector current",
            lines=[work.solved(I_C.name, multiply(beta, I_B), Sort.CURRENT)],
            result=I_C.name,
            reason="current gain",
            loop=(part.name,),
        )
        work.solved(names.current("E", part), add((1, I_C), (1, I_B)), Sort.CURRENT)
        top, bottom = (self.volts[part.node(t)] for t in ("collector", "emitter"))
        if part.kind is Kind.PNP:
            top, bottom = bottom, top
        span = names.span(part)
        work.add(
            "Collector–emitter voltage",
            lines=[work.solved(span, add((1, top), (-1, bottom)), Sort.VOLTAGE)],
            result=span,
            reason="difference of node voltages",
            loop=(part.name,),
        )
