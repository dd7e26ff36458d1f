"""Node equations of circuits with field-effect transistors, where no short way leads to the point.

Several field-effect transistors, some beside bipolar ones or diodes, a drain current that a current
source dictates: Kirchhoff's current law at every node and one law for each device, in letters; the
set is solved with figures and every line is held against ``solve``, here and at random values.
"""

from __future__ import annotations

import random
import re
from collections.abc import Mapping
from dataclasses import replace

from steadypoint.circuit import GROUND, Kind, Part
from steadypoint.derive._algebra import Sort
from steadypoint.derive._branches import fixed_nodes, picture
from steadypoint.derive._channel import Channel
from steadypoint.derive._expr import (
    ZERO,
    Expr,
    Number,
    Symbol,
    add,
    evaluate,
    multiply,
)
from steadypoint.derive._fallback import board_leaves_out, solved_values, sum_at, transistor_figures
from steadypoint.derive._names import ACTIVE, BREAKDOWN, CUTOFF, OFF, givens, in_reverse
from steadypoint.derive._regions import assumptions, check_regions, open_capacitors
from steadypoint.derive._step import Line
from steadypoint.derive._working import Working
from steadypoint.errors import DerivationError, SteadypointError
from steadypoint.solve import OperatingPoint, Region, operating_point
from steadypoint.values import Quantity

TOLERANCE = 1e-6
"""Largest relative miss of a line against ``solve``. [-]"""

DRAWS = 2
"""Sets of random values at which every line is checked. [-]"""


def fet_node_equations(work: Working, point: OperatingPoint) -> None:
    """Write the node equations and the laws of all devices, state and check the solution.

    Parameters
    ----------
    work : Working
        An empty working.
    point : OperatingPoint
        The solved point; its figures are the solution.

    Raises
    ------
    DerivationError
        If a line does not hold at the solved point or at random values.
    """
    work.begin()
    seen = picture(work.circuit)
    open_capacitors(work, (seen.capacitors, seen.shorts, (), seen.bleeders))
    channels = [Channel(work.circuit, p, point.fets[p.name]) for p in work.circuit.fets]
    for channel in channels:
        work.values |= channel.stated()
        work.atoms.declare(channel.opens, Sort.VOLTAGE)
        work.atoms.declare(channel.I_D, Sort.CURRENT)
        for pair in ("GS", "DS"):
            work.atoms.declare(channel.pair(pair), Sort.VOLTAGE)
    _assume(work, channels)
    values, labels = _values(work, point, channels)
    nodes = _node_lines(work, seen.parts, labels, channels)
    laws = [line for channel in channels for line in _law_lines(channel, labels)]
    laws += [
        line for part in work.circuit.transistors for line in _bipolar_lines(work, part, labels)
    ]
    diodes = [p for p in work.circuit.parts if p.kind in (Kind.DIODE, Kind.ZENER)]
    laws += [line for part in diodes for line in _diode_lines(work, part, labels)]
    laws = [line for line in laws if line.left != line.right]
    _hold(work, [*nodes.values(), *laws], values, point)
    _hold_elsewhere(work, [*nodes.values(), *laws], channels, point)
    kept = dict(work.values)
    work.values |= values
    work.add(
        "Node equations",
        "Each transistor's current hangs on the others', so Kirchhoff’s current law is written for "
        "every node that no supply holds. The gates draw no current.",
        lines=list(nodes.values()),
        reason="Kirchhoff's current law",
        loop=tuple(p.name for p in seen.parts),
    )
    work.values = kept
    work.add(
        "Laws of the transistors",
        "With these there are as many equations as unknowns:",
        lines=laws,
        reason="square law of the channel",
        loop=tuple(p.name for p in (*work.circuit.fets, *work.circuit.transistors)),
    )
    work.values |= values
    for channel in channels:
        _figures(work, channel)
    transistor_figures(work, values)
    said: list[str | Expr] = []
    for channel in channels:
        said += [*(" " if said else ""), *channel.checked(values)]
    names = tuple(c.part.name for c in channels)
    work.add("Check the region", *said, reason="conditions of the region", loop=names)
    if work.circuit.transistors:
        check_regions(work)


def _assume(work: Working, channels: list[Channel]) -> None:
    said: list[str | Expr] = []
    for channel in channels:
        said += [*(" " if said else ""), *channel.words()]
    names = tuple(c.part.name for c in channels)
    work.add(
        "Assumptions",
        *said,
        " To be checked at the end.",
        reason="square law of the channel",
        loop=names,
    )
    if work.states:
        first = work.steps.pop()
        assumptions(work, anew=False)
        second = work.steps.pop()
        work.add(
            "Assumptions",
            *first.sentence[:-1],
            " ",
            *second.sentence,
            reason=first.reason,
            loop=(*first.loop, *second.loop),
        )


def _values(
    work: Working, point: OperatingPoint, channels: list[Channel]
) -> tuple[dict[str, float], dict[str, str]]:
    values, labels = solved_values(work, point)
    fixed = fixed_nodes(work.circuit.parts)
    taken = {label for node, label in labels.items() if node in work.circuit.nodes}
    for channel in channels:
        values |= channel.values(point) | channel.stated()
        for letter, node in zip("DGS", channel.part.nodes, strict=True):
            held = labels[node] in taken and not re.fullmatch(r"V_\d+", labels[node])
            if node in fixed or held:
                continue
            labels[node] = channel.node(letter)
            taken.add(labels[node])
    for node, label in labels.items():
        values[label] = point.nodes[node]
        work.atoms.declare(label, Sort.VOLTAGE)
    for part in work.circuit.parts:
        if part.kind in (Kind.VOLTAGE_SOURCE, Kind.SUPPLY, Kind.INDUCTOR):
            values[work.names.branch_current(part.name)] = point.parts[part.name].I
    return values, labels


def _node_lines(
    work: Working, parts: tuple[Part, ...], labels: dict[str, str], channels: list[Channel]
) -> dict[str, Line]:
    fixed = fixed_nodes(parts)
    out = {}
    for node in dict.fromkeys(n for p in parts for n in p.nodes):
        if node in fixed:
            continue
        terms = [(1, sum_at(work, parts, node, labels))]
        for channel in channels:
            drain, _, source = channel.part.nodes
            sign = 1 if channel.n_channel else -1
            for end, way in ((drain, sign), (source, -sign)):
                if end == node:
                    terms.append((way, Symbol(channel.I_D)))
        expr = add(*terms)
        if expr != ZERO:
            out[node] = Line(expr, ZERO)
    return out


def _law_lines(channel: Channel, labels: Mapping[str, str]) -> list[Line]:
    drain, gate, source = channel.part.nodes
    turn = not channel.n_channel
    return [
        Line(Symbol(channel.I_D), channel.law()),
        Line(Symbol(channel.pair("GS")), _across(gate, source, labels, turn=turn)),
        Line(Symbol(channel.pair("DS")), _across(drain, source, labels, turn=turn)),
    ]


def _bipolar_lines(work: Working, part: Part, labels: Mapping[str, str]) -> list[Line]:
    names, state = work.names, work.states[part.name]
    I_B, I_C, I_E = (Symbol(names.current(letter, part)) for letter in "BCE")
    whole: Expr = I_C if part.name in work.equal_I_E else add((1, I_C), (1, I_B))
    turn = part.kind is Kind.PNP
    collector, base, emitter = part.nodes
    if state == CUTOFF:
        return [Line(I_B, ZERO), Line(I_C, ZERO), Line(I_E, ZERO)]
    drop = Line(Symbol(names.junction(part)), _across(base, emitter, labels, turn=turn))
    if state == ACTIVE:
        return [drop, Line(I_C, multiply(Symbol(names.beta(part)), I_B)), Line(I_E, whole)]
    span = Line(Symbol(names.saturated(part)), _across(collector, emitter, labels, turn=turn))
    return [drop, span, Line(I_E, whole)]


def _diode_lines(work: Working, part: Part, labels: Mapping[str, str]) -> list[Line]:
    state, amps = work.states[part.name], Symbol(work.names.branch_current(part.name))
    if state == OFF:
        return [Line(amps, ZERO)]
    first, second = part.nodes
    across = _across(first, second, labels, turn=state == BREAKDOWN)
    return [Line(Symbol(work.names.drop(part, state)), across)]


def _across(first: str, second: str, labels: Mapping[str, str], *, turn: bool) -> Expr:
    """Voltage between two nodes, the other way round when turned."""
    terms = [
        (sign, ZERO if node == GROUND else Symbol(labels[node]))
        for node, sign in ((first, -1 if turn else 1), (second, 1 if turn else -1))
    ]
    return add(*sorted(terms, key=lambda t: -t[0]))


def _hold(
    work: Working, lines: list[Line], values: Mapping[str, float], point: OperatingPoint
) -> None:
    amps = max([1e-9, *(abs(p.I) for p in point.parts.values())])
    volts = max([1e-3, *(abs(v) for v in point.nodes.values())])
    left_out = any(board_leaves_out(work, node) for node in work.circuit.nodes)
    for line in lines:
        if line.right == ZERO and left_out and not isinstance(line.left, Symbol):
            continue  # the board leaves currents out of its sums
        left, right = evaluate(line.left, values), evaluate(line.right, values)
        voltage = isinstance(line.left, Symbol) and line.left.name.startswith("V")
        if abs(left - right) > TOLERANCE * (volts if voltage else amps):
            raise DerivationError("An equation of the set does not hold at the solved point.")


def _hold_elsewhere(
    work: Working, lines: list[Line], channels: list[Channel], point: OperatingPoint
) -> None:
    """Every line at random values, where the regions stay."""
    chance = random.Random(len(work.circuit.parts))  # noqa: S311  repeatable trial values
    regions = _regions(point)
    for _ in range(DRAWS):
        sheet = point.circuit
        for part in sheet.parts:
            if part.kind is Kind.RESISTOR and part.value is not None:
                ohms = part.value.value * (1.0 + chance.uniform(-0.1, 0.1))
                sheet = sheet.with_part(replace(part, value=Quantity(ohms, "Ω")))
        try:
            other = operating_point(sheet, "board" if work.board else "exact")
        except SteadypointError:
            continue
        if _regions(other) != regions or _diodes(other) != _diodes(point):
            continue
        circuit = in_reverse(sheet, work.names.swapped)
        trial = Working(circuit, work.names, work.states, givens(circuit, work.names), work.board)
        trial.neglects, trial.equal_I_E = work.neglects, work.equal_I_E
        trial.begin()
        values, _ = _values(trial, other, channels)
        _hold(work, lines, values, other)


def _regions(point: OperatingPoint) -> dict[str, Region]:
    out = {name: fet.region for name, fet in point.fets.items()}
    return out | {name: transistor.region for name, transistor in point.transistors.items()}


def _diodes(point: OperatingPoint) -> dict[str, int]:
    kinds = (Kind.DIODE, Kind.ZENER)
    amps = {p.name: point.parts[p.name].I for p in point.circuit.parts if p.kind in kinds}
    return {n: (i > 1e-15) - (i < -1e-15) for n, i in amps.items()}


def _figures(work: Working, channel: Channel) -> None:
    lines = []
    for symbol in (channel.pair("GS"), channel.I_D, channel.pair("DS")):
        unit = "A" if symbol == channel.I_D else "V"
        figure = Number(work.values[symbol], unit, symbol=symbol)
        lines.append(Line(Symbol(symbol), figure, None, figure))
    conducts = channel.solved.region is not Region.CUTOFF
    work.add(
        f"Solution for {channel.part.name}",
        "The set, solved with figures, gives",
        lines=lines,
        result=channel.I_D,
        reason="solution of the set",
        loop=(channel.part.name,),
        remark=(
            "A square has two roots; this is the one with an open channel, the other would put the "
            "gate beyond its threshold.",
        )
        if conducts
        else (),
    )


__all__ = ["fet_node_equations"]
