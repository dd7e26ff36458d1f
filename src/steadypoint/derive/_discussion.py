"""After the figures: the limit in which β no longer matters, and how the point is held."""

from __future__ import annotations

from dataclasses import dataclass

from steadypoint.circuit import Kind, Part
from steadypoint.derive._algebra import Poly
from steadypoint.derive._causes import chain_parts, chains
from steadypoint.derive._expr import (
    Expr,
    Number,
    PartName,
    Relation,
    Symbol,
    divide,
    evaluate,
    multiply,
    substitute,
)
from steadypoint.derive._lecture import Solved
from steadypoint.derive._names import ACTIVE, OFF
from steadypoint.derive._nodal import LeftOut, solve_nodes
from steadypoint.derive._remedy import remedies
from steadypoint.derive._step import Line, Prose
from steadypoint.derive._working import Working, join_words
from steadypoint.errors import DerivationError

NO_FEEDBACK = 1e-6
"""Return ratio below which nothing is fed back. [-]"""

WELL_MET = 10.0
"""How many times larger makes "much larger"; common practice, no source. [-]"""


@dataclass(frozen=True)
class Closed:
    """A closed form I_B = right / (free + (β+1) shared + β driven)."""

    right: Poly
    free: Poly
    held: Poly
    opposing: Poly


def closed_form(work: Working, solved: Solved, part: Part) -> Closed | None:
    """Split the coefficient of a base current by what multiplies it.

    Returns
    -------
    Closed or None
        None where no gain stands in it; see :func:`split_form`.
    """
    form = split_form(work, solved, part)
    return form if form is not None and form.opposing else None


def split_form(work: Working, solved: Solved, part: Part) -> Closed | None:
    """Split the coefficient of a base current by what multiplies it, gain or none.

    Returns
    -------
    Closed or None
        ``free`` is what stands without a gain, ``held`` what I_B alone flows through when I_C is
        held, ``opposing`` what the collector current flows through in the base's loop.
    """
    names = work.names
    beta, I_B = names.beta(part), names.current("B", part)
    if I_B not in solved.solution.final:
        return None
    right, coefficient = solved.solution.final[I_B]
    free, shared, driven = Poly(), Poly(), Poly()
    for monomial, count in coefficient.terms.items():
        term = Poly({tuple(p for p in monomial if p[0] not in (beta, f"{beta}+1")): count})
        if (f"{beta}+1", 1) in monomial:
            shared = shared + term
        elif (beta, 1) in monomial:
            driven = driven + term
        else:
            free = free + term
    if any(n.startswith(("I_", "beta")) for n in (free + shared + driven).atoms):
        return None
    return Closed(right, free, free + shared, shared + driven)


def limit(work: Working, solved: Solved, part: Part) -> None:
    """The value that I_C tends to when β grows, and how far the condition is met."""
    form = closed_form(work, solved, part)
    if form is None or not form.free:
        return
    names = work.names
    beta, I_C = names.beta(part), names.current("C", part)
    small, large = work.write(form.free), multiply(Symbol(beta), work.write(form.opposing))
    ohms = Number(evaluate(small, work.values), "Ω"), Number(evaluate(large, work.values), "Ω")
    target = divide(work.write(form.right), work.write(form.opposing))
    value = evaluate(target, work.values)
    met = ohms[1].value / ohms[0].value
    line = Line(
        Symbol(I_C), target, substitute(target, work.number), Number(value, "A", symbol=I_C), "→"
    )
    if met <= 0.0 or not _is_limit(work, part, value):
        return  # a negative side is positive feedback: no large β makes such a point hold
    work.add(
        "Limit" + _of(work, part),
        "If ",
        Relation((small, large), "≪"),
        ", here ",
        ohms[0],
        " against ",
        ohms[1],
        ", the collector current no longer depends on ",
        Symbol(beta),
        ":",
        lines=[line],
        reason="limit for large β",
        loop=(part.name,),
        remark=how_far(value / work.values[I_C], met),
    )
    if met < WELL_MET:
        remedies(work, part, form.free, form.opposing, WELL_MET / met)


def _is_limit(work: Working, part: Part, value: float) -> bool:
    """The limit against the node equations with a very large gain."""
    more = dict(work.given)
    more[work.names.beta(part)] = 1e10
    I_C = work.names.current("C", part)
    try:
        found = solve_nodes(
            work.circuit, work.names, work.states, more, neglects=work.neglects
        ).amps[I_C]
    except DerivationError:
        return False
    return abs(found - value) <= 1e-5 * abs(value)


def how_far(ratio: float, met: float) -> Prose:
    """The limit over the value found, and whether the condition behind it is met.

    Parameters
    ----------
    ratio : float
        Limit over the value found. [-]
    met : float
        How many times larger the side that should be much larger is. [-]
    """
    if ratio > 2.0:
        first: Prose = ("The limit is ", Number(ratio, digits=2), " times the value found")
    else:
        side = " % above" if ratio > 1.0 else " % below"
        first = ("The limit lies ", Number(abs(ratio - 1.0) * 100, digits=2), side)
        first = (*first, " the value found")
    if met >= WELL_MET:
        return (*first, ": the condition is well met.")
    if met > 1.0:
        return (
            *first,
            ": the two should be ten times apart and are only ",
            Number(met, digits=2),
            " times apart, so the point still moves with β.",
        )
    return (*first, ": the condition is not met, and the point moves with β.")


def _of(work: Working, part: Part) -> str:
    return "" if work.names.single else f" for {part.name}"


def feedback(work: Working, solved: Solved, part: Part) -> None:
    """How the circuit opposes a change of I_C, in words, in figures, and with β doubled."""
    names = work.names
    T = -work.given[names.beta(part)] * _base_slope(work, part)
    heading = "Feedback" if names.single else f"Feedback on {part.name}"
    if abs(T) < NO_FEEDBACK:
        _unopposed(work, part, heading)
        return
    line = _ratio_line(work, solved, part, T)
    kind = (
        "The change is opposed: negative feedback."
        if T > 0
        else "The change is helped along: positive feedback, the point is not held."
    )
    work.add(
        heading,
        "Suppose ",
        Symbol(names.current("C", part)),
        " rises a little. ",
        *chains(work, part),
        kind,
        lines=[line] if line is not None else [],
        reason="return ratio",
        loop=(part.name, *dict.fromkeys(chain_parts(work, part))),
        remark=(*(_strength(work, part, T) if T > 0 else ()), *_doubled(work, part)),
    )


def _unopposed(work: Working, part: Part, heading: str) -> None:
    names = work.names
    beta, I_C = Symbol(names.beta(part)), Symbol(names.current("C", part))
    proportional: Prose = (". ",)
    if names.single:
        proportional = (": ", I_C, " is simply proportional to ", beta, ". ")
    work.add(
        heading,
        "A change of ",
        I_C,
        " alters nothing in the input loop, so nothing opposes it",
        *proportional,
        *_doubled(work, part),
        reason="return ratio",
        loop=(part.name,),
    )


def _ratio_line(work: Working, solved: Solved, part: Part, T: float) -> Line | None:
    """The return ratio in letters, where the closed form gives it and it agrees with ``T``."""
    beta = work.names.beta(part)
    symbol = "T" + work.names.index[part.name]
    form = closed_form(work, solved, part)
    if form is None or not form.held:
        return None
    ratio: Expr = Symbol(beta)
    if not form.opposing.same(form.held):
        top = multiply(Symbol(beta), work.write(form.opposing))
        ratio = divide(top, work.write(form.held))
    value = evaluate(ratio, work.values)
    if abs(value - T) > 1e-6 * abs(T):
        return None
    figures = substitute(ratio, work.number)
    whole = isinstance(figures, Number)
    return Line(Symbol(symbol), ratio, None if whole else figures, Number(value, symbol=symbol))


def _strength(work: Working, part: Part, T: float) -> Prose:
    symbol = "T" + work.names.index[part.name]
    return (
        "Once round the loop this is the return ratio ",
        Relation((Symbol(symbol), Number(T))),
        "; a small relative change of ",
        Symbol(work.names.beta(part)),
        " reaches ",
        Symbol(work.names.current("C", part)),
        " divided by ",
        Relation((_one_plus(symbol), Number(1.0 + T))),
        ". ",
    )


def _one_plus(symbol: str) -> Expr:
    from steadypoint.derive._expr import ONE, add

    return add((1, ONE), (1, Symbol(symbol)))


def _base_slope(work: Working, part: Part) -> float:
    """Change of I_B per ampere of I_C, the collector current being forced. [-]"""
    if work.nodal is None:
        return 0.0
    amps = work.nodal.amps[work.names.current("C", part)]
    step = max(abs(amps), 1e-9)
    try:
        first, second = (_forced(work, part, amps + more, work.neglects) for more in (0.0, step))
    except DerivationError:
        # where the board leaves I_B out altogether it no longer answers to I_C
        first, second = (_forced(work, part, amps + more, ()) for more in (0.0, step))
    return (second - first) / step


def _forced(work: Working, part: Part, amps: float, neglects: tuple[LeftOut, ...]) -> float:
    names = work.names
    solved = solve_nodes(
        work.circuit, names, work.states, work.given, forced={part.name: amps}, neglects=neglects
    )
    return solved.amps[names.current("B", part)]


def _doubled(work: Working, part: Part) -> Prose:
    """What doubling β does, the regions kept."""
    names = work.names
    I_C = names.current("C", part)
    more = dict(work.given)
    leader = part.matched_to or part.name
    group = [q for q in work.circuit.transistors if leader in (q.name, q.matched_to)] or [part]
    for other in group:
        more[names.beta(other)] *= 2.0
    try:
        before = solve_nodes(work.circuit, names, work.states, work.given)
        after = solve_nodes(work.circuit, names, work.states, more)
    except DerivationError:
        return ()
    if not before.amps[I_C]:
        return ()
    change = (after.amps[I_C] / before.amps[I_C] - 1.0) * 100.0
    sign = 1.0 if part.kind is Kind.NPN else -1.0
    V_CE = sign * (after.volts[part.node("collector")] - after.volts[part.node("emitter")])
    saturates = work.given[names.saturated(part)] > V_CE
    end: Prose = (
        (", more than the circuit lets flow: the transistor would saturate.",)
        if saturates
        else (
            " (",
            _percent(change),
            ").",
        )
    )
    verb = " would take " if saturates else " takes "
    return (
        "Worked exactly, doubling " if work.neglects else "Doubling ",
        *join_words([Symbol(names.beta(q)) for q in group]),
        verb,
        Symbol(I_C),
        " from ",
        Number(before.amps[I_C], "A", symbol="" if work.neglects else I_C),
        " to ",
        Number(after.amps[I_C], "A"),
        *end,
    )


def _percent(change: float) -> str:
    from steadypoint.derive._document import percent

    return percent(change)


def compensation(work: Working, part: Part) -> None:
    """Say what a diode in the base's divider is for, with what it leaves of a change."""
    names = work.names
    junction, I_C = names.junction(part), names.current("C", part)
    diodes = [p for p in work.circuit.parts if p.kind is Kind.DIODE and work.states[p.name] != OFF]
    if len(diodes) != 1:
        return
    drop = names.drop(diodes[0], work.states[diodes[0].name])
    alone = _after_fall(work, I_C, (junction,))
    together = _after_fall(work, I_C, (junction, drop))
    if not alone or not abs(together) < abs(alone):
        return
    work.add(
        "Compensation" + _of(work, part),
        Symbol(junction),
        " and ",
        Symbol(drop),
        " fall together as the temperature rises, "
        "about 2 mV per kelvin. In the input loop they stand against each other: what ",
        Symbol(junction),
        " lets go, ",
        Symbol(drop),
        " withdraws, and of a common change only ",
        Number(abs(together / alone) * 100.0, digits=2),
        " % is left. For 10 mV less in both, ",
        Symbol(I_C),
        " changes by ",
        _percent(together),
        "; without ",
        PartName(diodes[0].name),
        " following, it would change by ",
        _percent(alone),
        ".",
        reason="equal drops cancel",
        loop=(diodes[0].name, part.name),
    )


def _after_fall(work: Working, I_C: str, symbols: tuple[str, ...]) -> float:
    """Change of I_C when some drops fall by 10 mV. [%]"""
    values = dict(work.given)
    for symbol in symbols:
        values[symbol] -= 0.010
    before = solve_nodes(work.circuit, work.names, work.states, work.given).amps[I_C]
    after = solve_nodes(work.circuit, work.names, work.states, values).amps[I_C]
    return (after / before - 1.0) * 100.0 if before else 0.0


def copies(work: Working, part: Part, leader: Part) -> None:
    """A matched follower has no input loop of its own."""
    work.add(
        f"Feedback on {part.name}",
        f"{part.name} has no input loop of its own: it copies the current of {leader.name}, and "
        "with it its stability, as long as the two are matched and equally warm.",
        reason="matched junctions",
        loop=(part.name, leader.name),
    )


def discuss(work: Working, solved: Solved) -> None:
    """Limit and feedback of every active transistor that has an input loop of its own."""
    for part in work.circuit.transistors:
        if work.states[part.name] != ACTIVE or work.log_law or work.names.swapped:
            # a drop that follows the current has no place in limits of straight pieces
            continue
        pairs = [p for p in map(solved.equations.matched, solved.solution.loops) if p is not None]
        leaders = {follower.name: leader for leader, follower in pairs}
        if part.name in leaders:
            copies(work, part, leaders[part.name])
        if any(part in pair for pair in pairs):
            continue
        try:
            limit(work, solved, part)
            feedback(work, solved, part)
            compensation(work, part)
        except (DerivationError, ZeroDivisionError):
            continue


__all__ = ["closed_form", "discuss"]
