"""Words about regions: what is assumed, whether it holds, and what a contradiction means."""

from __future__ import annotations

from steadypoint.circuit import Kind, Part
from steadypoint.derive._expr import Expr, Number, PartName, Relation, Symbol, multiply
from steadypoint.derive._names import ACTIVE, BREAKDOWN, CUTOFF, OFF, SATURATION
from steadypoint.derive._step import Prose
from steadypoint.derive._working import Working, join_words


def figure_of(work: Working, symbol: str) -> Number:
    """A symbol's figure for running text."""
    expr = work.number(symbol)
    return expr if isinstance(expr, Number) else Number(float("nan"))


def equals(work: Working, symbol: str, sign: str = "=") -> Relation:
    """``V_BE = 0.7 V`` as an expression."""
    return Relation((work.atoms.atom_expr(symbol), figure_of(work, symbol)), sign)


def called(work: Working, part: Part) -> str:
    """A transistor as the sentence names it."""
    alone = work.names.single and not work.names.channels
    return "the transistor" if alone else part.name


def assumptions(work: Working, *, anew: bool) -> None:
    """Say in which region each part is taken to work, and what that means."""
    out: list[str | Expr] = []
    parts: list[str] = []
    for part in work.circuit.transistors:
        out += [*(" " if out else ""), *_assumed(work, part, anew=anew)]
        parts.append(part.name)
    for part in work.circuit.parts:
        if part.kind in (Kind.DIODE, Kind.ZENER):
            out += [*(" " if out else ""), *_assumed_diode(work, part)]
            parts.append(part.name)
    if not anew:
        out.append(" To be checked at the end.")
    heading = "New assumption" if anew else "Assumptions"
    work.add(heading, *out, reason="model of the transistor", loop=tuple(parts))


def _assumed(work: Working, part: Part, *, anew: bool) -> Prose:
    names = work.names
    state = work.states[part.name]
    who = called(work, part)
    I_B, I_C, I_E = (Symbol(names.current(letter, part)) for letter in "BCE")
    beta = Symbol(names.beta(part))
    junction = equals(work, names.junction(part))
    if part.name in names.swapped:
        return _assumed_reverse(work, part)
    if state == ACTIVE:
        gain = Relation((I_C, multiply(beta, I_B)))
        more = work.atoms.atom_expr(names.beta(part) + "+1")
        emitter = Relation((I_E, multiply(more, I_B)))
        if part.name in work.equal_I_E:
            emitter = Relation((I_E, I_C), "≈")
        verb = "Now assume" if anew else "Assume"
        law = _log_law(work, part)
        return (
            f"{verb} {who} in the active region: ",
            junction,
            *law,
            ", ",
            gain,
            ", ",
            emitter,
            ".",
        )
    if state == SATURATION:
        span = equals(work, names.saturated(part))
        less = Relation((I_C, multiply(beta, I_B)), "<")
        verb = "Now take" if anew else "Take"
        return (
            f"{verb} {who} as saturated: ",
            junction,
            ", ",
            span,
            ". ",
            I_C,
            " and ",
            I_B,
            " are unknowns of their own now, and ",
            less,
            ".",
        )
    word = "works in reverse" if state != CUTOFF else "is cut off: all its currents are zero"
    return (f"{who[0].upper()}{who[1:]} {word}.",)


def _assumed_reverse(work: Working, part: Part) -> Prose:
    """Collector and emitter have changed roles; the names know it."""
    names = work.names
    I_B, I_E, I_C = (Symbol(names.current(letter, part)) for letter in "BCE")
    more = work.atoms.atom_expr(names.beta(part) + "+1")
    return (
        f"Assume {called(work, part)} in reverse: the collector is where the current leaves, the "
        "base–collector junction conducts, ",
        equals(work, names.junction(part)),
        ", and the emitter collects: ",
        Relation((I_E, multiply(Symbol(names.beta(part)), I_B))),
        ", ",
        Relation((I_C, multiply(more, I_B))),
        " with ",
        equals(work, names.beta(part)),
        ". All currents count the way they flow.",
    )


def _checked_reverse(work: Working, part: Part) -> Prose:
    if work.nodal is None:
        return ()
    sign = 1.0 if part.kind is Kind.NPN else -1.0
    volts = sign * (work.nodal.volts[part.node("base")] - work.nodal.volts[part.node("collector")])
    pair = "V_BE" if part.kind is Kind.NPN else "V_EB"
    I_B = work.names.current("B", part)
    return (
        equals(work, I_B),
        " > 0, and with ",
        Relation((Symbol(pair + work.names.index[part.name]), Number(volts, "V"))),
        f" the base–emitter junction does not conduct: {called(work, part)} works in reverse, "
        "as assumed.",
    )


def _log_law(work: Working, part: Part) -> Prose:
    if part.name not in work.log_law:
        return ()
    V_T, I_S, I_C = Symbol("V_T"), Symbol("I_S"), Symbol(work.names.current("C", part))
    return (" (from its exponential law ", V_T, " ln(", I_C, "/", I_S, ") at this current)")


def _assumed_diode(work: Working, part: Part) -> Prose:
    state = work.states[part.name]
    name = PartName(part.name)
    if state == OFF:
        return (name, " does not conduct." if part.kind is Kind.DIODE else " is below breakdown.")
    drop = equals(work, work.names.drop(part, state))
    if state == BREAKDOWN:
        return (name, " is in breakdown and holds ", drop, ".")
    return (name, " conducts with a constant drop ", drop, ".")


def check_regions(work: Working) -> None:
    """Hold the figures against what was assumed."""
    out: list[str | Expr] = []
    for part in work.circuit.transistors:
        out += [*(" " if out else ""), *_checked(work, part)]
    for part in work.circuit.parts:
        if part.kind in (Kind.DIODE, Kind.ZENER):
            out += [*(" " if out else ""), *_checked_diode(work, part)]
    parts = tuple(p.name for p in work.circuit.transistors)
    work.add("Check the region", *out, reason="conditions of the region", loop=parts)


def _checked(work: Working, part: Part) -> Prose:
    names = work.names
    I_B, I_C = names.current("B", part), names.current("C", part)
    span, sat = names.span(part), names.saturated(part)
    who = called(work, part)
    state = work.states[part.name]
    if part.name in names.swapped:
        return _checked_reverse(work, part)
    if state == ACTIVE:
        base = Relation((Symbol(I_B), figure_of(work, I_B), Number(0.0)), ">")
        base = Relation((Relation((Symbol(I_B), figure_of(work, I_B))), Number(0.0)), ">")
        room = Relation((equals(work, span), equals(work, sat)), ">")
        return (base, " and ", room, f": {who} is in the active region, as assumed.")
    if state == SATURATION:
        product = multiply(Symbol(names.beta(part)), Symbol(I_B))
        could = Number(work.values[names.beta(part)] * work.values[I_B], "A")
        forced = work.values[I_C] / work.values[I_B] if work.values[I_B] else 0.0
        return (
            "Active, the collector could carry ",
            Relation((product, could)),
            "; the circuit lets only ",
            equals(work, I_C),
            f" flow: {who} is saturated, as assumed. The ratio ",
            Symbol(I_C),
            "/",
            Symbol(I_B),
            " is ",
            Number(forced),
            " instead of ",
            equals(work, names.beta(part)),
            ".",
        )
    return (f"{who[0].upper()}{who[1:]} stays cut off, as found.",)


def _checked_diode(work: Working, part: Part) -> Prose:
    state = work.states[part.name]
    name = PartName(part.name)
    nodal = work.nodal
    if nodal is None:
        return ()
    if state == OFF:
        volts = nodal.volts[part.nodes[0]] - nodal.volts[part.nodes[1]]
        return (name, " has ", Number(volts, "V"), " across it: it does not conduct, as assumed.")
    amps = Number(nodal.amps.get(part.name, 0.0), "A")
    word = "in breakdown" if state == BREAKDOWN else "conducting"
    return (name, " carries ", amps, f": {word}, as assumed.")


def contradiction(work: Working, part: Part) -> None:
    """The active assumption has failed: say what is impossible and what follows."""
    names = work.names
    span, sat = names.span(part), names.saturated(part)
    who = called(work, part)
    work.add(
        "Check the region",
        equals(work, span),
        ": impossible, an active transistor keeps at least ",
        equals(work, sat),
        f" between collector and emitter. The assumption was wrong; {who} is saturated. "
        "Start again from there.",
        reason="conditions of the region",
        loop=(part.name,),
    )


def open_capacitors(work: Working, said: tuple[tuple[str, ...], ...]) -> None:
    """The first step: what the circuit is for direct current."""
    capacitors, shorts, idle, bleeders = said
    out: list[str | Expr] = []

    def names(of: tuple[str, ...]) -> Prose:
        return join_words([PartName(n) for n in of])

    if capacitors:
        verb = " is an open circuit." if len(capacitors) == 1 else " are open circuits."
        out += ["For direct current ", *names(capacitors), verb]
    if shorts:
        verb = " is a short circuit." if len(shorts) == 1 else " are short circuits."
        out += [" " if out else "", *names(shorts), verb]
    if idle:
        verb = "so it drops" if len(idle) == 1 else "so they drop"
        out += [" " if out else "", "No direct current can flow in ", *names(idle)]
        out.append(f", {verb} out of the bias problem.")
    if bleeders:
        verb = " lies" if len(bleeders) == 1 else " lie"
        out += [" " if out else "", *names(bleeders), f"{verb} straight across a supply and"]
        out.append(f" {'does' if len(bleeders) == 1 else 'do'} not touch the bias.")
    if out:
        work.add(
            "Direct-current picture",
            *out,
            reason="capacitors at direct current",
            loop=(*capacitors, *shorts, *idle, *bleeders),
        )
