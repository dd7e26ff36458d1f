"""Where labels, pennants and currents could stand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from steadypoint.circuit import Kind
from steadypoint.draw._labels import Slot
from steadypoint.draw._layout import Pin, Spot
from steadypoint.draw._place import Placement
from steadypoint.draw._scene import Box, Point
from steadypoint.draw._symbols import half_width
from steadypoint.draw._thermistor import REACH
from steadypoint.draw._wiring import GRID, NodeWires, point

LINE: Final = 17.0
FLAG: Final = 21.0
TALL_FLAG: Final = 36.0
POLE: Final = 11.0
LIFT: Final = 9.0
HEAD: Final = 6.0
_STEP: Final = 5.0


def part_slots(spot: Spot, width: float, lines: int, lettering: float = 1.0) -> list[Slot]:
    """Candidates for the label of a part."""
    x, y = spot.x * GRID, spot.y * GRID
    high = (lines * LINE - 2) * lettering
    if spot.form == "terminal":
        left, tall = spot.element.side == "left", 9 * lettering
        box = Box(x - 16 - width, y - tall, x - 13, y + tall)
        if not left:
            box = Box(x + 13, y - tall, x + 16 + width, y + tall)
        return [Slot("left" if left else "right", (x - 16 if left else x + 16, y), box)]
    if spot.form == "across":
        return _across_slots(spot, x, y, width, high)
    mid = y + 30
    kind = spot.element.kind or Kind.RESISTOR
    half = REACH if spot.element.sense else half_width(kind)
    off = {Kind.NPN: 25.0, Kind.PNP: 25.0}.get(kind, half + 7)
    out = []
    prefer_left = spot.mirrored and spot.element.is_transistor
    for way in ("right", "left"):
        for k, shift in enumerate((0, -6, 6, -12, 12, -18, 18, -26, 26)):
            reach = off if not spot.element.is_transistor else (22.0 if shift else 25.0)
            if spot.element.is_transistor and (way == "left") != prefer_left:
                reach = 28.0
            middle = mid + shift
            x0 = x + reach if way == "right" else x - reach - width
            box = Box(x0 - 1, middle - high / 2, x0 + width + 1, middle + high / 2)
            price = 1.0 * k + (0 if (way == "left") == prefer_left else 12)
            at = (x + reach if way == "right" else x - reach, middle)
            out.append(Slot(way, at, box, price=price))
    return out


def _across_slots(spot: Spot, x: float, y: float, width: float, high: float) -> list[Slot]:
    half = half_width(spot.element.kind or Kind.RESISTOR)
    half = REACH if spot.element.sense else half
    out = []
    for way in ("above", "below"):
        for k, shift in enumerate((0.0, -10.0, 10.0, -20.0, 20.0)):
            for lift in (0.0, 6.0):
                if way == "above":
                    y1 = y - half - 4 - lift
                    y0 = y1 - high
                else:
                    y0 = y + half + 4 + lift
                    y1 = y0 + high
                box = Box(x + shift - width / 2, y0, x + shift + width / 2, y1)
                price = k + lift + (0 if way == "above" else 10)
                out.append(Slot(way, (x + shift, (y0 + y1) / 2), box, price=price))
    return out


def volt_slots(
    placement: Placement, wires: NodeWires, node: str, width: float, height: float
) -> list[Slot]:
    """Candidates for a pennant planted on the wires of a node."""
    pins = [p for p in placement.pins if p.node == node]
    places = [*wires.dots, *(point(p.at) for p in pins)]
    home = next((p for p in pins if p.element.is_transistor), pins[0])
    hx, hy = point(home.at)
    out: list[Slot] = []
    for (x0, y0), (x1, y1) in wires.segments:
        along = x1 - x0 + y1 - y0
        steps = max(1, int(along // _STEP))
        for k in range(steps + 1):
            x = x0 + (x1 - x0) * k / steps
            y = y0 + (y1 - y0) * k / steps
            far = 0.05 * (abs(x - hx) + abs(y - hy))
            near_end = 3.0 if any(abs(x - a) + abs(y - b) < 9 for a, b in places) else 0.0
            out += _flags(node, x, y, width, height, across=y0 == y1, price=far + near_end)
    return out


def _flags(
    node: str, x: float, y: float, width: float, height: float, *, across: bool, price: float
) -> list[Slot]:
    out = []
    if across:
        for way, extra in (("up", 0.0), ("up-left", 1.0), ("down", 3.0), ("down-left", 4.0)):
            up = way.startswith("up")
            y0 = y - LIFT - height if up else y + LIFT
            x0 = x - width if way.endswith("left") else x
            box = Box(x0 - 1, y0, x0 + width + 1, y0 + height)
            foot = Box(x - 3, min(y, y0), x + 3, max(y, y0 + height))
            out.append(Slot(way, (x, y), box, foot, node, price + extra))
        return out
    first = height if height < TALL_FLAG else FLAG * height / TALL_FLAG  # room of its first line
    for way, extra in (("right", 0.0), ("left", 2.0)):
        x0 = x + POLE if way == "right" else x - POLE - width
        box = Box(x0, y - first / 2, x0 + width, y - first / 2 + height)
        foot = Box(min(x, x0), y - 3, max(x, x0 + width), y + 3)
        out.append(Slot(way, (x, y), box, foot, node, price + extra))
    return out


@dataclass(frozen=True, slots=True)
class Run:
    """A straight piece of conductor, seen from a terminal."""

    start: Point
    end: Point
    node: str
    price: float


def amp_slots(
    runs: list[Run], width: float, dots: list[Point], lettering: float = 1.0
) -> list[Slot]:
    """Candidates for a current: arrowhead on the conductor, text beside it."""
    out: list[Slot] = []
    for run in runs:
        (x0, y0), (x1, y1) = run.start, run.end
        length = abs(x1 - x0) + abs(y1 - y0)
        ux, uy = (x1 - x0) / length, (y1 - y0) / length
        heading = ("right" if ux > 0 else "left") if ux else ("down" if uy > 0 else "up")
        place = HEAD + 2
        while place <= length - HEAD - 2 + 1e-9:
            x, y = x0 + ux * place, y0 + uy * place
            place += 2.5
            if any(abs(x - dx) + abs(y - dy) < HEAD + 5 for dx, dy in dots):
                continue
            off_middle = 0.04 * abs(place - length / 2)
            price = run.price + off_middle
            out += _currents(run, (x, y), width, heading, price, lettering)
    return out


def _currents(
    run: Run, at: Point, width: float, heading: str, price: float, lettering: float
) -> list[Slot]:
    x, y = at
    tall = 17 * lettering
    head = Box(x - HEAD - 1, y - HEAD - 1, x + HEAD + 1, y + HEAD + 1)
    out = []
    if heading in ("up", "down"):
        for way, extra in (("left", 0.0), ("right", 1.5)):
            x0 = x - 12 - width if way == "left" else x + 12
            for shift in (0.0, -6.0, 6.0):
                box = Box(x0, y - tall / 2 + shift, x0 + width, y + tall / 2 + shift)
                cost = price + extra + abs(shift) * 0.3
                out.append(Slot(way, at, box, head, run.node, cost, heading))
        return out
    for way, extra in (("below", 0.0), ("above", 0.8)):
        y0 = y + 11 if way == "below" else y - 11 - tall
        for shift in (0.0, -20.0, 20.0, -width / 2 + 8, width / 2 - 8):
            box = Box(x + shift - width / 2, y0, x + shift + width / 2, y0 + tall)
            cost = price + extra + abs(shift) * 0.05
            out.append(Slot(way, at, box, head, run.node, cost, heading))
    return out


def runs_from(
    placement: Placement,
    pin: Pin,
    idle: frozenset[str],
) -> list[Run]:
    """Straight conductors that carry exactly the current of a terminal, the nearest first."""
    net = placement.plan.net
    runs = _walk(placement, pin, idle, 0.0)
    others = [
        p
        for p in placement.pins
        if p.node == pin.node and p is not pin and p.element.name not in idle
    ]
    if len(others) != 1 or pin.node in net.power:
        return runs
    near = others[0]
    if near.element.is_transistor or near.element.kind is None:
        return runs
    far = next(p for p in placement.pins if p.element is near.element and p.number != near.number)
    lead = _lead(near, inwards=True)
    beyond = _walk(placement, far, idle, 1.0)
    exit_lead = _lead(far, inwards=False)
    return [*_in_line([*runs, lead]), *_in_line([exit_lead, *beyond])]


def _lead(pin: Pin, *, inwards: bool) -> Run:
    x, y = point(pin.at)
    dx, dy = {"up": (0, 1), "down": (0, -1), "left": (1, 0), "right": (-1, 0)}[pin.look]
    depth = 11.0 if pin.element.kind in (Kind.RESISTOR, Kind.INDUCTOR) else 18.0
    inner = (x + dx * depth, y + dy * depth)
    if inwards:
        return Run((x, y), inner, pin.node, 0.5)
    return Run(inner, (x, y), pin.node, 1.0)


def _in_line(runs: list[Run]) -> list[Run]:
    """Runs that continue each other in one line made one."""
    out: list[Run] = []
    for run in runs:
        if out and out[-1].end == run.start and _way(out[-1]) == _way(run):
            last = out.pop()
            out.append(Run(last.start, run.end, run.node, min(last.price, run.price)))
        else:
            out.append(run)
    return out


def _way(run: Run) -> tuple[int, int]:
    dx, dy = run.end[0] - run.start[0], run.end[1] - run.start[1]
    return (dx > 0) - (dx < 0), (dy > 0) - (dy < 0)


def _walk(
    placement: Placement,
    pin: Pin,
    idle: frozenset[str],
    price: float,
) -> list[Run]:
    """From a pin along the wire to the first place where direct current branches."""
    edges = [(point(a), point(b)) for a, b in placement.routing.wires.get(pin.node, ())]
    if pin.node in placement.plan.net.power:
        edges = [e for e in edges if e[0][0] == e[1][0]]
    beside: dict[Point, list[Point]] = {}
    for a, b in edges:
        beside.setdefault(a, []).append(b)
        beside.setdefault(b, []).append(a)
    here = {
        point(p.at) for p in placement.pins if p.node == pin.node and p.element.name not in idle
    }
    live = _live(beside, here, placement, pin.node)
    at, came, pieces = point(pin.at), None, []
    while True:
        ways = [p for p in beside.get(at, []) if p != came and (p in live or not live)]
        if len(ways) != 1 or (came is not None and at in here):
            break
        pieces.append(Run(at, ways[0], pin.node, price))
        came, at = at, ways[0]
    return _in_line(pieces)


def _live(
    beside: dict[Point, list[Point]], pins: set[Point], placement: Placement, node: str
) -> set[Point]:
    """Places of a node's wire on the way between conducting pins: idle branches fall away."""
    live = set(beside)
    if node in placement.plan.net.power:
        return live
    while True:
        ends = {p for p in live if p not in pins and sum(q in live for q in beside[p]) < 2}
        if not ends:
            return live
        live -= ends
