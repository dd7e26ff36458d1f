"""From structure to a plan: placement, wires and a slot for every text, cached.

The plan knows names and reserved widths, never values; a change of value therefore moves nothing
and costs nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from steadypoint.draw._candidates import amp_slots, part_slots, runs_from, volt_slots
from steadypoint.draw._claims import Room
from steadypoint.draw._labels import Slot, choose
from steadypoint.draw._netlist import Netlist
from steadypoint.draw._place import Placement, place, widened
from steadypoint.draw._scene import Box
from steadypoint.draw._symbols import light_arrows, place_symbol, place_transistor
from steadypoint.draw._thermistor import thermistor_stroke
from steadypoint.draw._wiring import GRID, NodeWires, Obstacle, point, wiring

_WIDER: Final = (0.0, 1.0, 2.5, 5.0)  # grid units added when texts find no place


@dataclass(frozen=True, slots=True)
class Wanted:
    """Texts that want a place, with reserved sizes.

    Parameters
    ----------
    labels : tuple of (str, float, int)
        Part, width [px], lines.
    volts : tuple of (str, float, float)
        Node, width and height of the pennant. [px]
    amps : tuple of (str, int, float)
        Transistor, number of the terminal, width. [px]
    rail_names : tuple of (str, float)
        Rail, width of its name and value. [px]
    lettering : float
        Size of the texts over the usual one.
    """

    labels: tuple[tuple[str, float, int], ...]
    volts: tuple[tuple[str, float, float], ...] = ()
    amps: tuple[tuple[str, int, float], ...] = ()
    rail_names: tuple[tuple[str, float], ...] = ()
    lettering: float = 1.0


@dataclass(frozen=True)
class Plan:
    """A drawing without its values.

    Parameters
    ----------
    placement : Placement
        Parts, pins and wires on the grid.
    wires : dict of str to NodeWires
        Wires in the figure.
    slots : dict of str to Slot
        Places of the texts by ``part:``, ``volt:`` and ``amp:`` keys.
    obstacles : list of Obstacle
        What texts keep away from.
    conflicts : list of str
        Texts without a free place; empty in all drawings that the tests hold.
    """

    placement: Placement
    wires: dict[str, NodeWires]
    slots: dict[str, Slot]
    obstacles: list[Obstacle]
    conflicts: list[str]


@lru_cache(maxsize=256)
def plan_of(net: Netlist, wanted: Wanted, ground_node: str) -> Plan:
    """Plan of a netlist; spread wider when a text finds no free place."""
    best: Plan | None = None
    placement = place(net, _room(wanted, 0.0))
    for extra in _WIDER:
        if extra:
            placement = widened(placement, _room(wanted, extra))
        plan = _planned(placement, wanted, ground_node)
        if best is None or _faults(plan) < _faults(best):
            best = plan
        if not any(_faults(best)):
            break
    assert best is not None  # noqa: S101  the loop runs at least once
    return best


def _faults(plan: Plan) -> tuple[int, int]:
    return len(plan.conflicts), plan.placement.routing.crossings


def _room(wanted: Wanted, extra: float) -> Room:
    labels = {name: width / GRID for name, width, _ in wanted.labels}
    volts = {node: w / GRID + 1.2 for node, w, _ in wanted.volts}
    amp = max((w for _, _, w in wanted.amps), default=0.0) / GRID
    return Room(labels, volts, amp + 1.4 if amp else 0.0, extra)


def _planned(placement: Placement, wanted: Wanted, ground_node: str) -> Plan:
    wires, obstacles = wiring(placement, ground_node)
    obstacles += _bodies(placement)
    obstacles += _rail_names(wires, wanted)
    items: dict[str, list[Slot]] = {}
    sizes = {name: (width, lines) for name, width, lines in wanted.labels}
    for spot in placement.spots:
        width, lines = sizes[spot.element.name]
        if width:
            items[f"part:{spot.element.name}"] = part_slots(spot, width, lines, wanted.lettering)
    idle = placement.plan.net.signal
    for name, number, width in wanted.amps:
        pin = next(p for p in placement.pins if p.element.name == name and p.number == number)
        dots = [d for w in wires.values() for d in w.dots]
        slots = amp_slots(runs_from(placement, pin, idle), width, dots, wanted.lettering)
        if slots:
            items[f"amp:{name}:{number}"] = slots
    for node, width, height in wanted.volts:
        items[f"volt:{node}"] = volt_slots(placement, wires[node], node, width, height)
    slots_found, conflicts = choose(items, obstacles)
    return Plan(placement, wires, slots_found, obstacles, conflicts)


def _bodies(placement: Placement) -> list[Obstacle]:
    """Symbols and their leads."""
    out: list[Obstacle] = []
    for spot in placement.spots:
        pins = {p.number: point(p.at) for p in placement.pins if p.element is spot.element}
        kind = spot.element.kind
        if kind is None:
            x, y = pins[0]
            side = -1 if spot.element.side == "left" else 1
            out.append(Obstacle(Box(min(x, x + side * 10), y - 5, max(x, x + side * 10), y + 5)))
            continue
        if kind.is_transistor:
            top = (spot.x * GRID, spot.y * GRID)
            out.append(
                Obstacle(place_transistor(kind, top, mirrored=spot.mirrored, emitter_up=False).body)
            )
            (cx, cy), (bx, by), (_, ey) = pins[0], pins[1], pins[2]
            leads = [
                (0, Box(cx - 2.5, min(cy, ey), cx + 2.5, max(cy, ey))),
                (1, Box(min(bx, cx), by - 2.5, max(bx, cx), by + 2.5)),
            ]
        else:
            out.append(Obstacle(place_symbol(kind, pins[0], pins[1]).body.grown(1.0)))
            if spot.element.light:
                out.append(Obstacle(light_arrows(pins[0], pins[1])[1].grown(1.0)))
            if spot.element.sense:
                room = thermistor_stroke(pins[0], pins[1], spot.element.sense)[2]
                out.append(Obstacle(room.grown(1.0)))
            (ax, ay), (zx, zy) = pins[0], pins[1]
            mx, my = (ax + zx) / 2, (ay + zy) / 2
            leads = [(0, _span(ax, ay, mx, my)), (1, _span(zx, zy, mx, my))]
        out += [Obstacle(box, spot.element.nodes[k]) for k, box in leads]
    return out


def _span(x0: float, y0: float, x1: float, y1: float) -> Box:
    return Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)).grown(2.5)


def rail_name_box(at: tuple[float, float], way: str, width: float, lettering: float = 1.0) -> Box:
    """Room of a supply's name at its line or bar. [px]"""
    x, y = at
    tall = 18 * lettering
    if way == "above":
        return Box(x, y - 4 - tall, x + width, y - 4)
    if way == "below":
        return Box(x, y + 4, x + width, y + 6 + tall)
    if way == "flag-down":
        return Box(x - width / 2, y + 3, x + width / 2, y + 4 + tall)
    return Box(x - width / 2, y - 2 - tall, x + width / 2, y - 3)


def _rail_names(wires: dict[str, NodeWires], wanted: Wanted) -> list[Obstacle]:
    widths = dict(wanted.rail_names)
    return [
        Obstacle(rail_name_box(at, way, widths[node], wanted.lettering), is_text=True)
        for node, own in wires.items()
        for at, way in own.names
        if node in widths
    ]
