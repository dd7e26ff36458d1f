"""Points of one transistor while one value of its circuit runs through a range."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from steadypoint.circuit import Circuit, Kind, Part, apply_setting
from steadypoint.devices import bipolar_data, fet_data
from steadypoint.draw._stages import chosen_transistor, is_inverse, magnitudes, stage_point
from steadypoint.errors import CircuitError, QuantityError, SolveError
from steadypoint.solve import Model, Region, operating_point

_HALVINGS: Final = 14
_ZERO_CELSIUS: Final = 273.15
_UNITS: Final = {
    Kind.RESISTOR: "Ω",
    Kind.CAPACITOR: "F",
    Kind.INDUCTOR: "H",
    Kind.CURRENT_SOURCE: "A",
    Kind.SUPPLY: "V",
    Kind.VOLTAGE_SOURCE: "V",
    Kind.ZENER: "V",
}


@dataclass(frozen=True, slots=True)
class Sample:
    """One solved value.

    Parameters
    ----------
    at : float
        The value that runs. [SI]
    V, I : float
        V_CE and I_C, or V_DS and I_D; magnitudes for pnp and p-channel. [V], [A]
    region : Region
        Region of the transistor.
    """

    at: float
    V: float
    I: float  # noqa: E741  letter symbol
    region: Region


@dataclass(frozen=True, slots=True)
class Varied:
    """A run of solved values.

    Parameters
    ----------
    symbol, unit : str
        What runs and its unit.
    transistor : str
        Whose point it is.
    kind : Kind
        What kind of transistor it is.
    samples : tuple of Sample
        Rising in ``at``; values without a solution are missing.
    stated : Sample or None
        The point at the value that the circuit states, when that lies in the range.
    missing : int
        Values without a solution. [-]
    """

    symbol: str
    unit: str
    transistor: str
    kind: Kind
    samples: tuple[Sample, ...]
    stated: Sample | None
    missing: int = 0

    def stretches(self, region: Region) -> list[tuple[float, float]]:
        """Ranges of the running value in which the transistor is in a region."""
        out: list[tuple[float, float]] = []
        for a, b in pairwise(self.samples):
            if a.region is not region or b.region is not region:
                continue
            if out and out[-1][1] == a.at:
                out[-1] = (out[-1][0], b.at)
            else:
                out.append((a.at, b.at))
        return out


def vary(
    circuit: Circuit,
    name: str,
    values: Sequence[float],
    *,
    transistor: str | None,
    model: Model,
) -> Varied:
    """Solve a circuit for a rising sequence of values of one setting."""
    chosen = chosen_transistor(circuit, transistor)
    unit = _unit(circuit, name)
    samples: list[Sample] = []
    missing, fault = 0, None
    for value in values:
        try:
            new = _sample(circuit, name, value, chosen, model)
        except SolveError as error:
            missing, fault = missing + 1, error
            continue
        if samples and samples[-1].region is not new.region:
            samples += _border(circuit, name, samples[-1], new, chosen, model)
        samples.append(new)
    if len(samples) < 2:
        raise fault or CircuitError("A range needs two values that can be solved.")
    now = _stated(circuit, name, chosen)
    stated = None
    if now is not None and values[0] <= now <= values[-1]:
        stated = _sample(circuit, name, now, chosen, model)
    kind = circuit.part(chosen).kind
    return Varied(name, unit, chosen, kind, tuple(samples), stated, missing)


def _set(circuit: Circuit, name: str, value: float) -> Circuit:
    unit = " K" if name == "temperature" else ""
    return apply_setting(circuit, f"{name}={value:.15g}{unit}")


def _sample(circuit: Circuit, name: str, value: float, transistor: str, model: Model) -> Sample:
    point = stage_point(operating_point(_set(circuit, name, value), model), transistor)
    V, I = magnitudes(point)  # noqa: E741  letter symbols
    return Sample(value, V, I, point.region)


def _border(
    circuit: Circuit, name: str, low: Sample, high: Sample, transistor: str, model: Model
) -> list[Sample]:
    """The two values, as good as equal, between which the region changes."""
    for _ in range(_HALVINGS):
        try:
            middle = _sample(circuit, name, 0.5 * (low.at + high.at), transistor, model)
        except SolveError:
            break
        if middle.region is low.region:
            low = middle
        else:
            high = middle
    return [low, high]


def _unit(circuit: Circuit, name: str) -> str:
    if name == "temperature":
        return "K"
    for part in circuit.parts:
        if part.name == name:
            if part.kind not in _UNITS:
                raise QuantityError(
                    f"{name} is {part.kind.spoken}, which has no value to run through a range. "
                    f"Write {name}.beta, say."
                )
            return _UNITS[part.kind]
    symbol = name.rpartition(".")[2]
    return {"V": "V", "I": "A", "P": "W", "r": "Ω", "R": "Ω", "K": "A/V²"}.get(symbol[:1], "")


def _stated(circuit: Circuit, name: str, transistor: str) -> float | None:
    """The value that the circuit states for what runs."""
    if name == "temperature":
        stated = circuit.temperature
        return stated.value if stated is not None else _ZERO_CELSIUS + 25.0
    owner, dot, symbol = name.rpartition(".")
    for part in circuit.parts:
        if part.name == name and part.value is not None:
            return part.value.value
    part = circuit.part(owner if dot else transistor)
    value = part.option(symbol)
    if value is None and part.kind.is_transistor:
        value = _typical(part, symbol)
    return value


def _typical(part: Part, symbol: str) -> float | None:
    """What an option is where the sheet leaves it unsaid."""
    if not part.kind.is_fet:
        value: float | None = getattr(bipolar_data(part.option), symbol, None)
        return value
    junction = part.kind in (Kind.N_JFET, Kind.P_JFET)
    sign = -1.0 if is_inverse(part.kind) else 1.0
    depletion = "depletion" in part.traits
    data = fet_data(part.option, sign, junction=junction, depletion=depletion)
    opens = sign * data.V_GS_th
    return {"V_GS_off": opens, "V_GS_th": opens, "I_DSS": data.I_DSS, "K": data.K}.get(symbol)
