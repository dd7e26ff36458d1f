"""The order of a lecture: picture, assumptions, loops, figures, regions."""

from __future__ import annotations

from dataclasses import dataclass

from steadypoint.circuit import Kind, Part
from steadypoint.derive._algebra import Sort
from steadypoint.derive._branches import Picture, picture
from steadypoint.derive._equations import Equations
from steadypoint.derive._expr import ZERO, Number, Symbol, symbols
from steadypoint.derive._loops import between, parts_round
from steadypoint.derive._mirrors import base_current_error
from steadypoint.derive._multiplier import multiplier
from steadypoint.derive._names import ACTIVE, CUTOFF, SATURATION
from steadypoint.derive._network import build, say_currents
from steadypoint.derive._nodal import solve_nodes
from steadypoint.derive._output import node_voltages, output_loop, positive_first, require
from steadypoint.derive._regions import (
    assumptions,
    called,
    check_regions,
    contradiction,
    equals,
    open_capacitors,
)
from steadypoint.derive._shortcuts import shortcuts
from steadypoint.derive._solution import Solution
from steadypoint.derive._step import Line
from steadypoint.derive._working import Working, close_segment


@dataclass
class Solved:
    """What an attempt leaves for the discussion."""

    equations: Equations
    solution: Solution


def lecture(work: Working, *, opened: bool = False) -> Solved:
    """Write the whole working of a circuit whose regions are known.

    Parameters
    ----------
    work : Working
        With the states that hold.
    opened : bool, default False
        True where the direct-current picture stands on the board already.

    Returns
    -------
    Solved

    Raises
    ------
    DerivationError
        If the loop method does not carry.
    """
    work.begin()
    seen = picture(work.circuit)
    if not opened:
        open_capacitors(work, (seen.capacitors, seen.shorts, seen.idle, seen.bleeders))
    single = work.circuit.transistors[0] if work.names.single else None
    true_states = dict(work.states)
    first = True
    if single is not None and true_states[single.name] == SATURATION:
        work.states = true_states | {single.name: ACTIVE}
        if _fails_first(work, seen, single):
            first = False
        work.states = true_states
    if single is not None and true_states[single.name] == CUTOFF:
        return _cut_off(work, seen, single)
    return _attempt(work, seen, first=first)


def _settle(work: Working) -> None:
    work.nodal = solve_nodes(
        work.circuit, work.names, work.states, work.given, neglects=work.neglects
    )


def _attempt(work: Working, seen: Picture, *, first: bool) -> Solved:
    found_before = dict(work.found_in)
    work.begin()
    _settle(work)
    start = len(work.steps)
    assumptions(work, anew=not first)
    for part in work.circuit.transistors:
        if work.states[part.name] == CUTOFF:
            work.values |= {work.names.current(letter, part): 0.0 for letter in "BCE"}
    if first:
        shortcuts(work)
    _saturation_drops(work)
    length = len(work.steps)
    marked, loops = build(work, seen)
    if not first:
        # the equivalents stand on the board already
        del work.steps[length:]
        work.found_in = {
            s: found_before.get(s, i)
            for s, i in work.found_in.items()
            if s in found_before or i < length
        }
    eq = Equations(work, marked)
    if first:
        say_currents(work, eq)
    solution = Solution(work, eq, loops)
    solution.run()
    base_current_error(work, eq, loops)
    for part in marked.transistors:
        output_loop(work, eq, part)
        multiplier(work, eq, part)
    for part in work.circuit.transistors:
        if work.states[part.name] == CUTOFF:
            _stays_off(work, eq, part)
    node_voltages(work, eq)
    check_regions(work)
    close_segment(work, start)
    return Solved(eq, solution)


def _saturation_drops(work: Working) -> None:
    """In saturation V_CE is what was assumed."""
    for part in work.circuit.transistors:
        if work.states[part.name] == SATURATION:
            expr = Symbol(work.names.saturated(part))
            line = work.solved(work.names.span(part), expr, Sort.VOLTAGE)
            place = len(work.steps) - 1
            step = work.steps[place]
            from dataclasses import replace

            work.steps[place] = replace(step, lines=(*step.lines, line))
            work.found_in[work.names.span(part)] = place


def _fails_first(work: Working, seen: Picture, part: Part) -> bool:
    """Assume active, find the contradiction; nothing is written when that teaches nothing."""
    from steadypoint.errors import DerivationError

    mark = len(work.steps)
    try:
        _settle(work)
        if work.nodal is None or work.nodal.amps[work.names.current("B", part)] <= 0:
            return False
        assumptions(work, anew=False)
        marked, loops = build(work, seen)
        eq = Equations(work, marked)
        say_currents(work, eq)
        Solution(work, eq, loops).run()
        output_loop(work, eq, part)
        span, sat = work.names.span(part), work.names.saturated(part)
        if work.values[span] >= work.values[sat]:
            raise DerivationError("No contradiction.")
    except DerivationError:
        del work.steps[mark:]
        return False
    contradiction(work, part)
    close_segment(work, mark)
    return True


def _cut_off(work: Working, seen: Picture, part: Part) -> Solved:
    """Compare the open-circuit voltage with V_BE before anything is assumed to conduct."""
    _settle(work)
    start = len(work.steps)
    marked, loops = build(work, seen)
    eq = Equations(work, marked)
    solution = Solution(work, eq, loops)
    solution.run()
    _is_it_enough(work, eq, part)
    _no_currents(work, part)
    _open_output(work, eq, part)
    node_voltages_cut_off(work, eq, part)
    close_segment(work, start)
    return Solved(eq, solution)


def _is_it_enough(work: Working, eq: Equations, part: Part) -> None:
    """The voltage that stands between base and emitter of a transistor taken out."""
    base, emitter = part.node("base"), part.node("emitter")
    if part.kind is Kind.PNP:
        base, emitter = emitter, base
    way = between(eq.marked, emitter, base)
    if way is None:
        return
    junction, who = work.names.junction(part), called(work, part)
    expr = positive_first(eq, way)
    require(work, expr)
    line = work.solved(f"{junction}_open", expr, Sort.VOLTAGE)
    work.add(
        "Is it enough to conduct?" if work.names.single else f"Does {part.name} conduct?",
        f"Take {who} out. What stands between base and emitter then?",
        lines=[line],
        result=f"{junction}_open",
        reason="Kirchhoff's voltage law",
        loop=parts_round(way, work.aliases),
        remark=(
            "That is less than ",
            equals(work, junction),
            f": the base–emitter junction does not conduct. {who[0].upper()}{who[1:]} is cut off.",
        ),
    )


def _stays_off(work: Working, eq: Equations, part: Part) -> None:
    """A cut-off transistor among others: its open base and what stands across it."""
    _is_it_enough(work, eq, part)
    bottom, top = part.node("emitter"), part.node("collector")
    if part.kind is Kind.PNP:
        bottom, top = top, bottom
    way = between(eq.marked, bottom, top)
    if way is None:
        return
    expr = positive_first(eq, way)
    require(work, expr)
    span = work.names.span(part)
    line = work.solved(span, expr, Sort.VOLTAGE, eq.sign(way))
    work.add(
        f"Output loop of {part.name}",
        f"No current flows through {part.name}; across it stands",
        lines=[line],
        result=span,
        reason="Kirchhoff's voltage law",
        loop=parts_round(way, work.aliases),
    )


def _no_currents(work: Working, part: Part) -> None:
    lines = []
    for letter in "BCE":
        symbol = work.names.current(letter, part)
        work.atoms.declare(symbol, Sort.CURRENT)
        work.values[symbol] = 0.0
        lines.append(Line(Symbol(symbol), ZERO, None, Number(0.0, "A", symbol=symbol)))
        work.found_in[symbol] = len(work.steps)
    result = work.names.current("C", part)
    work.add(
        "Currents",
        "All three currents are zero.",
        lines=lines,
        result=result,
        reason="cut-off",
        loop=(part.name,),
    )


def _open_output(work: Working, eq: Equations, part: Part) -> None:
    bottom, top = part.node("emitter"), part.node("collector")
    if part.kind is Kind.PNP:
        bottom, top = top, bottom
    way = between(eq.marked, bottom, top)
    if way is None:
        return
    expr = positive_first(eq, way)
    if any(s not in work.values for s in symbols(expr)):
        return
    span = work.names.span(part)
    line = work.solved(span, expr, Sort.VOLTAGE)
    work.add(
        "Output loop",
        "With no current through the transistor the whole of the rest stands across it:",
        lines=[line],
        result=span,
        reason="Kirchhoff's voltage law",
        loop=parts_round(way, work.aliases),
    )


def node_voltages_cut_off(work: Working, eq: Equations, part: Part) -> None:
    """Node voltages round a transistor that carries no current."""
    kept = eq.marked.transistors
    eq.marked.transistors = (part,)
    node_voltages(work, eq)
    eq.marked.transistors = kept
