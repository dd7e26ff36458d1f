"""One divider for several bases: the base currents are left out, and the chain is unloaded."""

from __future__ import annotations

from dataclasses import dataclass

from steadypoint.circuit import GROUND, Part
from steadypoint.derive._algebra import Poly, Sort, total
from steadypoint.derive._branches import Branch, Role, potentials
from steadypoint.derive._expr import Expr, PartName, add, divide, multiply
from steadypoint.derive._working import Working, join_words


@dataclass
class _Chain:
    """Resistors in series from one fixed node to another, with the nodes between them."""

    resistors: list[Branch]
    nodes: list[str]


def unloaded_dividers(
    work: Working, branches: list[Branch], transistors: tuple[Part, ...]
) -> list[Branch]:
    """Replace a divider that feeds several bases by the voltages at these bases.

    Parameters
    ----------
    work : Working
        The working, on the board rung; a step is written for each divider.
    branches : list of Branch
        The network.
    transistors : tuple of Part
        The transistors.

    Returns
    -------
    list of Branch
        With a source at each base in the place of the divider.
    """
    free = {n.transistor for n in work.neglects if n.kind == "base"}
    bases: dict[str, Part] = {}
    for part in transistors:
        if part.name in free:
            bases.setdefault(part.node("base"), part)
    for node in bases:
        chain = _chain(work, branches, node, bases)
        if chain is not None and sum(n in bases for n in chain.nodes) > 1:
            return unloaded_dividers(work, _replaced(work, branches, chain, bases), transistors)
    return branches


def _ways(branches: list[Branch], node: str, bases: dict[str, Part]) -> list[Branch]:
    """The two resistors at a node of a divider, nothing when other things hang there."""
    there = [b for b in branches if node in (b.start, b.end)]
    resistors = [b for b in there if b.role is Role.RESISTOR]
    others = [b for b in there if b.role is not Role.RESISTOR]
    junctions = node in bases and all(b.role is Role.JUNCTION for b in others)
    return resistors if len(resistors) == 2 and (not others or junctions) else []


def _chain(
    work: Working, branches: list[Branch], node: str, bases: dict[str, Part]
) -> _Chain | None:
    fixed = potentials(branches)
    loaded = {b.parts[0] for b in branches if b.role is Role.JUNCTION} - {
        n.transistor for n in work.neglects if n.kind == "base"
    }
    ways = _ways(branches, node, bases)
    if not ways or node in fixed:
        return None
    chain = _Chain([], [node])
    for first, forward in zip(ways, (True, False), strict=True):
        at, branch = node, first
        while True:
            at = branch.end if branch.start == at else branch.start
            if branch in chain.resistors:
                return None
            if forward:
                chain.resistors.append(branch)
            else:
                chain.resistors.insert(0, branch)
            place = len(chain.nodes) if forward else 0
            chain.nodes.insert(place, at)
            if at in fixed:
                break
            onward = [b for b in _ways(branches, at, bases) if b is not branch]
            here = {b.parts[0] for b in branches if b.role is Role.JUNCTION and at in _ends(b)}
            if len(onward) != 1 or here & loaded:
                return None
            branch = onward[0]
    return chain


def _ends(branch: Branch) -> tuple[str, str]:
    return branch.start, branch.end


def _replaced(
    work: Working, branches: list[Branch], chain: _Chain, bases: dict[str, Part]
) -> list[Branch]:
    fixed = potentials(branches)
    values = work.atoms.value
    if values(fixed[chain.nodes[0]], work.values) < values(fixed[chain.nodes[-1]], work.values):
        chain = _Chain(chain.resistors[::-1], chain.nodes[::-1])
    high, low = fixed[chain.nodes[0]], fixed[chain.nodes[-1]]
    parts = tuple(p for b in chain.resistors for p in b.parts)
    out = [b for b in branches if b not in chain.resistors]
    lines = []
    for place, node in reversed(list(enumerate(chain.nodes))):
        if node not in bases:
            continue
        symbol = work.names.node("B", bases[node])
        expr = _share(work, chain, place, (high, low))
        lines.append(work.solved(symbol, expr, Sort.VOLTAGE, "≈"))
        work.aliases[symbol] = parts
        work.touched.add(symbol)
        out.append(Branch(symbol, Role.SOURCE, node, GROUND, symbol, ()))
    names: list[str | Expr] = [PartName(p) for p in parts]
    work.add(
        "Voltages at the bases",
        "The bases take next to nothing from ",
        *join_words(names),
        ", so all of them form one unloaded divider.",
        lines=lines,
        result=work.names.node("B", bases[next(n for n in chain.nodes[::-1] if n in bases)]),
        reason="Thévenin's theorem",
        loop=parts,
    )
    return out


def _share(work: Working, chain: _Chain, place: int, ends: tuple[Poly, Poly]) -> Expr:
    """Voltage at a node of the chain."""
    high, low = ends
    whole = work.write(total(Poly.atom(b.symbol) for b in chain.resistors))
    below = work.write(total(Poly.atom(b.symbol) for b in chain.resistors[place:]))
    step = divide(multiply(work.write(high - low), below), whole)
    return add((1, work.write(low)), (1, step)) if low else step
