"""The sparse grid that wires run on: lengths of edges, what blocks them, who owns them."""

from __future__ import annotations

from bisect import bisect
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.draw._layout import Cell
from steadypoint.draw._scene import Box

ACROSS: Final = 1
DOWN: Final = 2
_TOUCH: Final = 0.1

Edge = tuple[int, int, int]  # direction, column line, row line: from there to the next line
Knot = tuple[int, int]


def ends(edge: Edge) -> tuple[Knot, Knot]:
    """Both ends of an edge."""
    way, i, j = edge
    return (i, j), (i + 1, j) if way == ACROSS else (i, j + 1)


def between(a: Knot, b: Knot) -> Edge:
    """The edge between two neighbours."""
    if a[1] == b[1]:
        return ACROSS, min(a[0], b[0]), a[1]
    return DOWN, a[0], min(a[1], b[1])


def hit(boxes: Sequence[Box], x0: float, y0: float, x1: float, y1: float) -> bool:
    """True when any box reaches into a rectangle."""
    return any(b.x0 < x1 and x0 < b.x1 and b.y0 < y1 and y0 < b.y1 for b in boxes)


@dataclass
class Grid:
    """Lines of a sparse grid and the wires on it.

    Parameters
    ----------
    xs, ys : list of int
        Places of the lines.
    hard : list of Box
        What no wire may enter.
    soft : list of Box
        Where a label will probably stand.
    """

    xs: list[int]
    ys: list[int]
    hard: list[Box]
    soft: list[Box]
    owner: dict[Edge, str] = field(default_factory=dict)
    at: dict[Knot, set[str]] = field(default_factory=dict)
    edges: dict[str, set[Edge]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        x, y = np.array(self.xs, dtype=float), np.array(self.ys, dtype=float)
        self.across = np.full((len(x), len(y)), np.inf)
        self.down = np.full((len(x), len(y)), np.inf)
        self.across[:-1] = np.diff(x)[:, None]
        self.down[:, :-1] = np.diff(y)[None, :]
        self._close(self.hard, 0.0)
        a, d = self._touched(self.soft, _TOUCH)
        self.labelled_across, self.labelled_down = a, d

    def _touched(
        self, boxes: Sequence[Box], along: float
    ) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """Edges across and down that any box touches; ``along`` lengthens the edges."""
        b = np.array([(b.x0, b.y0, b.x1, b.y1) for b in boxes]).reshape(-1, 4)
        ix, x1 = _meets(self.xs, b[:, 0], b[:, 2], along)
        jy, y1 = _meets(self.ys, b[:, 1], b[:, 3], along)
        return (ix.T @ y1) > 0, (x1.T @ jy) > 0

    def _close(self, boxes: Sequence[Box], along: float) -> None:
        across, down = self._touched(boxes, along)
        self.across[across] = np.inf
        self.down[down] = np.inf

    def block(self, box: Box) -> None:
        """No further wire may enter a box."""
        self._close([box], _TOUCH)

    def put(self, node: str, edge: Edge) -> None:
        """Give an edge to a node."""
        self.owner[edge] = node
        self.edges.setdefault(node, set()).add(edge)
        for knot in ends(edge):
            self.at.setdefault(knot, set()).add(node)

    def nodes_in(self, box: Box) -> set[str]:
        """Nodes whose wires touch a box."""
        columns = range(
            max(bisect(self.xs, box.x0 - _TOUCH) - 1, 0), bisect(self.xs, box.x1 + _TOUCH)
        )
        rows = range(max(bisect(self.ys, box.y0 - _TOUCH) - 1, 0), bisect(self.ys, box.y1 + _TOUCH))
        found = set()
        for i in columns:
            for j in rows:
                for edge in ((ACROSS, i, j), (DOWN, i, j)):
                    node = self.owner.get(edge)
                    if node is not None and self._reaches(edge, box):
                        found.add(node)
        return found

    def _reaches(self, edge: Edge, box: Box) -> bool:
        (x0, y0), (x1, y1) = (self.cell(k) for k in ends(edge))
        return hit([box], x0 - _TOUCH, y0 - _TOUCH, x1 + _TOUCH, y1 + _TOUCH)

    def straight(self, knot: Knot, node: str) -> int:
        """Direction of a wire that passes straight through a knot, 0 for a corner or a branch."""
        i, j = knot
        edges = self.edges[node]
        h = ((ACROSS, i - 1, j) in edges) + ((ACROSS, i, j) in edges)
        v = ((DOWN, i, j - 1) in edges) + ((DOWN, i, j) in edges)
        if h == 2 and v == 0:
            return ACROSS
        return DOWN if v == 2 and h == 0 else 0

    def cell(self, knot: Knot) -> Cell:
        """Place of a knot."""
        return self.xs[knot[0]], self.ys[knot[1]]


def _meets(
    lines: list[int], low: NDArray[np.float64], high: NDArray[np.float64], along: float
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Which gaps between lines, and which lines, each box reaches; shape (boxes, lines)."""
    at = np.array(lines, dtype=float)
    end = np.append(at[1:], -np.inf)  # the last line begins no gap
    gaps = (end + along > low[:, None]) & (at - along < high[:, None])
    on = (at + _TOUCH > low[:, None]) & (at - _TOUCH < high[:, None])
    return gaps.astype(np.float32), on.astype(np.float32)
