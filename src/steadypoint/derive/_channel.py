"""Letters, data and law of one field-effect transistor among several."""

from __future__ import annotations

import re
from collections.abc import Mapping

from steadypoint.circuit import Circuit, Kind, Part
from steadypoint.derive._expr import (
    ONE,
    ZERO,
    Expr,
    Number,
    Power,
    Relation,
    Symbol,
    add,
    divide,
    multiply,
)
from steadypoint.derive._fet_exchanged import EXCHANGED, exchange
from steadypoint.devices import fet_data
from steadypoint.solve import FetPoint, OperatingPoint, Region


class Channel:
    """Letters, data and law of one field-effect transistor of a circuit."""

    def __init__(
        self, circuit: Circuit, part: Part, solved: FetPoint, *, by_roles: bool = False
    ) -> None:
        self.index = _index(circuit, part)
        turn = 1.0 if part.kind in (Kind.N_JFET, Kind.N_MOSFET) else -1.0
        self.exchanged = by_roles and turn * solved.V_DS < -1e-9
        if self.exchanged:
            part, solved = exchange(part, solved)
        self.part, self.solved = part, solved
        self.n_channel = part.kind in (Kind.N_JFET, Kind.N_MOSFET)
        self.junction = part.kind in (Kind.N_JFET, Kind.P_JFET)
        self.sign = 1.0 if self.n_channel else -1.0
        depletion = solved.V_GS_th * self.sign < 0
        data = fet_data(part.option, self.sign, junction=self.junction, depletion=depletion)
        self.threshold, self.K = data.V_GS_th, data.K

    @property
    def I_D(self) -> str:
        """Drain current, counted the way it flows in a conducting channel."""
        return f"I_{'S' if self.exchanged else 'D'}{self.index}"

    @property
    def current(self) -> str:
        """The same; the source current where drain and source have changed roles."""
        return self.I_D

    @property
    def over(self) -> str:
        """Overdrive of the gate."""
        return f"V_ov{self.index}"

    def pair(self, letters: str) -> str:
        """``V_GS`` of an n-channel, ``V_SG`` of a p-channel type, by the roles of the terminals."""
        return self.terminals(letters.translate(EXCHANGED) if self.exchanged else letters)

    def terminals(self, letters: str) -> str:
        """``V_GS`` of an n-channel, ``V_SG`` of a p-channel type, by the terminals' names."""
        return f"V_{letters if self.n_channel else letters[::-1]}{self.index}"

    def node(self, letter: str) -> str:
        """Voltage of a terminal against ground."""
        return f"V_{letter}{self.index}"

    @property
    def opens(self) -> str:
        """The gate voltage at which the channel opens."""
        return self.terminals("GS") + ("_off" if self.threshold < 0 else "_th")

    @property
    def factor(self) -> str:
        """``I_DSS`` of a JFET, ``K`` of a MOSFET."""
        return f"I_DSS{self.index}" if self.junction else f"K{self.index}"

    def stated(self) -> dict[str, float]:
        """Data by symbol."""
        value = self.K * self.threshold**2 if self.junction else self.K
        return {self.factor: value, self.opens: self.threshold}

    def values(self, point: OperatingPoint) -> dict[str, float]:
        """What a solved point says of this transistor."""
        q, s = point.fets[self.part.name], self.sign
        return {
            self.I_D: s * q.I_D,
            self.pair("GS"): s * q.V_GS,
            self.pair("DS"): s * q.V_DS,
            self.node("D"): q.V_D,
            self.node("G"): q.V_G,
            self.node("S"): q.V_S,
        }

    def overdrive(self, gate: Expr) -> Expr:
        """Gate voltage above the threshold."""
        return add((1, gate), (-1, Symbol(self.opens)))

    def full(self, gate: Expr) -> Expr:
        """Current of the channel in saturation at a gate voltage."""
        if self.junction:
            share = add((1, ONE), (-1, divide(gate, Symbol(self.opens))))
            return multiply(Symbol(self.factor), Power(share, 2))
        return multiply(Symbol(self.factor), Power(self.overdrive(gate), 2))

    def law(self) -> Expr:
        """Drain current in the region of the solved point."""
        gate, span = Symbol(self.pair("GS")), Symbol(self.pair("DS"))
        if self.solved.region is Region.CUTOFF:
            return ZERO
        if self.solved.region is Region.SATURATION:
            return self.full(gate)
        if self.solved.region is Region.REVERSE:
            other = self.full(add((1, gate), (-1, span)))
            return add((-1, other))
        twice = multiply(Number(2.0), self.overdrive(gate), span)
        inside = add((1, twice), (-1, Power(span, 2)))
        if self.junction:
            return multiply(divide(Symbol(self.factor), Power(Symbol(self.opens), 2)), inside)
        return multiply(Symbol(self.factor), inside)

    def words(self) -> tuple[str | Expr, ...]:
        """What is assumed of it."""
        unit = "A" if self.junction else "A/V²"
        data = self.stated()
        where = {
            Region.SATURATION: "in saturation",
            Region.TRIODE: "in the triode region",
            Region.CUTOFF: "cut off",
            Region.REVERSE: "in saturation with drain and source exchanged",
        }[self.solved.region]
        return (
            f"{self.part.name} is taken {where}, with ",
            Relation((Symbol(self.factor), Number(data[self.factor], unit))),
            " and ",
            Relation((Symbol(self.opens), Number(self.threshold, "V", given=True))),
            ".",
        )

    def checked(self, values: Mapping[str, float]) -> tuple[str | Expr, ...]:
        """The figures against the assumption."""
        gate, span = self.pair("GS"), self.pair("DS")
        over = values[gate] - self.threshold
        start: tuple[str | Expr, ...] = (
            f"{self.part.name}: ",
            Relation((self.overdrive(Symbol(gate)), Number(over, "V"))),
        )
        if self.solved.region is Region.CUTOFF:
            return (*start, ": the channel stays closed.")
        volts: Expr = Relation((Symbol(span), Number(values[span], "V")))
        if self.solved.region is Region.SATURATION:
            return (*start, " > 0 and ", volts, ", no less: in saturation.")
        if self.solved.region is Region.TRIODE:
            return (*start, " > 0 and ", volts, ", which is less: in the triode region.")
        return (*start, " and ", volts, ": only the end at the drain is open.")


def _index(circuit: Circuit, part: Part) -> str:
    if len(circuit.fets) == 1:
        return ""
    digits = [re.sub(r"\D", "", p.name) for p in circuit.fets]
    if all(digits) and len(set(digits)) == len(digits):
        return re.sub(r"\D", "", part.name)
    return str(circuit.fets.index(part) + 1)


__all__ = ["Channel"]
