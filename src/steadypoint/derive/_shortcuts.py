"""The board's shortcuts: each with its name, its condition, how far it is met, and its price."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from steadypoint.circuit import Kind, Part
from steadypoint.derive._branches import fixed_nodes
from steadypoint.derive._expr import Expr, Number, PartName, Relation, Symbol, add
from steadypoint.derive._nodal import LeftOut, Nodal, solve_nodes
from steadypoint.derive._step import Approximation, Prose
from steadypoint.derive._working import Working
from steadypoint.errors import DerivationError

TEN_TIMES = 10.0
"""How many times larger the other current must be; common practice, no source. [-]"""


BUDGET = 0.08
"""Total error in a collector current that is told at the end; our own choice. [-]"""


@dataclass(frozen=True)
class _Words:
    name: str
    sentence: Prose
    condition: str


def shortcuts(work: Working) -> None:
    """Write a step for every shortcut that is taken, and for those that are refused."""
    for item in work.neglects:
        if item.kind == "emitter" and not any(map(_felt, price_of(work, (item,), item.transistor))):
            continue
        _step(work, item, _words(work, item), taken=True)
    for item in refused(work):
        _step(work, item, _refused_words(work, item), taken=False)
    for item in work.refused:
        _step(work, item, _too_dear(work, item), taken=False)


def _felt(error: float) -> bool:
    return abs(error) > 1e-9


def _step(work: Working, item: LeftOut, words: _Words, *, taken: bool) -> None:
    error_I_C, error_V_CE = price_of(work, (item,), item.transistor)
    met = item.ratio
    work.add(
        f"{'Approximation' if taken else 'Not allowed'}: {words.name}",
        *words.sentence,
        reason=words.condition,
        loop=(item.transistor, *item.parts),
        approximation=Approximation(
            words.name, words.condition, taken and met >= TEN_TIMES, met, error_I_C, error_V_CE
        ),
    )


def price_of(work: Working, items: Sequence[LeftOut], transistor: str) -> tuple[float, float]:
    """Errors that some shortcuts bring into I_C and V_CE, against the exact working. [%]"""
    try:
        exact, rough = _solved(work, ()), _solved(work, items)
    except DerivationError:
        return float("nan"), float("nan")
    part = work.circuit.part(transistor)
    I_C = work.names.current("C", part)
    return (
        _percent(rough.amps[I_C], exact.amps[I_C]),
        _percent(_span(rough, part), _span(exact, part)),
    )


def _solved(work: Working, items: Sequence[LeftOut]) -> Nodal:
    return solve_nodes(work.circuit, work.names, work.states, work.given, neglects=items)


def _span(nodal: Nodal, part: Part) -> float:
    sign = 1.0 if part.kind is Kind.NPN else -1.0
    return sign * (nodal.volts[part.node("collector")] - nodal.volts[part.node("emitter")])


def _percent(value: float, true: float) -> float:
    return (value / true - 1.0) * 100.0 if true else 0.0


def _words(work: Working, item: LeftOut) -> _Words:
    names, part = work.names, work.circuit.part(item.transistor)
    I_B, I_C, I_E = (Symbol(names.current(letter, part)) for letter in "BCE")
    beta = Symbol(names.beta(part))
    if item.kind == "emitter":
        equal = Relation((I_E, I_C), "≈")
        said: Prose = (
            beta,
            " is much larger than 1, so ",
            Relation((add((1, beta), (1, Number(1.0))), beta), "≈"),
            " and ",
            equal,
            ".",
        )
        return _Words(f"{_text(I_E)} ≈ {_text(I_C)}", said, "β is at least ten")
    if item.kind == "base":
        said = (
            "At the base ",
            I_B,
            " is left out: the largest current there is ",
            Number(item.ratio, digits=2),
            " times as large.",
        )
        return _Words(
            f"{_text(I_B)} left out at the base",
            said,
            "the largest current at the base is at least ten times the base current",
        )
    first = PartName(item.parts[0])
    where = "collector" if item.node == part.node("collector") else "node it comes from"
    said = (
        f"At the {where} the current through ",
        first,
        " is left out: the largest current there is ",
        Number(item.ratio, digits=2),
        " times as large.",
    )
    return _Words(
        f"current through {item.parts[0]} left out at the {where}",
        said,
        f"the largest current at the {where} is at least ten times that through {item.parts[0]}",
    )


def _text(expr: Expr) -> str:
    from steadypoint.derive._print_text import to_text

    return to_text(expr)


def refused(work: Working) -> list[LeftOut]:
    """Base currents that a lecturer would be tempted to leave out, but may not."""
    fixed = fixed_nodes(work.circuit.parts)
    taken = {n.transistor for n in work.neglects if n.kind == "base"}
    out = []
    for part in work.circuit.transistors:
        node = part.node("base")
        if node in fixed or part.name in taken or part.name not in work.equal_I_E:
            continue
        ratio = _base_ratio(work, part)
        if ratio is not None and 1.0 < ratio < TEN_TIMES:
            out.append(LeftOut("base", part.name, node, (), ratio))
    return out


def _base_ratio(work: Working, part: Part) -> float | None:
    """Largest resistor current at a base over the base current, in the exact point. [-]"""
    node = part.node("base")
    exact = _solved(work, ())
    I_B = exact.amps[work.names.current("B", part)]
    currents = [
        abs(exact.volts[p.nodes[0]] - exact.volts[p.nodes[1]]) / work.given[p.name]
        for p in work.circuit.parts
        if p.kind is Kind.RESISTOR and node in p.nodes
    ]
    if len(currents) < 2 or I_B <= 0:
        return None
    return max(currents) / I_B


def _refused_words(work: Working, item: LeftOut) -> _Words:
    part = work.circuit.part(item.transistor)
    I_B = Symbol(work.names.current("B", part))
    said: Prose = (
        I_B,
        " may not be left out at the base: the largest current there is only ",
        Number(item.ratio, digits=2),
        " times as large, not ten times. The loaded divider is kept.",
    )
    return _Words(
        f"{_text(I_B)} left out at the base",
        said,
        "the largest current at the base is at least ten times the base current",
    )


def _too_dear(work: Working, item: LeftOut) -> _Words:
    """A shortcut that its own condition allows, and the budget of all together does not."""
    words = _words(work, item)
    whole = (*work.neglects, *work.refused)
    names = work.circuit.transistors
    worst = max(names, key=lambda q: abs(price_of(work, whole, q.name)[0]))
    error = price_of(work, whole, worst.name)[0]
    said: Prose = (
        "Its own condition is met, but all shortcuts together would then change ",
        Symbol(work.names.current("C", worst)),
        " by ",
        _signed(error),
        ", more than the ",
        Number(100.0 * work.budget, digits=2),
        " % that are allowed. It is kept.",
    )
    allowed = f"{100.0 * work.budget:g}\u202f%"
    condition = f"all shortcuts together move no collector current by more than {allowed}"
    return _Words(words.name, said, condition)


def _verdict(work: Working) -> Prose:
    """Whether all shortcuts together cost too much, and what to keep instead."""
    if math.isfinite(work.budget):
        return ()

    def largest(items: Sequence[LeftOut]) -> float:
        errors = (price_of(work, items, q.name)[0] for q in work.circuit.transistors)
        return max(map(abs, errors))

    whole = largest(work.neglects)
    dear = [n for n in work.neglects if n.kind in ("base", "chain")]
    if not whole > 100.0 * BUDGET or not dear:
        return ()
    rest = {n: largest([m for m in work.neglects if m != n]) for n in dear}
    keep = min(dear, key=lambda n: rest[n])
    if not rest[keep] < whole:
        return ()
    what = Symbol(work.names.current("B", work.circuit.part(keep.transistor)))
    kept: Prose = (what, " at the base")
    if keep.kind == "chain":
        kept = ("the current through ", PartName(keep.parts[0]))
    return (
        "Each shortcut by itself is allowed; together they cost more than ",
        Number(100.0 * BUDGET, digits=2),
        " %. With ",
        *kept,
        " kept, the largest error in a collector current falls to ",
        Number(rest[keep], digits=2),
        " %.",
    )


def compare(work: Working) -> None:
    """What all shortcuts together have cost."""
    if not any(_felt(e) for n in work.neglects for e in price_of(work, (n,), n.transistor)):
        return
    exact = _solved(work, ())
    lines = []
    out: list[str | Expr] = []
    for part in work.circuit.transistors:
        if part.name not in work.equal_I_E:
            continue
        I_C, span = work.names.current("C", part), work.names.span(part)
        error_I_C, error_V_CE = price_of(work, work.neglects, part.name)
        for symbol, true, error in (
            (I_C, Number(exact.amps[I_C], "A"), error_I_C),
            (span, Number(_span(exact, part), "V"), error_V_CE),
        ):
            figure = Number(work.values[symbol], true.unit, symbol=symbol)
            out += [" " if out else "", Symbol(symbol), " is ", figure, " on the board against "]
            out += [true, " exact (", _signed(error), ")."]
        lines.append(part.name)
    work.add(
        "What the shortcuts cost",
        *out,
        reason="comparison with the exact working",
        loop=tuple(lines),
        remark=_verdict(work),
    )


def _signed(error: float) -> str:
    from steadypoint.derive._document import percent

    return percent(error)
