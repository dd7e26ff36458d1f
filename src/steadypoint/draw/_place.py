"""Placement: columns, rows, order, spacing, wires; the cheapest of the best candidates wins."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Final

from steadypoint.draw._claims import Room
from steadypoint.draw._clearances import clearances, ways_past
from steadypoint.draw._columns import Arrangement, Column, arrange
from steadypoint.draw._habits import habits
from steadypoint.draw._layout import Pin, Spot, pins_of, spots
from steadypoint.draw._line import Line
from steadypoint.draw._netlist import Netlist
from steadypoint.draw._order import best_orders
from steadypoint.draw._route import Router, Routing
from steadypoint.draw._rows import Rows, assign_rows
from steadypoint.draw._spacing import assign_columns

_WIDE: Final = 0.35
_TALL: Final = 0.25
_CORNER: Final = 3.0
_EVALUATIONS: Final = 30000  # orders looked at, over all variants
_LEAST_EVALUATIONS: Final = 6000
_HOPE: Final = 60.0  # how far over the best a placement may be that is then refined
_LISTED: Final = 60  # orders of each variant that are spaced out
_LOW: Final = 2  # how many of them are tried below everything
_PATIENCE: Final = 24  # as many are routed while wires still cross ...
_ROUTED: Final = 360  # ... but no more parts than these together
_LOOSE: Final = 3  # how many loose parts are tried standing and lying


@dataclass(frozen=True)
class Placement:
    """A finished placement on the grid.

    Parameters
    ----------
    plan : Arrangement
        Columns and netlist.
    spots : tuple of Spot
        Placed elements.
    pins : tuple of Pin
        Their terminals.
    rows : Rows
        Heights.
    routing : Routing
        Wires.
    width : int
        Width on the grid.
    price : float
        What was minimised.
    order : tuple of Column
        Columns from left to right.
    mirrored : frozenset of str
        What looks the other way.
    """

    plan: Arrangement
    spots: tuple[Spot, ...]
    pins: tuple[Pin, ...]
    rows: Rows
    routing: Routing
    width: int
    price: float
    order: tuple[Column, ...]
    mirrored: frozenset[str]


def place(net: Netlist, room: Room, tries: int = 8) -> Placement:
    """Placement of a netlist.

    Parameters
    ----------
    net : Netlist
        What is to be drawn.
    room : Room
        Room for texts.
    tries : int, default 8
        How many candidates are routed.

    Returns
    -------
    Placement
        The cheapest found; the same netlist and room give the same placement.
    """
    candidates: list[tuple[float, Arrangement, Rows, Line]] = []
    variants = list(_variants(net))
    budget = max(_EVALUATIONS // len(variants), _LEAST_EVALUATIONS)
    for plan in variants:
        rows = assign_rows(plan)
        if rows is None:
            continue
        for price, line in best_orders(plan, rows, _LISTED, budget):
            candidates.append((price + _TALL * rows.bottom, plan, rows, line))
    candidates.sort(key=lambda c: c[0])
    patience = min(_PATIENCE, _ROUTED // len(net.elements))
    best: Placement | None = None
    seen: set[tuple[object, ...]] = set()
    for _, plan, rows, line in candidates:
        spaced = assign_columns(plan, line, rows, room)
        if spaced is None:
            continue
        turned = line.mirrored
        signature = (id(plan), turned, *(spaced[0][c] for c in plan.columns))
        if signature in seen:
            continue
        seen.add(signature)
        for found in _refined(plan, rows, line, room, best.price if best else math.inf):
            if best is None or found.price < best.price - 1e-9:
                best = found
        clean = best is not None and not best.routing.crossings
        if len(seen) >= (tries if clean else max(tries, patience)):
            break
    if best is None:
        raise AssertionError("a placement always exists: every part has a place on the grid")
    return best


def widened(found: Placement, room: Room) -> Placement:
    """The same placement with more room between its columns."""
    line = Line(found.order, found.mirrored)
    best: Placement | None = None
    for wider in _refined(found.plan, found.rows, line, room, math.inf):
        best = wider
        if not wider.routing.crossings:
            break
    return best or found


def _variants(net: Netlist) -> Iterator[Arrangement]:
    first = arrange(net)
    yield first
    reach = {name: _reach(net, name) for name in first.loose}
    short = sorted(reach, key=lambda name: reach[name])[:_LOOSE]
    for count in range(1, len(short) + 1):
        for upright in combinations(short, count):
            yield arrange(net, frozenset(upright))
    if len([e for e in net.elements if e.is_transistor]) < 2:
        return
    for name in sorted(reach, key=lambda name: -reach[name])[:_LOW]:
        open_below = replace(net, bus=False)
        yield arrange(open_below, low=frozenset((name,)))
        others = frozenset(n for n in short if n != name and reach[n] < reach[name])
        if others:
            yield arrange(open_below, others, frozenset((name,)))


def _reach(net: Netlist, name: str) -> float:
    """How many stages a part reaches over."""
    stages = {e.name: k for k, e in enumerate(e for e in net.elements if e.is_transistor)}
    element = next(e for e in net.elements if e.name == name)
    ends = []
    for node in element.nodes:
        near = [stages[e.name] for e, _ in net.pins[node] if e.is_transistor]
        ends.append(sum(near) / len(near) if near else 0.0)
    return max(ends) - min(ends)


def _refined(
    plan: Arrangement, rows: Rows, line: Line, room: Room, limit: float
) -> Iterator[Placement]:
    """A placement, and others that clear what is in its way; none that pass the limit."""
    first = _routed(plan, rows, line, room, limit + _HOPE)
    if first is None:
        return
    yield first
    wishes = clearances(first)
    passes = ways_past(first) if first.routing.crossings else ()
    bound = min(limit, first.price)
    for more in dict.fromkeys((wishes, wishes + passes, passes)):
        better = assign_rows(plan, more) if more else None
        found = _routed(plan, better, line, room, bound) if better is not None else None
        if found is not None:
            bound = min(bound, found.price)
            yield found


def _routed(
    plan: Arrangement, rows: Rows, line: Line, room: Room, limit: float = math.inf
) -> Placement | None:
    spaced = assign_columns(plan, line, rows, room)
    if spaced is None:
        return None
    xs, width = spaced
    placed = spots(line, rows, xs)
    fixed = habits(plan, line) + _WIDE * width + _TALL * rows.bottom
    routing = Router(plan, placed, rows, width).run(limit - fixed)
    if routing is None:
        return None
    price = routing.price + _CORNER * _corners(routing) + fixed
    pins = tuple(p for s in placed for p in pins_of(plan, s))
    return Placement(plan, placed, pins, rows, routing, width, price, line.columns, line.mirrored)


def _corners(routing: Routing) -> int:
    """Places where a wire only turns."""
    count = 0
    for edges in routing.wires.values():
        ways: dict[tuple[int, int], list[bool]] = {}
        for a, b in edges:
            for end in (a, b):
                ways.setdefault(end, []).append(a[1] == b[1])
        count += sum(1 for w in ways.values() if len(w) == 2 and w[0] != w[1])
    return count
