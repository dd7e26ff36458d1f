"""A circuit as numbers: node indices, branches and junctions, checked for values out of reason."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from steadypoint.circuit import GROUND, Circuit, Kind, Part, at_temperature, follows_temperature
from steadypoint.devices import (
    NOMINAL_TEMPERATURE,
    BipolarData,
    BipolarModel,
    DiodeData,
    DiodeModel,
    FetData,
    FetModel,
    bipolar_data,
    diode_data,
    fet_data,
    zener_drift,
)
from steadypoint.errors import CircuitError
from steadypoint.solve._registered import bipolar_model, diode_model, fet_model

_BOUNDS: Final[dict[Kind, tuple[float, float, str]]] = {
    # kind: (lowest, highest, the sentence's remedy); what lies outside is a slip of the pen
    Kind.RESISTOR: (1e-6, 1e13, "A resistance lies between 1 µΩ and 10 TΩ"),
    Kind.SUPPLY: (0.0, 1e5, "A supply lies within ±100 kV"),
    Kind.VOLTAGE_SOURCE: (0.0, 1e5, "A source voltage lies within ±100 kV"),
    Kind.CURRENT_SOURCE: (0.0, 1e4, "A source current lies within ±10 kA"),
    Kind.ZENER: (0.1, 1e4, "A zener voltage lies between 0.1 V and 10 kV"),
}
_OPTION_BOUNDS: Final[dict[str, tuple[float, float]]] = {
    "beta": (1e-3, 1e9),
    "beta_R": (0.0, 1e9),
    "V_BE": (0.0, 100.0),
    "V_CE_sat": (0.0, 100.0),
    "V_A": (1e-1, math.inf),
    "I_S": (1e-40, 1.0),
    "I_CBO": (0.0, 1.0),
    "r_Z": (0.0, 1e6),
    "R_S": (0.0, 1e9),
    "V_F": (0.0, 100.0),
    "n": (0.1, 100.0),
    "I_Z": (1e-9, 1e3),
    "V_GS_off": (-1e3, 1e3),
    "V_GS_th": (-1e3, 1e3),
    "I_DSS": (1e-12, 1e3),
    "K": (1e-12, 1e4),
    "lambda": (0.0, 10.0),
    "B": (1.0, 1e5),
    "TCR": (-5e-3, 1e-2),
    "S_Z": (-10.0, 10.0),
    "R_thJA": (1e-6, 1e6),
    "T_J_max": (200.0, 1e3),
}


@dataclass(frozen=True, slots=True)
class Branch:
    """A two-terminal part between node indices; index -1 is ground.

    ``value`` is a resistance [Ω], a voltage [V] or a current [A].
    """

    name: str
    start: int
    end: int
    value: float


@dataclass(frozen=True, slots=True)
class Bipolar:
    """A bipolar transistor between node indices; ``sign`` is +1 for npn and -1 for pnp.

    ``model`` is that of its registered type at 25 °C; None where the simple law holds.
    """

    name: str
    sign: int
    collector: int
    base: int
    emitter: int
    data: BipolarData
    matched_to: str
    states_I_S: bool
    model: BipolarModel | None = None


@dataclass(frozen=True, slots=True)
class Fet:
    """A field-effect transistor between node indices; ``sign`` is +1 for n-channel, -1 for p.

    ``model`` is that of its registered type at 25 °C; None where the sheet's data hold.
    """

    name: str
    sign: int
    drain: int
    gate: int
    source: int
    data: FetData
    model: FetModel | None = None


@dataclass(frozen=True, slots=True)
class Diode:
    """A diode or zener from anode to cathode index.

    ``model`` is that of an LED of a colour at 25 °C; None where the simple law holds.
    """

    name: str
    anode: int
    cathode: int
    data: DiodeData
    model: DiodeModel | None = None


@dataclass(frozen=True, slots=True)
class Network:
    """What the solvers see of a circuit.

    Parameters
    ----------
    circuit : Circuit
        Where it comes from.
    names : tuple of str
        Names of the nodes other than ground; their position is their index.
    resistors, currents, voltages, capacitors : tuple of Branch
        ``voltages`` holds supplies, voltage sources and inductors (0 V at direct current).
    bipolars : tuple of Bipolar
        The transistors.
    diodes : tuple of Diode
        Diodes and zeners.
    fets : tuple of Fet
        Field-effect transistors.
    """

    circuit: Circuit
    names: tuple[str, ...]
    resistors: tuple[Branch, ...]
    currents: tuple[Branch, ...]
    voltages: tuple[Branch, ...]
    capacitors: tuple[Branch, ...]
    bipolars: tuple[Bipolar, ...]
    diodes: tuple[Diode, ...]
    fets: tuple[Fet, ...] = ()


def network(circuit: Circuit, temperature: float = NOMINAL_TEMPERATURE) -> Network:
    """Number the nodes of a circuit and sort its parts.

    Parameters
    ----------
    circuit : Circuit
        Any circuit of resistors, sources, capacitors, inductors, diodes, zeners and
        transistors.
    temperature : float, default 298.15
        Temperature at which parts that follow it take their values. [K]

    Returns
    -------
    Network
        Its ``circuit`` is the one given, with the values at 25 °C.

    Raises
    ------
    CircuitError
        If a value is missing or out of reason.
    """
    if GROUND not in circuit.nodes:
        raise CircuitError(
            "The circuit has no ground. Connect the return of the supply to 'ground'."
        )
    names = tuple(n for n in circuit.nodes if n != GROUND)
    index = {name: i for i, name in enumerate(names)} | {GROUND: -1}
    groups: dict[str, list[Branch]] = {"R": [], "I": [], "V": [], "C": []}
    bipolars: list[Bipolar] = []
    diodes: list[Diode] = []
    fets: list[Fet] = []
    for part in circuit.parts:
        _check_options(part)
    for part in at_temperature(circuit, temperature).parts:
        at = [index[n] for n in part.nodes]
        if part.kind.is_bipolar:
            bipolars.append(_bipolar(part, at))
        elif part.kind.is_fet:
            fets.append(_fet(part, at))
        elif part.kind in (Kind.DIODE, Kind.ZENER):
            drifts = part.kind is Kind.ZENER and not follows_temperature(circuit.part(part.name))
            diodes.append(_diode(part, at, temperature - NOMINAL_TEMPERATURE if drifts else 0.0))
        elif part.kind is Kind.INDUCTOR and part.option("R_S"):
            groups["R"].append(Branch(part.name, at[0], at[1], part.option("R_S") or 0.0))
        elif part.kind in _GROUP:
            value = 0.0 if part.kind in (Kind.CAPACITOR, Kind.INDUCTOR) else _value(part)
            groups[_GROUP[part.kind]].append(Branch(part.name, at[0], at[1], value))
        else:
            raise CircuitError(
                f"{part.name} is {part.kind.spoken}, which no model here can solve yet."
            )
    _refuse_source_loops(groups["V"])
    return Network(
        circuit,
        names,
        tuple(groups["R"]),
        tuple(groups["I"]),
        tuple(groups["V"]),
        tuple(groups["C"]),
        tuple(bipolars),
        tuple(diodes),
        tuple(fets),
    )


def has_simple_laws(net: Network) -> bool:
    """Whether all parts follow the simple laws, which are those that lanes know."""
    bent: tuple[Bipolar | Fet | Diode, ...] = (*net.bipolars, *net.fets, *net.diodes)
    return not any(p.model for p in bent)


_GROUP: Final[dict[Kind, str]] = {
    Kind.RESISTOR: "R",
    Kind.CURRENT_SOURCE: "I",
    Kind.SUPPLY: "V",
    Kind.VOLTAGE_SOURCE: "V",
    Kind.INDUCTOR: "V",
    Kind.CAPACITOR: "C",
}


def _refuse_source_loops(voltages: list[Branch]) -> None:
    """Refuse sources (and inductors) that alone form a loop."""
    joined: dict[int, list[tuple[int, str]]] = {}
    for v in voltages:
        ways: dict[int, list[str]] = {v.start: []}
        queue = [v.start]
        while queue:
            at = queue.pop(0)
            for to, name in joined.get(at, []):
                if to not in ways:
                    ways[to] = [*ways[at], name]
                    queue.append(to)
        if v.end in ways:
            names = [*ways[v.end], v.name]
            listed = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
            raise CircuitError(
                f"{listed} form a loop of fixed voltages without any resistance. "
                "Remove one of them or put a resistor in series."
            )
        joined.setdefault(v.start, []).append((v.end, v.name))
        joined.setdefault(v.end, []).append((v.start, v.name))


def _bipolar(part: Part, at: list[int]) -> Bipolar:
    data = bipolar_data(part.option)
    sign = 1 if part.kind is Kind.NPN else -1
    stated = part.option("I_S") is not None
    model = bipolar_model(part)
    return Bipolar(part.name, sign, at[0], at[1], at[2], data, part.matched_to, stated, model)


def _fet(part: Part, at: list[int]) -> Fet:
    sign = -1 if part.kind in (Kind.P_JFET, Kind.P_MOSFET) else 1
    junction = part.kind in (Kind.N_JFET, Kind.P_JFET)
    depletion = "depletion" in part.traits
    data = fet_data(part.option, sign, junction=junction, depletion=depletion)
    return Fet(part.name, sign, at[0], at[1], at[2], data, fet_model(part))


def _diode(part: Part, at: list[int], rise: float) -> Diode:
    """Diode, or zener whose voltage drifts by the usual coefficient over a rise of temperature."""
    if part.kind is Kind.DIODE:
        return Diode(part.name, at[0], at[1], diode_data(part.option), diode_model(part))
    V_Z = _value(part)
    data = diode_data(part.option, V_Z)
    if rise:
        data = replace(data, drift=float(zener_drift(V_Z)) * rise)
    return Diode(part.name, at[0], at[1], data)


def _value(part: Part) -> float:
    """Main value of a part within reason."""
    if part.value is None:
        raise CircuitError(f"{part.name} has no value. State one for this {part.kind}.")
    value = part.value.value
    low, high, remedy = _BOUNDS[part.kind]
    size = abs(value) if low == 0.0 else value
    if not (low <= size <= high):
        raise CircuitError(f"{part.name} = {value:g} {part.value.unit} is out of reason. {remedy}.")
    return value


def _check_options(part: Part) -> None:
    known = part.type_name or part.kind is Kind.DIODE  # to the catalogue, or by its colour
    for symbol in _OPTION_BOUNDS if known else [name for name, _ in part.options]:
        low, high = _OPTION_BOUNDS.get(symbol, (-math.inf, math.inf))
        value = part.option(symbol)
        if value is not None and not (low <= value <= high):
            raise CircuitError(
                f"{part.name}: {symbol} = {value:g} is out of reason. "
                f"State a value between {low:g} and {high:g}."
            )
