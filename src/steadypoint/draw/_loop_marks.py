"""A loop in the drawing: a band along its conductors, chevrons, and a round arrow in the mesh."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Final

from steadypoint.circuit import Kind
from steadypoint.draw._loop import Leg
from steadypoint.draw._metrics import width
from steadypoint.draw._plan import Plan
from steadypoint.draw._scene import Box, Command, Group, Mark, Path, Point, Span, Text
from steadypoint.draw._typography import SMALL
from steadypoint.draw._wiring import GRID, Segment, point

_RADII: Final = (16.0, 13.0, 10.0)
_STEP: Final = 5.0
_CLEAR: Final = 4.0
_CHEVRON: Final = 5.0
_CHEVRON_ROOM: Final = 26.0  # conductor shorter than this takes no chevron [px]
_FAR: Final = 150.0  # a round arrow farther from its conductors than this explains nothing [px]
_OUTSIDE: Final = 40.0


def loop_marks(
    plan: Plan, legs: Sequence[Leg], taken: Iterable[Box], label: str = ""
) -> tuple[Group, tuple[Box, ...]]:
    """The marks of a loop.

    Parameters
    ----------
    plan : Plan
        The placed drawing.
    legs : sequence of Leg
        The way round.
    taken : iterable of Box
        Texts, which the round arrow keeps away from.
    label : str
        Word in or under the round arrow.

    Returns
    -------
    group : Group
        Role ``loop``; its arrow says the direction by shape.
    boxes : tuple of Box
        Room of the round arrow and its label, empty when the mesh has none to spare.
    """
    pieces = _pieces(plan, legs)
    marks: list[Mark] = [Path(_commands(piece), "band") for piece in pieces if len(piece) > 1]
    texts = list(taken)
    feet = [slot.foot for slot in plan.slots.values() if slot.foot is not None]
    for piece in pieces:
        marks += _chevrons(piece, plan, feet)
    boxes: tuple[Box, ...] = ()
    ring = _ring(plan, pieces, texts, label)
    if ring is not None:
        more, boxes = ring
        marks += more
    names = " ".join(leg.part.name for leg in legs)
    sentence = "Loop through " + ", ".join(leg.part.name for leg in legs)
    return Group("loop", tuple(marks), data=(("loop", names),), label=sentence), boxes


def _commands(points: Sequence[Point]) -> tuple[Command, ...]:
    return tuple(("M" if k == 0 else "L", *p) for k, p in enumerate(points))


def _pieces(plan: Plan, legs: Sequence[Leg]) -> list[list[Point]]:
    """Drawn stretches of the loop in its direction; supplies are not drawn and part it."""
    pins = {(p.element.name, p.number): point(p.at) for p in plan.placement.pins}
    start = next((k for k, g in enumerate(legs) if g.part.kind is Kind.SUPPLY), 0)
    turned = [*legs[start:], *legs[:start]]
    pieces: list[list[Point]] = [[]]
    for leg, following in zip(turned, [*turned[1:], turned[0]], strict=True):
        name = leg.part.name
        here, there = pins.get((name, leg.enter)), pins.get((name, leg.leave))
        if here is not None and there is not None:
            pieces[-1] += _through(leg, here, there, pins)
        end = pins.get((following.part.name, following.enter))
        wires = plan.wires.get(leg.end)
        segments = wires.segments if wires is not None else []
        if there is None and end is None:
            continue
        if there is None or end is None:
            at = there or end
            assert at is not None  # noqa: S101  one of the two is drawn
            to_rail = _to_rail(plan, leg.end, at, segments)
            if end is None:
                pieces[-1] += to_rail
                pieces.append([])
            else:
                pieces[-1] += to_rail[::-1]
            continue
        way = _along(there, end, segments)
        if way:
            pieces[-1] += way
        else:  # joined only by equal rail symbols
            pieces.append([end])
    return [_tidy(p) for p in pieces if len(p) > 1]


def _through(
    leg: Leg, here: Point, there: Point, pins: dict[tuple[str, int], Point]
) -> list[Point]:
    """Points from terminal to terminal inside a symbol."""
    if not leg.part.kind.is_transistor:
        return [here, there]
    name = leg.part.name
    (bx, middle), (cx, _) = pins[name, 1], pins[name, 0]
    inner = cx + math.copysign(12.0, bx - cx)

    def inwards(at: Point, number: int) -> list[Point]:
        if number == 1:
            return [at, (inner, middle)]
        side = math.copysign(1.0, at[1] - middle)
        return [at, (at[0], middle + 16 * side), (inner, middle + 6 * side)]

    return [*inwards(here, leg.enter), *inwards(there, leg.leave)[::-1]]


def _to_rail(plan: Plan, node: str, at: Point, segments: Sequence[Segment]) -> list[Point]:
    """From a pin to where its stub meets the long line of its rail."""
    net = plan.placement.plan.net
    if node not in (net.top, net.bottom):
        return [at]
    level = 0.0 if node == net.top else plan.placement.rows.bottom * GRID
    ends = {e for s in segments for e in s if e[1] == level} | {(at[0], level)}
    ways = [w for e in sorted(ends) if (w := _along(at, e, segments))]
    return min(ways, key=_length) if ways else [at]


def _length(points: Sequence[Point]) -> float:
    return sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in pairwise(points))


def _on(at: Point, segment: Segment) -> bool:
    (x0, y0), (x1, y1) = segment
    return min(x0, x1) <= at[0] <= max(x0, x1) and min(y0, y1) <= at[1] <= max(y0, y1)


def _meeting(s: Segment, t: Segment) -> list[Point]:
    """Where two wires of one node, one upright and one lying, cross."""
    if s[0][0] != s[1][0]:
        s, t = t, s
    at = (s[0][0], t[0][1])
    return [at] if _on(at, s) and _on(at, t) else []


def _along(a: Point, b: Point, segments: Sequence[Segment]) -> list[Point]:
    """Shortest way along wires, ends included; empty when the wires do not join them."""
    if a == b:
        return [a]
    corners = {e for s in segments for e in s} | {a, b}
    corners |= {at for i, s in enumerate(segments) for t in segments[:i] for at in _meeting(s, t)}
    beside: dict[Point, list[Point]] = {}
    for segment in segments:
        own = sorted(c for c in corners if _on(c, segment))
        for p, q in pairwise(own):
            beside.setdefault(p, []).append(q)
            beside.setdefault(q, []).append(p)
    best: dict[Point, tuple[float, Point | None]] = {a: (0.0, None)}
    todo = [a]
    while todo:
        todo.sort(key=lambda p: best[p][0])
        here = todo.pop(0)
        for other in beside.get(here, []):
            far = best[here][0] + abs(here[0] - other[0]) + abs(here[1] - other[1])
            if other not in best or far < best[other][0] - 1e-9:
                best[other] = (far, here)
                todo.append(other)
    if b not in best:
        return []
    way: list[Point] = [b]
    while (before := best[way[-1]][1]) is not None:
        way.append(before)
    return way[::-1]


def _tidy(points: Sequence[Point]) -> list[Point]:
    out: list[Point] = []
    for at in points:
        if not out or out[-1] != at:
            out.append(at)
    return out


def _chevrons(piece: Sequence[Point], plan: Plan, feet: Sequence[Box]) -> list[Path]:
    """Open arrowheads on straight stretches of wire, clear of currents and pennants."""
    wires = [s for w in plan.wires.values() for s in w.segments]
    dots = [d for w in plan.wires.values() for d in w.dots]
    out: list[Path] = []
    for a, b in pairwise(piece):
        length = _length((a, b))
        on_wire = any(_on(a, s) and _on(b, s) for s in wires)
        if length < _CHEVRON_ROOM or not on_wire:
            continue
        ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
        for share in (0.5, 0.35, 0.65, 0.2, 0.8):
            x, y = a[0] + ux * length * share, a[1] + uy * length * share
            room = Box(x - 8, y - 8, x + 8, y + 8)
            near_dot = any(abs(x - d[0]) + abs(y - d[1]) < 10 for d in dots)
            if not near_dot and not any(room.overlaps(f) for f in feet):
                out.append(_chevron((x, y), (ux, uy)))
                break
    return out


def _chevron(at: Point, way: Point) -> Path:
    (x, y), (ux, uy), r = at, way, _CHEVRON
    corners = [(-r / 2, -r), (r / 2, 0.0), (-r / 2, r)]
    points = [(x + a * ux - b * uy, y + a * uy + b * ux) for a, b in corners]
    return Path(_commands(points), "way")


def _ring(
    plan: Plan, pieces: Sequence[Sequence[Point]], texts: Sequence[Box], label: str
) -> tuple[list[Mark], tuple[Box, ...]] | None:
    """A round arrow where the mesh has room for it."""
    outline = _outline(plan, pieces)
    if len(outline) < 3:
        return None
    taken = [o.box for o in plan.obstacles] + list(texts)
    taken += [s.box for s in plan.slots.values()]
    taken += [s.foot for s in plan.slots.values() if s.foot is not None]
    wires = [s for w in plan.wires.values() for s in w.segments]
    own = [pair for piece in pieces for pair in pairwise(piece)]
    foreign = [s for s in wires if not any(_on(a, s) and _on(b, s) for a, b in own)]
    spans = (Span(label, size=SMALL),) if label else ()
    for r in _RADII:
        found = _free_place(outline, own, foreign, taken, r, width(spans))
        if found is None:
            continue
        x, y = found
        marks: list[Mark] = [*_round_arrow(x, y, r, clockwise=_area(outline) > 0)]
        boxes = [_ring_box(x, y, r)]
        if spans:
            inside = width(spans) <= 2 * r - 10
            marks.append(Text(x, y + (4.5 if inside else r + 15), spans, "middle", "loopname"))
            boxes = [_room(x, y, r, width(spans))]
        return marks, tuple(boxes)
    return None


def _outline(plan: Plan, pieces: Sequence[Sequence[Point]]) -> list[Point]:
    """The loop as a closed polygon; an undrawn supply stands left of everything."""
    points = [p for piece in pieces for p in piece]
    if not points:
        return []
    if points[0] != points[-1]:
        left = min(o.box.x0 for o in plan.obstacles) - _OUTSIDE
        points += [(left, points[-1][1]), (left, points[0][1])]
    return points


def _area(points: Sequence[Point]) -> float:
    """Twice the signed area; positive for clockwise on the page, where y grows downwards."""
    closed = [*points, points[0]]
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise(closed))


def _inside(at: Point, points: Sequence[Point]) -> bool:
    x, y = at
    odd = False
    for (x0, y0), (x1, y1) in pairwise([*points, points[0]]):
        if (y0 > y) != (y1 > y) and x < x0 + (y - y0) / (y1 - y0) * (x1 - x0):
            odd = not odd
    return odd


def _ring_box(x: float, y: float, r: float) -> Box:
    return Box(x - r, y - r, x + r, y + r).grown(_CLEAR)


def _room(x: float, y: float, r: float, wide: float) -> Box:
    box = _ring_box(x, y, r)
    if not wide or wide <= 2 * r - 10:
        return box
    return box.union(Box(x - wide / 2, y + r, x + wide / 2, y + r + 19))


def _free_place(
    outline: Sequence[Point],
    own: Sequence[tuple[Point, Point]],
    foreign: Sequence[Segment],
    taken: Sequence[Box],
    r: float,
    wide: float,
) -> Point | None:
    """The free place nearest to the loop's own conductors, with no other wire between."""
    x0, y0, x1, y1 = (f(p[k] for p in outline) for f, k in ((min, 0), (min, 1), (max, 0), (max, 1)))
    best: tuple[float, Point] | None = None
    y = y0 + r
    while y <= y1 - r:
        x = x0 + r
        while x <= x1 - r:
            far, foot = min((_distance((x, y), a, b) for a, b in own), default=(_FAR, (x, y)))
            price = far + 0.15 * abs(y - (y0 + y1) / 2)
            if far < _FAR and (best is None or price < best[0] - 1e-9):
                room = _room(x, y, r, wide)
                if (
                    _inside((x, y), outline)
                    and not any(room.overlaps(t) for t in taken)
                    and not any(_cross((x, y), foot, s) for s in foreign)
                ):
                    best = (price, (x, y))
            x += _STEP
        y += _STEP
    return None if best is None else best[1]


def _distance(at: Point, a: Point, b: Point) -> tuple[float, Point]:
    """Distance from a stretch, and its nearest point."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    share = 0.0 if square == 0 else ((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / square
    share = min(1.0, max(0.0, share))
    foot = (a[0] + share * dx, a[1] + share * dy)
    return math.hypot(at[0] - foot[0], at[1] - foot[1]), foot


def _cross(a: Point, b: Point, segment: Segment) -> bool:
    c, d = segment

    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def _round_arrow(x: float, y: float, r: float, *, clockwise: bool) -> Iterable[Mark]:
    """Three quarters of a circle with an open head at its end."""
    turn = 1.0 if clockwise else -1.0

    def on_circle(degrees: float) -> Point:
        angle = math.radians(degrees)
        return round(x + turn * r * math.cos(angle), 2), round(y + r * math.sin(angle), 2)

    sweep = 1 if clockwise else 0
    first, second, last = on_circle(135), on_circle(270), on_circle(405)
    arc: tuple[Command, ...] = (
        ("M", *first),
        ("A", r, sweep, *second),
        ("A", r, sweep, *last),
    )
    yield Path(arc, "way")
    # The tangent at the end, turned inwards a little so that the head lies on the arc.
    angle = math.radians(405 + 82)
    yield _head(last, (turn * math.cos(angle), math.sin(angle)))


def _head(tip: Point, way: Point) -> Path:
    (x, y), (ux, uy) = tip, way
    corners = [(-7.0, -4.5), (0.0, 0.0), (-7.0, 4.5)]
    points = [(round(x + a * ux - b * uy, 2), round(y + a * uy + b * ux, 2)) for a, b in corners]
    return Path(_commands(points), "way")
