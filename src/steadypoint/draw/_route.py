"""Wires: A* on a sparse grid, each node grown as a tree; crossings allowed at a price.

Rails are straight stubs; a stub that would be crossed or has no way becomes a local ground or
supply symbol.
"""

from __future__ import annotations

import heapq
from bisect import bisect
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from steadypoint.draw._columns import Arrangement
from steadypoint.draw._layout import Cell, Pin, Spot, body_boxes, label_boxes, pins_of
from steadypoint.draw._rows import LEN, Rows
from steadypoint.draw._scene import Box

BEND: Final = 2.5
CROSSING: Final = 14.0
CUT: Final = 7.0
_NO_WAY: Final = 300.0
_SPOILT: Final = 60.0
_FLAG: Final = 3.0
_OFF_TRUNK: Final = 1.25  # a horizontal wire away from its node's height costs more
_UNDER_LABEL: Final = 3.0
_ACROSS: Final = 1
_DOWN: Final = 2

Edge = tuple[int, int, int]  # direction, column line, row line: from there to the next line
Knot = tuple[int, int]


@dataclass
class Routing:
    """Wires of a placement.

    Parameters
    ----------
    wires : dict of str to set
        Unit edges on the grid by node, as pairs of grid places.
    stubs : dict of str to list of int
        Places along a rail where a stub meets it.
    flagged : list of Pin
        Rail pins with a local symbol instead of a stub.
    crossings : int
        Places where two wires cross.
    price : float
        What the search minimised.
    """

    wires: dict[str, set[tuple[Cell, Cell]]]
    stubs: dict[str, list[int]]
    flagged: list[Pin]
    crossings: int
    price: float


@dataclass
class _Grid:
    xs: list[int]
    ys: list[int]
    across: list[list[float | None]]
    down: list[list[float | None]]
    labelled: set[Edge]
    owner: dict[Edge, str] = field(default_factory=dict)
    at: dict[Knot, set[str]] = field(default_factory=dict)
    edges: dict[str, set[Edge]] = field(default_factory=dict)

    def put(self, node: str, edge: Edge) -> None:
        self.owner[edge] = node
        self.edges.setdefault(node, set()).add(edge)
        for knot in _ends(edge):
            self.at.setdefault(knot, set()).add(node)

    def block(self, box: Box) -> None:
        """No further wire may enter a box."""
        columns = range(bisect(self.xs, box.x0) - 1, bisect(self.xs, box.x1))
        rows = range(bisect(self.ys, box.y0) - 1, bisect(self.ys, box.y1))
        for i in columns:
            for j in rows:
                if i < 0 or j < 0:
                    continue
                x0, y0 = self.cell((i, j))
                x1, y1 = self.xs[i + 1 : i + 2] or [x0], self.ys[j + 1 : j + 2] or [y0]
                if _hit([box], x0 - 0.1, y0 - 0.1, x1[0] + 0.1, y0 + 0.1):
                    self.across[i][j] = None
                if _hit([box], x0 - 0.1, y0 - 0.1, x0 + 0.1, y1[0] + 0.1):
                    self.down[i][j] = None

    def straight(self, knot: Knot, node: str) -> int:
        """Direction of a wire that passes straight through a knot, 0 for a corner or a branch."""
        i, j = knot
        edges = self.edges[node]
        h = ((_ACROSS, i - 1, j) in edges) + ((_ACROSS, i, j) in edges)
        v = ((_DOWN, i, j - 1) in edges) + ((_DOWN, i, j) in edges)
        if h == 2 and v == 0:
            return _ACROSS
        return _DOWN if v == 2 and h == 0 else 0

    def cell(self, knot: Knot) -> Cell:
        return self.xs[knot[0]], self.ys[knot[1]]


def _ends(edge: Edge) -> tuple[Knot, Knot]:
    way, i, j = edge
    return (i, j), (i + 1, j) if way == _ACROSS else (i, j + 1)


def _between(a: Knot, b: Knot) -> Edge:
    if a[1] == b[1]:
        return _ACROSS, min(a[0], b[0]), a[1]
    return _DOWN, a[0], min(a[1], b[1])


def _hit(boxes: list[Box], x0: float, y0: float, x1: float, y1: float) -> bool:
    return any(b.x0 < x1 and x0 < b.x1 and b.y0 < y1 and y0 < b.y1 for b in boxes)


class Router:
    """Routes one placement."""

    def __init__(self, plan: Arrangement, placed: tuple[Spot, ...], rows: Rows, width: int) -> None:
        self.net = plan.net
        self.rows = rows
        self.pins: dict[str, list[Pin]] = {}
        for spot in placed:
            for pin in pins_of(plan, spot):
                self.pins.setdefault(pin.node, []).append(pin)
        self.grid = self._grid(placed, width)
        self.ix = {x: i for i, x in enumerate(self.grid.xs)}
        self.iy = {y: j for j, y in enumerate(self.grid.ys)}
        self.taken = {self.knot(pin): pin.node for pins in self.pins.values() for pin in pins}
        self.stubs: dict[str, list[int]] = {}
        self.flagged: list[Pin] = []
        self.price = 0.0

    def knot(self, pin: Pin) -> Knot:
        return self.ix[pin.at[0]], self.iy[pin.at[1]]

    def _grid(self, placed: tuple[Spot, ...], width: int) -> _Grid:
        xs, ys = {-1, width + 1}, {0, self.rows.bottom}
        ys |= {y for y in self.rows.trunk.values() if 0 < y < self.rows.bottom}
        hard: list[Box] = []
        soft: list[Box] = []
        for spot in placed:
            hard += body_boxes(spot)
            soft += label_boxes(spot)
            if spot.form == "upright":
                xs |= {spot.x - 2, spot.x + 2, spot.x - 6, spot.x + 8}
                ys |= {spot.y - 1, spot.y - 2, spot.y + LEN + 1, spot.y + LEN + 2}
            elif spot.form == "across":
                xs |= {spot.x - 5, spot.x + 5}
                ys |= {spot.y - 5, spot.y + 2}
        for pins in self.pins.values():
            for pin in pins:
                xs.add(pin.at[0])
                ys.add(pin.at[1])
                if pin.look in ("left", "right"):
                    xs |= {pin.at[0] - 2, pin.at[0] + 2}
                if pin.node in self.net.flags:
                    hard.append(_flag_box(pin))
        self.hard = hard
        xlist = sorted(x for x in xs if -2 <= x <= width + 2)
        ylist = sorted(y for y in ys if 0 <= y <= self.rows.bottom)
        return _Grid(xlist, ylist, *_prices(xlist, ylist, hard, soft))

    def run(self) -> Routing:
        """Route all nodes, rails first, then the short ones."""
        for rail in (self.net.top, self.net.bottom):
            self.rail(rail)
        for node in self.by_reach():
            self.tree(node)
        for rail in (self.net.top, self.net.bottom):
            self.cut(rail)
        self.price += _SPOILT * sum(self.spoilt(pin) for pin in self.flagged)
        for node in sorted(self.net.flags):
            self.flagged += self.pins.get(node, [])
        crossings = sum(1 for nodes in self.grid.at.values() if len(nodes) > 1)
        wires = {
            node: {tuple(self.grid.cell(k) for k in _ends(e)) for e in edges}
            for node, edges in self.grid.edges.items()
        }
        price = self.price + 10 * crossings
        return Routing(wires, self.stubs, self.flagged, crossings, price)  # type: ignore[arg-type]

    def by_reach(self) -> list[str]:
        reach = []
        for node, pins in self.pins.items():
            if node not in self.net.power:
                xs = [p.at[0] for p in pins]
                ys = [p.at[1] for p in pins]
                reach.append((max(xs) - min(xs) + max(ys) - min(ys), node))
        return [node for _, node in sorted(reach)]

    def rail(self, rail: str) -> None:
        level = 0 if rail == self.net.top else self.rows.bottom
        for pin in self.pins.get(rail, []):
            i, j = self.knot(pin)
            a, b = sorted((j, self.iy[level]))
            free = all(self.grid.down[i][k] is not None for k in range(a, b)) and not any(
                (i, k) in self.taken and (i, k) != (i, j) for k in range(a, b + 1)
            )
            free = free and (rail == self.net.top or self.net.bus)
            towards = pin.look not in (("down",) if rail == self.net.top else ("up",))
            if free and towards:
                for k in range(a, b):
                    self.grid.put(rail, (_DOWN, i, k))
                self.stubs.setdefault(rail, []).append(pin.at[0])
                self.price += 0.05 * (b - a)
            else:
                self.flagged.append(pin)
                self.price += _FLAG if self.net.bus else 0.5
                self.grid.block(_flag_box(pin))

    def cut(self, rail: str) -> None:
        """Crossed stubs become local symbols."""
        level = self.iy[0 if rail == self.net.top else self.rows.bottom]
        flagged = {id(p) for p in self.flagged}
        for pin in self.pins.get(rail, []):
            if id(pin) in flagged:
                continue
            i, j = self.knot(pin)
            a, b = sorted((j, level))
            if not any(len(self.grid.at.get((i, k), ())) > 1 for k in range(a, b + 1)):
                continue
            if self.spoilt(pin):
                continue  # no room for a symbol: the wires cross
            for k in range(a, b):
                self.grid.edges[rail].discard((_DOWN, i, k))
                self.grid.owner.pop((_DOWN, i, k), None)
            for k in range(a, b + 1):
                self.grid.at.get((i, k), set()).discard(rail)
            self.stubs[rail].remove(pin.at[0])
            self.flagged.append(pin)

    def spoilt(self, pin: Pin) -> bool:
        """True when a foreign wire or a symbol lies where a local symbol is drawn."""
        box = _flag_box(pin)
        if _hit(self.hard, box.x0, box.y0, box.x1, box.y1):
            return True
        for node, edges in self.grid.edges.items():
            for edge in edges if node != pin.node else ():
                (x0, y0), (x1, y1) = (self.grid.cell(k) for k in _ends(edge))
                if _hit([box], x0 - 0.1, y0 - 0.1, x1 + 0.1, y1 + 0.1):
                    return True
        return False

    def tree(self, node: str) -> None:
        """Connect all pins of a node, nearest first."""
        knots = list(dict.fromkeys(self.knot(p) for p in self.pins[node]))
        if len(knots) < 2:
            return
        self.grid.edges.setdefault(node, set())
        a, b = min(
            ((a, b) for k, a in enumerate(knots) for b in knots[k + 1 :]),
            key=lambda ab: self.apart(*ab),
        )
        grown, todo = {a}, [b, *(k for k in knots if k not in (a, b))]
        while todo:
            todo.sort(key=lambda goal: min(self.apart(goal, k) for k in grown))
            goal = todo.pop(0)
            if goal in grown:
                continue
            found = self.search(node, grown, goal)
            if found is None:
                self.price += _NO_WAY
                continue
            price, way = found
            self.price += price
            for u, w in pairwise(way):
                self.grid.put(node, _between(u, w))
            grown |= set(way)

    def apart(self, a: Knot, b: Knot) -> int:
        xs, ys = self.grid.xs, self.grid.ys
        return abs(xs[a[0]] - xs[b[0]]) + abs(ys[a[1]] - ys[b[1]])

    def search(self, node: str, grown: set[Knot], goal: Knot) -> tuple[float, list[Knot]] | None:
        """Cheapest way from the tree to a pin."""
        State = tuple[Knot, int]
        queue: list[tuple[float, float, Knot, int]] = []
        best: dict[State, float] = {}
        came: dict[State, State] = {}
        for start in sorted(grown):
            best[start, 0] = 0.0
            heapq.heappush(queue, (float(self.apart(start, goal)), 0.0, start, 0))
        while queue:
            _, price, knot, way = heapq.heappop(queue)
            if price > best[knot, way] + 1e-9:
                continue
            if knot == goal:
                path, state = [knot], (knot, way)
                while state in came:
                    state = came[state]
                    path.append(state[0])
                return price, path[::-1]
            for other, heading, step in self.steps(node, knot, way, goal):
                total = price + step
                if total < best.get((other, heading), 1e9) - 1e-9:
                    best[other, heading] = total
                    came[other, heading] = (knot, way)
                    heapq.heappush(queue, (total + self.apart(other, goal), total, other, heading))
        return None

    def steps(
        self, node: str, knot: Knot, way: int, goal: Knot
    ) -> Iterator[tuple[Knot, int, float]]:
        """Allowed moves with their prices."""
        grid, (i, j) = self.grid, knot
        foreign_here = any(n != node for n in grid.at.get(knot, ()))
        for di, dj, heading in ((1, 0, _ACROSS), (-1, 0, _ACROSS), (0, 1, _DOWN), (0, -1, _DOWN)):
            other = (i + di, j + dj)
            if not (0 <= other[0] < len(grid.xs) and 0 <= other[1] < len(grid.ys)):
                continue
            if self.taken.get(other, node) != node:
                continue
            edge = _between(knot, other)
            step = (grid.across if heading == _ACROSS else grid.down)[edge[1]][edge[2]]
            if step is None or grid.owner.get(edge, node) != node:
                continue
            if foreign_here and heading != way:
                continue
            crossing = self.crossing(node, other, heading, goal)
            if crossing is None:
                continue
            if heading == _DOWN or grid.ys[j] != self.rows.trunk[node]:
                if edge in grid.labelled:
                    step *= _UNDER_LABEL
                if heading == _ACROSS:
                    step *= _OFF_TRUNK
            bend = BEND if way and heading != way else 0.0
            yield other, heading, step + crossing + bend

    def crossing(self, node: str, knot: Knot, heading: int, goal: Knot) -> float | None:
        """Price of passing other wires at a knot, None where that is not allowed."""
        others = [n for n in self.grid.at.get(knot, ()) if n != node]
        if not others:
            return 0.0
        if knot == goal:
            return None
        if any(self.grid.straight(knot, n) in (0, heading) for n in others):
            return None
        return sum(CUT if n in self.net.power else CROSSING for n in others)


def _flag_box(pin: Pin) -> Box:
    x, y = pin.at
    if pin.look == "up":
        return Box(x - 1.6, y - 2.8, x + 1.6, y - 0.2)
    return Box(x - 1.2, y + 0.2, x + 1.2, y + 2.8)


def _prices(
    xs: list[int], ys: list[int], hard: list[Box], soft: list[Box]
) -> tuple[list[list[float | None]], list[list[float | None]], set[Edge]]:
    """Lengths of the unit edges across and down, None where a body stands in the way; and the
    edges that a label will probably want."""
    labelled: set[Edge] = set()

    def price(way: int, i: int, j: int) -> float | None:
        x0, y0 = xs[i], ys[j]
        across = way == _ACROSS
        if (i + 1 if across else j + 1) >= (len(xs) if across else len(ys)):
            return None
        x1, y1 = (xs[i + 1], y0) if across else (x0, ys[j + 1])
        wide, high = (0.0, 0.1) if across else (0.1, 0.0)
        if _hit(hard, x0 - wide, y0 - high, x1 + wide, y1 + high):
            return None
        if _hit(soft, x0 - 0.1, y0 - 0.1, x1 + 0.1, y1 + 0.1):
            labelled.add((way, i, j))
        return float(x1 - x0 + y1 - y0)

    columns, rows = range(len(xs)), range(len(ys))
    across = [[price(_ACROSS, i, j) for j in rows] for i in columns]
    down = [[price(_DOWN, i, j) for j in rows] for i in columns]
    return across, down, labelled


def all_pins(plan: Arrangement, placed: Iterable[Spot]) -> list[Pin]:
    """Pins of all placed elements."""
    return [pin for spot in placed for pin in pins_of(plan, spot)]
