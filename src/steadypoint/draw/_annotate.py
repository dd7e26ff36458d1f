"""What stands at the drawing: names, values, pennants, currents, powers, regions."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Final

from steadypoint.circuit import Circuit, Kind, Part
from steadypoint.draw._metrics import width
from steadypoint.draw._netlist import Netlist, netlist
from steadypoint.draw._plan import Wanted
from steadypoint.draw._scene import Span
from steadypoint.draw._typography import (
    SMALL,
    designator,
    larger,
    number,
    quantity_symbol,
    value_line,
)
from steadypoint.errors import UnknownNameError
from steadypoint.solve import FetPoint, OperatingPoint, Region, TransistorPoint

Line = tuple[Span, ...]
TERMINAL_LETTERS: Final = ("C", "B", "E")
REGION_WORDS: Final = {
    Region.ACTIVE: "active",
    Region.SATURATION: "saturated",
    Region.CUTOFF: "cut off",
    Region.REVERSE: "reverse",
    Region.TRIODE: "triode",
}
REGION_TONE: Final = "minor"
REGION_GAP: Final = 15.0  # room for the glyph before the word [px]
TREND_GLYPHS: Final = {"up": "↑", "down": "↓"}
FET_LETTERS: Final = ("D", "G", "S")
_SEARCH_ORDER: Final = (0, 2, 1)  # a node is called after a collector, else an emitter, else a base
_STIR: Final = 5e-3  # a change under half a percent is none
_NOTHING: Final = 1e-15  # less current than this is none [A]
_FLAG_PADDING: Final = 16.0


@dataclass(frozen=True)
class Notes:
    """Texts for a drawing, by what they belong to.

    Parameters
    ----------
    labels : dict of str to tuple of Line
        Lines of each part's label.
    volts : dict of str to tuple of Line
        Pennant lines of each node; the second is the state before.
    amps : dict of (str, int) to (Line, float)
        Text and current into the terminal. [A]
    rails : dict of str to Line
        Name and value of each supply.
    lettering : float
        Size of the texts over the usual one.
    """

    labels: dict[str, tuple[Line, ...]]
    volts: dict[str, tuple[Line, ...]] = field(default_factory=dict)
    amps: dict[tuple[str, int], tuple[Line, float]] = field(default_factory=dict)
    rails: dict[str, Line] = field(default_factory=dict)
    lettering: float = 1.0

    def wanted(self, net: Netlist) -> Wanted:
        """Reserved sizes: at least those of usual values, so that a new value moves nothing."""
        least = larger(_LABEL, self.lettering)
        labels = tuple(
            (e.name, _reserved(self.labels[e.name], least), len(self.labels[e.name]))
            for e in net.elements
        )
        k = self.lettering
        volts = tuple(
            (node, _reserved(lines, (), 6) + _FLAG_PADDING, (21.0, 36.0)[len(lines) > 1] * k)
            for node, lines in self.volts.items()
        )
        amps = tuple(
            (name, n, _reserved((line,), ())) for (name, n), (line, _) in self.amps.items()
        )
        rails = tuple((node, width(line)) for node, line in self.rails.items())
        return Wanted(labels, volts, amps, rails, k)


def lettered(texts: Notes, k: float) -> Notes:
    """The same texts in another size."""
    return Notes(
        {name: tuple(larger(line, k) for line in lines) for name, lines in texts.labels.items()},
        {node: tuple(larger(line, k) for line in lines) for node, lines in texts.volts.items()},
        {key: (larger(line, k), current) for key, (line, current) in texts.amps.items()},
        {node: larger(line, k) for node, line in texts.rails.items()},
        k,
    )


_LABEL: Final = (Span("888 kΩ", weight="num"),)


def _reserved(lines: Iterable[Line], least: Line, step: float = 8.0) -> float:
    """Width of the widest line, in steps, with figures as wide as the widest."""
    texts = [tuple(_widest(s) for s in line) for line in lines]
    if not texts:
        return 0.0
    most = max(width(line) for line in texts)
    if len(texts) > 1:
        most = max(most, width(least))
    return float(-(-most // step) * step)


def _widest(span: Span) -> Span:
    from dataclasses import replace

    if span.weight == "num" and re.fullmatch(r"[\d.−]+", span.text):
        return replace(span, text=("−" if "−" in span.text else "") + "0.888")
    return span


def suffix(name: str, circuit: Circuit) -> str:
    """What tells the quantities of several transistors apart: ``1`` for Q1."""
    if len(circuit.transistors) + len(circuit.fets) < 2:
        return ""
    found = re.search(r"\d+\w*$", name)
    return found.group() if found else name


def node_symbol(node: str, circuit: Circuit) -> str:
    """Letter symbol of a node's voltage, or empty when no transistor touches it."""
    for number_ in _SEARCH_ORDER:
        for part in (*circuit.transistors, *circuit.fets):
            if part.nodes[number_] == node:
                letters = FET_LETTERS if part.kind.is_fet else TERMINAL_LETTERS
                return f"V_{letters[number_]}{suffix(part.name, circuit)}"
    return "" if "." in node else f"V_{node}"


def terminal_current(point: TransistorPoint | FetPoint, number_: int) -> float:
    """Current into a terminal. [A]"""
    if isinstance(point, FetPoint):
        return (point.I_D, point.I_G, -point.I_S)[number_]
    return (point.I_C, point.I_B, -point.I_E)[number_]


def terminal_label(node: str) -> Line:
    """Name of a signal terminal: ``IN`` is the input voltage."""
    word = node.lower()
    for stem in ("in", "out"):
        if word in (stem, "v" + stem, "v_" + stem):
            return quantity_symbol(f"v_{stem}")
    return designator(node)


def notes(
    circuit: Circuit,
    net: Netlist,
    point: OperatingPoint | None,
    before: OperatingPoint | None,
    show: frozenset[str],
    *,
    as_written: bool,
    trends: Mapping[str, str] | None = None,
) -> Notes:
    """All texts of a drawing."""
    labels: dict[str, tuple[Line, ...]] = {}
    for element in net.elements:
        if element.kind is None:
            labels[element.name] = (terminal_label(element.nodes[0]),)
            continue
        part = circuit.part(element.name)
        labels[element.name] = tuple(_part_lines(part, point, before, show, as_written=as_written))
    rails = {p.nodes[0]: _rail_line(p, show, as_written) for p in circuit.supplies}
    out = Notes(labels, rails=rails)
    if point is not None and "voltages" in show:
        out.volts.update(_volts(circuit, net, point, before))
    if point is not None and "currents" in show:
        out.amps.update(_amps(circuit, net, point))
    if trends:
        _add_trends(out, circuit, trends)
    return out


def _add_trends(out: Notes, circuit: Circuit, trends: Mapping[str, str]) -> None:
    """An arrow up or down behind every quantity that moves."""
    volts = {node_symbol(node, circuit): node for node in out.volts}
    amps = {f"I_{TERMINAL_LETTERS[k]}{suffix(name, circuit)}": (name, k) for name, k in out.amps}
    for symbol, word in trends.items():
        if word not in TREND_GLYPHS:
            raise UnknownNameError(f"A quantity moves 'up' or 'down', not '{word}'.")
        arrow = Span(TREND_GLYPHS[word], "math", weight="text", gap=4.0)
        if symbol in volts:
            first, *rest = out.volts[volts[symbol]]
            out.volts[volts[symbol]] = ((*first, arrow), *rest)
        elif symbol in amps:
            line, current = out.amps[amps[symbol]]
            out.amps[amps[symbol]] = ((*line, arrow), current)
        else:
            known = sorted(filter(None, (*volts, *amps)))
            raise UnknownNameError(
                f"The drawing shows no quantity '{symbol}'. It shows {', '.join(known) or 'none'}."
            )


def _rail_line(part: Part, show: frozenset[str], as_written: bool) -> Line:
    line = quantity_symbol(part.name if "_" in part.name else _rail_symbol(part.name))
    if "values" in show and part.value is not None:
        value = value_line(part, as_written=as_written)
        first = value[0]
        line += (Span(first.text, weight="num", gap=6.0), *value[1:])
    return line


def _rail_symbol(name: str) -> str:
    return f"V_{name[1:]}" if len(name) > 1 and name[0] == "V" else name


def _part_lines(
    part: Part,
    point: OperatingPoint | None,
    before: OperatingPoint | None,
    show: frozenset[str],
    *,
    as_written: bool,
) -> Iterable[Line]:
    yield designator(part.name)
    if "values" in show:
        value = value_line(part, as_written=as_written)
        if value:
            yield value
        was = _value_before(part, before, as_written)
        if was:
            yield was
    if point is None:
        return
    transistor = point.transistors.get(part.name) or point.fets.get(part.name)
    if "regions" in show and transistor is not None:
        words = REGION_WORDS[transistor.region]
        if part.kind.is_fet and transistor.region is Region.SATURATION:
            words = "saturation"
        yield (Span(words, size=SMALL, tone=REGION_TONE, gap=REGION_GAP),)
    if "powers" in show:
        power = transistor.P if transistor is not None else None
        if power is None and part.name in point.parts and part.kind is not Kind.CAPACITOR:
            power = point.parts[part.name].P
        if power is not None:
            yield number(power, "W", size=SMALL)


def _value_before(part: Part, before: OperatingPoint | None, as_written: bool) -> Line:
    if before is None or all(p.name != part.name for p in before.circuit.parts):
        return ()
    old = before.circuit.part(part.name)
    if (old.value, old.options, old.type_name) == (part.value, part.options, part.type_name):
        return ()
    line = value_line(old, as_written=as_written)
    if not line:
        return ()
    text = "".join(s.text for s in line if s.face != "math")
    return (Span(f"was {text}", size=SMALL, tone="was"),)


def _volts(
    circuit: Circuit, net: Netlist, point: OperatingPoint, before: OperatingPoint | None
) -> dict[str, tuple[Line, ...]]:
    out: dict[str, tuple[Line, ...]] = {}
    for node, pins in net.pins.items():
        direct = [e for e, _ in pins if e.name not in net.signal]
        if node in net.power or len(direct) < 2 or node not in point.nodes:
            continue
        symbol = node_symbol(node, circuit)
        line = quantity_symbol(symbol) if symbol else ()
        line += number(point.nodes[node], "V", gap=5.0 if symbol else 0.0)
        lines = [line]
        if before is not None and node in before.nodes:
            was = number(before.nodes[node], "V", size=SMALL)
            text = "was " + "".join(s.text for s in was)
            lines.append((Span(text, size=SMALL, tone="was"),))
        out[node] = tuple(lines)
    return out


def _amps(
    circuit: Circuit, net: Netlist, point: OperatingPoint
) -> dict[tuple[str, int], tuple[Line, float]]:
    out: dict[tuple[str, int], tuple[Line, float]] = {}
    told: set[str] = set()
    stages: dict[str, TransistorPoint | FetPoint] = {**point.transistors, **point.fets}
    for name, transistor in stages.items():
        letters = FET_LETTERS if name in point.fets else TERMINAL_LETTERS
        part = circuit.part(name)
        for k in (0, 2, 1):
            node = part.nodes[k]
            direct = [e for e, _ in net.pins.get(node, ()) if e.name not in net.signal]
            two = len(direct) == 2 and node not in net.power
            current = terminal_current(transistor, k)
            floor = 1e-10 if name in point.fets else _NOTHING  # leakage of a gate is no news
            if abs(current) < floor or (two and node in told):
                continue
            if two:
                told.add(node)
            symbol = quantity_symbol(f"I_{letters[k]}{suffix(name, circuit)}")
            out[name, k] = ((*symbol, *number(abs(current), "A", gap=5.0)), current)
    return out


def trends_between(before: OperatingPoint, after: OperatingPoint) -> dict[str, str]:
    """Which quantities of a drawing rise and which fall from one point to another.

    Parameters
    ----------
    before, after : OperatingPoint
        Two points of circuits with the same structure.

    Returns
    -------
    dict of str to str
        ``up`` or ``down`` by letter symbol (``V_C``, ``I_C2``). Voltages by their sign, currents by
        their magnitude; what moves by less than 0.5 % is left out.
    """
    circuit = after.circuit
    out: dict[str, str] = {}
    net = netlist(circuit)
    now, was = _amps(circuit, net, after), _amps(circuit, net, before)
    for key in now.keys() & was.keys():
        letters = FET_LETTERS if circuit.part(key[0]).kind.is_fet else TERMINAL_LETTERS
        symbol = f"I_{letters[key[1]]}{suffix(key[0], circuit)}"
        _note_trend(out, symbol, abs(was[key][1]), abs(now[key][1]))
    for node in _volts(circuit, net, after, None):
        symbol = node_symbol(node, circuit)
        if symbol and node in before.nodes:
            _note_trend(out, symbol, before.nodes[node], after.nodes[node])
    return dict(sorted(out.items()))


def _note_trend(out: dict[str, str], symbol: str, was: float, now: float) -> None:
    if abs(now - was) > _STIR * max(abs(now), abs(was)):
        out[symbol] = "up" if now > was else "down"
