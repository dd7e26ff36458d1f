"""A resistor for a wanted current: the working turned round, from the current to the part."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from steadypoint.circuit import GROUND, Circuit, Kind, Part, at_temperature
from steadypoint.derive._algebra import Sort
from steadypoint.derive._branches import picture
from steadypoint.derive._expr import (
    ZERO,
    Expr,
    Number,
    PartName,
    Symbol,
    add,
    divide,
    evaluate,
    multiply,
    parallel,
    substitute,
)
from steadypoint.derive._names import ACTIVE, FORWARD, Names, givens, is_signal_source
from steadypoint.derive._step import Derivation, Line, Step
from steadypoint.derive._wanted_values import reached_with, standard_values
from steadypoint.derive._working import Working
from steadypoint.errors import CircuitError, DerivationError
from steadypoint.values import format_quantity


def resistor_for(circuit: Circuit, resistor: str, current: str, value: float) -> Derivation:
    """Find the resistor that gives a transistor a wanted current, rearranged as on the board.

    Parameters
    ----------
    circuit : Circuit
        One bipolar transistor; the resistor's stated value plays no part.
    resistor : str
        Name of the resistor to find.
    current : str
        ``I_B``, ``I_C`` or ``I_E``, counted the way it flows in an active transistor.
    value : float
        The wanted current. [A]

    Returns
    -------
    Derivation
        From the wanted current to the voltage across the part, the current through it, their
        quotient, and the next standard values with the current that each gives. The exact value
        has been put back into ``solve`` and gives the wanted current.

    Raises
    ------
    CircuitError
        If no such resistor is there, or no resistance gives that current.
    DerivationError
        If the steps go in a circle.

    Examples
    --------
    >>> from steadypoint.circuit import read_sheet
    >>> working = resistor_for(read_sheet('''
    ... VCC = 12 V
    ... Q1 = npn, beta 100
    ... from VCC through RB 470k to Q1 base
    ... from VCC through RC 2k2 to Q1 collector
    ... from Q1 emitter to ground
    ... '''), "RB", "I_C", 2e-3)
    >>> round(working.value("RB"))
    565000
    """
    circuit = at_temperature(circuit)
    transistor = _asked(circuit, resistor, current, value)
    way = _Way(circuit, transistor, resistor)
    way.start(current, value)
    way.go_on()
    way.finish(current, value)
    steps = _needed(way.work.steps)
    return Derivation(circuit, "exact", steps, dict(way.work.values))


def _needed(steps: list[Step]) -> tuple[Step, ...]:
    """Without the steps that the resistor does not rest on."""
    last = len(steps) - 2  # the quotient; only the standard values follow
    kept, waiting = {0, last, last + 1}, [last]
    while waiting:
        before = set(steps[waiting.pop()].rests_on) - kept
        kept |= before
        waiting += before
    place = {old: new for new, old in enumerate(sorted(kept))}
    return tuple(
        replace(steps[i], rests_on=tuple(place[r] for r in steps[i].rests_on)) for i in sorted(kept)
    )


def _asked(circuit: Circuit, resistor: str, current: str, value: float) -> Part:
    found = [p for p in circuit.parts if p.name == resistor]
    resistors = ", ".join(p.name for p in circuit.parts if p.kind is Kind.RESISTOR)
    if not found or found[0].kind is not Kind.RESISTOR:
        raise CircuitError(f"'{resistor}' is no resistor of this circuit. There is {resistors}.")
    if len(circuit.transistors) != 1:
        raise CircuitError("A resistor for a wanted current is worked for one transistor only.")
    if current not in ("I_B", "I_C", "I_E"):
        raise CircuitError(f"'{current}' cannot be asked for. Use I_B, I_C or I_E.")
    if not value > 0:
        raise CircuitError("The wanted current must be greater than zero.")
    return circuit.transistors[0]


@dataclass
class _Way:
    """What is known so far: voltages of nodes and currents of parts, each as a symbol."""

    circuit: Circuit
    transistor: Part
    wanted: str
    volts: dict[str, Expr] = field(default_factory=dict)
    amps: dict[str, Expr] = field(default_factory=dict)

    def __post_init__(self) -> None:
        names = Names.of(self.circuit)
        given = givens(self.circuit, names)
        given.pop(self.wanted)
        states = {self.transistor.name: ACTIVE}
        states |= {p.name: FORWARD for p in self.circuit.parts if p.kind is Kind.DIODE}
        self.names = names
        self.work = Working(self.circuit, names, states, given)
        self.work.begin()
        self.seen = picture(self.circuit)
        self.parts = [p for p in self.seen.parts if len(p.nodes) == 2]
        (self.transistor,) = (p for p in self.seen.parts if p.kind.is_transistor)
        if any(p.kind is Kind.ZENER for p in self.parts):
            raise DerivationError("With a zener diode the way back to a resistor is not worked.")
        if self.wanted not in {p.name for p in self.parts}:
            raise CircuitError(f"{self.wanted} carries no direct current, so it sets none.")
        self._rails()

    def _rails(self) -> None:
        self.volts[GROUND] = ZERO
        for _ in self.parts:
            for part in self.parts:
                if part.kind not in (Kind.SUPPLY, Kind.VOLTAGE_SOURCE):
                    continue
                first, second = part.nodes
                own: Expr = ZERO if is_signal_source(part) else Symbol(part.name)
                if second in self.volts and first not in self.volts:
                    self.volts[first] = add((1, self.volts[second]), (1, own))
                elif first in self.volts and second not in self.volts:
                    self.volts[second] = add((1, self.volts[first]), (-1, own))
        for part in self.parts:
            if part.kind is Kind.CURRENT_SOURCE:
                self.amps[part.name] = Symbol(part.name)
        self.rails = set(self.volts)

    def start(self, current: str, value: float) -> None:
        """From one current of the transistor to the other two."""
        work, beta = self.work, Symbol("beta")
        work.values[current] = value
        figure = Number(value, "A", symbol=current, given=True)
        more = work.atoms.atom_expr("beta+1")
        lines = [Line(Symbol(current), figure, None, figure)]
        I_B, I_C, I_E = (Symbol(f"I_{x}") for x in "BCE")
        ways: dict[str, tuple[tuple[Symbol, Expr], ...]] = {
            "I_C": ((I_B, divide(I_C, beta)), (I_E, add((1, I_C), (1, I_B)))),
            "I_B": ((I_C, multiply(beta, I_B)), (I_E, add((1, I_C), (1, I_B)))),
            "I_E": ((I_B, divide(I_E, more)), (I_C, multiply(beta, I_B))),
        }
        for symbol, expr in ways[current]:
            lines.append(work.solved(symbol.name, expr, Sort.CURRENT))
        work.add(
            "Start from the wanted current",
            "The transistor is to be active, so the wanted current fixes the other two.",
            lines=lines,
            result=current,
            reason="current gain",
            loop=(self.transistor.name,),
        )

    def go_on(self) -> None:
        """Find whatever follows at once, until voltage and current of the part are known."""
        part = self.circuit.part(self.wanted)
        while not (set(part.nodes) <= set(self.volts) and part.name in self.amps):
            if not (self._junction() or self._ohm() or self._kirchhoff() or self._node()):
                raise DerivationError(self._stuck())

    def _stuck(self) -> str:
        return (
            f"The wanted current leads to no value of {self.wanted}: it does not set this current, "
            "or its voltage and current cannot be found one after the other. Choose another "
            "resistor."
        )

    def _junction(self) -> bool:
        base, emitter = (self.transistor.node(t) for t in ("base", "emitter"))
        sign = 1 if self.transistor.kind is Kind.NPN else -1
        drop = Symbol(self.names.junction(self.transistor))
        if emitter in self.volts and base not in self.volts:
            self._voltage(base, add((1, self.volts[emitter]), (sign, drop)), "from the emitter on")
            return True
        if base in self.volts and emitter not in self.volts:
            self._voltage(emitter, add((1, self.volts[base]), (-sign, drop)), "from the base on")
            return True
        for part in self.parts:
            if part.kind is not Kind.DIODE:
                continue
            first, second = part.nodes
            fall = Symbol(self.names.drop(part, FORWARD))
            if second in self.volts and first not in self.volts:
                self._voltage(first, add((1, self.volts[second]), (1, fall)), "across the diode")
                return True
            if first in self.volts and second not in self.volts:
                self._voltage(second, add((1, self.volts[first]), (-1, fall)), "across the diode")
                return True
        return False

    def _ohm(self) -> bool:
        for part in self.parts:
            if part.kind is not Kind.RESISTOR or part.name == self.wanted:
                continue
            first, second = part.nodes
            if part.name in self.amps:
                drop = multiply(self.amps[part.name], Symbol(part.name))
                if first in self.volts and second not in self.volts:
                    self._voltage(second, add((1, self.volts[first]), (-1, drop)), "", part)
                    return True
                if second in self.volts and first not in self.volts:
                    self._voltage(first, add((1, self.volts[second]), (1, drop)), "", part)
                    return True
            elif first in self.volts and second in self.volts and not {first, second} <= self.rails:
                expr = divide(self._between(first, second), Symbol(part.name))
                self._current(part, expr, "Ohm's law")
                return True
        return False

    def _between(self, first: str, second: str) -> Expr:
        return add((1, self.volts[first]), (-1, self.volts[second]))

    def _at(self, node: str) -> list[tuple[int, Expr | None, Part | None]]:
        """Currents that leave a node: sign, symbol when known, part."""
        out: list[tuple[int, Expr | None, Part | None]] = []
        for part in self.parts:
            for place, end in enumerate(part.nodes):
                if end == node:
                    out.append((1 if place == 0 else -1, self.amps.get(part.name), part))
        for letter, end in zip("CBE", self.transistor.nodes, strict=True):
            if end == node:
                into = letter != "E"
                sign = 1 if into == (self.transistor.kind is Kind.NPN) else -1
                out.append((sign, Symbol(f"I_{letter}"), None))
        return out

    def _nodes(self) -> list[str]:
        nodes = dict.fromkeys(n for p in self.seen.parts for n in p.nodes)
        return [n for n in nodes if n not in self.rails]

    def _kirchhoff(self) -> bool:
        for node in self._nodes():
            here = self._at(node)
            unknown = [(sign, part) for sign, amps, part in here if amps is None]
            if len(unknown) != 1:
                continue
            sign, part = unknown[0]
            if part is None:
                continue
            terms = [(-sign * s, amps) for s, amps, _ in here if amps is not None]
            terms.sort(key=lambda term: -term[0])
            self._current(part, add(*terms), "Kirchhoff's current law")
            return True
        return False

    def _node(self) -> bool:
        """A loaded divider: one node, known currents, resistors to known voltages."""
        for node in self._nodes():
            here = self._at(node)
            if node in self.volts or any(p and p.name == self.wanted for _, _, p in here):
                continue
            resistors = [p for _, amps, p in here if amps is None and p is not None]
            if not resistors or any(p.kind is not Kind.RESISTOR for p in resistors):
                continue
            far = {p.name: p.nodes[1] if p.nodes[0] == node else p.nodes[0] for p in resistors}
            if not set(far.values()) <= set(self.volts):
                continue
            feeds = [(1, divide(self.volts[far[p.name]], Symbol(p.name))) for p in resistors]
            loads = [(-s, amps) for s, amps, _ in here if amps is not None]
            inside = add(*(f for f in feeds if f[1] != ZERO), *loads)
            expr = multiply(inside, parallel(*(Symbol(p.name) for p in resistors)))
            self._voltage(node, expr, "from its node equation")
            return True
        return False

    def _symbol(self, node: str) -> str:
        for letter, end in zip("BEC", (self.transistor.node(t) for t in _TERMINALS), strict=True):
            if end == node:
                return f"V_{letter}"
        inner = [n for n in self._nodes() if n not in self.transistor.nodes]
        return f"V_{inner.index(node) + 1}"

    def _voltage(self, node: str, expr: Expr, why: str, part: Part | None = None) -> None:
        symbol = self._symbol(node)
        line = self.work.solved(symbol, expr, Sort.VOLTAGE)
        words = (why,) if part is None else ("over ", PartName(part.name))
        self.work.add(
            "Voltage " + symbol,
            "Against ground, ",
            *words,
            ":",
            lines=[line],
            result=symbol,
            reason="Kirchhoff's voltage law",
            loop=(part.name,) if part else (self.transistor.name,),
        )
        self.volts[node] = Symbol(symbol)

    def _current(self, part: Part, expr: Expr, law: str) -> None:
        symbol = f"I_{part.name}"
        if isinstance(expr, Symbol):
            self.amps[part.name] = expr  # the same current goes on
            return
        line = self.work.solved(symbol, expr, Sort.CURRENT)
        self.work.add(
            f"Current through {part.name}",
            f"By {law}:",
            lines=[line],
            result=symbol,
            reason=law,
            loop=(part.name,),
        )
        self.amps[part.name] = Symbol(symbol)

    def finish(self, current: str, value: float) -> None:
        """Quotient, proof by ``solve``, and standard values."""
        part = self.circuit.part(self.wanted)
        across, through = self._between(*part.nodes), self.amps[part.name]
        volts, amps = (evaluate(x, self.work.values) for x in (across, through))
        goal = f"{current} = {format_quantity(value, 'A', 3)}"
        if amps == 0.0 or not volts / amps > 0.0:
            raise CircuitError(
                f"No {part.name} gives {goal}: {format_quantity(volts, 'V', 3)} would stand across "
                f"it while {format_quantity(amps, 'A', 3)} flows. Ask for another current."
            )
        ohms = volts / amps
        reached, V_CE, active = reached_with(self.circuit, part.name, ohms, current)
        if not active or abs(reached - value) > 1e-6 * value:
            raise CircuitError(
                f"No {part.name} gives {goal} in the active region: with "
                f"{format_quantity(ohms, 'Ω', 3)} the transistor carries only "
                f"{format_quantity(reached, 'A', 3)}. Ask for less current or change the rest."
            )
        line = self.work.solved(part.name, divide(across, through), Sort.RESISTANCE)
        figures = substitute(line.right, self.work.number)
        self.work.add(
            f"Solve for {part.name}",
            "The voltage across ",
            PartName(part.name),
            " over the current through it:",
            lines=[Line(line.left, line.right, figures, Number(ohms, "Ω", symbol=part.name))],
            result=part.name,
            reason="Ohm's law",
            loop=(part.name,),
            remark=(
                "Put back into the circuit this gives ",
                Symbol(current),
                " = ",
                Number(reached, "A"),
                " and ",
                Symbol(self.names.span(self.transistor)),
                " = ",
                Number(V_CE, "V"),
                ": active, as assumed.",
            ),
        )
        standard_values(self.work, self.circuit, part.name, (ohms, current, value))


_TERMINALS = ("base", "emitter", "collector")
