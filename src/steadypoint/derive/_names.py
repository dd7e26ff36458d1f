"""Names and stated values: which letter symbol stands for what in a circuit."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from steadypoint.circuit import Circuit, Kind, Part
from steadypoint.devices import bipolar_data, diode_data
from steadypoint.values import Quantity

ACTIVE, SATURATION, CUTOFF, REVERSE = "active", "saturation", "cutoff", "reverse"
FORWARD, BREAKDOWN, OFF = "forward", "breakdown", "off"


@dataclass(frozen=True)
class Names:
    """Letter symbols of one circuit; with one transistor the currents carry no number.

    ``swapped`` names transistors that work in reverse: in ``circuit`` their collector and emitter
    have changed places, and the letters change back here.
    """

    circuit: Circuit
    index: Mapping[str, str]
    swapped: frozenset[str] = frozenset()
    channels: bool = False
    """True where sources of drain currents stand for channels."""

    @staticmethod
    def of(
        circuit: Circuit, swapped: frozenset[str] = frozenset(), *, channels: bool = False
    ) -> Names:
        """Names for a circuit."""
        channels = channels or bool(circuit.fets)
        transistors = circuit.transistors
        if len(transistors) == 1:
            return Names(circuit, {transistors[0].name: ""}, swapped, channels)
        index: dict[str, str] = {}
        for place, part in enumerate(transistors, 1):
            digits = re.sub(r"\D", "", part.name)
            index[part.name] = digits if digits and digits not in index.values() else f"{place}"
        return Names(circuit, index, swapped, channels)

    @property
    def single(self) -> bool:
        """True when there is one transistor only."""
        return len(self.index) == 1

    def current(self, letter: str, transistor: Part) -> str:
        """``I_B``, ``I_C`` or ``I_E``; counted the way it flows in an active transistor."""
        return f"I_{self._letter(letter, transistor)}{self.index[transistor.name]}"

    def _letter(self, letter: str, transistor: Part) -> str:
        if transistor.name in self.swapped:
            return {"C": "E", "E": "C"}.get(letter, letter)
        return letter

    def word(self, terminal: str, transistor: Part) -> str:
        """What a terminal is called, also where collector and emitter have changed places."""
        if transistor.name in self.swapped:
            return {"collector": "emitter", "emitter": "collector"}.get(terminal, terminal)
        return terminal

    def beta(self, transistor: Part) -> str:
        """Current gain."""
        number = self.index[transistor.name]
        reverse = "_R" if transistor.name in self.swapped else ""
        return f"beta{reverse}_{number}" if number else f"beta{reverse}"

    def junction(self, transistor: Part) -> str:
        """``V_BE`` of an npn, ``V_EB`` of a pnp."""
        pair = self._letter("E", transistor)
        pair = f"B{pair}" if transistor.kind is Kind.NPN else f"{pair}B"
        return f"V_{pair}{self.index[transistor.name]}"

    def span(self, transistor: Part) -> str:
        """``V_CE`` of an npn, ``V_EC`` of a pnp."""
        npn = transistor.kind is Kind.NPN
        pair = "CE" if npn != (transistor.name in self.swapped) else "EC"
        return f"V_{pair}{self.index[transistor.name]}"

    def saturated(self, transistor: Part) -> str:
        """The constant collector-emitter drop in saturation."""
        return self.span(transistor) + "_sat"

    def node(self, letter: str, transistor: Part) -> str:
        """Voltage of a terminal against ground."""
        return f"V_{self._letter(letter, transistor)}{self.index[transistor.name]}"

    def branch_current(self, part: str) -> str:
        """Current of a resistor or source: ``I_R1``; of a diode beside channels ``I_F1``."""
        if self.channels and re.fullmatch(r"D\d*", part):
            return f"I_F{part[1:]}"  # I_D1 is a drain current there
        return f"I_{part}"

    def drop(self, part: Part, state: str) -> str:
        """Constant drop of a conducting diode, forward or in breakdown."""
        if part.kind is Kind.ZENER and state != BREAKDOWN:
            return f"V_F_{part.name}"
        if part.kind is Kind.ZENER:
            zeners = [p for p in self.circuit.parts if p.kind is Kind.ZENER]
            return "V_Z" if len(zeners) == 1 else f"V_Z_{part.name}"
        beside = self.channels and part.name.startswith("D")  # V_D1 is a drain's there
        return f"V_F{part.name[1:]}" if beside else f"V_{part.name}"


def is_signal_source(part: Part) -> bool:
    """True for a source without direct voltage: a short circuit in the direct-current picture."""
    return part.kind is Kind.VOLTAGE_SOURCE and (part.value is None or part.value.value == 0.0)


def givens(circuit: Circuit, names: Names) -> dict[str, float]:
    """Values of all stated symbols, defaults filled in, SI units.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    names : Names
        Its letter symbols.

    Returns
    -------
    dict of str to float
        Parts by name, ``beta``, ``V_BE`` (magnitude, ``V_EB`` for pnp), ``V_CE_sat``, diode drops.
    """
    out: dict[str, float] = {}
    for part in circuit.parts:
        if part.kind.is_bipolar:
            data = bipolar_data(part.option)
            out[names.beta(part)] = data.beta
            out[names.junction(part)] = data.V_BE
            out[names.saturated(part)] = data.V_CE_sat
        elif part.kind in (Kind.DIODE, Kind.ZENER):
            out[names.drop(part, FORWARD)] = diode_data(part.option).V_F
            if part.kind is Kind.ZENER and part.value is not None:
                out[names.drop(part, BREAKDOWN)] = part.value.value
        elif part.value is not None:
            out[part.name] = part.value.value
    return out


def in_reverse(circuit: Circuit, names: Iterable[str]) -> Circuit:
    """Circuit in which some transistors have collector and emitter swapped, with reverse data.

    A transistor in reverse is an active one whose emitter collects: base and collector drop
    V_BE - V_CE,sat, and the gain is beta_R.
    """
    for name in names:
        part = circuit.part(name)
        data = bipolar_data(part.option)
        collector, base, emitter = part.nodes
        part = replace(part, nodes=(emitter, base, collector))
        part = part.with_option("beta", Quantity(data.beta_R))
        part = part.with_option("V_BE", Quantity(data.V_BE - data.V_CE_sat, "V"))
        circuit = circuit.with_part(part.with_option("V_CE_sat", Quantity(0.0, "V")))
    return circuit
