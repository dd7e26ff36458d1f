"""Random circuits of one transistor with resistors, diodes, zeners and sources, seeded."""

from __future__ import annotations

import random

from steadypoint.circuit import GROUND, Circuit, Kind, Part
from steadypoint.values import Quantity

E12 = (1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2)


def _ohms(chance: random.Random, low: int, high: int) -> Quantity:
    return Quantity(chance.choice(E12) * 10.0 ** chance.randint(low, high), "Ω")


def _resistor(number: int, chance: random.Random, ends: tuple[str, str]) -> Part:
    low, high = (2, 3) if "B" not in ends else (3, 5)
    return Part(f"R{number}", Kind.RESISTOR, ends, _ohms(chance, low, high))


def random_circuit(seed: int) -> Circuit:
    """A circuit of one transistor in any connection.

    Parameters
    ----------
    seed : int
        Equal seeds give equal circuits.
    """
    chance = random.Random(seed)  # noqa: S311  trial values
    kind = chance.choice((Kind.NPN, Kind.PNP))
    rails = ["VCC", GROUND]
    parts = [
        Part("VCC", Kind.SUPPLY, ("VCC", GROUND), Quantity(chance.choice((5, 9, 12, 15)), "V"))
    ]
    if chance.random() < 0.35:
        volts = Quantity(-float(chance.choice((5, 9, 12))), "V")
        parts.append(Part("VEE", Kind.SUPPLY, ("VEE", GROUND), volts))
        rails.append("VEE")
    options = (("beta", Quantity(float(chance.choice((30, 60, 100, 150, 250))))),)
    inner = ["C", "B", "E"] + (["X"] if chance.random() < 0.3 else [])
    name = {n: n for n in inner}
    for terminal in ("B", "E", "C"):
        if terminal != "B" and chance.random() < 0.25:
            name[terminal] = chance.choice(rails)
    nodes = tuple(name[t] for t in "CBE")
    parts.append(Part("Q1", kind, nodes, options=options))
    free = [n for n in inner if name[n] == n]
    count = 0
    for node in free:
        for _ in range(chance.randint(1, 2)):
            other = chance.choice([*rails, *rails, *(n for n in free if n != node)])
            count += 1
            parts.append(_resistor(count, chance, (node, other)))
    if chance.random() < 0.2:
        node, other = chance.sample([*free, *rails], 2)
        extra = chance.choice((Kind.DIODE, Kind.ZENER))
        value = Quantity(chance.choice((3.3, 5.1, 6.2)), "V") if extra is Kind.ZENER else None
        parts.append(Part("D1", extra, (node, other), value))
    if chance.random() < 0.1:
        node = chance.choice(free)
        parts.append(
            Part(
                "I1",
                Kind.CURRENT_SOURCE,
                (node, chance.choice(rails)),
                Quantity(chance.choice((1e-4, 1e-3)), "A"),
            )
        )
    return Circuit(tuple(parts))
