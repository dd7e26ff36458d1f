"""What has to be drawn: the parts between nodes, rails told apart, signal terminals added."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

from steadypoint.circuit import GROUND, Circuit, Kind, Part, PlaceHint
from steadypoint.draw._thermistor import SENSES

_COLLECTOR, _BASE, _EMITTER = 0, 1, 2
_DOWNWARDS: Final = (Kind.NPN, Kind.N_JFET, Kind.N_MOSFET)
"""Transistors whose collector or drain is the more positive end."""

_INPUT_WORDS: Final = ("in", "vin", "v_in", "input", "source")


@dataclass(frozen=True, slots=True)
class Element:
    """A part or a signal terminal to be placed.

    Parameters
    ----------
    name : str
        Designator, or the node name for a terminal.
    kind : Kind or None
        None for a signal terminal.
    nodes : tuple of str
        Nodes in the order of ``Kind.terminals``.
    side : str
        ``left`` or ``right`` for signal terminals.
    light : bool
        True for a part that shines; its symbol has arrows.
    sense : str
        What stands at the stroke of a thermistor, ``−θ`` or ``+θ``; empty for other parts.
    """

    name: str
    kind: Kind | None
    nodes: tuple[str, ...]
    side: str = ""
    light: bool = False
    sense: str = ""

    @property
    def is_wide(self) -> bool:
        """True for parts with marks beside the symbol, left of it or below."""
        return self.light or bool(self.sense)

    @property
    def is_transistor(self) -> bool:
        """True for three-terminal parts."""
        return self.kind is not None and self.kind.is_transistor


@dataclass(frozen=True)
class Netlist:
    """Elements with the roles of their nodes.

    Parameters
    ----------
    elements : tuple of Element
        In the order of the sheet, terminals last.
    top, bottom : str
        The rails drawn as long lines.
    flags : frozenset of str
        Further rails; they get a local symbol at every pin.
    falling : bool
        True when the upper rail is the more positive one. A circuit with only negative supplies is
        drawn with the supply on top all the same.
    signal : frozenset of str
        Names of elements without direct current.
    hints : tuple of PlaceHint
        Hints of the sheet about the elements drawn.
    bus : bool
        True when ground is one long line below; else every pin has its own symbol.
    """

    elements: tuple[Element, ...]
    top: str
    bottom: str
    flags: frozenset[str]
    falling: bool
    signal: frozenset[str]
    bus: bool = True
    hints: tuple[PlaceHint, ...] = ()

    def wanted(self, *where: str) -> frozenset[str]:
        """Names of the elements that a hint wants at any of these places."""
        return frozenset(h.part for h in self.hints if h.where in where)

    @property
    def power(self) -> frozenset[str]:
        """All rails and ground."""
        return self.flags | {self.top, self.bottom}

    @cached_property
    def pins(self) -> dict[str, list[tuple[Element, int]]]:
        """Pins (element, terminal number) at every node, in order of mention."""
        out: dict[str, list[tuple[Element, int]]] = {}
        for element in self.elements:
            for number, node in enumerate(element.nodes):
                out.setdefault(node, []).append((element, number))
        return out

    def upper(self, element: Element) -> int:
        """Terminal number of a transistor that points to the upper rail."""
        npn_like = (element.kind in _DOWNWARDS) == self.falling
        return _COLLECTOR if npn_like else _EMITTER

    def lower(self, element: Element) -> int:
        """Terminal number of a transistor that points to the lower rail."""
        return _EMITTER if self.upper(element) == _COLLECTOR else _COLLECTOR

    def base(self, element: Element) -> str:
        """Node at the base."""
        return element.nodes[_BASE]


def is_base(number: int) -> bool:
    """True for the terminal number of a base."""
    return number == _BASE


def signal_parts(circuit: Circuit) -> frozenset[str]:
    """Names of the parts that carry no direct current by structure alone.

    Capacitors are open; what then hangs on one node only (a load behind a coupling capacitor) is
    idle too.
    """
    rails = {GROUND, *(p.nodes[0] for p in circuit.supplies)}
    idle = {p.name for p in circuit.parts if p.kind is Kind.CAPACITOR}
    while True:
        count: dict[str, int] = {}
        for part in circuit.parts:
            if part.name not in idle:
                for node in part.nodes:
                    count[node] = count.get(node, 0) + 1
        more = {
            p.name
            for p in circuit.parts
            if p.name not in idle
            and p.kind is not Kind.SUPPLY
            and not p.kind.is_transistor
            and any(count[n] == 1 and n not in rails for n in p.nodes)
        }
        if not more:
            return frozenset(idle)
        idle |= more


def netlist(circuit: Circuit, *, with_signal: bool = True) -> Netlist:
    """The netlist of a circuit as the placement wants it."""
    signal = set(signal_parts(circuit))
    drawn = [p for p in circuit.parts if p.kind is not Kind.SUPPLY]
    if not with_signal:
        drawn = [p for p in drawn if p.name not in signal]
    elements = [
        Element(p.name, p.kind, p.nodes, light="LED" in p.traits, sense=_sense(p)) for p in drawn
    ]
    top, bottom, flags, falling = _rails(circuit)
    if with_signal:
        terminals = _terminals(circuit, drawn, {top, bottom, *flags})
        signal |= {t.name for t in terminals}
        elements += terminals
    used = {n for e in elements for n in e.nodes}
    return Netlist(
        tuple(elements),
        top,
        bottom,
        frozenset(flags & used),
        falling,
        frozenset(signal),
        hints=_hints(circuit, {e.name for e in elements}),
    )


def _sense(part: Part) -> str:
    return next((SENSES[t] for t in part.traits if t in SENSES), "")


def _hints(circuit: Circuit, names: set[str]) -> tuple[PlaceHint, ...]:
    return tuple(h for h in circuit.hints if h.part in names and h.beside in {*names, ""})


def _rails(circuit: Circuit) -> tuple[str, str, set[str], bool]:
    def volts(part: Part) -> float:
        return part.value.value if part.value is not None else 0.0

    supplies = sorted(circuit.supplies, key=volts)
    rails = [p.nodes[0] for p in supplies]
    positive = [p.nodes[0] for p in supplies if volts(p) >= 0]
    negative = [p.nodes[0] for p in supplies if volts(p) < 0]
    if positive:
        top, bottom, falling = positive[-1], (negative or [GROUND])[0], True
    elif negative:
        top, bottom, falling = negative[0], GROUND, False
    else:
        top, bottom, falling = "", GROUND, True
    return top, bottom, {GROUND, *rails} - {top, bottom}, falling


def _terminals(circuit: Circuit, drawn: list[Part], power: set[str]) -> list[Element]:
    pins: dict[str, list[tuple[Part, int]]] = {}
    for part in drawn:
        for number, node in enumerate(part.nodes):
            pins.setdefault(node, []).append((part, number))
    out = []
    for node, here in pins.items():
        if node in power or "." in node:
            continue
        word = node.lower()
        side = "left" if word.startswith(_INPUT_WORDS) else ""
        if not side and word.startswith(("out", "vout", "v_out")):
            side = "right"
        if not side and len(here) == 1 and not here[0][0].kind.is_transistor:
            part, number = here[0]
            far = pins.get(part.nodes[1 - number], [])
            feeds_base = any(p.kind.is_transistor and is_base(k) for p, k in far)
            side = "left" if feeds_base else "right"
        if not side and len(here) == 1:
            side = "left" if is_base(here[0][1]) else "right"
        if side:
            out.append(Element(f"terminal {node}", None, (node,), side))
    return out
