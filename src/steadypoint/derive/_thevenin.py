"""Resistors in parallel, and Thévenin equivalents of what hangs on a transistor's terminal.

A node with a fixed potential is split into leaves, one for each resistor that ends there. What
hangs on a terminal and leads only to leaves is a linear one-port; when it branches and is a tree
it is replaced by V_TH and R_TH, divider by divider from the leaves inwards.
"""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass

from steadypoint.circuit import GROUND, Part
from steadypoint.derive._algebra import Poly, Sort
from steadypoint.derive._branches import Branch, Role, potentials
from steadypoint.derive._expr import (
    ONE,
    ZERO,
    Expr,
    PartName,
    Symbol,
    add,
    divide,
    multiply,
    parallel,
)
from steadypoint.derive._graph import Edge, adjacency, components
from steadypoint.derive._step import Line, Prose
from steadypoint.derive._working import Working, join_words

_TERMINALS = (("base", "B"), ("emitter", "E"), ("collector", "C"))


def merge_parallel(work: Working, branches: list[Branch]) -> list[Branch]:
    """Replace resistors between the same two nodes by one."""
    groups: dict[frozenset[str], list[Branch]] = {}
    kept = {name for n in work.neglects for name in n.parts}
    for branch in branches:
        if branch.role is Role.RESISTOR and branch.name not in kept:
            groups.setdefault(frozenset((branch.start, branch.end)), []).append(branch)
    out = list(branches)
    for group in groups.values():
        if len(group) < 2:
            continue
        name = "R_" + "_".join(b.name.removeprefix("R") or b.name for b in group)
        names: list[str | Expr] = [PartName(b.name) for b in group]
        line = work.solved(name, parallel(*(Symbol(b.symbol) for b in group)), Sort.RESISTANCE)
        parts = tuple(p for b in group for p in b.parts)
        work.add(
            "Resistors in parallel",
            *join_words(names),
            " join the same two nodes; write ",
            Symbol(name),
            " for them.",
            lines=[line],
            result=name,
            reason="resistors in parallel",
            loop=parts,
        )
        first = group[0]
        merged = Branch(name, Role.RESISTOR, first.start, first.end, name, parts)
        out = [b for b in out if b not in group] + [merged]
    return out


@dataclass
class _Way:
    """What is seen through one branch of the one-port: source, resistance and parts."""

    volts: Poly
    ohms: Poly
    names: list[str | Expr]


def reduce_ports(
    work: Working, branches: list[Branch], transistors: tuple[Part, ...]
) -> list[Branch]:
    """Replace each branching one-port at a transistor's terminal by its Thévenin equivalent."""
    pins = {node for part in transistors for node in part.nodes}
    kept = {name for n in work.neglects for name in n.parts}
    for terminal, letter in _TERMINALS:
        for part in transistors:
            node = part.node(terminal)
            port = _one_port(branches, node, pins, kept, work.tied)
            if port:
                branches = _Port(
                    work, part, node, work.names.word(terminal, part), letter, branches
                ).replace(port)
    return branches


def _leaf(node: str, branch: Branch, fixed: dict[str, Poly]) -> str:
    return f"{node}|{branch.name}" if node in fixed else node


def _one_port(
    branches: list[Branch],
    node: str,
    pins: set[str],
    kept: Container[str],
    tied: Container[str],
) -> list[Branch]:
    """Branches of the one-port at a node, or nothing when there is none that branches."""
    free = [b for b in branches if b.name not in tied]
    fixed = potentials(free, with_drops=True)
    if node in fixed:
        return []
    linear = [
        b
        for b in free
        if b.role is Role.RESISTOR or (b.role is Role.DROP and not {b.start, b.end} <= set(fixed))
    ]
    others = {
        n
        for b in branches
        if b not in linear and b.role is not Role.SOURCE
        for n in (b.start, b.end)
    }
    edges = {b.name: Edge(b.name, _leaf(b.start, b, fixed), _leaf(b.end, b, fixed)) for b in linear}
    inner = [e for e in edges.values() if node not in (e.start, e.end)]
    touching = [e for e in edges.values() if node in (e.start, e.end)]
    keep: set[str] = set()
    ends = {e.start if e.end == node else e.end for e in touching}
    for group in components(ends, inner):
        leads_on = any(n in pins or (n in others and "|" not in n) for n in group)
        if not leads_on and any("|" in n for n in group) and group & ends:
            keep |= group
    used = [e for e in edges.values() if {e.start, e.end} <= keep | {node}]
    nodes = {n for e in used for n in (e.start, e.end)}
    leaves = [n for n in nodes if "|" in n]
    if len(leaves) < 2 or len(used) != len(nodes) - 1 or any(e.name in kept for e in used):
        return []
    return [b for b in linear if edges[b.name] in used]


@dataclass
class _Port:
    work: Working
    part: Part
    node: str
    terminal: str
    letter: str
    branches: list[Branch]
    made: int = 0
    combos: int = 0
    unloaded: bool = False

    def replace(self, port: list[Branch]) -> list[Branch]:
        free = [b for b in self.branches if b.name not in self.work.tied]
        self.fixed = potentials(free, with_drops=True)
        self.edges = {
            b.name: Edge(b.name, _leaf(b.start, b, self.fixed), _leaf(b.end, b, self.fixed))
            for b in port
        }
        self.by_name = {b.name: b for b in port}
        self.around = adjacency(self.edges.values())
        self.combos = self._count(self.node, None)
        self.unloaded = self._is_unloaded(port)
        way = self._see(self.node, None)
        names = tuple(dict.fromkeys(p for b in port for p in b.parts))
        rest = [b for b in self.branches if b not in port]
        return rest + self._equivalent(way, names)

    def _is_unloaded(self, port: list[Branch]) -> bool:
        """The board leaves I_B out, and nothing else than this port hangs on the base."""
        if self.letter != "B" or len(self.around[self.node]) < 2:
            return False
        others = [
            b
            for b in self.branches
            if self.node in (b.start, b.end) and b not in port and b.role is not Role.JUNCTION
        ]
        taken = {
            b.parts[0]
            for b in self.branches
            if b.role is Role.JUNCTION and self.node in (b.start, b.end)
        }
        idle = {
            n.transistor for n in self.work.neglects if n.kind == "base" and n.node == self.node
        }
        return not others and taken <= idle and self.part.name in idle

    def _count(self, node: str, came: str | None) -> int:
        ways = [(other, e) for other, e in self.around.get(node, ()) if e.name != came]
        below = sum(self._count(other, e.name) for other, e in ways if "|" not in other)
        return below + (1 if len(ways) > 1 else 0)

    def _equivalent(self, way: _Way, names: tuple[str, ...]) -> list[Branch]:
        out: list[Branch] = []
        if self.unloaded:
            symbol = self.work.names.node("B", self.part)
            self.work.aliases[symbol] = names
            self.work.touched.add(symbol)
            return [Branch(symbol, Role.SOURCE, self.node, GROUND, symbol, ())]
        top = GROUND
        for monomial in way.volts.terms:
            ((symbol, _),) = monomial
            end, top = top, f"{symbol}:{self.node}"
            out.append(Branch(symbol, Role.SOURCE, top, end, symbol, ()))
            self.work.aliases[symbol] = names
        resistors = [monomial[0][0] for monomial in way.ohms.terms]
        for place, symbol in enumerate(resistors):
            last = place == len(resistors) - 1
            end = self.node if last else f"{symbol}:{self.node}"
            own = (symbol,) if symbol in self.by_name else ()
            out.append(Branch(symbol, Role.RESISTOR, top, end, symbol, own))
            if not own:
                self.work.aliases[symbol] = names
            top = end
        return out

    def _see(self, node: str, came: str | None) -> _Way:
        ways = []
        for other, edge in self.around[node]:
            if edge.name == came:
                continue
            branch = self.by_name[edge.name]
            if "|" in other:
                way = _Way(self.fixed[other.partition("|")[0]], Poly(), [])
            else:
                way = self._see(other, edge.name)
            if branch.role is Role.RESISTOR:
                way.ohms = way.ohms + Poly.atom(branch.symbol)
            else:
                at_start = edge.start == node
                drop = Poly.atom(branch.symbol)
                way.volts = way.volts + (drop if at_start else -drop)
            way.names.append(PartName(branch.name) if branch.parts else Symbol(branch.symbol))
            ways.append(way)
        return ways[0] if len(ways) == 1 else self._combine(ways, last=node == self.node)

    def _names(self) -> tuple[str, str]:
        self.made += 1
        suffix = "" if self.letter == "B" else f"_{self.letter}"
        suffix += self.work.names.index[self.part.name]
        if suffix and not suffix.startswith("_"):
            suffix = f"_{self.letter}{suffix}"
        if self.made < self.combos:
            suffix += f"_{self.made}"
        return f"V_thev{suffix}", f"R_thev{suffix}"

    def _combine(self, ways: list[_Way], *, last: bool) -> _Way:
        work = self.work
        V, R = self._names()
        unloaded = last and self.unloaded
        if unloaded:
            V = work.names.node("B", self.part)
        volts, ohms = self._volts(ways), parallel(*(work.write(w.ohms) for w in ways))
        lines: list[Line] = []
        all_grounded = not any(w.volts for w in ways)
        if not all_grounded:
            lines.append(work.solved(V, volts, Sort.VOLTAGE, "≈" if unloaded else "="))
        elif unloaded:
            lines.append(work.solved(V, ZERO, Sort.VOLTAGE, "≈"))
        if not unloaded:
            lines.append(work.solved(R, ohms, Sort.RESISTANCE))
        names = [n for w in ways for n in w.names]
        parts = tuple(n.name for n in names if isinstance(n, PartName))
        heading, sentence = self._sentence(names, V, R, last=last)
        work.add(
            heading,
            *sentence,
            lines=lines,
            result=lines[0].left.name if isinstance(lines[0].left, Symbol) else "",
            reason="Thévenin's theorem",
            loop=parts,
        )
        return _Way(Poly() if all_grounded else Poly.atom(V), Poly.atom(R), [Symbol(V)])

    def _sentence(
        self, names: list[str | Expr], V: str, R: str, *, last: bool
    ) -> tuple[str, Prose]:
        owner = "" if self.work.names.single else f" of {self.part.name}"
        if last and self.unloaded:
            return f"Voltage at the base{owner}", (
                "The base takes next to nothing from ",
                *join_words(names),
                ", so they form an unloaded divider.",
            )
        if not last and self.made < self.combos:
            return (
                "Thévenin equivalent, first stage",
                (*join_words(names), " form a divider by themselves; replace it first."),
            )
        return f"Thévenin equivalent at the {self.terminal}{owner}", (
            f"Cut the wire at the {self.terminal}. What is left on the supply side (",
            *join_words([*names, "the supply"]),
            ") is a linear one-port. With nothing drawn from it the open-circuit voltage is ",
            Symbol(V),
            "; with the sources replaced by short circuits the resistance looking back is ",
            Symbol(R),
            ".",
        )

    def _volts(self, ways: list[_Way]) -> Expr:
        write, value = self.work.write, self.work.atoms.value
        if len(ways) > 2:
            over = [(1, divide(write(w.volts), write(w.ohms))) for w in ways if w.volts]
            under = [(1, divide(ONE, write(w.ohms))) for w in ways]
            return divide(add(*over), add(*under))
        high, low = sorted(ways, key=lambda w: -value(w.volts, self.work.values))
        whole = write(high.ohms + low.ohms)
        if not low.volts:
            return divide(multiply(write(high.volts), write(low.ohms)), whole)
        if not high.volts:
            return divide(multiply(write(low.volts), write(high.ohms)), whole)
        step = divide(multiply(write(high.volts - low.volts), write(low.ohms)), whole)
        return add((1, write(low.volts)), (1, step))
