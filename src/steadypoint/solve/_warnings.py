"""What a reader must know beside the numbers: broken expectations, ratings, cautions."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import Final

from steadypoint.circuit import GROUND, Kind, Part
from steadypoint.solve._network import Network
from steadypoint.solve._newton import TOP_CURRENT
from steadypoint.solve._point import FetPoint, Model, OperatingPoint, Region, TransistorPoint
from steadypoint.solve._shared_tail import shared_tails
from steadypoint.solve._structure import floating_groups, structure_of
from steadypoint.values import format_quantity

TOUCH_VOLTAGE: Final = 60.0
"""Direct voltage above which extra-low voltage in dry rooms ends.
IEC 61140 and IEC 60364-4-41 (from memory). [V]"""

TOUCH_TEMPERATURE: Final = 333.15
"""Junction temperature from which a part counts as hot to touch, 60 °C; common practice, near the
burn thresholds of ISO 13732-1 (from memory). [K]"""

LARGE_CURRENT: Final = 10.0
"""Current that no classroom circuit carries on purpose; common practice, no source. [A]"""

GATE_JUNCTION: Final = 0.5
"""Forward voltage at which a gate junction or body diode of silicon begins to conduct; common
practice. [V]"""

_SOURCES: Final = (Kind.SUPPLY, Kind.VOLTAGE_SOURCE, Kind.CURRENT_SOURCE)

_NO_PREDICTION: Final = (
    "The laws of the parts end at 1 kA, and nothing else limits this current: it is no prediction."
)

REVERSED_VOLTAGE: Final = 0.5
"""Reverse voltage above which an electrolytic capacitor is in danger; common practice. [V]"""


def warnings_of(net: Network, point: OperatingPoint) -> tuple[str, ...]:
    """All warnings about a solved circuit.

    Parameters
    ----------
    net : Network
        The network that was solved.
    point : OperatingPoint
        The point.

    Returns
    -------
    tuple of str
        One sentence or two each; safety first.
    """
    return (
        *_touch_voltage(point),
        *_large_currents(point),
        *_capacitors(point),
        *_ratings(point),
        *_hot(point),
        *_regions(point),
        *shared_tails(net, point),
        *_zeners(point),
        *_floating(net),
    )


def _volts(value: float) -> str:
    return format_quantity(value, "V")


def _amperes(value: float) -> str:
    return format_quantity(value, "A")


def _touch_voltage(point: OperatingPoint) -> Iterator[str]:
    rails = {
        n: point.nodes[n]
        for p in point.circuit.parts
        if p.kind in (Kind.SUPPLY, Kind.VOLTAGE_SOURCE)
        for n in p.nodes
    } | {GROUND: 0.0}
    worst = max(combinations(rails, 2), key=lambda ab: abs(rails[ab[0]] - rails[ab[1]]), default=())
    if not worst:
        return
    a, b = worst
    V = abs(rails[a] - rails[b])
    if V > TOUCH_VOLTAGE * (1 + 1e-9):
        yield (
            f"Between {a} and {b} stand {_volts(V)}, above the 60 V at which a direct voltage "
            "counts as dangerous to touch (IEC 61140). Use a current-limited isolated supply and "
            "follow the local rules and the laboratory's own instructions."
        )


def _large_currents(point: OperatingPoint) -> Iterator[str]:
    currents = {n: abs(p.I) for n, p in point.parts.items()}
    currents |= {n: max(abs(t.I_C), abs(t.I_E)) for n, t in point.transistors.items()}
    currents |= {n: max(abs(f.I_D), abs(f.I_S)) for n, f in point.fets.items()}
    large = [n for n in currents if currents[n] > LARGE_CURRENT]
    if not large:
        return
    sources = {p.name for p in point.circuit.parts if p.kind in _SOURCES}
    name = max(large, key=lambda n: (n not in sources, currents[n]))
    beyond = point.model is Model.DEVICE and currents[name] > TOP_CURRENT
    yield (
        f"{name} carries {_amperes(currents[name])}, far beyond what a small circuit stands. "
        "Limit the current by a resistor before anything is switched on."
        + (f" {_NO_PREDICTION}" if beyond else "")
    )


def _capacitors(point: OperatingPoint) -> Iterator[str]:
    for part in point.circuit.parts:
        if part.kind is not Kind.CAPACITOR:
            continue
        V = point.parts[part.name].V
        if "electrolytic" in part.traits and V < -REVERSED_VOLTAGE:
            yield (
                f"{part.name} is an electrolytic capacitor with {_volts(-V)} the wrong way round; "
                "it can burst. Turn it round, with its plus at the more positive node."
            )
        yield from _over(part, "V_max", abs(V), "V", "voltage rating")


def _over(part: Part, option: str, value: float, unit: str, called: str) -> Iterator[str]:
    limit = part.option(option)
    if limit is not None and value > limit * (1 + 1e-9):
        found, most = format_quantity(value, unit), format_quantity(limit, unit)
        yield f"{part.name} has {found} at it, over its {called} of {most}."


def _ratings(point: OperatingPoint) -> Iterator[str]:
    for part in point.circuit.parts:
        if part.kind.is_fet:
            f = point.fets[part.name]
            yield from _over(part, "V_DS_max", abs(f.V_DS), "V", "drain-source rating")
            yield from _over(part, "I_D_max", abs(f.I_D), "A", "drain current rating")
            yield from _over(part, "P_tot", f.P, "W", "power rating")
        elif part.kind.is_transistor:
            t = point.transistors[part.name]
            yield from _over(part, "V_CEO", abs(t.V_CE), "V", "collector-emitter rating")
            yield from _over(part, "I_C_max", abs(t.I_C), "A", "collector current rating")
            yield from _over(part, "P_tot", t.P, "W", "power rating")
        else:
            P = point.parts[part.name].P
            for option in ("P_max", "P_tot"):
                yield from _over(part, option, P, "W", "power rating")


def _hot(point: OperatingPoint) -> Iterator[str]:
    for name, T in point.junction_temperatures.items():
        most = point.circuit.part(name).option("T_J_max")
        shown = format_quantity(T, "°C")
        if most is not None and most < T:
            yield (
                f"The junction of {name} is at {shown}, over the {format_quantity(most, '°C')} "
                "that it is rated for. Give it less power or a heat sink."
            )
        if T > TOUCH_TEMPERATURE:
            yield (
                f"{name} may be hot to touch: its junction is at {shown}. Keep fingers off, let it "
                "cool, and follow the local rules and the laboratory's own instructions."
            )


def _regions(point: OperatingPoint) -> Iterator[str]:
    for t in point.transistors.values():
        if t.region is not Region.ACTIVE:
            yield _region_sentence(t)
    for f in point.fets.values():
        yield from _fet_sentences(f)


def _fet_sentences(f: FetPoint) -> Iterator[str]:
    sign = 1.0 if f.polarity == "n-channel" else -1.0
    V_GS, opens = _volts(f.V_GS), _volts(f.V_GS_th)
    called = "V_GS_off" if sign * f.V_GS_th < 0 else "V_GS_th"
    if f.region is Region.CUTOFF:
        yield f"{f.name} is cut off: V_GS = {V_GS} does not open the channel ({called} {opens})."
    elif f.region is Region.TRIODE:
        edge = _volts(f.V_GS - f.V_GS_th)
        yield (
            f"{f.name} is in the triode region: V_DS = {_volts(f.V_DS)} is less than "
            f"V_GS − {called} = {edge} in magnitude, so I_D depends on V_DS."
        )
    elif f.region is Region.REVERSE:
        yield f"{f.name} works in reverse: drain and source may be exchanged."
    if f.kind.endswith("JFET") and sign * f.V_GS > GATE_JUNCTION:
        yield (
            f"The gate junction of {f.name} is forward biased by {_volts(abs(f.V_GS))}. "
            "Keep the gate reverse biased; the square law leaves its current out."
        )
    if f.kind.endswith("MOSFET") and -sign * f.V_DS > GATE_JUNCTION:
        yield (
            f"The body diode of {f.name} is forward biased: V_DS = {_volts(f.V_DS)}. "
            "Drain and source may be exchanged."
        )


def _region_sentence(t: TransistorPoint) -> str:
    if t.region is Region.SATURATION:
        ratio = t.I_C / t.I_B if t.I_B else 0.0
        return (
            f"{t.name} is saturated: {_pair(t, 'CE')} is down to {_volts(abs(t.V_CE))} and "
            f"I_C is only {format_quantity(ratio, '')} times I_B."
        )
    if t.region is Region.CUTOFF:
        return (
            f"{t.name} is cut off: {_pair(t, 'BE')} = {_volts(_along(t, t.V_BE))} "
            "lets no collector current flow."
        )
    return (
        f"{t.name} works in reverse: its base-collector junction conducts and its base-emitter "
        "junction blocks. Collector and emitter may be exchanged."
    )


def _along(t: TransistorPoint, V: float) -> float:
    """Voltage as lecturers count it, positive for a conducting pnp. [V]"""
    return V if t.polarity == "npn" else -V


def _pair(t: TransistorPoint, terminals: str) -> str:
    return f"V_{terminals if t.polarity == 'npn' else terminals[::-1]}"


def _zeners(point: OperatingPoint) -> Iterator[str]:
    for part in point.circuit.parts:
        if part.kind is not Kind.ZENER or part.value is None:
            continue
        least = part.option("I_Z_min") or 0.0
        solved = point.parts[part.name]
        I_Z = -solved.I
        if 0.5 * part.value.value < -solved.V and max(least, 1e-9) > I_Z:
            enough = f", less than the {_amperes(least)} it needs" if least else ""
            yield (
                f"{part.name} does not hold its zener voltage: it carries "
                f"{_amperes(max(I_Z, 0.0))}{enough}, and {_volts(-solved.V)} stand across it."
            )


def _floating(net: Network) -> Iterator[str]:
    signal = {n for c in net.capacitors for n in (c.start, c.end)}
    touched = {n for r in (*net.resistors, *net.currents, *net.voltages) for n in (r.start, r.end)}
    for group in floating_groups(structure_of(net)):
        if group <= signal - touched:
            continue  # the free end of a coupling capacitor is a terminal for signals
        names = [net.names[i] for i in sorted(group)]
        some = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
        verb = "has" if len(names) == 1 else "have"
        yield (
            f"{some} {verb} no path for direct current to ground; "
            "the voltage there is taken as 0 V."
        )
