"""What the solvers say when an assumption fails."""

from __future__ import annotations

from steadypoint.circuit import GROUND
from steadypoint.solve._pieces import Piece
from steadypoint.solve._point import OperatingPoint
from steadypoint.solve._tableau import Junction, Tableau
from steadypoint.values import format_quantity


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
            "Put a resistor into this loop, or use the device model."
        )
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
    """Parts of a loop of constant voltages that at least one junction closes, or nothing."""
    net = tab.network
    edges = [(v.start, v.end, v.name) for v in net.voltages]
    order = sorted(tab.free, key=lambda j: tab.junctions[j].kind != "forward")
    for j in order:
        junction = tab.junctions[j]
        if junction.kind != "reverse":
            edges.append((junction.plus, junction.minus, junction_name(junction)))
    neighbours: dict[int, list[tuple[int, str]]] = {}
    for start, end, name in edges:
        path = _path(neighbours, start, end)
        if path is not None and name.startswith("the "):
            return [*path, name]
        neighbours.setdefault(start, []).append((end, name))
        neighbours.setdefault(end, []).append((start, name))
    return []


def _path(neighbours: dict[int, list[tuple[int, str]]], start: int, end: int) -> list[str] | None:
    """Names along the way between two nodes, or None."""
    ways: dict[int, list[str]] = {start: []}
    queue = [start]
    while queue:
        at = queue.pop(0)
        if at == end:
            return ways[at]
        for to, name in neighbours.get(at, []):
            if to not in ways:
                ways[to] = [*ways[at], name]
                queue.append(to)
    return None


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else ", ".join(names[:-1]) + " and " + names[-1]


def several(
    point: OperatingPoint, others: tuple[OperatingPoint, ...], stable: tuple[bool, ...]
) -> str:
    """Sentence about further operating points; ``stable`` counts the point itself first."""
    shown = [_in_words(p, s) for p, s in zip(others, stable[1:], strict=True)]
    total = len(others) + 1
    own = "" if stable[0] else " The one shown is unstable: a circuit would leave it."
    return (
        f"The circuit has {total} operating points under this model.{own} "
        f"Besides this one: {'; '.join(shown)}."
    )


def _in_words(point: OperatingPoint, stable: bool) -> str:
    words = [
        f"{t.name} {t.region} with {format_quantity(abs(t.V_CE), 'V')} across it"
        for t in point.transistors.values()
    ]
    return ", ".join(words) + ("" if stable else " (unstable)")
