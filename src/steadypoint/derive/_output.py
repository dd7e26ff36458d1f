"""The output side: V_CE by the output loop, node voltages, and currents nobody asked for yet."""

from __future__ import annotations

from steadypoint.circuit import GROUND, Kind, Part
from steadypoint.derive._algebra import Sort
from steadypoint.derive._branches import Role, potentials
from steadypoint.derive._equations import Equations
from steadypoint.derive._expr import ZERO, Expr, Symbol, symbols
from steadypoint.derive._loops import Loop, between, itinerary, orient, parts_round
from steadypoint.derive._step import Line
from steadypoint.derive._working import Working
from steadypoint.errors import DerivationError


def output_loop(work: Working, eq: Equations, part: Part) -> None:
    """Find V_CE by a loop through collector and emitter.

    Raises
    ------
    DerivationError
        If the way needs a current that the working has not found.
    """
    name = f"{part.name}:CE"
    branch = eq.marked.branches.get(name)
    span = work.names.span(part)
    of = "" if work.names.single else f" of {part.name}"
    if branch is None or branch.role is not Role.CONTROLLED:
        return
    way = between(eq.marked, branch.end, branch.start, without=(name,))
    if way is None:
        raise DerivationError(f"No way leads round the collector and emitter of {part.name}.")
    loop = _from_source(((branch, 1), *way))
    expr = positive_first(eq, tuple(s for s in loop if s[0].name != name))
    require(work, expr)
    only = [b for b, _ in way]
    if len(only) == 1 and only[0].role is Role.JUNCTION:
        line = work.solved(span, expr, Sort.VOLTAGE)
        work.add(
            f"Output loop{of}",
            "Collector and base are joined, so ",
            Symbol(span),
            " is simply ",
            Symbol(work.names.junction(part)),
            ".",
            lines=[line],
            result=span,
            loop=(part.name,),
        )
        return
    law = Line(eq.voltages(loop), ZERO, sign=eq.sign(loop))
    line = work.solved(span, expr, Sort.VOLTAGE, eq.sign(loop))
    work.add(
        f"Output loop{of}",
        "Go round ",
        *itinerary(loop, eq.marked),
        ".",
        lines=[law, line],
        result=span,
        reason="Kirchhoff's voltage law",
        loop=parts_round(loop, work.aliases),
    )


def _from_source(loop: Loop) -> Loop:
    turned = orient(loop)
    forward = any(b.role is Role.CONTROLLED and d > 0 for b, d in turned)
    if forward:
        return turned
    turns = [loop[i:] + loop[:i] for i in range(len(loop))]
    rising = [t for t in turns if t[0][0].role is Role.SOURCE and t[0][1] < 0]
    first = [t for t in rising if not (t[-1][0].role is Role.SOURCE and t[-1][1] < 0)]
    return (first or rising or turns)[0]


def positive_first(eq: Equations, way: Loop) -> Expr:
    """Sum of the rises along a way, positive terms first."""
    from steadypoint.derive._expr import Sum, add

    whole = eq.voltages(way)
    if isinstance(whole, Sum):
        return add(*sorted(whole.terms, key=lambda t: -t[0]))
    return whole


def require(work: Working, expr: Expr) -> None:
    """Make sure that every symbol of an expression has a value."""
    for name in symbols(expr):
        if name not in work.values:
            raise DerivationError(f"{name} is needed but was not found.")


def node_voltages(work: Working, eq: Equations) -> None:
    """Voltages of the transistor's terminals against ground."""
    fixed = potentials(eq.marked.branches.values())
    seen: set[str] = set()
    lines: list[Line] = []
    parts: list[str] = []
    for part in eq.marked.transistors:
        for letter, terminal in zip("EBC", ("emitter", "base", "collector"), strict=True):
            node = part.node(terminal)
            if node in fixed or node in seen or work.names.node(letter, part) in work.found_in:
                continue
            way = between(eq.marked, GROUND, node)
            if way is None:
                continue
            expr = positive_first(eq, way)
            above = _above_emitter(work, eq, part) if letter == "B" else None
            expr = above or expr
            if any(s not in work.values for s in symbols(expr)):
                continue
            seen.add(node)
            lines.append(
                work.solved(work.names.node(letter, part), expr, Sort.VOLTAGE, eq.sign(way))
            )
            parts += parts_round(way, work.aliases)
    if lines:
        work.add(
            "Node voltages",
            "Against ground:",
            lines=lines,
            reason="Kirchhoff's voltage law",
            loop=tuple(dict.fromkeys(parts)),
        )


def _above_emitter(work: Working, eq: Equations, part: Part) -> Expr | None:
    """The base voltage as emitter voltage and junction drop, where the junction conducts."""
    from steadypoint.derive._expr import add

    if f"{part.name}:BE" not in eq.marked.branches:
        return None
    sign = 1 if part.kind is Kind.NPN else -1
    junction = (sign, Symbol(work.names.junction(part)))
    fixed = potentials(eq.marked.branches.values())
    emitter = part.node("emitter")
    if emitter in fixed:
        return add((1, work.write(fixed[emitter])), junction)
    V_E = work.names.node("E", part)
    return add((1, Symbol(V_E)), junction) if V_E in work.values else None
