"""Seeded random circuits of one to eight transistors, for the drawing only."""

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
        self.left = 0

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


def random_circuit(seed: int, least: int = 1, most: int = 4) -> Circuit:
    """A row of stages that depends on the seed and the bounds of their number alone."""
    maker = _Maker(seed)
    stages = maker.chance.randint(least, most)
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


class _Blocks(_Maker):
    """Circuits of the trade's blocks: pairs, mirrors, cascodes, Darlingtons, single stages."""

    def transistor(self, kind: Kind, collector: str, base: str, emitter: str) -> None:
        self.parts.append(Part(self.name("Q"), kind, (collector, base, emitter)))

    def load(self, node: str, *, falling: bool) -> None:
        self.resistor(*(("VCC", node) if falling else (node, self.low)))

    def tail(self, node: str, *, falling: bool) -> None:
        """What feeds a common emitter: a resistor, or a transistor held by a divider."""
        if self.left < 1 or self.chance.random() < 0.6:
            self.resistor(*((node, self.low) if falling else ("VCC", node)))
            return
        self.left -= 1
        base, emitter = f"tail{self.count}", f"foot{self.count}"
        kind = Kind.NPN if falling else Kind.PNP
        self.transistor(kind, node, base, emitter)
        self.resistor(*((emitter, self.low) if falling else ("VCC", emitter)))
        self.resistor("VCC", base)
        if self.chance.random() < 0.4:
            self.parts.append(Part(self.name("D"), Kind.DIODE, (base, self.low)))
        else:
            self.resistor(base, self.low)

    def pair(self, drive: str) -> str:
        """A differential pair with resistors or a mirror as its load; returns the output."""
        falling = self.chance.random() < 0.75
        kind = Kind.NPN if falling else Kind.PNP
        tag = self.count
        left, right = f"near{tag}", f"far{tag}"
        other, emitter = f"other{tag}", f"common{tag}"
        self.left -= 2
        self.transistor(kind, left, drive, emitter)
        self.transistor(kind, right, other, emitter)
        self.tail(emitter, falling=falling)
        if self.left >= 2 and self.chance.random() < 0.5:
            self.left -= 2
            mirror, rail = (Kind.PNP, "VCC") if falling else (Kind.NPN, self.low)
            self.transistor(mirror, left, left, rail)
            self.transistor(mirror, right, left, rail)
        else:
            self.load(left, falling=falling)
            self.load(right, falling=falling)
        if self.chance.random() < 0.5:
            self.resistor("VCC", other)
        self.resistor(other, GROUND)
        return right

    def cascode(self, drive: str) -> str:
        """A transistor above another, the upper base held by a divider."""
        self.left -= 2
        tag = self.count
        middle, held, out, emitter = f"mid{tag}", f"held{tag}", f"top{tag}", f"foot{tag}"
        self.transistor(Kind.NPN, out, held, middle)
        self.transistor(Kind.NPN, middle, drive, emitter)
        self.load(out, falling=True)
        self.resistor(emitter, self.low)
        self.resistor("VCC", held)
        self.resistor(held, self.low)
        if self.chance.random() < 0.5:
            self.capacitor(held, GROUND)
        return out

    def darlington(self, drive: str) -> str:
        """Two followers in a row; returns the emitter."""
        self.left -= 2
        tag = self.count
        middle, emitter = f"mid{tag}", f"foot{tag}"
        self.transistor(Kind.NPN, "VCC", drive, middle)
        self.transistor(Kind.NPN, "VCC", middle, emitter)
        self.resistor(emitter, self.low)
        if self.chance.random() < 0.5:
            self.resistor(middle, emitter)
        return emitter

    def single(self, drive: str) -> str:
        """A common-emitter stage or a junction field-effect one."""
        self.left -= 1
        tag = self.count
        out, foot = f"top{tag}", f"foot{tag}"
        kind = self.chance.choice((Kind.NPN, Kind.NPN, Kind.PNP, Kind.N_JFET))
        falling = kind is not Kind.PNP
        self.transistor(kind, out, drive, foot)
        self.load(out, falling=falling)
        self.resistor(*((foot, self.low) if falling else ("VCC", foot)))
        if self.chance.random() < 0.4:
            self.capacitor(foot, GROUND if falling else "VCC")
        return out

    def build(self, transistors: int) -> None:
        """Blocks until the transistors are used, coupled directly or by capacitors."""
        self.left = transistors
        drive = "first"
        self.resistor("VCC", drive)
        self.resistor(drive, GROUND)
        self.capacitor("IN", drive)
        while self.left > 0:
            ways = [self.single]
            if self.left >= 2:
                ways += [self.pair, self.cascode, self.darlington]
            out = self.chance.choice(ways)(drive)
            if self.left > 0 and self.chance.random() < 0.5:
                drive = f"next{self.count}"
                self.capacitor(out, drive)
                self.resistor("VCC", drive)
                self.resistor(drive, GROUND)
            else:
                drive = out
        self.capacitor(out, "OUT")
        if self.chance.random() < 0.25:
            self.resistor(out, "first")


def block_circuit(seed: int, least: int = 1, most: int = 4) -> Circuit:
    """A circuit of blocks that depends on the seed and the bounds of its transistors alone."""
    maker = _Blocks(seed)
    maker.build(maker.chance.randint(least, most))
    return Circuit(tuple(maker.parts), title=f"Circuit of blocks {seed}")
