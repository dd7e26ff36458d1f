"""Points of one transistor while one value of its circuit runs through a range."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from steadypoint.circuit import Circuit, Kind, apply_setting
from steadypoint.draw._output_curves import magnitudes
from steadypoint.errors import CircuitError, QuantityError, SolveError, UnknownNameError
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
        Collector-emitter voltage and collector current, magnitudes for pnp. [V], [A]
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
    pnp : bool
        True where the magnitudes are those of a pnp transistor.
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
    pnp: bool
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
    pnp = circuit.part(chosen).kind is Kind.PNP
    return Varied(name, unit, chosen, pnp, tuple(samples), stated, missing)


def chosen_transistor(circuit: Circuit, transistor: str | None) -> str:
    """The transistor that was asked for, or the first."""
    names = [part.name for part in circuit.transistors]
    if not names:
        raise CircuitError("The circuit has no transistor and therefore no operating point.")
    if transistor is not None and transistor not in names:
        raise UnknownNameError(
            f"There is no transistor '{transistor}'. The circuit has {', '.join(names)}."
        )
    return transistor or names[0]


def _set(circuit: Circuit, name: str, value: float) -> Circuit:
    unit = " K" if name == "temperature" else ""
    return apply_setting(circuit, f"{name}={value:.15g}{unit}")


def _sample(circuit: Circuit, name: str, value: float, transistor: str, model: Model) -> Sample:
    point = operating_point(_set(circuit, name, value), model).transistors[transistor]
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
    return {"V": "V", "I": "A", "P": "W", "r": "Ω", "R": "Ω"}.get(symbol[:1], "")


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
        from steadypoint.devices import bipolar_data

        value = getattr(bipolar_data(part.option), symbol, None)
    return value
