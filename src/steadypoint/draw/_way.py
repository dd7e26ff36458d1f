"""The cheapest way of a wire over the grid: A* with prices for bends and crossings."""

from __future__ import annotations

import heapq
from collections.abc import Collection
from typing import Final

import numpy as np

from steadypoint.draw._grid import ACROSS, DOWN, Grid, Knot

BEND: Final = 2.5
CROSSING: Final = 14.0
CUT: Final = 7.0
_OFF_TRUNK: Final = 1.25  # a horizontal wire away from its node's height costs more
_UNDER_LABEL: Final = 3.0
_INF: Final = float("inf")


class Ways:
    """Prices of all edges and knots for the wires of one node.

    Parameters
    ----------
    grid : Grid
        The grid with the wires of the nodes before.
    node : str
        Whose wires are looked for.
    trunk : int
        Height of the node's horizontal wire.
    taken : mapping of Knot to str
        Pins with their nodes.
    power : collection of str
        Rails: their stubs can be cut, so crossing one costs less.
    """

    def __init__(
        self,
        grid: Grid,
        node: str,
        trunk: int,
        taken: dict[Knot, str],
        power: Collection[str],
    ) -> None:
        self.grid, self.node, self.power = grid, node, power
        self.high = len(grid.ys)
        off = np.array(grid.ys) != trunk
        across = np.where(grid.labelled_across & off, grid.across * _UNDER_LABEL, grid.across)
        across = across * np.where(off, _OFF_TRUNK, 1.0)
        down = np.where(grid.labelled_down, grid.down * _UNDER_LABEL, grid.down)
        for (way, i, j), owner in grid.owner.items():
            if owner != node:
                (across if way == ACROSS else down)[i, j] = np.inf
        self.across: list[float] = across.ravel().tolist()
        self.down: list[float] = down.ravel().tolist()
        self.passing_across = [0.0] * len(self.across)
        self.passing_down = [0.0] * len(self.across)
        self.foreign: set[int] = set()
        for knot, here in grid.at.items():
            self._pass_wires(knot, here)
        for (i, j), owner in taken.items():
            if owner != node:
                self.passing_across[i * self.high + j] = _INF
                self.passing_down[i * self.high + j] = _INF

    def _pass_wires(self, knot: Knot, here: set[str]) -> None:
        """Prices of passing straight over wires of other nodes; infinite where they turn."""
        others = [n for n in here if n != self.node]
        if not others:
            return
        k = knot[0] * self.high + knot[1]
        self.foreign.add(k)
        price = sum(CUT if n in self.power else CROSSING for n in others)
        runs = {self.grid.straight(knot, n) for n in others}
        self.passing_across[k] = _INF if runs & {0, ACROSS} else price
        self.passing_down[k] = _INF if runs & {0, DOWN} else price

    def search(self, grown: Collection[Knot], goal: Knot) -> tuple[float, list[Knot]] | None:
        """Cheapest way from a tree to a pin, None where there is none."""
        high, xs, ys = self.high, self.grid.xs, self.grid.ys
        gx, gy = xs[goal[0]], ys[goal[1]]
        columns = [abs(x - gx) for x in xs]
        rows = [abs(y - gy) for y in ys]
        end = goal[0] * high + goal[1]
        size = len(self.across)
        best = [_INF] * (3 * size)
        came = [-1] * (3 * size)
        queue: list[tuple[float, float, int, int]] = []
        for i, j in sorted(grown):
            best[3 * (i * high + j)] = 0.0
            heapq.heappush(queue, (float(columns[i] + rows[j]), 0.0, i * high + j, 0))
        while queue:
            _, price, k, way = heapq.heappop(queue)
            state = 3 * k + way
            if price > best[state] + 1e-9:
                continue
            if k == end:
                return price, self._path(came, state)
            for heading, other, step in self._steps(k, way, size):
                total = price + step
                there = 3 * other + heading
                if total < best[there] - 1e-9:
                    best[there] = total
                    came[there] = state
                    left = columns[other // high] + rows[other % high]
                    heapq.heappush(queue, (total + left, total, other, heading))
        return None

    def _steps(self, k: int, way: int, size: int) -> list[tuple[int, int, float]]:
        """Allowed moves with their prices; over a wire of another node only straight on."""
        high, only = self.high, k in self.foreign
        out: list[tuple[int, int, float]] = []
        if not only or way == ACROSS:
            bend = BEND if way == DOWN else 0.0
            if k + high < size and (step := self.across[k]) < _INF:
                out.append((ACROSS, k + high, step + bend + self.passing_across[k + high]))
            if k >= high and (step := self.across[k - high]) < _INF:
                out.append((ACROSS, k - high, step + bend + self.passing_across[k - high]))
        if not only or way == DOWN:
            bend = BEND if way == ACROSS else 0.0
            if (step := self.down[k]) < _INF:
                out.append((DOWN, k + 1, step + bend + self.passing_down[k + 1]))
            if k % high and (step := self.down[k - 1]) < _INF:
                out.append((DOWN, k - 1, step + bend + self.passing_down[k - 1]))
        return out

    def _path(self, came: list[int], state: int) -> list[Knot]:
        path = []
        while state >= 0:
            knot = state // 3
            path.append((knot // self.high, knot % self.high))
            state = came[state]
        return path[::-1]
