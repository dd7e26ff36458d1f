"""The board itself: collects steps, puts figures in, remembers what rests on what."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from steadypoint.circuit import Circuit
from steadypoint.derive._algebra import Atoms, Poly, Sort
from steadypoint.derive._branches import Branch
from steadypoint.derive._expr import Expr, Number, Symbol, evaluate, substitute, symbols
from steadypoint.derive._names import Names
from steadypoint.derive._nodal import LeftOut, Nodal
from steadypoint.derive._step import Approximation, Line, Prose, Result, Step

_UNITS = {Sort.RESISTANCE: "Ω", Sort.VOLTAGE: "V", Sort.CURRENT: "A", Sort.GAIN: "", Sort.RATIO: ""}


class Segment(NamedTuple):
    """Steps that share assumed regions, with the network they speak of."""

    start: int
    end: int
    states: dict[str, str]
    branches: tuple[Branch, ...]


@dataclass
class Working:
    """State of a working while it is written.

    Parameters
    ----------
    circuit : Circuit
        What is worked.
    names : Names
        Letter symbols.
    states : dict of str to str
        Assumed state of each transistor and diode.
    given : mapping of str to float
        Stated symbols, SI units.
    board : bool
        True on the board rung.
    """

    circuit: Circuit
    names: Names
    states: dict[str, str]
    given: Mapping[str, float]
    board: bool = False
    nodal: Nodal | None = None
    atoms: Atoms = field(default_factory=Atoms)
    values: dict[str, float] = field(default_factory=dict)
    steps: list[Step] = field(default_factory=list)
    found_in: dict[str, int] = field(default_factory=dict)
    aliases: dict[str, tuple[str, ...]] = field(default_factory=dict)
    touched: set[str] = field(default_factory=set)
    equal_I_E: frozenset[str] = frozenset()
    log_law: frozenset[str] = frozenset()
    tied: frozenset[str] = frozenset()
    found: frozenset[str] = frozenset()
    """Currents that were found before and count as known from then on."""
    neglects: tuple[LeftOut, ...] = ()
    refused: tuple[LeftOut, ...] = ()
    budget: float = math.inf
    segments: list[Segment] = field(default_factory=list)
    branches: tuple[Branch, ...] = ()

    @property
    def solved_drops(self) -> frozenset[str]:
        """Junction drops that follow an exponential law instead of being stated."""
        parts = self.circuit.transistors
        return frozenset(self.names.junction(p) for p in parts if p.name in self.log_law)

    @property
    def _by_temperature(self) -> frozenset[float]:
        """Values that a temperature law gave, with digits but not written: rounded where shown."""
        stated = (p.value for p in self.circuit.parts if p.value is not None)
        return frozenset(q.value for q in stated if q.digits and not q.written)

    def begin(self) -> None:
        """Forget what was found, keep what is written (a new attempt)."""
        self.values = dict(self.given)
        self.found_in = {}
        self.atoms = Atoms()
        for name in self.given:
            sort = sort_of(name, self.circuit)
            self.atoms.declare(name, sort)
            self.atoms.declare(f"|{name}|", sort)
            if sort is Sort.GAIN:
                self.atoms.declare(f"{name}+1", Sort.GAIN)
        for part in self.circuit.transistors:
            for letter in "BCE":
                self.atoms.declare(self.names.current(letter, part), Sort.CURRENT)
                self.atoms.declare(self.names.node(letter, part), Sort.VOLTAGE)
            self.atoms.declare(self.names.span(part), Sort.VOLTAGE)
            self.atoms.declare(self.names.beta(part) + "+1", Sort.GAIN)

    def unit(self, symbol: str) -> str:
        """SI unit of a symbol."""
        return _UNITS[self.atoms.sorts.get(symbol, Sort.RATIO)]

    def number(self, symbol: str) -> Expr:
        """Figure of a symbol."""
        if symbol not in self.values:
            return Symbol(symbol)
        computed = symbol in self.solved_drops
        value = self.values[symbol]
        stated = symbol in self.given and not computed and value not in self._by_temperature
        digits = 4 if computed else 3
        return Number(value, self.unit(symbol), symbol=symbol, given=stated, digits=digits)

    def solved(self, symbol: str, expr: Expr, sort: Sort, sign: str = "=") -> Line:
        """A line that solves for a symbol; its value is kept."""
        self.atoms.declare(symbol, sort)
        numbers = substitute(expr, self.number)
        value = evaluate(expr, self.values)
        self.values[symbol] = value
        if isinstance(numbers, Number):
            # a symbol that merely equals another keeps the other's figure
            figure = replace(numbers, unit=self.unit(symbol))
            return Line(Symbol(symbol), expr, None, figure, sign)
        figure = Number(value, self.unit(symbol), symbol=symbol)
        return Line(Symbol(symbol), expr, numbers, figure, sign)

    def write(self, poly: Poly) -> Expr:
        """A polynomial in good grouping."""
        return self.atoms.write(poly)

    def add(
        self,
        heading: str,
        *sentence: str | Expr,
        lines: Iterable[Line] = (),
        result: str = "",
        reason: str = "",
        loop: tuple[str, ...] = (),
        remark: Prose = (),
        approximation: Approximation | None = None,
    ) -> Step:
        """Write a step; what it rests on follows from the symbols in its lines."""
        lines = tuple(lines)
        own = {line.left.name for line in lines if isinstance(line.left, Symbol)}
        used = {s for line in lines for side in (line.left, line.right) for s in symbols(side)}
        rests_on = {self.found_in[s] for s in used - own if s in self.found_in}
        here = len(self.steps)
        found = Result(result, self.values[result], self.unit(result)) if result else None
        step = Step(
            heading,
            tuple(sentence),
            lines,
            found,
            reason,
            tuple(sorted(rests_on)),
            approximation,
            loop,
            remark,
        )
        self.steps.append(step)
        for line in lines:
            if isinstance(line.left, Symbol) and line.result is not None:
                self.found_in.setdefault(line.left.name, here)
        return step


def sort_of(name: str, circuit: Circuit) -> Sort:
    """Sort of a stated symbol."""
    from steadypoint.circuit import Kind

    if name.startswith("beta"):
        return Sort.GAIN
    for part in circuit.parts:
        if part.name == name:
            return {
                Kind.RESISTOR: Sort.RESISTANCE,
                Kind.CURRENT_SOURCE: Sort.CURRENT,
                Kind.SUPPLY: Sort.VOLTAGE,
                Kind.VOLTAGE_SOURCE: Sort.VOLTAGE,
            }.get(part.kind, Sort.VOLTAGE if part.kind is Kind.ZENER else Sort.RATIO)
    return Sort.VOLTAGE


def join_words(items: Iterable[str | Expr], word: str = "and") -> Prose:
    """``R1, R2 and R3`` as prose."""
    things = list(items)
    out: list[str | Expr] = []
    for place, thing in enumerate(things):
        if place:
            out.append(f" {word} " if place == len(things) - 1 else ", ")
        out.append(thing)
    return tuple(out)


def close_segment(work: Working, start: int) -> None:
    """Note that the steps from ``start`` on belong to the present assumptions."""
    work.segments.append(Segment(start, len(work.steps), dict(work.states), work.branches))
