"""Graphical symbols in the proportions of IEC 60617 (resistor 1:3, junctions, sources).

Every two-terminal symbol is defined once along its axis, from (0, 0) to (60, 0), the first node at
the start. ``place_symbol`` turns it. Numbers of IEC 60617 in the comments are those of the printed
parts 2 to 5 (1996), from memory.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from steadypoint.circuit import Kind
from steadypoint.draw._scene import Box, Circle, Command, Path, Point

LENGTH: Final = 60.0
BASE_REACH: Final = 40.0
Shape = Path | Circle
Map = Callable[[float, float], Point]


@dataclass(frozen=True, slots=True)
class Symbol:
    """Shapes of a placed symbol and the box of its body, leads left out."""

    shapes: tuple[Shape, ...]
    body: Box


def _line(*points: Point, role: str = "line", closed: bool = False) -> Path:
    commands: list[Command] = [("M" if i == 0 else "L", x, y) for i, (x, y) in enumerate(points)]
    if closed:
        commands.append(("Z",))
    return Path(tuple(commands), role)


def _resistor() -> tuple[Shape, ...]:  # 04-01-01: rectangle 1:3
    return (
        _line((0, 0), (12, 0)),
        _line((48, 0), (60, 0)),
        _line((12, -6), (48, -6), (48, 6), (12, 6), role="body", closed=True),
    )


def _zigzag() -> tuple[Shape, ...]:
    points: list[Point] = [(0, 0), (12, 0)]
    points += [(15 + 6 * k, -7 if k % 2 == 0 else 7) for k in range(6)]
    return (_line(*points, (48, 0), (60, 0)),)


def _capacitor() -> tuple[Shape, ...]:  # 04-02-01
    return (
        _line((0, 0), (26, 0)),
        _line((34, 0), (60, 0)),
        _line((26, -13), (26, 13), role="plate"),
        _line((34, -13), (34, 13), role="plate"),
    )


def _inductor() -> tuple[Shape, ...]:  # 04-03-01: four half circles
    arcs: list[Command] = [("M", 0, 0), ("L", 12, 0)]
    arcs += [("A", 4.5, 1, 21.0 + 9 * k, 0) for k in range(4)]
    return (Path((*arcs, ("L", 60, 0))),)


def _diode() -> tuple[Shape, ...]:  # 05-03-01: open triangle, the conductor drawn through
    return (
        _line((21, -10), (21, 10), (38.5, 0), role="body", closed=True),
        _line((0, 0), (60, 0)),
        _line((38.5, -10), (38.5, 10), role="plate"),
    )


def _zener() -> tuple[Shape, ...]:  # 05-03-06: one hook, towards the anode
    return (*_diode()[:2], _line((33.5, -10), (38.5, -10), (38.5, 10), role="plate"))


def _current_source() -> tuple[Shape, ...]:  # 02-16-01, with the direction on the conductor
    return (
        _line((0, 0), (15, 0)),
        _line((45, 0), (60, 0)),
        Circle(30, 0, 15, "body"),
        _line((30, -15), (30, 15)),
        _line((60, 0), (50, -4.5), (50, 4.5), role="solid", closed=True),
    )


def _voltage_source() -> tuple[Shape, ...]:  # 02-16-02, plus at the first node
    return (
        Circle(30, 0, 15, "body"),
        _line((0, 0), (60, 0)),
        _line((8, -11), (8, -5)),
        _line((5, -8), (11, -8)),
    )


_AXIAL: Final[dict[Kind, tuple[Callable[[], tuple[Shape, ...]], float, float, float]]] = {
    # symbol, body from, body to, half width
    Kind.RESISTOR: (_resistor, 12, 48, 6),
    Kind.CAPACITOR: (_capacitor, 24, 36, 13),
    Kind.INDUCTOR: (_inductor, 12, 48, 6),
    Kind.DIODE: (_diode, 20, 40, 10),
    Kind.ZENER: (_zener, 20, 40, 10),
    Kind.CURRENT_SOURCE: (_current_source, 14, 60, 15),
    Kind.VOLTAGE_SOURCE: (_voltage_source, 5, 46, 15),
}


def light_arrows(start: Point, end: Point) -> tuple[tuple[Path, ...], Box]:
    """The two arrows of light that a LED sends out (05-03-02), and their room.

    They lie left of a standing symbol and below a lying one, away from the label.
    """
    ux, uy = (end[0] - start[0]) / LENGTH, (end[1] - start[1]) / LENGTH
    across = (-abs(uy), abs(ux))

    def to_page(a: float, b: float) -> Point:
        return start[0] + ux * a + across[0] * b, start[1] + uy * a + across[1] * b

    shapes: list[Path] = []
    for a in (25.0, 34.0):
        shapes.append(_line(to_page(a, 12), to_page(a + 7, 23)))
        corners = [(a + 7, 23.0), (a + 2.2, 20.2), (a + 6.4, 17.5)]
        shapes.append(_line(*(to_page(*c) for c in corners), role="solid", closed=True))
    (x0, y0), (x1, y1) = to_page(23, 11), to_page(43, 24)
    return tuple(shapes), Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))


def half_width(kind: Kind) -> float:
    """Half the width of a symbol across its axis. [px]"""
    return 21.0 if kind.is_transistor else _AXIAL[kind][3]


def place_symbol(kind: Kind, start: Point, end: Point, *, zigzag: bool = False) -> Symbol:
    """A two-terminal symbol from its first to its second node, 60 px apart on one axis."""
    ux, uy = (end[0] - start[0]) / LENGTH, (end[1] - start[1]) / LENGTH
    build, a0, a1, half = _AXIAL[kind]

    def to_page(a: float, b: float) -> Point:
        # b > 0 lies to the right of the way for a vertical part, below for a horizontal one
        side = (abs(uy), abs(ux))
        return start[0] + ux * a + side[0] * b, start[1] + uy * a + side[1] * b

    shapes = _zigzag() if zigzag and kind is Kind.RESISTOR else build()
    flipped = uy > 0 or ux < 0
    placed = tuple(_mapped(s, to_page, flipped) for s in shapes)
    x0, y0 = to_page(a0, -half)
    x1, y1 = to_page(a1, half)
    return Symbol(placed, Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)))


def plus_mark(start: Point, end: Point) -> Path:
    """The plus of a polarised capacitor, beside the plate at the first node."""
    ux, uy = (end[0] - start[0]) / LENGTH, (end[1] - start[1]) / LENGTH
    x = start[0] + ux * 19 - abs(uy) * 9
    y = start[1] + uy * 19 - abs(ux) * 9
    return Path((("M", x - 3, y), ("L", x + 3, y), ("M", x, y - 3), ("L", x, y + 3)), "line")


def _mapped(shape: Shape, to_page: Map, flipped: bool) -> Shape:
    if isinstance(shape, Circle):
        x, y = to_page(shape.x, shape.y)
        return Circle(x, y, shape.r, shape.role)
    out: list[Command] = []
    for command in shape.commands:
        op, *rest = command
        if op == "Z":
            out.append(("Z",))
        elif op == "A":
            radius, sweep, x, y = (float(v) for v in rest)
            out.append(("A", radius, 1 - sweep if flipped else sweep, *to_page(x, y)))
        else:
            x, y = (float(v) for v in rest)
            out.append((op, *to_page(x, y)))
    return Path(tuple(out), shape.role)


def place_transistor(
    kind: Kind,
    top: Point,
    *,
    mirrored: bool,
    emitter_up: bool,
    circle: bool = True,
    depletion: bool = False,
) -> Symbol:
    """A transistor; ``top`` is the upper of its two outer terminals (05-05-01, -02, -09 to -16)."""
    side = -1.0 if mirrored else 1.0
    turn = -1.0 if emitter_up else 1.0

    def to_page(x: float, y: float) -> Point:  # y counts from the middle, the emitter below
        return top[0] + side * x, top[1] + LENGTH / 2 + turn * y

    shapes: list[Shape] = [Circle(*to_page(-3, 0), 21, "body")] if circle else []
    if kind in (Kind.N_JFET, Kind.P_JFET):
        shapes += _junction_gate(kind, to_page)
    elif kind.is_fet:
        shapes += _insulated_gate(kind, to_page, depletion=depletion)
    else:
        shapes += [
            _line(to_page(-BASE_REACH, 0), to_page(-12, 0)),
            _line(to_page(-12, -6), to_page(0, -16), to_page(0, -30)),
            _line(to_page(-12, 6), to_page(0, 16), to_page(0, 30)),
            _line(to_page(-12, -13), to_page(-12, 13), role="plate"),
            _emitter_arrow(kind, to_page),
        ]
    mid = top[1] + LENGTH / 2
    x0, x1 = sorted((top[0] - side * 24, top[0] + side * 18))
    return Symbol(tuple(shapes), Box(x0, mid - 21, x1, mid + 21))


def _channel_leads(to_page: Map) -> list[Shape]:
    """Drain and source, at right angles to the channel."""
    return [
        _line(to_page(-9, end * 9.5), to_page(0, end * 9.5), to_page(0, end * 30))
        for end in (-1, 1)
    ]


def _level_arrow(to_page: Map, tip: float, way: float) -> Path:
    """Arrowhead on a level line; ``way`` is 1 where it points to the drain side of the page."""
    back = tip - way * 8.5
    points = (to_page(tip, 0), to_page(back, -3.9), to_page(back, 3.9))
    return _line(*points, role="solid", closed=True)


def _junction_gate(kind: Kind, to_page: Map) -> list[Shape]:
    # 05-05-09, -10: the arrow of the gate points from p to n
    tip, way = (-10.0, 1.0) if kind is Kind.N_JFET else (-19.5, -1.0)
    return [
        _line(to_page(-BASE_REACH, 0), to_page(-9, 0)),
        *_channel_leads(to_page),
        _line(to_page(-9, -14), to_page(-9, 14), role="plate"),
        _level_arrow(to_page, tip, way),
    ]


def _insulated_gate(kind: Kind, to_page: Map, *, depletion: bool) -> list[Shape]:
    # 05-05-11 to -16: a broken channel for enhancement, the substrate joined to the source
    pieces = ((-14.0, 14.0),) if depletion else ((-14.0, -5.5), (-4.0, 4.0), (5.5, 14.0))
    tip, way = (-8.0, -1.0) if kind is Kind.N_MOSFET else (0.5, 1.0)
    return [
        _line(to_page(-BASE_REACH, 0), to_page(-15.5, 0)),
        _line(to_page(-15.5, -10.5), to_page(-15.5, 10.5), role="plate"),
        *_channel_leads(to_page),
        *(_line(to_page(-9, a), to_page(-9, b), role="plate") for a, b in pieces),
        _line(to_page(-9, 0), to_page(0, 0), to_page(0, 9.5)),
        _level_arrow(to_page, tip, way),
    ]


def _emitter_arrow(kind: Kind, to_page: Map) -> Path:
    # The leg runs from (-12, 6) to (0, 16): outwards for npn, inwards for pnp.
    ux, uy = 12 / 15.62, 10 / 15.62
    tip, sense = ((-0.9, 15.25), -1.0) if kind is Kind.NPN else ((-10.4, 7.3), 1.0)
    bx, by = tip[0] + sense * 9.5 * ux, tip[1] + sense * 9.5 * uy
    return _line(
        to_page(*tip),
        to_page(bx - 4.1 * uy, by + 4.1 * ux),
        to_page(bx + 4.1 * uy, by - 4.1 * ux),
        role="solid",
        closed=True,
    )


def ground(x: float, y: float) -> tuple[Path, Box]:
    """Ground (02-15-01) hanging below a point."""
    commands: list[Command] = [("M", x, y), ("L", x, y + 8)]
    for half, drop in ((11, 8), (7, 13), (3, 18)):
        commands += [("M", x - half, y + drop), ("L", x + half, y + drop)]
    return Path(tuple(commands), "line"), Box(x - 11, y, x + 11, y + 18)


def rail_bar(x: float, y: float, *, up: bool) -> tuple[Path, Box]:
    """A local supply: a short bar at the end of a stub."""
    end = y - 10 if up else y + 10
    path = Path((("M", x, y), ("L", x, end), ("M", x - 9, end), ("L", x + 9, end)), "line")
    return path, Box(x - 9, min(y, end), x + 9, max(y, end))
