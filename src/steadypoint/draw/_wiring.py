"""From grid to figure: wires, dots, rails, ground symbols, and what they occupy. [px]"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from steadypoint.draw._layout import Pin
from steadypoint.draw._place import Placement
from steadypoint.draw._scene import Box, Circle, Command, Path, Point
from steadypoint.draw._symbols import ground, rail_bar

GRID: Final = 10.0
DOT: Final = 3.4
OVERHANG: Final = 15.0
Segment = tuple[Point, Point]


@dataclass
class NodeWires:
    """Drawn wires of one node.

    Parameters
    ----------
    segments : list of pairs of points
        Straight pieces, joined where they are in line.
    dots : list of points
        Junctions of three or more.
    symbols : list of Path
        Ground symbols and supply bars.
    names : list of (Point, str)
        Where a supply's name has to stand: point and ``above`` or ``below``.
    """

    segments: list[Segment] = field(default_factory=list)
    dots: list[Point] = field(default_factory=list)
    symbols: list[Path] = field(default_factory=list)
    names: list[tuple[Point, str]] = field(default_factory=list)


@dataclass(frozen=True)
class Obstacle:
    """Something that a text must not touch.

    Parameters
    ----------
    box : Box
        Its extent. [px]
    node : str
        Node of the wire it belongs to, or empty.
    is_text : bool
        True for a text with a fixed place.
    """

    box: Box
    node: str = ""
    is_text: bool = False


def point(cell: tuple[int, int]) -> Point:
    """A grid place in the figure. [px]"""
    return cell[0] * GRID, cell[1] * GRID


def wiring(placement: Placement, ground_node: str) -> tuple[dict[str, NodeWires], list[Obstacle]]:
    """Wires of all nodes and the obstacles they make."""
    net, routing = placement.plan.net, placement.routing
    out: dict[str, NodeWires] = {}
    obstacles: list[Obstacle] = []
    for node in net.pins:
        wires = NodeWires()
        edges = [(point(a), point(b)) for a, b in routing.wires.get(node, ())]
        if node in (net.top, net.bottom) and routing.stubs.get(node):
            edges += _rail(placement, node, ground_node, wires, obstacles)
        wires.segments = joined(edges)
        own = [p for p in placement.pins if p.node == node]
        wires.dots += _junctions(edges, own)
        out[node] = wires
    for pin in routing.flagged:
        _flag(pin, ground_node, out[pin.node], obstacles)
    for node, wires in out.items():
        for (x0, y0), (x1, y1) in wires.segments:
            box = Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))
            obstacles.append(Obstacle(box.grown(2.5), node))
    return out, obstacles


def _rail(
    placement: Placement,
    node: str,
    ground_node: str,
    wires: NodeWires,
    obstacles: list[Obstacle],
) -> list[Segment]:
    net = placement.plan.net
    level = 0.0 if node == net.top else placement.rows.bottom * GRID
    xs = sorted({x * GRID for x in placement.routing.stubs[node]})
    if node == ground_node:
        path, box = ground(xs[0], level)
        wires.symbols.append(path)
        obstacles.append(Obstacle(box))
        if node == net.top:  # a supply below ground: the symbol hangs from the line's end
            wires.dots += [(x, level) for x in xs[1:-1]]
    else:
        xs = [xs[0] - OVERHANG, *xs, xs[-1] + OVERHANG]
        up = node == net.top
        wires.names.append(((xs[0], level), "above" if up else "below"))
    return [((a, level), (b, level)) for a, b in pairwise(xs)]


def _flag(pin: Pin, ground_node: str, wires: NodeWires, obstacles: list[Obstacle]) -> None:
    """A rail symbol right at a pin."""
    x, y = point(pin.at)
    if pin.look in ("left", "right"):
        step = -GRID if pin.look == "left" else GRID
        wires.segments.append(((x, y), (x + step, y)))
        x += step
    if pin.node == ground_node:
        if pin.look == "up":  # ground above a part: go aside, then down
            wires.segments += [((x, y), (x, y - GRID)), ((x, y - GRID), (x - 2 * GRID, y - GRID))]
            x, y = x - 2 * GRID, y - GRID
        path, box = ground(x, y)
    else:
        path, box = rail_bar(x, y, up=pin.look != "down")
        wires.names.append(((x, box.y0 if pin.look != "down" else box.y1), "flag-" + pin.look))
    wires.symbols.append(path)
    obstacles.append(Obstacle(box))


def _junctions(edges: Iterable[Segment], pins: list[Pin]) -> list[Point]:
    degree: dict[Point, int] = {}
    for a, b in edges:
        degree[a] = degree.get(a, 0) + 1
        degree[b] = degree.get(b, 0) + 1
    for pin in pins:
        at = point(pin.at)
        degree[at] = degree.get(at, 0) + 1
    return sorted(p for p, count in degree.items() if count >= 3)


def joined(edges: Iterable[Segment]) -> list[Segment]:
    """Pieces in line made one, sorted."""
    lines: dict[tuple[int, float], list[tuple[float, float]]] = {}
    for (x0, y0), (x1, y1) in edges:
        if y0 == y1:
            lines.setdefault((0, y0), []).append((min(x0, x1), max(x0, x1)))
        else:
            lines.setdefault((1, x0), []).append((min(y0, y1), max(y0, y1)))
    out: list[Segment] = []
    for (way, at), pieces in sorted(lines.items()):
        pieces.sort()
        low, high = pieces[0]
        runs = []
        for a, b in pieces[1:]:
            if a <= high:
                high = max(high, b)
            else:
                runs.append((low, high))
                low, high = a, b
        runs.append((low, high))
        out += [((a, at), (b, at)) if way == 0 else ((at, a), (at, b)) for a, b in runs]
    return out


def wire_path(segments: Iterable[Segment]) -> Path:
    """One path for the wires of a node."""
    commands: list[Command] = []
    for (x0, y0), (x1, y1) in segments:
        commands += [("M", x0, y0), ("L", x1, y1)]
    return Path(tuple(commands), "wire")


def dot(at: Point) -> Circle:
    """A junction."""
    return Circle(at[0], at[1], DOT, "dot")
