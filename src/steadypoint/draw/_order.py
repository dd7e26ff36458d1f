"""Order of the columns from left to right and what looks the other way.

The search walks from the order of the signal by single moves to the cheapest order, then again from
a few shaken orders. It is seeded, so the same sheet gives the same drawing.
"""

from __future__ import annotations

from collections import deque
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.draw._columns import Arrangement, Column
from steadypoint.draw._habits import Orders, Turns
from steadypoint.draw._judge import Judge
from steadypoint.draw._line import Line, turnable
from steadypoint.draw._netlist import is_base
from steadypoint.draw._rows import Rows

_SHAKES: Final = 8
_KEPT: Final = 24  # orders of a neighbourhood that are remembered
_SEED: Final = 7


def signal_order(plan: Arrangement) -> tuple[Column, ...]:
    """Columns by their distance from the input, going from base to collector and emitter."""
    net = plan.net
    start = [e.nodes[0] for e in net.elements if e.kind is None and e.side == "left"]
    if not start:
        start = [net.base(e) for e in net.elements if e.is_transistor][:1]
    distance = dict.fromkeys(start, 0)
    todo = deque(distance)
    while todo:
        node = todo.popleft()
        for element, number in net.pins.get(node, []):
            for far, other in enumerate(element.nodes):
                if other in net.power or other in distance:
                    continue
                if element.is_transistor and not is_base(number) and is_base(far):
                    continue
                distance[other] = distance[node] + (2 if element.is_transistor else 1)
                todo.append(other)

    outputs = {e.nodes[0] for e in net.elements if e.kind is None and e.side == "right"}

    def rank(column: Column) -> tuple[float, str]:
        nodes_here = {n for m in column.members for n in m.element.nodes}
        if outputs & nodes_here and column.form != "vertical":
            return (1000.0 if column.form == "terminal" else 999.0), column.key
        bases = [distance.get(net.base(e), 9) + 1 for e in column.transistors]
        if bases:
            return float(min(bases)), column.key
        nodes = {n for m in column.members for n in (m.upper, m.lower)} - net.power
        known = [distance.get(n, 9) for n in sorted(nodes)]
        return (sum(known) / len(known) if known else 99.0), column.key

    return tuple(sorted(plan.columns, key=rank))


def sheet_order(plan: Arrangement) -> tuple[Column, ...]:
    """Columns by the transistors of the sheet: what leads to a base before, the rest behind."""
    stages = {e.name: k for k, e in enumerate(e for e in plan.net.elements if e.is_transistor)}

    def beside(column: Column) -> float:
        near = [
            stages[e.name] + (-0.3 if is_base(number) else 0.4)
            for node in {n for m in column.members for n in m.element.nodes} - plan.net.power
            for e, number in plan.net.pins[node]
            if e.is_transistor
        ]
        return sum(near) / len(near) if near else 0.0

    def rank(column: Column) -> tuple[float, str]:
        own = [stages[e.name] for e in column.transistors]
        if own:
            return float(min(own)), column.key
        if column.form == "terminal":
            left = column.members[0].element.side == "left"
            return (-2.0 if left else len(stages) + 2.0), column.key
        return beside(column), column.key

    return tuple(sorted(plan.columns, key=rank))


@cache
def _moves(n: int) -> tuple[Orders, Orders]:
    """All moves of one column, then of two neighbours together and of two exchanged on the way.

    Returns
    -------
    taken : ndarray, shape (M, n)
        Old places in their new order.
    moved : ndarray, shape (M, 2)
        Old places of what has moved; the second is n for a move of one.
    """
    taken: list[list[int]] = []
    moved: list[tuple[int, int]] = []
    for i in range(n):
        rest = [k for k in range(n) if k != i]
        for j in range(n):
            if j != i:
                taken.append([*rest[:j], i, *rest[j:]])
                moved.append((i, n))
    for i in range(n - 1):
        rest = [k for k in range(n) if k not in (i, i + 1)]
        for j in range(n - 1):
            for pair in ((i, i + 1), (i + 1, i)):
                if j != i or pair[0] > pair[1]:
                    taken.append([*rest[:j], *pair, *rest[j:]])
                    moved.append((i, i + 1))
    shape = (len(taken), n)
    return np.array(taken, dtype=int).reshape(shape), np.array(moved, dtype=int).reshape(-1, 2)


class _Walk:
    """Looks for cheap orders and remembers the cheapest."""

    def __init__(self, plan: Arrangement, rows: Rows, budget: int) -> None:
        self.judge = Judge(plan, rows)
        self.columns = plan.columns
        self.budget = budget
        units = self.judge.units
        index = {name: k for k, name in enumerate(units)}
        self.owned = np.zeros((len(self.columns) + 1, len(units)), dtype=bool)
        self.flat = np.zeros_like(self.owned)
        for i, column in enumerate(self.columns):
            own = [index[name] for name in turnable(column)]
            self.owned[i, own] = True
            if column.form == "across":
                self.flat[i, own] = True
        self.best: dict[tuple[bytes, bytes], float] = {}

    def descend(self, order: NDArray[np.int64], turned: NDArray[np.bool_]) -> None:
        """Walk to the cheapest neighbour until none is cheaper."""
        price = float(self.remember(order[None], turned[None])[0])
        while self.budget > 0:
            orders, turns = self.neighbours(order, turned)
            if not len(orders):
                return
            prices = self.remember(orders, turns)
            least = int(np.argmin(prices))
            if prices[least] >= price - 1e-9:
                return
            order, turned, price = orders[least], turns[least], float(prices[least])

    def remember(self, orders: Orders, turns: Turns) -> NDArray[np.float64]:
        """Prices of orders; the cheapest are kept."""
        prices = self.judge.prices(orders, turns)
        self.budget -= len(orders)
        for k in np.argsort(prices, kind="stable")[:_KEPT]:
            self.best[orders[k].tobytes(), turns[k].tobytes()] = float(prices[k])
        return prices

    def neighbours(
        self, order: NDArray[np.int64], turned: NDArray[np.bool_]
    ) -> tuple[Orders, Turns]:
        """Orders one move away: turned, moved, moved and turned."""
        n, units = len(order), len(turned)
        single = turned ^ np.eye(units, dtype=bool)
        taken, moved = _moves(n)
        orders = order[taken]
        named = np.append(order, n)[moved]
        plain = np.broadcast_to(turned, (len(orders), units))
        one = moved[:, 1] == n
        flips = np.where(
            one[:, None], self.owned[named[:, 0]], self.flat[named[:, 0]] | self.flat[named[:, 1]]
        )
        turning = flips.any(axis=1)
        all_orders = np.concatenate((np.broadcast_to(order, (units, n)), orders, orders[turning]))
        all_turns = np.concatenate((single, plain, plain[turning] ^ flips[turning]))
        return all_orders, all_turns

    def lines(self, count: int) -> list[tuple[float, Line]]:
        """The cheapest orders, cheapest first."""
        ranked = sorted(self.best.items(), key=lambda item: item[1])[:count]
        out = []
        for (order, turned), price in ranked:
            columns = tuple(self.columns[i] for i in np.frombuffer(order, dtype=int))
            marks = np.frombuffer(turned, dtype=bool)
            names = (n for n, turn in zip(self.judge.units, marks, strict=True) if turn)
            out.append((price, Line(columns, frozenset(names))))
        return out


def best_orders(plan: Arrangement, rows: Rows, count: int, budget: int) -> list[tuple[float, Line]]:
    """The cheapest orders found, cheapest first; ``budget`` is the number of orders looked at."""
    walk = _Walk(plan, rows, budget)
    index = {c: i for i, c in enumerate(plan.columns)}
    units = len(walk.judge.units)
    starts = dict.fromkeys((signal_order(plan), sheet_order(plan)))
    share = walk.budget // len(starts)
    for start in starts:
        rest = walk.budget - share
        walk.budget = share
        walk.descend(np.array([index[c] for c in start]), np.zeros(units, dtype=bool))
        walk.budget = max(walk.budget, 0) + rest
    chance = np.random.default_rng(_SEED)
    for _ in range(_SHAKES):
        if walk.budget <= 0:
            break
        order, turned = min(walk.best, key=lambda k: walk.best[k])
        shaken = list(np.frombuffer(order, dtype=int))
        for _ in range(max(2, len(shaken) // 3)):
            column = shaken.pop(int(chance.integers(len(shaken))))
            shaken.insert(int(chance.integers(len(shaken) + 1)), column)
        flips = np.frombuffer(turned, dtype=bool) ^ (chance.random(units) < 0.3)
        walk.descend(np.array(shaken), flips)
    return walk.lines(count)
