"""Work thousands of random circuits; count wrong lines, fallbacks and crashes, take the time.

Run ``python benchmarks/random_workings.py``; ``--count``, ``--start``, ``--rung``, ``--json`` as
wished. Every circuit has one to three bipolar or field-effect transistors, resistors, now and then
a diode, a zener or a current source, in any connection that has an operating point.
"""

from __future__ import annotations

import argparse
import json
import random
import statistics
import sys
import time
from collections import Counter
from dataclasses import dataclass, field

from steadypoint.circuit import GROUND, Circuit, Kind, Part, check
from steadypoint.derive import derive
from steadypoint.errors import SteadypointError
from steadypoint.solve import OperatingPoint, operating_point
from steadypoint.values import Quantity

E12 = (1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2)


@dataclass
class Tally:
    """What a campaign found."""

    tried: int = 0
    worked: int = 0
    wrong: list[str] = field(default_factory=list)
    fallbacks: list[str] = field(default_factory=list)
    crashes: list[str] = field(default_factory=list)
    regions: Counter[str] = field(default_factory=Counter)
    milliseconds: list[float] = field(default_factory=list)


def _resistor(chance: random.Random, number: int, ends: tuple[str, str]) -> Part:
    at_base = any(n.startswith("B") for n in ends)
    low, high = (3, 5) if at_base else (2, 3)
    ohms = round(chance.choice(E12) * 10.0 ** chance.randint(low, high), 3)
    return Part(f"R{number}", Kind.RESISTOR, ends, Quantity(ohms, "Ω"))


def _transistors(chance: random.Random, count: int, rails: list[str]) -> list[Part]:
    """Transistors whose terminals stand on rails, on nodes of their own, or on one another's."""
    parts: list[Part] = []
    for number in range(1, count + 1):
        kind = Kind.NPN if chance.random() < 0.65 else Kind.PNP
        earlier = [n for p in parts for n in p.nodes if n not in rails]
        nodes: list[str] = []
        for letter in "CBE":
            node = f"{letter}{number}"
            if earlier and chance.random() < 0.3:
                node = chance.choice(earlier)
            elif letter != "B" and chance.random() < 0.25:
                node = chance.choice(rails)
            if node in nodes:
                node = f"{letter}{number}"
            nodes.append(node)
        beta = Quantity(float(chance.choice((30, 60, 100, 150, 250))))
        parts.append(Part(f"Q{number}", kind, tuple(nodes), options=(("beta", beta),)))
    return parts


def _resistors(
    chance: random.Random, transistors: list[Part], free: list[str], rails: list[str]
) -> list[Part]:
    """One or two resistors at each node, more often than not in the direction that biases."""
    upper, lower = rails[0], rails[-1]
    sensible: dict[str, str] = {}
    for part in transistors:
        ways = (upper, upper, lower) if part.kind is Kind.NPN else (lower, lower, upper)
        for node, rail in zip(part.nodes, ways, strict=True):
            sensible.setdefault(node, rail)
    orderly = chance.random() < 0.7
    out: list[Part] = []
    for node in free:
        for place in range(chance.choice((1, 1, 2))):
            other = chance.choice([*rails, *rails, *(n for n in free if n != node)])
            if orderly and place == 0 and node in sensible:
                other = sensible[node]
            out.append(_resistor(chance, len(out) + 1, (node, other)))
    return out


def random_circuit(seed: int) -> Circuit:
    """A circuit of one to three transistors; equal seeds give equal circuits.

    Parameters
    ----------
    seed : int
        Any.

    Returns
    -------
    Circuit
        Not every one has an operating point.
    """
    chance = random.Random(seed)  # noqa: S311  trial values
    rails = ["VCC", GROUND]
    volts = float(chance.choice((5, 9, 12, 15, 24)))
    parts = [Part("VCC", Kind.SUPPLY, ("VCC", GROUND), Quantity(volts, "V"))]
    if chance.random() < 0.3:
        minus = Quantity(-float(chance.choice((5, 9, 12))), "V")
        parts.append(Part("VEE", Kind.SUPPLY, ("VEE", GROUND), minus))
        rails.append("VEE")
    transistors = _transistors(chance, chance.randint(1, 3), rails)
    parts += transistors
    free = list(dict.fromkeys(n for p in transistors for n in p.nodes if n not in rails))
    free += ["X"] if chance.random() < 0.2 else []
    parts += _resistors(chance, transistors, free, rails)
    if chance.random() < 0.25:
        ends = tuple(chance.sample([*free, *rails], 2))
        zener = chance.random() < 0.4
        value = Quantity(chance.choice((3.3, 5.1, 6.2)), "V") if zener else None
        parts.append(Part("D1", Kind.ZENER if zener else Kind.DIODE, ends, value))
    if free and chance.random() < 0.08:
        amps = Quantity(chance.choice((1e-4, 1e-3)), "A")
        ends = (chance.choice(free), chance.choice(rails))
        parts.append(Part("I1", Kind.CURRENT_SOURCE, ends, amps))
    return Circuit(tuple(_some_fets(seed, parts)))


def _some_fets(seed: int, parts: list[Part]) -> list[Part]:
    """In three circuits of ten some transistors are field-effect ones."""
    chance = random.Random(f"fets {seed}")  # noqa: S311  trial values
    if chance.random() >= 0.3:
        return parts
    out = []
    for part in parts:
        if part.kind.is_transistor and chance.random() < 0.7:
            sign = 1.0 if part.kind is Kind.NPN else -1.0
            volts = float(chance.choice((1, 2, 3)))
            if chance.random() < 0.5:
                kind = Kind.N_JFET if sign > 0 else Kind.P_JFET
                most = Quantity(float(chance.choice((4, 8, 12))) * 1e-3, "A")
                options = (("I_DSS", most), ("V_GS_off", Quantity(-sign * volts, "V")))
            else:
                kind = Kind.N_MOSFET if sign > 0 else Kind.P_MOSFET
                K = Quantity(float(chance.choice((0.2, 0.5, 2.0))) * 1e-3, "A/V²")
                options = (("V_GS_th", Quantity(sign * volts, "V")), ("K", K))
            out.append(Part(part.name, kind, part.nodes, options=options))
        else:
            out.append(part)
    return out


def differences(point: OperatingPoint, values: dict[str, float]) -> list[str]:
    """Symbols of a working that differ from the solved point."""
    single = len(point.transistors) == 1
    amps = max([1e-9, *(abs(p.I) for p in point.parts.values())])
    volts = max([1e-3, *(abs(v) for v in point.nodes.values())])
    out = []
    for name, q in point.transistors.items():
        tail = "" if single else name.removeprefix("Q")
        sign, span = (1.0, "V_CE") if q.polarity == "npn" else (-1.0, "V_EC")
        if f"{span}{tail}" not in values:  # in reverse collector and emitter are exchanged
            sign, span = -sign, span[:2] + span[:1:-1]
        for symbol, true, scale in (
            (f"I_C{tail}", abs(q.I_C), amps),
            (f"{span}{tail}", sign * q.V_CE, volts),
        ):
            if q.region.value == "cutoff" and symbol.startswith("V") and symbol not in values:
                continue  # a terminal hangs free
            found = values[symbol]
            found = abs(found) if symbol.startswith("I") else found
            if abs(found - true) > 1e-6 * scale:
                out.append(f"{symbol}: {found!r} for {true!r}")
    alone = len(point.fets) == 1
    for name, f in point.fets.items():
        tail = "" if alone else name.removeprefix("Q")
        sign, span = (1.0, "V_DS") if f.polarity == "n-channel" else (-1.0, "V_SD")
        for symbol, true, scale in (
            (f"I_D{tail}", sign * f.I_D, amps),
            (f"{span}{tail}", sign * f.V_DS, volts),
        ):
            if abs(values[symbol] - true) > 1e-6 * scale:
                out.append(f"{symbol}: {values[symbol]!r} for {true!r}")
    return out


def campaign(count: int, start: int, rung: str) -> Tally:
    """Work ``count`` solvable circuits, seeds from ``start`` on."""
    tally = Tally()
    seed = start
    while tally.worked < count:
        circuit = random_circuit(seed)
        label, seed = str(seed), seed + 1
        tally.tried += 1
        try:
            check(circuit)
            point = operating_point(circuit, rung)
        except SteadypointError:
            continue
        tally.worked += 1
        devices = (*point.transistors.values(), *point.fets.values())
        tally.regions.update(str(q.region.value) for q in devices)
        begin = time.process_time()
        try:
            working = derive(circuit, rung)
        except Exception as failure:  # every kind of crash is counted
            tally.crashes.append(f"{label}: {type(failure).__name__}: {failure}")
            continue
        tally.milliseconds.append(1e3 * (time.process_time() - begin))
        if working.fallback:
            tally.fallbacks.append(f"{label}: {working.fallback[0]}")
        try:
            tally.wrong += [f"{label}: {d}" for d in differences(point, dict(working.values))]
        except KeyError as missing:
            tally.wrong.append(f"{label}: {missing} is missing")
    return tally


def main() -> None:
    """Run the campaign and print its figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=5000)
    parser.add_argument("--start", type=int, default=1)
    parser.add_argument("--rung", choices=("exact", "board"), default="exact")
    parser.add_argument("--list", action="store_true", help="name every case that is not clean")
    parser.add_argument("--json", action="store_true", help="print plain data")
    asked = parser.parse_args()
    tally = campaign(asked.count, asked.start, asked.rung)
    figures = {
        "circuits": tally.worked,
        "without operating point": tally.tried - tally.worked,
        "wrong": len(tally.wrong),
        "fallback": len(tally.fallbacks),
        "crashes": len(tally.crashes),
        "regions": dict(tally.regions),
        "median processor ms": round(statistics.median(tally.milliseconds), 2),
        "99 % processor ms": round(statistics.quantiles(tally.milliseconds, n=100)[-1], 2),
        "worst processor ms": round(max(tally.milliseconds), 2),
    }
    if asked.json:
        sys.stdout.write(json.dumps(figures, indent=2) + "\n")
    else:
        sys.stdout.write("".join(f"{k:24} {v}\n" for k, v in figures.items()))
    if asked.list:
        for case in (*tally.wrong, *tally.crashes, *tally.fallbacks):
            sys.stdout.write(case + "\n")


if __name__ == "__main__":
    main()
