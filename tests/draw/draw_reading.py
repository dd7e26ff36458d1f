"""Reads a drawing back: which pins its lines connect, from the SVG alone.

Lines of all nodes are taken together and what they are called is ignored; only geometry connects,
apart from what a reader joins in the head: equal ground symbols and equal supply names.
"""

from __future__ import annotations

import re
from itertools import combinations
from xml.etree import ElementTree as ET

from steadypoint.circuit import GROUND, Circuit, Kind
from steadypoint.draw import Scene

SVG = "{http://www.w3.org/2000/svg}"
Point = tuple[float, float]
Segment = tuple[Point, Point]


class _Joined:
    def __init__(self) -> None:
        self.parent: dict[object, object] = {}

    def root(self, item: object) -> object:
        self.parent.setdefault(item, item)
        while self.parent[item] != item:
            item = self.parent[item]
        return item

    def join(self, a: object, b: object) -> None:
        self.parent[self.root(a)] = self.root(b)


def parse(svg: str) -> ET.Element:
    """The drawing as an XML tree; fails on malformed XML."""
    return ET.fromstring(svg)  # noqa: S314  our own drawing


def classes(element: ET.Element) -> list[str]:
    return element.get("class", "").split()


def groups(root: ET.Element, word: str) -> list[ET.Element]:
    return [g for g in root.iter(f"{SVG}g") if word in classes(g)]


def numbers(text: str) -> list[float]:
    return [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", text)]


def segments_of(path: ET.Element) -> list[Segment]:
    """Straight strokes of a path of M and L commands."""
    out: list[Segment] = []
    at: Point = (0.0, 0.0)
    for op, rest in re.findall(r"([MLZ])([^MLZ]*)", path.get("d", "")):
        if op == "Z":
            continue
        x, y = numbers(rest)
        if op == "L":
            out.append((at, (x, y)))
        at = (x, y)
    return out


def on(point: Point, segment: Segment) -> bool:
    (x0, y0), (x1, y1) = segment
    x, y = point
    return min(x0, x1) <= x <= max(x0, x1) and min(y0, y1) <= y <= max(y0, y1)


def pins(root: ET.Element) -> dict[tuple[str, str], Point]:
    """Places of all terminals, which must be ends of strokes of their symbol."""
    out: dict[tuple[str, str], Point] = {}
    for group in groups(root, "part"):
        strokes = [s for p in group.findall(f"{SVG}path") for s in segments_of(p)]
        ends = {end for stroke in strokes for end in stroke}
        for item in group.get("data-pins", "").split():
            terminal, place = item.split(":")
            x, y = numbers(place)
            assert (x, y) in ends, (group.get("data-part"), terminal)
            out[group.get("data-part", ""), terminal] = (x, y)
    return out


def connections(root: ET.Element) -> set[frozenset[tuple[str, str]]]:
    """Groups of pins that the drawing connects."""
    joined = _Joined()
    wires: list[Segment] = []
    dots: list[Point] = []
    for net in groups(root, "net"):
        for path in net.findall(f"{SVG}path"):
            if "wire" in classes(path):
                wires += segments_of(path)
        for circle in net.findall(f"{SVG}circle"):
            dots.append((float(circle.get("cx", 0)), float(circle.get("cy", 0))))
    for i, a in enumerate(wires):
        for j, b in enumerate(wires):
            if i < j and any(on(e, b) for e in a) | any(on(e, a) for e in b):
                joined.join(i, j)
    for dot in dots:
        here = [i for i, wire in enumerate(wires) if on(dot, wire)]
        for i in here[1:]:
            joined.join(here[0], i)
    for key, place in pins(root).items():
        joined.join(key, ("at", place))
        for i, wire in enumerate(wires):
            if on(place, wire):
                joined.join(("at", place), i)
    _join_rails(root, joined, wires)
    found: dict[object, set[tuple[str, str]]] = {}
    for key in pins(root):
        found.setdefault(joined.root(key), set()).add(key)
    return {frozenset(group) for group in found.values()}


def _join_rails(root: ET.Element, joined: _Joined, wires: list[Segment]) -> None:
    def attach(place: Point, name: str) -> None:
        joined.join(("at", place), ("rail", name))
        for i, wire in enumerate(wires):
            if on(place, wire):
                joined.join(i, ("rail", name))

    for net in groups(root, "net"):
        kind = net.get("data-rail")
        if kind is None:
            continue
        symbols = [p for p in net.findall(f"{SVG}path") if "wire" not in classes(p)]
        for symbol in symbols:
            start = segments_of(symbol)[0][0]
            attach(start, GROUND if kind == "ground" else net.get("data-node", ""))
        for given in net.findall(f"{SVG}g"):
            name = given.get("data-given", "")
            text = given.find(f"{SVG}text")
            assert text is not None
            x, y = float(text.get("x", 0)), float(text.get("y", 0))
            for wire in wires:
                for end in wire:
                    if abs(end[0] - x) < 1 and abs(end[1] - y) < 30 and wire[0][1] == wire[1][1]:
                        attach(end, name)


def expected(circuit: Circuit, drawn: set[str]) -> set[frozenset[tuple[str, str]]]:
    """Groups of pins that the circuit connects."""
    found: dict[str, set[tuple[str, str]]] = {}
    for part in circuit.parts:
        if part.kind is Kind.SUPPLY or part.name not in drawn:
            continue
        for terminal, node in zip(part.kind.terminals, part.nodes, strict=True):
            found.setdefault(node, set()).add((part.name, terminal))
    return {frozenset(group) for group in found.values()}


def spoilt_symbols(root: ET.Element) -> list[str]:
    """Ground symbols and supply bars that a wire of another node runs over."""
    wires = [
        (net.get("data-node"), segment)
        for net in groups(root, "net")
        for path in net.findall(f"{SVG}path")
        if "wire" in classes(path)
        for segment in segments_of(path)
    ]
    bad = []
    for net in groups(root, "net"):
        for path in net.findall(f"{SVG}path"):
            if "wire" in classes(path):
                continue
            for stroke in segments_of(path):
                if any(n != net.get("data-node") and touch(stroke, w) for n, w in wires):
                    bad.append(net.get("data-node", ""))
    return bad


def touch(a: Segment, b: Segment) -> bool:
    """True when two axis-parallel strokes have a point in common."""
    (ax0, ay0), (ax1, ay1) = a
    (bx0, by0), (bx1, by1) = b
    apart_x = max(min(ax0, ax1), min(bx0, bx1)) > min(max(ax0, ax1), max(bx0, bx1))
    apart_y = max(min(ay0, ay1), min(by0, by1)) > min(max(ay0, ay1), max(by0, by1))
    return not (apart_x or apart_y)


def drawn_parts(root: ET.Element) -> set[str]:
    """Names of the parts in a drawing."""
    return {g.get("data-part", "") for g in groups(root, "part")}


def crossings(root: ET.Element) -> list[tuple[str, str]]:
    """Nodes whose wires cross."""
    wires = [
        (g.get("data-node", ""), segment)
        for g in groups(root, "net")
        for p in g.findall(f"{SVG}path")
        if "wire" in classes(p)
        for segment in segments_of(p)
    ]
    return [(n, m) for (n, a), (m, b) in combinations(wires, 2) if n != m and touch(a, b)]


def overlaps(scene: Scene) -> list[str]:
    """Texts that lie on each other, on a wire or on a symbol."""
    bad = [f"{a} on {b}" for a, b in combinations(scene.labels, 2) if a.overlaps(b, 0.5)]
    bad += [f"{a} on {b}" for a in scene.labels for b in scene.obstacles if a.overlaps(b, 0.5)]
    return bad
