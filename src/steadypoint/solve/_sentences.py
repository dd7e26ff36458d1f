"""What the solvers say when an assumption fails."""

from __future__ import annotations

from typing import Final

from steadypoint.circuit import GROUND
from steadypoint.solve._network import Network
from steadypoint.solve._pieces import Piece
from steadypoint.solve._point import OperatingPoint, Region
from steadypoint.solve._tableau import Junction, Tableau
from steadypoint.values import format_quantity

_REGION: Final = {
    Region.ACTIVE: "active",
    Region.SATURATION: "saturated",
    Region.CUTOFF: "cut off",
    Region.REVERSE: "in reverse",
    Region.TRIODE: "in the triode region",
}
_FET_REGION: Final = _REGION | {Region.SATURATION: "in saturation"}


def name_of(tab: Tableau, node: int) -> str:
    """Node name of an index."""
    return tab.network.names[node] if node >= 0 else GROUND


def junction_name(junction: Junction) -> str:
    """How people call a junction."""
    return {
        "forward": f"the base-emitter junction of {junction.part}",
        "reverse": f"{junction.part} in saturation",
        "diode": f"the forward drop of {junction.part}",
        "breakdown": f"the zener voltage of {junction.part}",
    }[junction.kind]


def no_combination(tab: Tableau, best: Piece | None) -> str:
    """Sentence for a network in which no combination of regions is consistent."""
    loop = voltage_loop(tab)
    head = "The circuit has no operating point with constant drops: "
    if loop:
        return (
            f"{head}the loop of {_listed(loop)} contains nothing that limits its current. "
            "Put a resistor into this loop."
        )
    stuck = _node_of_stuck_current(tab.network)
    if stuck >= 0:
        return no_way(tab.network, stuck)
    if best is not None and best.violations:
        worst = best.violations[0]
        junction = tab.junctions[worst.junction]
        if worst.conducts:
            what = f"{junction_name(junction)} would have to carry its current backwards"
        else:
            what = (
                f"{junction_name(junction)} would have to block with "
                f"{worst.excess:.3g} V more than its drop across it"
            )
        return f"{head}in the nearest combination of regions {what}. Try the device model."
    return f"{head}every combination of regions contradicts itself. Try the device model."


def voltage_loop(tab: Tableau) -> list[str]:
    """Sources and junctions of a loop without resistance whose junctions the sources overdrive.

    Junctions alone lead from one node that sources tie to another, and what stands between the two
    is more than their drops.
    """
    net = tab.network
    V = tied_voltages(net)
    onward: dict[int, list[int]] = {}
    for j in tab.free:
        if tab.junctions[j].kind != "reverse":
            onward.setdefault(tab.junctions[j].plus, []).append(j)
    for start in V:
        ways: dict[int, list[int]] = {start: []}
        queue = [start]
        while queue:
            at = queue.pop(0)
            for j in onward.get(at, []):
                to, way = tab.junctions[j].minus, [*ways[at], j]
                if to in ways:
                    continue
                ways[to] = way
                drops = sum(tab.junctions[i].drop for i in way)
                if to in V and V[start] - V[to] > drops + 1e-9:
                    ends = {start, to} - {-1}
                    sources = [v.name for v in net.voltages if {v.start, v.end} & ends]
                    return [*sources, *(junction_name(tab.junctions[i]) for i in way)]
                queue.append(to)
    return []


def tied_voltages(net: Network) -> dict[int, float]:
    """Voltages of ground and of the nodes that voltage sources tie to it. [V]"""
    V = {-1: 0.0}
    for _ in net.voltages:
        for v in net.voltages:
            if v.end in V:
                V[v.start] = V[v.end] + v.value
            elif v.start in V:
                V[v.end] = V[v.start] - v.value
    return V


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else ", ".join(names[:-1]) + " and " + names[-1]


def taken_as_equal(tab: Tableau) -> tuple[str, ...]:
    """Sentences about parallel junctions whose division of the current the sheet leaves open."""
    found = []
    for q in tab.junctions:
        lead = tab.junctions[q.leader]
        if lead is q or q.kind == "reverse":
            continue
        parts = [tab.network.circuit.part(p) for p in (lead.part, q.part)]
        said = any(p.matched_to or p.option("I_S") is not None for p in parts)
        if not said:
            found.append(
                f"{lead.part} and {q.part} have their junctions in parallel and are taken as "
                "matched: each carries the same current. State which one is matched to which."
            )
    return tuple(found)


def several(
    point: OperatingPoint,
    others: tuple[OperatingPoint, ...],
    stable: tuple[bool, ...],
    *,
    complete: bool = True,
) -> str:
    """Sentence about further operating points; ``stable`` counts the point itself first."""
    shown = [_in_words(p, s) for p, s in zip(others, stable[1:], strict=True)]
    total = len(others) + 1
    own = "" if stable[0] else " The one shown is unstable: a circuit would leave it."
    found = f"{total} operating points" if others else "more than this one operating point"
    besides = f" Besides this one: {'; '.join(shown)}." if others else ""
    more = "" if complete else " There must be at least one more, which the search did not find."
    return f"The circuit has {found} under this model.{own}{besides}{more}"


def _in_words(point: OperatingPoint, stable: bool) -> str:
    words = [
        f"{t.name} {_REGION[t.region]} with {format_quantity(abs(t.V_CE), 'V')} across it"
        for t in point.transistors.values()
    ]
    words += [
        f"{f.name} {_FET_REGION[f.region]} with {format_quantity(abs(f.V_DS), 'V')} across it"
        for f in point.fets.values()
    ]
    return ", ".join(words) + ("" if stable else " (unstable)")


def _node_of_stuck_current(net: Network) -> int:
    """Node where a current source meets nothing but junctions and other such sources, or -1."""
    through = {
        n for group in (net.resistors, net.voltages) for r in group for n in (r.start, r.end)
    }
    for c in net.currents:
        for node in (c.start, c.end):
            if node >= 0 and node not in through:
                return node
    return -1


def no_way(net: Network, node: int) -> str:
    """Sentence about a current source whose current finds no way."""
    names = [c.name for c in net.currents if node in (c.start, c.end)]
    names = names or [c.name for c in net.currents] or ["a source"]
    return (
        f"The current of {_listed(names)} finds no way: {net.names[node]} leads only to parts that "
        "block. Give this current a resistor or a conducting junction to flow through."
    )
