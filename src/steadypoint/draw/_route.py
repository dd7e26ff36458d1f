"""Wires: A* on a sparse grid, each node grown as a tree; crossings allowed at a price.

Rails are straight stubs; a stub that would be crossed or has no way becomes a local ground or
supply symbol.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from steadypoint.circuit import GROUND
from steadypoint.draw._columns import Arrangement
from steadypoint.draw._grid import DOWN, Grid, Knot, between, ends, hit
from steadypoint.draw._layout import Cell, Pin, Spot, body_boxes, label_boxes, pins_of
from steadypoint.draw._rows import LEN, Rows
from steadypoint.draw._scene import Box
from steadypoint.draw._way import Ways

_NO_WAY: Final = 300.0
_SPOILT: Final = 60.0
_FLAG: Final = 3.0
_CROSSED: Final = 10.0


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

    def _grid(self, placed: tuple[Spot, ...], width: int) -> Grid:
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
        return Grid(xlist, ylist, hard, soft)

    def run(self, limit: float = math.inf) -> Routing | None:
        """Route all nodes, rails first, then the short ones; None once the price passes a limit."""
        for rail in (self.net.top, self.net.bottom):
            self.rail(rail)
        for node in self.by_reach():
            self.tree(node)
            if self.price > limit:
                return None
        for rail in (self.net.top, self.net.bottom):
            self.cut(rail)
        self.price += _SPOILT * sum(self.spoilt(pin) for pin in self.flagged)
        for node in sorted(self.net.flags):
            self.flagged += self.pins.get(node, [])
        crossings = sum(1 for nodes in self.grid.at.values() if len(nodes) > 1)
        wires = {
            node: {tuple(self.grid.cell(k) for k in ends(e)) for e in edges}
            for node, edges in self.grid.edges.items()
        }
        price = self.price + _CROSSED * crossings
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
            free = all(self.grid.down[i, k] < math.inf for k in range(a, b)) and not any(
                (i, k) in self.taken and (i, k) != (i, j) for k in range(a, b + 1)
            )
            free = free and (rail == self.net.top or self.net.bus)
            towards = pin.look not in (("down",) if rail == self.net.top else ("up",))
            if free and towards:
                for k in range(a, b):
                    self.grid.put(rail, (DOWN, i, k))
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
                self.grid.edges[rail].discard((DOWN, i, k))
                self.grid.owner.pop((DOWN, i, k), None)
            for k in range(a, b + 1):
                self.grid.at.get((i, k), set()).discard(rail)
            self.stubs[rail].remove(pin.at[0])
            self.flagged.append(pin)

    def spoilt(self, pin: Pin) -> bool:
        """True when a foreign wire or a symbol lies where a local symbol is drawn."""
        box = _flag_box(pin)
        if hit(self.hard, box.x0, box.y0, box.x1, box.y1):
            return True
        return any(node != pin.node for node in self.grid.nodes_in(box))

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
        ways = Ways(self.grid, node, self.rows.trunk[node], self.taken, self.net.power)
        grown, todo = {a}, [b, *(k for k in knots if k not in (a, b))]
        while todo:
            todo.sort(key=lambda goal: min(self.apart(goal, k) for k in grown))
            goal = todo.pop(0)
            if goal in grown:
                continue
            found = ways.search(grown, goal)
            if found is None:
                self.price += _NO_WAY
                continue
            price, way = found
            self.price += price
            for u, w in pairwise(way):
                self.grid.put(node, between(u, w))
            grown |= set(way)

    def apart(self, a: Knot, b: Knot) -> int:
        xs, ys = self.grid.xs, self.grid.ys
        return abs(xs[a[0]] - xs[b[0]]) + abs(ys[a[1]] - ys[b[1]])


def _flag_box(pin: Pin) -> Box:
    """Room of a local symbol; a supply has its name there too."""
    x, y = pin.at
    if pin.node != GROUND:
        return Box(x - 3.2, y - 3.4, x + 3.2, y - 0.2) if pin.look == "up" else _below(x, y)
    if pin.look == "up":
        return Box(x - 1.6, y - 2.8, x + 1.6, y - 0.2)
    return Box(x - 1.2, y + 0.2, x + 1.2, y + 2.8)


def _below(x: int, y: int) -> Box:
    return Box(x - 3.2, y + 0.2, x + 3.2, y + 3.4)


def all_pins(plan: Arrangement, placed: Iterable[Spot]) -> list[Pin]:
    """Pins of all placed elements."""
    return [pin for spot in placed for pin in pins_of(plan, spot)]
