"""What would make a point independent of β where the condition is not met, and what it costs."""

from __future__ import annotations

from collections.abc import Iterable

from steadypoint.circuit import Circuit, Kind, Part
from steadypoint.derive._algebra import Poly
from steadypoint.derive._expr import Expr, Number, Symbol
from steadypoint.derive._step import Prose
from steadypoint.derive._working import Working, join_words
from steadypoint.errors import SolveError
from steadypoint.solve import OperatingPoint, Region, operating_point

FELT = 0.05
"""Relative change of the supply current that is worth a word. [-]"""


def remedies(work: Working, part: Part, free: Poly, opposing: Poly, factor: float) -> None:
    """Write what scaling the two sides of the condition until it is met would bring and cost.

    Parameters
    ----------
    work : Working
        The working; a step is added where a remedy can be told.
    part : Part
        The transistor.
    free, opposing : Poly
        The two sides: the resistance that β must drown, and the one that β multiplies.
    factor : float
        How many times further apart they must come. [-]
    """
    if work.board or work.names.swapped or part.name in work.log_law:
        return
    small, large = _resistors(work, free), _resistors(work, opposing)
    if small & large:
        return
    sides = [
        _remedy(work, part, small, 1.0 / factor, "divided"),
        _remedy(work, part, large, factor, "multiplied"),
    ]
    told = [side for side in sides if side]
    if not told:
        return
    said: list[str | Expr] = ["What would meet it, and at which cost? "]
    for place, side in enumerate(told):
        said += [" Or with " if place else "With ", *side]
    work.add(
        "To meet the condition" + ("" if work.names.single else f" for {part.name}"),
        *said,
        reason="limit for large β",
        loop=(part.name, *sorted(small | large)),
    )


def _resistors(work: Working, side: Poly) -> frozenset[str]:
    """Resistors of the sheet behind the symbols of one side."""
    names: set[str] = set()
    kinds = {p.name: p.kind for p in work.circuit.parts}
    waiting = list(side.atoms)
    while waiting:
        name = waiting.pop()
        if name in work.atoms.ratios:
            return frozenset()
        if kinds.get(name) is Kind.RESISTOR:
            names.add(name)
        else:
            waiting += [n for n in work.aliases.get(name, ()) if n != name]
    return frozenset(n for n in names if kinds.get(n) is Kind.RESISTOR)


def _remedy(work: Working, part: Part, names: Iterable[str], by: float, verb: str) -> Prose:
    resistors = [p for p in work.circuit.parts if p.name in names]
    if not resistors:
        return ()
    circuit = work.circuit
    for resistor in resistors:
        circuit = circuit.with_value(resistor.name, work.given[resistor.name] * by)
    try:
        before, after = (operating_point(c, "exact") for c in (work.circuit, circuit))
    except SolveError:
        return ()
    said: list[str | Expr] = [*join_words([Symbol(p.name) for p in resistors]), f" {verb} by "]
    said += [Number(max(by, 1.0 / by), digits=3), " (to "]
    said += [*join_words([Number(work.given[p.name] * by, "Ω") for p in resistors]), ") "]
    said += _point(work, part, after)
    return (*said, *_supply(work.circuit, before, after), ".")


def _point(work: Working, part: Part, point: OperatingPoint) -> list[str | Expr]:
    solved, names = point.transistors[part.name], work.names
    sign = 1.0 if part.kind is Kind.NPN else -1.0
    figures: list[str | Expr] = [
        Symbol(names.current("C", part)),
        " becomes ",
        Number(sign * solved.I_C, "A"),
        " and ",
        Symbol(names.span(part)),
        " becomes ",
        Number(sign * solved.V_CE, "V"),
    ]
    if solved.region is Region.SATURATION:
        return [*figures, ", and the transistor saturates: too high a price"]
    if solved.region is Region.CUTOFF:
        return [*figures, ", and the transistor is cut off: too high a price"]
    return figures


def _supply(circuit: Circuit, before: OperatingPoint, after: OperatingPoint) -> Prose:
    """The current of the most loaded supply, when it changes enough to speak of."""
    supplies = [p.name for p in circuit.supplies]
    if not supplies:
        return ()
    name = max(supplies, key=lambda n: abs(before.parts[n].I))
    old, new = abs(before.parts[name].I), abs(after.parts[name].I)
    if abs(new - old) <= FELT * old:
        return ()
    return ("; ", Symbol(name), " gives ", Number(new, "A"), " instead of ", Number(old, "A"))
