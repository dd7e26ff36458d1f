"""Input resistance as a condition: a determinant ratio of the circuit as a signal sees it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from steadypoint.choose._hand_model import HandModel, hand_model
from steadypoint.circuit import GROUND, Circuit, Kind, Part
from steadypoint.values import Quantity

PROBE: Final = "probe"
_INPUT: Final = "IN"
_SHORT: Final = (Kind.CAPACITOR, Kind.SUPPLY, Kind.VOLTAGE_SOURCE, Kind.DIODE, Kind.ZENER)
_OPEN: Final = (Kind.CURRENT_SOURCE, Kind.INDUCTOR)


@dataclass(frozen=True, slots=True)
class SignalRatio:
    """That a resistance seen by the signal is at least so much.

    Parameters
    ----------
    model : HandModel
        The circuit as the signal sees it, driven by a current at its input.
    node : str
        Its input.
    least : float
        The least resistance. [Ω]
    r_e : tuple of (str, float)
        Resistances inside the emitters, by the name of their resistor in the model. [Ω]
    """

    model: HandModel
    node: str
    least: float
    r_e: tuple[tuple[str, float], ...]

    def polynomial(
        self, factors: Sequence[str], N: Sequence[int], D: Sequence[int]
    ) -> list[Fraction]:
        """N - least·D over other factors; not below zero where the condition holds.

        Parameters
        ----------
        factors : sequence of str
            Resistors, then transistors: bit i of an index is the i-th.
        N, D : sequence of int
            Coefficients of V/I at the input, in the model's own factors.

        Returns
        -------
        list of Fraction
            Coefficients, exact.
        """
        own = [*self.model.resistors, *self.model.transistors]
        inside = {name: Fraction(repr(ohms)) for name, ohms in self.r_e}
        least = Fraction(repr(float(self.least)))
        out = [Fraction(0)] * (1 << len(factors))
        for index, (n, d) in enumerate(zip(N, D, strict=True)):
            term, place = Fraction(n) - least * d, 0
            for bit, name in enumerate(own):
                if index >> bit & 1:
                    if name in inside:
                        term *= inside[name]
                    else:
                        place |= 1 << factors.index(name)
            out[place] += term
        return out

    def coefficients(self, factors: Sequence[str]) -> list[Fraction]:
        """The same with the model's own determinants."""
        row = self.model.sources.index(PROBE)
        N = self.model.numerators({f"V({self.node})": 1.0})[row]
        return self.polynomial(factors, [round(v) for v in N], [round(v) for v in self.model.D])


def signal_ratio(circuit: Circuit, transistor: str, least: float, r_e: float) -> SignalRatio | None:
    """The input resistance of a stage: at IN where there is one, else at the base.

    Parameters
    ----------
    circuit : Circuit
        The circuit; capacitors, rails and conducting diodes count as short circuits.
    transistor : str
        Whose base and whose emitter resistance.
    least : float
        The least resistance. [Ω]
    r_e : float
        V_T/I_C of that transistor; that of others is left out, which makes less of the
        resistance, not more. [Ω]

    Returns
    -------
    SignalRatio or None
        None where a short circuit lies across the input.

    Raises
    ------
    CircuitError
        If feedback makes the resistance undetermined.
    """
    joined = _joined(circuit)
    base = circuit.part(transistor).nodes[1]
    node = joined(_INPUT if _INPUT in circuit.nodes else base)
    if node == GROUND:
        return None
    parts: list[Part] = []
    inside = []
    for part in circuit.parts:
        if part.kind in _SHORT or part.kind in _OPEN:
            continue
        nodes = tuple(joined(n) for n in part.nodes)
        if part.kind.is_bipolar:
            name, middle = f"r_e({part.name})", f"{part.name}.r_e"
            parts.append(Part(name, Kind.RESISTOR, (middle, nodes[2]), Quantity(1.0, "Ω")))
            inside.append((name, r_e if part.name == transistor else 0.0))
            parts.append(replace(part, nodes=(nodes[0], nodes[1], middle)))
        elif nodes[0] != nodes[1]:
            parts.append(replace(part, nodes=nodes))
    parts.append(Part(PROBE, Kind.CURRENT_SOURCE, (GROUND, node), Quantity(1.0, "A")))
    model = hand_model(replace(circuit, parts=tuple(parts), hints=()))
    return SignalRatio(model, node, least, tuple(inside))


class _joined:  # noqa: N801  reads as a verb
    """Nodes that are one to the signal."""

    def __init__(self, circuit: Circuit) -> None:
        self.to: dict[str, str] = {}
        for part in circuit.parts:
            if part.kind in _SHORT:
                a, b = (self(n) for n in part.nodes)
                if a != b:
                    low, high = (a, b) if a == GROUND else (b, a)
                    self.to[high] = low

    def __call__(self, node: str) -> str:
        while node in self.to:
            node = self.to[node]
        return node
