"""Seeded random circuits of one to four transistors, for the drawing only."""

from __future__ import annotations

import random

from steadypoint.circuit import GROUND, Circuit, Kind, Part
from steadypoint.values import Quantity


class _Maker:
    def __init__(self, seed: int) -> None:
        self.chance = random.Random(seed)  # noqa: S311  a fixed walk, no secret
        self.parts = [Part("VCC", Kind.SUPPLY, ("VCC", GROUND), Quantity(12.0, "V", 2))]
        self.low = GROUND
        if self.chance.random() < 0.2:
            self.parts.append(Part("VEE", Kind.SUPPLY, ("VEE", GROUND), Quantity(-12.0, "V", 2)))
            self.low = "VEE"
        self.count = 0

    def name(self, letter: str) -> str:
        self.count += 1
        return f"{letter}{self.count}"

    def resistor(self, a: str, b: str) -> None:
        value = self.chance.choice((330.0, 1e3, 4.7e3, 22e3, 150e3))
        self.parts.append(Part(self.name("R"), Kind.RESISTOR, (a, b), Quantity(value, "Ω", 2)))

    def capacitor(self, a: str, b: str) -> None:
        self.parts.append(Part(self.name("C"), Kind.CAPACITOR, (a, b), Quantity(1e-6, "F", 1)))

    def stage(self, k: int, drive: str) -> tuple[str, str]:
        """One stage between the rails; returns its output and its emitter."""
        pnp = self.chance.random() < 0.25
        collector, base, emitter = f"Q{k}.collector", drive or f"Q{k}.base", f"Q{k}.emitter"
        high, low = ("VCC", self.low)
        if self.chance.random() < 0.2:
            collector = low if pnp else high
        else:
            self.resistor(*((collector, low) if pnp else (high, collector)))
        if self.chance.random() < 0.25 and self.low == GROUND:
            emitter = high if pnp else low
        else:
            self.resistor(*((high, emitter) if pnp else (emitter, low)))
            if self.chance.random() < 0.4:
                self.capacitor(emitter, high if pnp else GROUND)
        if not drive:
            self.bias(base, collector)
        kind = Kind.PNP if pnp else Kind.NPN
        self.parts.append(Part(f"Q{k}", kind, (collector, base, emitter)))
        follower = collector in ("VCC", low)
        return (emitter if follower else collector), emitter

    def bias(self, base: str, collector: str) -> None:
        way = self.chance.random()
        if way < 0.55:
            self.resistor("VCC", base)
            self.resistor(base, GROUND)
        elif way < 0.75 and collector not in ("VCC", self.low):
            self.resistor(collector, base)
        else:
            self.resistor("VCC", base)


def random_circuit(seed: int) -> Circuit:
    """A circuit that depends on the seed alone."""
    maker = _Maker(seed)
    stages = maker.chance.randint(1, 4)
    drive, emitters, first = "", [], ""
    for k in range(1, stages + 1):
        output, emitter = maker.stage(k, drive)
        emitters.append(emitter)
        first = first or f"Q{k}.base"
        joined = maker.chance.random() < 0.5 and output not in ("VCC", GROUND, "VEE")
        drive = output if joined else ""
        if not joined and k < stages and output not in ("VCC", GROUND, "VEE"):
            maker.capacitor(output, f"Q{k + 1}.base")
    maker.capacitor("IN", first)
    if output not in ("VCC", GROUND, "VEE"):
        maker.capacitor(output, "OUT")
    feedback = [e for e in emitters[1:] if e not in ("VCC", GROUND, "VEE")]
    if feedback and maker.chance.random() < 0.3:
        maker.resistor(feedback[-1], first)
    used = {n for p in maker.parts for n in p.nodes}
    return Circuit(tuple(maker.parts), title=f"Random circuit {seed}") if used else Circuit(())
