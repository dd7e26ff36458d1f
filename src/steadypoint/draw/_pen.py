"""Marks of a placed schematic: wires, symbols, labels, voltages and currents."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from steadypoint.circuit import GROUND, Circuit, Kind
from steadypoint.draw._annotate import REGION_GAP, Line, Notes
from steadypoint.draw._describe import part_sentence
from steadypoint.draw._labels import Slot
from steadypoint.draw._layout import Spot
from steadypoint.draw._loop import Leg
from steadypoint.draw._loop_marks import loop_marks
from steadypoint.draw._metrics import text_box, width
from steadypoint.draw._netlist import Netlist
from steadypoint.draw._plan import Plan, rail_name_box
from steadypoint.draw._scene import Box, Circle, Command, Group, Mark, Path, Point, Text
from steadypoint.draw._symbols import light_arrows, place_symbol, place_transistor, plus_mark
from steadypoint.draw._thermistor import thermistor_stroke
from steadypoint.draw._wiring import NodeWires, dot, point, wire_path
from steadypoint.solve import OperatingPoint, Region

_LINE: Final = 17.0


class Pen:
    """Draws a plan with its texts."""

    def __init__(
        self,
        circuit: Circuit,
        net: Netlist,
        plan: Plan,
        texts: Notes,
        lit: frozenset[str],
        solved: OperatingPoint | None,
        *,
        loop: Sequence[Leg],
        loop_label: str,
        faded: bool,
        zigzag: bool,
        circle: bool,
    ) -> None:
        self.circuit = circuit
        self.net = net
        self.plan = plan
        self.texts = texts
        self.lit = lit
        self.solved = solved
        self.loop = loop
        self.loop_label = loop_label
        self.on_loop = {leg.part.name for leg in loop}
        self.faded = faded
        self.zigzag = zigzag
        self.circle = circle
        self.labels: list[Box] = []
        self.lettering = texts.lettering
        self.sink = 4 * texts.lettering + 1  # from the middle of a line to where it stands

    def draw(self) -> tuple[Mark, ...]:
        """All marks in painting order."""
        marks: list[Mark] = [self.node(n, w) for n, w in self.plan.wires.items()]
        marks += [self.part(spot) for spot in self.plan.placement.spots]
        marks += self.volts()
        marks += self.amps()
        if self.loop:
            group, boxes = loop_marks(self.plan, self.loop, self.labels, self.loop_label)
            self.labels += boxes
            marks.insert(0, group)
        return tuple(marks)

    def extent(self) -> Box:
        """Room of the drawing with that reserved for texts. [px]"""
        box = self.plan.obstacles[0].box
        for obstacle in self.plan.obstacles:
            box = box.union(obstacle.box)
        for slot in self.plan.slots.values():  # reserved room, so the size does not follow values
            box = box.union(slot.box)
        for label in self.labels:
            box = box.union(label)
        return Box(*(float(round(v)) for v in (box.x0, box.y0, box.x1, box.y1)))

    def note(self, text: Text) -> Text:
        self.labels.append(text_box(text))
        return text

    def node(self, node: str, wires: NodeWires) -> Group:
        marks: list[Mark] = [wire_path(wires.segments)] if wires.segments else []
        marks += [dot(at) for at in wires.dots]
        marks += wires.symbols
        line = self.texts.rails.get(node)
        names = [self.rail_name(at, way, line) for at, way in wires.names] if line else []
        marks += [Group("given", (name,), data=(("given", node),)) for name in names]
        state = " lit" if self.node_lit(node) else ""
        state += " faded" if self.faded and self.node_idle(node) else ""
        kind = "ground" if node == GROUND else "rail" if node in self.net.power else ""
        data = (("node", node), *((("rail", kind),) if kind else ()))
        return Group(f"net{state}", tuple(marks), f"node-{_word(node)}", data)

    def node_lit(self, node: str) -> bool:
        pins = self.net.pins.get(node, [])
        return node not in self.net.power and sum(e.name in self.lit for e, _ in pins) >= 2

    def node_idle(self, node: str) -> bool:
        """True where no direct current can flow: all but one of the pins are idle."""
        pins = self.net.pins.get(node, [])
        live = [e for e, _ in pins if e.name not in self.net.signal]
        return node not in self.net.power and not live

    def rail_name(self, at: Point, way: str, line: Line) -> Text:
        box = rail_name_box(at, way, width(line), self.lettering)
        anchor = "middle" if way.startswith("flag") else "start"
        x = at[0] if anchor == "middle" else box.x0
        return self.note(Text(x, box.y0 + 13 * self.lettering, line, anchor))

    def part(self, spot: Spot) -> Group:
        element = spot.element
        pins = {p.number: point(p.at) for p in self.plan.placement.pins if p.element is element}
        if element.kind is None:
            return self.terminal(spot, pins[0])
        if element.kind.is_transistor:
            emitter_up = pins[2][1] < pins[0][1]
            top = pins[2] if emitter_up else pins[0]
            symbol = place_transistor(
                element.kind,
                top,
                mirrored=spot.mirrored,
                emitter_up=emitter_up,
                circle=self.circle,
                depletion="depletion" in self.circuit.part(element.name).traits,
            )
        else:
            symbol = place_symbol(element.kind, pins[0], pins[1], zigzag=self.zigzag)
        shapes: list[Mark] = [_halo(symbol.body), *symbol.shapes]
        part = self.circuit.part(element.name)
        if element.kind is Kind.CAPACITOR and "electrolytic" in part.traits:
            shapes.append(plus_mark(pins[0], pins[1]))
        if element.light:
            shapes += light_arrows(pins[0], pins[1])[0]
        if element.sense:
            stroke, text, _ = thermistor_stroke(pins[0], pins[1], element.sense)
            shapes += (stroke, self.note(text))
        label = self.label(spot)
        shapes.append(Group("given", label, data=(("given", element.name),)))
        states = " signal" if element.name in self.net.signal else ""
        states += " lit" if element.name in self.lit else ""
        states += " inloop" if element.name in self.on_loop else ""
        states += " faded" if self.faded and element.name in self.net.signal else ""
        where = " ".join(
            f"{word}:{_n(pins[k][0])},{_n(pins[k][1])}"
            for k, word in enumerate(element.kind.terminals)
        )
        return Group(
            f"part {element.kind.value.replace(' ', '-')}{states}",
            tuple(shapes),
            f"part-{_word(element.name)}",
            (("part", element.name), ("pins", where)),
            part_sentence(part),
        )

    def terminal(self, spot: Spot, at: Point) -> Group:
        side = -1.0 if spot.element.side == "left" else 1.0
        ring = Circle(at[0] + side * 4.6, at[1], 4.6, "body")
        line = self.texts.labels[spot.element.name][0]
        anchor = "end" if side < 0 else "start"
        text = self.note(Text(at[0] + side * 15, at[1] + self.sink, line, anchor))
        node = spot.element.nodes[0]
        role = "terminal signal faded" if self.faded else "terminal signal"
        return Group(role, (ring, text), data=(("terminal", node),))

    def label(self, spot: Spot) -> tuple[Mark, ...]:
        slot = self.plan.slots.get(f"part:{spot.element.name}")
        lines = self.texts.labels[spot.element.name]
        if slot is None or not lines:
            return ()
        middle = (slot.box.y0 + slot.box.y1) / 2
        step = _LINE * self.lettering
        first = middle - (len(lines) - 1) * step / 2 + self.sink
        anchor = {"right": "start", "left": "end"}.get(slot.way, "middle")
        texts = [
            self.note(Text(slot.at[0], first + k * step, line, anchor, _role(line)))
            for k, line in enumerate(lines)
        ]
        return (*texts, *(self.region_glyph(spot.element.name, t) for t in texts if _is_region(t)))

    def region_glyph(self, name: str, text: Text) -> Mark:
        """The region by shape: a disc, a half disc on the left wall, a hollow one on the right."""
        region = self.region_of(name)
        x, y = text_box(text).x0 + 6, text.y - 4.5
        if region in (Region.SATURATION, Region.TRIODE):
            return Path((("M", x - 3, y - 5), ("A", 5.0, 1, x - 3, y + 5), ("Z",)), "region-full")
        if region is Region.CUTOFF:
            return Path((("M", x + 3, y - 5), ("A", 5.0, 0, x + 3, y + 5), ("Z",)), "region-line")
        return Circle(x, y, 4.5, "region-full" if region is Region.ACTIVE else "region-line")

    def region_of(self, name: str) -> Region | None:
        """Region of a transistor; a channel pinched off counts as active, for it amplifies."""
        if self.solved is None:
            return None
        if name in self.solved.fets:
            region = self.solved.fets[name].region
            return Region.ACTIVE if region is Region.SATURATION else region
        return self.solved.transistors[name].region

    def volts(self) -> list[Mark]:
        out: list[Mark] = []
        for node, lines in self.texts.volts.items():
            slot = self.plan.slots.get(f"volt:{node}")
            if slot is not None:
                out.append(self.pennant(node, slot, lines))
        return out

    def pennant(self, node: str, slot: Slot, lines: tuple[Line, ...]) -> Group:
        """A flag on a pole planted on the wire."""
        box, (x, y) = slot.box, slot.at
        tail = 7.0
        left = slot.way.endswith("left")
        x0, x1 = box.x0 + (1 if slot.way.startswith(("up", "down")) else 0), box.x1 - 1
        if left and slot.way != "left":
            x0, x1 = box.x0, x
        mid = (box.y0 + box.y1) / 2
        outline = (
            _flag(x1, x0, box.y0, box.y1, -tail) if left else _flag(x0, x1, box.y0, box.y1, tail)
        )
        if slot.way in ("right", "left"):
            end: Point = (x0 if slot.way == "right" else x1, y)
        else:
            end = (x, box.y0 if slot.way.startswith("up") else box.y1)
        pole = Path((("M", x, y), ("L", *end)), "pole")
        tx = x0 + (tail + 5 if left else 7)
        step = 15 * self.lettering
        first = mid + self.sink - (len(lines) - 1) * step / 2
        texts = [
            self.note(Text(tx, first + step * k, line, role=_role(line)))
            for k, line in enumerate(lines)
        ]
        self.labels.append(box)
        for text in texts:
            self.labels.remove(text_box(text))
        return Group(
            "volt",
            (Path(outline, "flag"), pole, Circle(x, y, 3.0, "foot"), *texts),
            data=(("volt", node),),
        )

    def amps(self) -> list[Mark]:
        out: list[Mark] = []
        for (name, k), (line, current) in self.texts.amps.items():
            slot = self.plan.slots.get(f"amp:{name}:{k}")
            if slot is None:
                continue
            # The run leads away from the terminal, a current into it flows the other way.
            back = {"up": "down", "down": "up", "left": "right", "right": "left"}
            way = back[slot.heading] if current > 0 else slot.heading
            middle = (slot.box.y0 + slot.box.y1) / 2 + self.sink
            anchor = {"left": "end", "right": "start"}.get(slot.way, "middle")
            x = {"left": slot.box.x1, "right": slot.box.x0}.get(
                slot.way, (slot.box.x0 + slot.box.x1) / 2
            )
            text = self.note(Text(x, middle, line, anchor))
            terminal = self.circuit.part(name).kind.terminals[k]
            data = (("amp", f"{name} {terminal}"), ("way", way))
            out.append(Group("amp", (_head(*slot.at, way), text), data=data))
        return out


def _is_region(text: Text) -> bool:
    return bool(text.spans) and text.spans[0].gap == REGION_GAP


def _role(line: Line) -> str:
    return "was" if line and line[0].tone == "was" else "name"


def _word(name: str) -> str:
    return "".join(c if c.isalnum() or c in "-_" else "-" for c in name)


def _n(value: float) -> str:
    return f"{value:g}"


def _halo(body: Box) -> Path:
    b = body.grown(7.0)
    return Path(
        (("M", b.x0, b.y0), ("L", b.x1, b.y0), ("L", b.x1, b.y1), ("L", b.x0, b.y1), ("Z",)),
        "halo",
    )


def _flag(x0: float, x1: float, y0: float, y1: float, tail: float) -> tuple[Command, ...]:
    return (
        ("M", x0, y0),
        ("L", x1 - tail, y0),
        ("L", x1, (y0 + y1) / 2),
        ("L", x1 - tail, y1),
        ("L", x0, y1),
        ("Z",),
    )


def _head(x: float, y: float, way: str) -> Path:
    """A current: solid arrowhead on the conductor."""
    ux, uy = {"up": (0, -1), "down": (0, 1), "left": (-1, 0), "right": (1, 0)}[way]
    corners = [(6, 0), (-6, 6), (-6, -6)]
    points = [(x + a * ux - b * uy, y + a * uy + b * ux) for a, b in corners]
    commands: list[Command] = [("M" if k == 0 else "L", *p) for k, p in enumerate(points)]
    return Path((*commands, ("Z",)), "head")
