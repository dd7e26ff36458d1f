"""Price of unusual orders, for many orders at once."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.circuit import Kind
from steadypoint.draw._columns import Arrangement, Column
from steadypoint.draw._line import Line, hinted_pairs, turnable

Orders = NDArray[np.int64]
Turns = NDArray[np.bool_]
Prices = NDArray[np.float64]

_MIRROR: Final = 8.0
_STAGES: Final = 1.0  # two transistors against the order of the sheet
_FACING: Final = 8.0
_OUTSIDE: Final = 20.0
_PORT: Final = 1.0
_SOURCE: Final = 0.5
_BYPASS: Final = 6.0  # a capacitor left of the part that it bridges
_HINT: Final = 60.0  # a part on the other side than a hint wants it


class Habits:
    """What a reader expects of the order in an arrangement of columns.

    Inputs stand left, outputs right; a base looks left; a common leg stands between its pair and
    the pair faces outwards; transistors with a common base face each other; a capacitor stands
    right of the emitter that it bypasses.
    """

    def __init__(self, plan: Arrangement) -> None:
        columns = plan.columns
        index = {c: i for i, c in enumerate(columns)}
        names = [name for c in columns for name in turnable(c)]
        unit = {name: k for k, name in enumerate(names)}
        home = {name: index[c] for c in columns for name in turnable(c)}
        self.left_ports: list[int] = []
        self.right_ports: list[int] = []
        self.sources: list[int] = []
        for i, column in enumerate(columns):
            element = column.members[0].element
            if column.form == "terminal":
                (self.left_ports if element.side == "left" else self.right_ports).append(i)
            elif element.kind is Kind.VOLTAGE_SOURCE:
                self.sources.append(i)
        self.legs: list[tuple[int, Orders, Orders, Orders]] = []
        for leg in plan.legs:
            ends = [c.members[-1 if leg.below else 0].element for c in leg.shared]
            own = np.array([index[c] for c in leg.shared])
            units = np.array([unit[e.name] for e in ends])
            bases = {e.nodes[1]: k for k, e in enumerate(ends)}
            self.legs.append(
                (index[leg.column], own, units, np.array([bases[e.nodes[1]] for e in ends]))
            )
        self.common = [
            (home[a.name], home[b.name], unit[a.name], unit[b.name]) for a, b in plan.common_bases
        ]
        stages = [i for i, c in enumerate(columns) if c.transistors]
        self.stages = [(a, b) for k, a in enumerate(stages) for b in stages[k + 1 :]]
        self.bypasses = [(index[a], index[b]) for a, b in _bypasses(plan)]
        self.hinted = [(index[a], index[b]) for a, b in hinted_pairs(plan, columns)]
        self.is_transistor = np.array(
            [bool(c.transistors) for c in columns for _ in turnable(c)], dtype=bool
        )

    def prices(self, place: Orders, turned: Turns) -> Prices:
        """Prices; ``place`` (B, n) is where each column stands, ``turned`` (B, units)."""
        last = place.shape[1] - 1
        cost = _PORT * place[:, self.left_ports].sum(axis=1).astype(float)
        cost += _PORT * (last - place[:, self.right_ports]).sum(axis=1)
        cost += _SOURCE * place[:, self.sources].sum(axis=1)
        free = np.broadcast_to(self.is_transistor, turned.shape).copy()
        rows = np.arange(len(place))
        for leg, own, units, bases in self.legs:
            cost += self._leg(place, turned, free, rows, (leg, own, units, bases))
        for a, b, unit_a, unit_b in self.common:
            swap = place[:, a] > place[:, b]
            left = np.where(swap, turned[:, unit_b], turned[:, unit_a])
            right = np.where(swap, turned[:, unit_a], turned[:, unit_b])
            cost += _FACING * (~left + right.astype(float))
            free[:, [unit_a, unit_b]] = False
        for a, b in self.stages:
            cost += _STAGES * (place[:, a] > place[:, b])
        for a, b in self.bypasses:
            cost += _BYPASS * (place[:, a] < place[:, b])
        for a, b in self.hinted:
            apart = place[:, b] - place[:, a]
            cost += np.where(apart > 0, 0.5 * apart, _HINT - apart)
        out: Prices = cost + _MIRROR * (turned & free).sum(axis=1)
        return out

    def _leg(
        self,
        place: Orders,
        turned: Turns,
        free: Turns,
        rows: Orders,
        leg: tuple[int, Orders, Orders, Orders],
    ) -> Prices:
        column, own, units, bases = leg
        shared = place[:, own]
        first, final = shared.argmin(axis=1), shared.argmax(axis=1)
        at = place[:, column]
        inside = (shared.min(axis=1) < at) & (at < shared.max(axis=1))
        cost: Prices = _OUTSIDE * ~inside
        outward = bases[first] != bases[final]
        a, b = units[first], units[final]
        wrong = turned[rows, a].astype(float) + ~turned[rows, b]
        free[rows[outward], a[outward]] = False
        free[rows[outward], b[outward]] = False
        cost += _FACING * wrong * outward
        return cost


def _bypasses(plan: Arrangement) -> Iterator[tuple[Column, Column]]:
    """Upright capacitors from a rail with the columns of transistors that they lead to."""
    upright = [c for c in plan.columns if c.form == "vertical"]
    for column in upright:
        own = column.members[0]
        if len(column.members) > 1 or own.element.name not in plan.net.signal:
            continue
        nodes = {own.upper, own.lower} - plan.net.power
        for other in upright:
            if other.transistors and any(
                nodes == {m.upper, m.lower} & {own.upper, own.lower} - plan.net.power
                for m in other.members
            ):
                yield column, other
                break


def habits(plan: Arrangement, line: Line) -> float:
    """Price of one order."""
    place = np.array([[line.columns.index(c) for c in plan.columns]])
    names = [name for c in plan.columns for name in turnable(c)]
    turned = np.array([[name in line.mirrored for name in names]], dtype=bool)
    return float(Habits(plan).prices(place, turned)[0])
