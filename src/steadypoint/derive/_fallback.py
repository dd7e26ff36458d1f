"""Systematic node equations, for the circuits where the loop method does not carry."""

from __future__ import annotations

from steadypoint.circuit import GROUND, Kind, Part
from steadypoint.derive._algebra import Sort
from steadypoint.derive._branches import fixed_nodes, picture
from steadypoint.derive._expr import ZERO, Expr, Number, Symbol, add, divide, evaluate
from steadypoint.derive._regions import open_capacitors
from steadypoint.derive._step import Line
from steadypoint.derive._working import Working
from steadypoint.errors import DerivationError
from steadypoint.solve import OperatingPoint


def node_equations(work: Working, point: OperatingPoint) -> None:
    """Write Kirchhoff's current law for every node and state the solution of the set.

    Parameters
    ----------
    work : Working
        An empty working.
    point : OperatingPoint
        The solved point; its figures are the solution.

    Raises
    ------
    DerivationError
        If even these equations do not hold at the solved point.
    """
    work.begin()
    seen = picture(work.circuit)
    open_capacitors(work, (seen.capacitors, seen.shorts, seen.idle, seen.bleeders))
    fixed = fixed_nodes(seen.parts)
    values, labels = solved_values(work, point)
    lines = []
    for node in dict.fromkeys(n for p in seen.parts for n in p.nodes):
        if node in fixed:
            continue
        line = Line(sum_at(work, seen.parts, node, labels), ZERO)
        if not board_leaves_out(work, node):
            largest = max(
                (abs(point.parts[p.name].I) for p in seen.parts if p.name in point.parts),
                default=1.0,
            )
            if abs(evaluate(line.left, values)) > 1e-6 * max(largest, 1e-9):
                raise DerivationError(f"The node equation of {node} does not hold.")
        lines.append(line)
    work.values |= values
    work.add(
        "Node equations",
        "No short way of loops leads to this point, so Kirchhoff’s current law is written for "
        "every node; together with the laws of the transistors they are solved with figures.",
        lines=lines,
        reason="Kirchhoff's current law",
        loop=tuple(p.name for p in seen.parts),
    )
    transistor_figures(work, values)


def board_leaves_out(work: Working, node: str) -> bool:
    """True where the board leaves a current out, so that the full sum does not close."""
    for item in work.neglects:
        part = work.circuit.part(item.transistor)
        if item.node == node or (item.kind == "emitter" and part.node("emitter") == node):
            return True
    return False


def solved_values(work: Working, point: OperatingPoint) -> tuple[dict[str, float], dict[str, str]]:
    """Values of all symbols at a solved point, and the symbol of each node's voltage."""
    values = dict(work.given)
    labels: dict[str, str] = {}
    names = work.names
    for part in work.circuit.transistors:
        solved = point.transistors[part.name]
        sign = 1.0 if part.kind is Kind.NPN else -1.0
        amps, span = (solved.I_B, solved.I_C, solved.I_E), solved.V_CE
        if part.name in names.swapped:
            amps, span = (solved.I_B, -solved.I_E, -solved.I_C), -span
        for letter, value in zip("BCE", amps, strict=True):
            values[names.current(letter, part)] = sign * value
        values[names.span(part)] = sign * span
        for letter, terminal in zip("CBE", part.nodes, strict=True):
            symbol = names.node(letter, part)
            values[symbol] = point.nodes[terminal]
            labels.setdefault(terminal, symbol)
    for part in work.circuit.parts:
        if part.kind in (Kind.DIODE, Kind.ZENER):
            values[names.branch_current(part.name)] = point.parts[part.name].I
    for place, node in enumerate(n for n in work.circuit.nodes if n not in labels):
        labels[node] = f"V_{place + 1}"
        values[labels[node]] = point.nodes[node]
    for part in work.circuit.supplies:
        labels[part.nodes[0]] = part.name
    for symbol in labels.values():
        work.atoms.declare(symbol, Sort.VOLTAGE)
    return values, labels


def sum_at(work: Working, parts: tuple[Part, ...], node: str, labels: dict[str, str]) -> Expr:
    """Currents that leave a node."""
    terms: list[tuple[int, Expr]] = []
    here = Symbol(labels[node])
    for part in parts:
        for place, end in enumerate(part.nodes):
            if end != node:
                continue
            other = part.nodes[1 - place] if len(part.nodes) == 2 else ""
            if part.kind is Kind.RESISTOR:
                there = ZERO if other == GROUND else Symbol(labels[other])
                terms.append((1, divide(add((1, here), (-1, there)), Symbol(part.name))))
            elif part.kind.is_fet:
                continue  # the caller adds the channels
            elif part.kind.is_transistor:
                letter = "CBE"[place]
                into = 1 if letter in "CB" else -1
                sign = into if part.kind is Kind.NPN else -into
                terms.append((sign, Symbol(work.names.current(letter, part))))
            elif part.kind is Kind.CURRENT_SOURCE:
                terms.append((1 if place == 0 else -1, Symbol(part.name)))
            else:
                terms.append(
                    (1 if place == 0 else -1, Symbol(work.names.branch_current(part.name)))
                )
    return add(*sorted(terms, key=lambda t: -t[0]))


def transistor_figures(work: Working, values: dict[str, float]) -> None:
    """State the solution for each bipolar transistor."""
    for part in work.circuit.transistors:
        names = work.names
        lines = []
        for symbol, unit in (
            (names.current("B", part), "A"),
            (names.current("C", part), "A"),
            (names.span(part), "V"),
        ):
            figure = Number(values[symbol], unit, symbol=symbol)
            lines.append(Line(Symbol(symbol), figure, None, figure))
        work.add(
            f"Solution for {part.name}",
            "The set of equations gives",
            lines=lines,
            result=names.current("C", part),
            reason="solution of the set",
            loop=(part.name,),
        )
