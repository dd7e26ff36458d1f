"""Order of the columns from left to right and which transistors look the other way.

The search walks from the order of the signal by single moves to the cheapest order, then again from
a few shaken orders. It is seeded, so the same sheet gives the same drawing.
"""

from __future__ import annotations

import random
from collections import deque
from dataclasses import dataclass
from typing import Final

import numpy as np

from steadypoint.circuit import Kind
from steadypoint.draw._columns import Arrangement, Column
from steadypoint.draw._netlist import is_base
from steadypoint.draw._rows import LEN, MID, Rows

BASE: Final = 4  # reach of a base pin from its column
HALF: Final = 3  # half the length of a part that lies across
_CROSSING: Final = 8.0
_CUT: Final = 4.0  # a rail's stub may end at a symbol of its own
_THROUGH: Final = 10.0
_TURN: Final = 4.0
_SPAN: Final = 0.1
_LOW: Final = 9
_MIRROR: Final = 8.0
_STAGES: Final = 1.0  # two transistors against the order of the sheet
_FACING: Final = 8.0
_OUTSIDE: Final = 20.0
_PORT: Final = 1.0
_HINT: Final = 60.0  # a part on the other side than a hint wants it


_Across = tuple[str, float, float, int]  # node, from x, to x, height
_Drop = tuple[str, float, int, int]  # node, x, from height, to height


@dataclass(frozen=True)
class Line:
    """An order of columns with the mirrored ones."""

    columns: tuple[Column, ...]
    mirrored: frozenset[Column]


@dataclass(frozen=True, slots=True)
class _Pin:
    node: str
    dx: int
    y: int
    look: int  # -1 left, 1 right, 0 up or down, _LOW from below everything


def column_pins(column: Column, ys: tuple[int, ...], *, mirrored: bool, base: int) -> list[_Pin]:
    """Pins of a column relative to its x; ``base`` is the terminal number of a base."""
    out: list[_Pin] = []
    side = 1 if mirrored else -1
    if column.form == "vertical":
        for member, y in zip(column.members, ys, strict=True):
            out += [_Pin(member.upper, 0, y, 0), _Pin(member.lower, 0, y + LEN, 0)]
            if member.element.is_transistor:
                out.append(_Pin(member.element.nodes[base], side * BASE, y + MID, side))
    elif column.form == "across":
        member = column.members[0]
        left, right = (member.lower, member.upper) if mirrored else (member.upper, member.lower)
        looks = (_LOW, _LOW) if column.low else (-1, 1)
        out += [_Pin(left, -HALF, ys[0], looks[0]), _Pin(right, HALF, ys[0], looks[1])]
    else:
        member = column.members[0]
        look = 1 if member.element.side == "left" else -1
        out.append(_Pin(member.upper, 0, ys[0], look))
    return out


def _breadth(column: Column, *, mirrored: bool) -> tuple[float, float]:
    if column.form == "terminal":
        return (5, 1) if column.members[0].element.side == "left" else (1, 5)
    if column.form == "across":
        return 4, 4
    if column.transistors:
        return (8, 12) if mirrored else (12, 8)
    return 2, 6


class _Judge:
    """Price of an order by drawing every node as one trunk with straight drops."""

    def __init__(self, plan: Arrangement, rows: Rows, budget: int) -> None:
        self.budget = budget
        self.plan = plan
        self.rows = rows
        self.pins = {
            (c, m): column_pins(c, rows.top[c], mirrored=m, base=1)
            for c in plan.columns
            for m in (False, True)
        }
        self.breadth = {
            (c, m): _breadth(c, mirrored=m) for c in plan.columns for m in (False, True)
        }
        self.number = {node: k for k, node in enumerate(plan.net.pins)}
        self.stub = np.array([_CUT if n in plan.net.power else _CROSSING for n in self.number])
        members = [(c, k, m) for c in plan.columns for k, m in enumerate(c.members)]
        spans = [
            (y, y + LEN) if c.form == "vertical" else (y - 1, y + 1)
            for c, k, _ in members
            for y in (rows.top[c][k],)
        ]
        self.body = np.array(spans, dtype=float).T
        self.own = np.zeros((len(members), len(self.number)), dtype=bool)
        for row, (_, _, member) in enumerate(members):
            self.own[row, [self.number[n] for n in member.element.nodes]] = True
        self.turnable = [c for c in plan.columns if c.transistors or c.form == "across"]
        self.count = 0

    def positions(self, line: Line) -> dict[Column, float]:
        x, out = 0.0, {}
        for column in line.columns:
            left, right = self.breadth[column, column in line.mirrored]
            x += left
            out[column] = x
            x += right
        return out

    def price(self, line: Line) -> float:
        self.count += 1
        at = self.positions(line)
        nodes: dict[str, list[tuple[float, int, int]]] = {}
        for column in line.columns:
            x = at[column]
            for pin in self.pins[column, column in line.mirrored]:
                nodes.setdefault(pin.node, []).append((x + pin.dx, pin.y, pin.look))
        across, drops, cost = self.wires(nodes)
        cost += self.crossings(across, drops)
        cost += self.through_parts(at, across)
        cost += habits(self.plan, line)
        return cost

    def wires(
        self, nodes: dict[str, list[tuple[float, int, int]]]
    ) -> tuple[list[_Across], list[_Drop], float]:
        net, rows, cost = self.plan.net, self.rows, 0.0
        across: list[_Across] = []
        drops: list[_Drop] = []
        for node, all_pins in nodes.items():
            if node in net.flags or (node == net.bottom and not net.bus):
                continue
            pins = [p for p in all_pins if p[2] != _LOW] or all_pins
            if node in net.power:
                level = 0 if node == net.top else rows.bottom
            else:
                level = rows.trunk[node]
                xs = [p[0] for p in pins]
                low, high = min(xs), max(xs)
                across.append((node, low, high, level))
                cost += _SPAN * (high - low)
                cost += self.outward(pins, low, high)
                for x, y, look in all_pins:
                    if look == _LOW:  # below everything to the node's rim, then up
                        rim = min(max(x, low), high)
                        across.append((node, min(x, rim), max(x, rim), y))
                        drops.append((node, rim, level, y))
                        cost += _SPAN * abs(x - rim)
            drops += [(node, x, min(y, level), max(y, level)) for x, y, _ in pins if y != level]
        return across, drops, cost

    @staticmethod
    def outward(pins: list[tuple[float, int, int]], low: float, high: float) -> float:
        """Pins at the rim of their node that look away from it force a turn back."""
        if len(pins) < 2 or low == high:
            return 0.0
        return sum(
            2 * _TURN for x, _, look in pins if (look < 0 and x == low) or (look > 0 and x == high)
        )

    def crossings(self, across: list[_Across], drops: list[_Drop]) -> float:
        """Price of horizontal wires that cross vertical ones or lie on one another."""
        if not across:
            return 0.0
        node, x0, x1, y = np.array([(self.number[n], *rest) for n, *rest in across]).T
        same = (y[:, None] == y) & (np.minimum.outer(x1, x1) > np.maximum.outer(x0, x0))
        count = int((same & (node[:, None] != node)).sum()) // 2
        if drops:
            other, x, low, high = np.array([(self.number[n], *rest) for n, *rest in drops]).T
            apart = (low < y[:, None]) & (y[:, None] < high) & (node[:, None] != other)
            apart &= (x0[:, None] < x) & (x < x1[:, None])
            stub = self.stub[other.astype(int)]
            return _CROSSING * count + float((apart @ stub).sum())
        return _CROSSING * count

    def through_parts(self, at: dict[Column, float], across: list[_Across]) -> float:
        """Price of horizontal wires that run through parts."""
        if not across:
            return 0.0
        number, x0, x1, level = np.array([(self.number[n], *rest) for n, *rest in across]).T
        x = np.array([at[c] for c in self.plan.columns for _ in c.members])[:, None]
        hit = (self.body[0][:, None] < level) & (level < self.body[1][:, None])
        hit &= (x0 < x) & (x < x1) & ~self.own[:, number.astype(int)]
        return _THROUGH * int(hit.sum())

    def descend(self, line: Line, pool: dict[Line, float]) -> None:
        """Walk to the cheapest neighbour until none is cheaper."""
        best = self.price(line)
        pool[line] = best
        moved = True
        while moved and self.count < self.budget:
            moved = False
            for other in self.neighbours(line):
                price = pool.get(other)
                if price is None:
                    price = pool[other] = self.price(other)
                if price < best - 1e-9:
                    line, best, moved = other, price, True
                    break

    def neighbours(self, line: Line) -> list[Line]:
        columns, out = line.columns, []
        for c in self.turnable:
            out.append(Line(columns, line.mirrored ^ {c}))
        for i, c in enumerate(columns):
            rest = columns[:i] + columns[i + 1 :]
            for j in range(len(columns)):
                if j != i:
                    out.append(Line((*rest[:j], c, *rest[j:]), line.mirrored))
                    if c in self.turnable:
                        out.append(Line((*rest[:j], c, *rest[j:]), line.mirrored ^ {c}))
        for i in range(len(columns) - 1):  # two neighbours together, such as capacitor and terminal
            pair, rest = columns[i : i + 2], columns[:i] + columns[i + 2 :]
            for j in range(len(rest) + 1):
                if j != i:
                    out.append(Line((*rest[:j], *pair, *rest[j:]), line.mirrored))
                    flat = frozenset(c for c in pair if c.form == "across")
                    if flat:
                        swapped = (*rest[:j], *reversed(pair), *rest[j:])
                        out.append(Line(swapped, line.mirrored ^ flat))
        return out


def habits(plan: Arrangement, line: Line) -> float:
    """Price of unusual orders.

    Inputs stand left, outputs right; a base looks left; a common leg stands between its pair and
    the pair faces outwards; transistors with a common base face each other.
    """
    order = {c: i for i, c in enumerate(line.columns)}
    last, cost = len(order) - 1, 0.0
    for column, i in order.items():
        element = column.members[0].element
        if column.form == "terminal":
            cost += _PORT * (i if element.side == "left" else last - i)
        elif element.kind is Kind.VOLTAGE_SOURCE:
            cost += 0.5 * i
    paired: set[Column] = set()
    for leg in plan.legs:
        places = sorted(order[c] for c in leg.shared)
        if not places[0] < order[leg.column] < places[-1]:
            cost += _OUTSIDE
        a, b = line.columns[places[0]], line.columns[places[-1]]
        if a.transistors[0].nodes[1] != b.transistors[0].nodes[1]:
            paired |= {a, b}
            cost += _FACING * ((a in line.mirrored) + (b not in line.mirrored))
    for a, b in plan.common_bases:
        left, right = (a, b) if order[a] < order[b] else (b, a)
        paired |= {left, right}
        cost += _FACING * ((left not in line.mirrored) + (right in line.mirrored))
    stages = [order[c] for c in plan.columns if c.transistors]
    cost += _STAGES * sum(a > b for k, a in enumerate(stages) for b in stages[k + 1 :])
    for left, right in hinted_pairs(plan, line.columns):
        apart = order[right] - order[left]
        cost += (0.5 * apart) if apart > 0 else _HINT - apart
    return cost + _MIRROR * sum(1 for c in line.mirrored - paired if c.transistors)


def hinted_pairs(
    plan: Arrangement, columns: tuple[Column, ...]
) -> tuple[tuple[Column, Column], ...]:
    """Pairs of columns that the hints want in this order from left to right."""
    if not plan.net.hints:
        return ()
    home = {m.element.name: c for c in columns for m in c.members}
    out: list[tuple[Column, Column]] = []
    for hint in plan.net.hints:
        own = home[hint.part]
        stages = (c for c in columns if c.transistors)
        for other in (home[hint.beside],) if hint.beside else stages:
            if other is own or hint.where not in ("left", "right"):
                continue
            out.append((own, other) if hint.where == "left" else (other, own))
    return tuple(out)


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


def best_orders(plan: Arrangement, rows: Rows, count: int, budget: int) -> list[tuple[float, Line]]:
    """The cheapest orders found, cheapest first; ``budget`` is the number of orders looked at."""
    judge = _Judge(plan, rows, budget)
    pool: dict[Line, float] = {}
    start = signal_order(plan)
    judge.descend(Line(start, frozenset()), pool)
    chance = random.Random(7)  # noqa: S311  a fixed walk, no secret
    for _ in range(6):
        if judge.count >= budget:
            break
        shaken = list(min(pool, key=lambda k: pool[k]).columns)
        for _ in range(max(2, len(shaken) // 3)):
            column = shaken.pop(chance.randrange(len(shaken)))
            shaken.insert(chance.randrange(len(shaken) + 1), column)
        flips = frozenset(c for c in judge.turnable if chance.random() < 0.3)
        judge.descend(Line(tuple(shaken), flips), pool)
    ranked = sorted(pool.items(), key=lambda item: item[1])
    return [(price, line) for line, price in ranked[:count]]
