"""Prices of many orders at once: every node drawn as one trunk with straight drops."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.draw._columns import Arrangement, Column
from steadypoint.draw._habits import Habits, Orders, Prices, Turns
from steadypoint.draw._line import LOW, ColumnPin, column_pins, turnable
from steadypoint.draw._rows import LEN, Rows

_CROSSING: Final = 8.0
_CUT: Final = 4.0  # a rail's stub, or a chain that can end at a symbol of its own
_THROUGH: Final = 10.0
_TURN: Final = 4.0
_SPAN: Final = 0.1
_TALL_SIDE: Final = 12  # room of a transistor on the side away from its base, and on that of it
_BASE_SIDE: Final = 8

Places = NDArray[np.float64]


class Judge:
    """Estimates orders of the columns of a plan with given rows."""

    def __init__(self, plan: Arrangement, rows: Rows) -> None:
        self.plan, self.rows = plan, rows
        self.habits = Habits(plan)
        self.units = [name for c in plan.columns for name in turnable(c)]
        unit = {name: k for k, name in enumerate(self.units)} | {"": len(self.units)}
        found: list[tuple[int, ColumnPin, ColumnPin]] = []
        for i, column in enumerate(plan.columns):
            ways = (column_pins(column, rows.top[column], m) for m in ((), turnable(column)))
            found += [(i, a, b) for a, b in zip(*ways, strict=True)]
        self.pins = [a for _, a, _ in found]
        self.pin_column = np.array([i for i, _, _ in found])
        self.pin_unit = np.array([unit[a.turns] for _, a, _ in found])
        self.dx = np.array([[a.dx, b.dx] for _, a, b in found], dtype=float)
        self.look = np.array([[a.look, b.look] for _, a, b in found])
        self._breadths(unit)
        self._trunks()
        self._drops()
        self._meetings()

    def _breadths(self, unit: dict[str, int]) -> None:
        columns = self.plan.columns
        self.least = np.array([_breadth(c) for c in columns], dtype=float)
        self.standing = np.zeros((len(self.units), len(columns)))
        for i, column in enumerate(columns):
            for element in column.transistors:
                self.standing[unit[element.name], i] = 1.0

    def _trunks(self) -> None:
        """Horizontal wires: one for each node, one for each pin below everything."""
        net = self.plan.net
        here: dict[str, list[int]] = {}
        for k, pin in enumerate(self.pins):
            if pin.node not in net.power:
                here.setdefault(pin.node, []).append(k)
        self.nodes = list(here)
        groups = [[k for k in ks if self.pins[k].look != LOW] or ks for ks in here.values()]
        self.extent = np.array([k for ks in groups for k in ks], dtype=int)
        self.starts = np.cumsum([0, *(len(ks) for ks in groups)])[:-1]
        self.group = np.array([g for g, ks in enumerate(groups) for _ in ks], dtype=int)
        self.several = np.array([len(ks) > 1 for ks in groups], dtype=bool)
        self.lows = [
            (k, g) for g, ks in enumerate(here.values()) for k in ks if self.pins[k].look == LOW
        ]
        self.across = [(n, self.rows.trunk[n]) for n in self.nodes]
        self.across += [(self.nodes[g], self.pins[k].y) for k, g in self.lows]

    def _drops(self) -> None:
        """Vertical wires from pins to the height of their node: pin, node, from, to, price."""
        net, rows = self.plan.net, self.rows
        self.drop_pins: list[int] = []
        self.drops: list[tuple[str, int, int, float]] = []
        for k, pin in enumerate(self.pins):
            node = pin.node
            if node in net.flags or (node == net.bottom and not net.bus):
                continue
            level = 0 if node == net.top else rows.trunk.get(node, rows.bottom)
            own = self.plan.columns[self.pin_column[k]]
            if pin.y == level or (pin.look == LOW and node not in net.power):
                continue
            cheap = node in net.power or self._passable(own)
            self.drop_pins.append(k)
            price = _CUT if cheap else _CROSSING
            self.drops.append((node, min(pin.y, level), max(pin.y, level), price))
        for k, g in self.lows:
            level = rows.trunk[self.nodes[g]]
            self.drops.append((self.nodes[g], level, self.pins[k].y, _CROSSING))

    def _passable(self, column: Column) -> bool:
        """True for a chain that may end at a ground or a supply bar of its own."""
        if column.form != "vertical" or column.transistors:
            return False
        power = self.plan.net.power
        return column.members[0].upper in power or column.members[-1].lower in power

    def _meetings(self) -> None:
        """Which wires could cross, lie on one another or run through parts, by height alone."""
        crossing = [
            (a, d, price)
            for a, (node, y) in enumerate(self.across)
            for d, (other, low, high, price) in enumerate(self.drops)
            if low < y < high and node != other
        ]
        self.cross = _columns_of(crossing)
        self.same = _columns_of(
            [
                (a, b, _CROSSING)
                for a, (node, y) in enumerate(self.across)
                for b, (other, z) in enumerate(self.across[:a])
                if y == z and node != other
            ]
        )
        through = []
        for i, column in enumerate(self.plan.columns):
            high, up = (LEN, 0) if column.form == "vertical" else (1, 1)
            price = _CUT if self._passable(column) else _THROUGH
            for member, y in zip(column.members, self.rows.top[column], strict=True):
                through += [
                    (a, i, price)
                    for a, (node, level) in enumerate(self.across)
                    if y - up < level < y + high and node not in member.element.nodes
                ]
        self.through = _columns_of(through)

    def prices(self, order: Orders, turned: Turns) -> Prices:
        """Prices of orders.

        Parameters
        ----------
        order : ndarray, shape (B, n)
            Numbers of the columns from left to right.
        turned : ndarray, shape (B, units)
            What is mirrored.
        """
        place = np.argsort(order, axis=1)
        x = self._places(order, turned)
        both = np.concatenate((turned, np.zeros((len(turned), 1), dtype=bool)), axis=1)
        turns = both[:, self.pin_unit]
        at = x[:, self.pin_column] + np.where(turns, self.dx[:, 1], self.dx[:, 0])
        cost = self.habits.prices(place, turned)
        if not self.nodes:
            return cost
        ends = at[:, self.extent]
        low = np.minimum.reduceat(ends, self.starts, axis=1)
        high = np.maximum.reduceat(ends, self.starts, axis=1)
        cost += _SPAN * (high - low).sum(axis=1)
        cost += self._outward(ends, turns, low, high)
        drop = at[:, self.drop_pins]
        for k, g in self.lows:
            rim = np.clip(at[:, k], low[:, g], high[:, g])
            cost += _SPAN * np.abs(at[:, k] - rim)
            low = np.column_stack((low, np.minimum(at[:, k], rim)))
            high = np.column_stack((high, np.maximum(at[:, k], rim)))
            drop = np.column_stack((drop, rim))
        a, d, price = self.cross
        cost += ((low[:, a] < drop[:, d]) & (drop[:, d] < high[:, a])) @ price
        a, b, price = self.same
        cost += (np.minimum(high[:, a], high[:, b]) > np.maximum(low[:, a], low[:, b])) @ price
        a, i, price = self.through
        cost += ((low[:, a] < x[:, i]) & (x[:, i] < high[:, a])) @ price
        return cost

    def _places(self, order: Orders, turned: Turns) -> Places:
        """The x of every column when all stand side by side."""
        facing_left = (~turned).astype(float) @ self.standing > 0
        facing_right = turned.astype(float) @ self.standing > 0
        has = facing_left | facing_right
        wide = np.where(facing_left, _TALL_SIDE, _BASE_SIDE)
        left = np.where(has, wide, self.least[:, 0])
        wide = np.where(facing_right, _TALL_SIDE, _BASE_SIDE)
        right = np.where(has, wide, self.least[:, 1])
        left, right = (np.take_along_axis(side, order, axis=1) for side in (left, right))
        x = np.empty(order.shape)
        np.put_along_axis(x, order, np.cumsum(left + right, axis=1) - right, axis=1)
        return x

    def _outward(self, ends: Places, turns: Turns, low: Places, high: Places) -> Prices:
        """Pins at the rim of their node that look away from it force a turn back."""
        look = np.where(turns, self.look[:, 1], self.look[:, 0])[:, self.extent]
        low, high = low[:, self.group], high[:, self.group]
        away = ((look < 0) & (ends == low)) | ((look > 0) & (look < LOW) & (ends == high))
        away &= self.several[self.group] & (low != high)
        out: Prices = 2 * _TURN * away.sum(axis=1).astype(float)
        return out


def _columns_of(rows: list[tuple[int, int, float]]) -> tuple[Orders, Orders, Prices]:
    table = np.array(rows, dtype=float).reshape(-1, 3)
    return table[:, 0].astype(int), table[:, 1].astype(int), table[:, 2]


def _breadth(column: Column) -> tuple[float, float]:
    if column.form == "terminal":
        return (5, 1) if column.members[0].element.side == "left" else (1, 5)
    return (4, 4) if column.form == "across" else (2, 6)
