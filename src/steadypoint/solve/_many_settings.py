"""Value sets of one circuit: settings resolved by name, values turned into rows of figures."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.circuit import (
    Circuit,
    Kind,
    Part,
    apply_setting,
    follows_temperature,
    value_at,
)
from steadypoint.circuit._trade import OPTIONS, VALUES, find_option
from steadypoint.devices import (
    DEFAULT_V_BE,
    DEFAULT_V_F,
    GAP_VOLTAGE,
    NOMINAL_TEMPERATURE,
    TEMPERATURE_EXPONENT,
    thermal_voltage,
    zener_drift,
)
from steadypoint.errors import CircuitError
from steadypoint.solve._fet_law import junctions_of_fets, with_junctions
from steadypoint.solve._network import _BOUNDS, _OPTION_BOUNDS, Network
from steadypoint.solve._newton import ENTRY_CURRENT, TOP_CURRENT
from steadypoint.solve._tableau import FloatArray
from steadypoint.values import Quantity

TEMPERATURE: Final = "temperature"
"""Name of the setting that is no part's. [K]"""

TEMPERATURES: Final = (208.15, 473.15)
"""Range in which silicon junctions are computed: -65 to 200 °C. [K]"""

Figure = Any
"""A float, or an array with one value per set."""

ValueSets = Mapping[str, Any]
"""Setting names with one value per set in SI units."""


@dataclass(frozen=True, slots=True)
class Target:
    """What a setting changes: the main value (empty symbol) or an option of a part."""

    part: str
    symbol: str


def targets(circuit: Circuit, name: str) -> tuple[Target, ...]:
    """What a setting changes, by the same rule as :func:`steadypoint.circuit.apply_setting`.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    name : str
        Part or rail, letter symbol, or part and letter symbol; ``temperature`` changes no part.

    Returns
    -------
    tuple of Target

    Raises
    ------
    UnknownNameError
        If nothing in the circuit has this name; the nearest is suggested.
    QuantityError
        If the part has no main value.
    """
    parts = {p.name: p for p in circuit.parts}
    if name == TEMPERATURE:
        return ()
    if name in parts and parts[name].kind in VALUES:
        return (Target(name, ""),)
    owner, _, word = name.replace(" ", ".", 1).partition(".")
    if word and owner in parts:
        symbol = find_option(parts[owner].kind, word)
        if symbol is not None:
            return (Target(owner, symbol),)
    elif not word:
        owners = [
            p for p in circuit.parts if p.kind.is_transistor or p.kind in (Kind.DIODE, Kind.ZENER)
        ]
        found = [(p.name, find_option(p.kind, name)) for p in owners]
        if any(symbol for _, symbol in found):
            return tuple(Target(owner, symbol) for owner, symbol in found if symbol)
    apply_setting(circuit, f"{name}=1")  # raises with the sentence for this name
    raise CircuitError(f"'{name}' cannot be varied. Vary the value of a part or of its data.")


def bounds_of(circuit: Circuit, target: Target) -> tuple[float, float]:
    """Lowest and highest value that is within reason; the lowest is negative where signs may be."""
    part = circuit.part(target.part)
    if target.symbol:
        return _OPTION_BOUNDS.get(target.symbol, (-math.inf, math.inf))
    low, high, _ = _BOUNDS.get(part.kind, (0.0, math.inf, ""))
    return (low, high) if low > 0.0 else (-high, high)


def out_of_reason(circuit: Circuit, values: Mapping[str, FloatArray], n: int) -> NDArray[np.bool_]:
    """Sets with a value that is no number or out of reason."""
    bad = np.zeros(n, dtype=bool)
    for name, column in values.items():
        limits = [bounds_of(circuit, t) for t in targets(circuit, name)]
        if name == TEMPERATURE:
            limits = [TEMPERATURES]
        for low, high in limits:
            bad |= ~((column >= low) & (column <= high))
    return bad


def circuit_of(circuit: Circuit, values: Mapping[str, float]) -> Circuit:
    """The circuit with one set of values, temperature left aside."""
    for name, value in values.items():
        for target in targets(circuit, name):
            part = circuit.part(target.part)
            if target.symbol:
                unit = OPTIONS[part.kind][target.symbol].unit
                changed = part.with_option(target.symbol, Quantity(float(value), unit))
            else:
                changed = replace(part, value=Quantity(float(value), VALUES[part.kind].unit))
            circuit = circuit.with_part(changed)
    return circuit


def stated_circuit(circuit: Circuit, names: Iterable[str]) -> Circuit:
    """The nominal circuit with every varied option stated, where a catalogue gives its value.

    A stated ``beta`` takes a registered type from its full model to the simple law, in every set of
    a block and so in its nominal circuit too.
    """
    for name in names:
        for target in targets(circuit, name):
            part = circuit.part(target.part)
            value = part.option(target.symbol) if target.symbol else None
            if value is not None:
                unit = OPTIONS[part.kind][target.symbol].unit
                circuit = circuit.with_part(part.with_option(target.symbol, Quantity(value, unit)))
    return circuit


@dataclass(frozen=True, slots=True)
class Layout:
    """Where the figures of a network stand in the rows of a block.

    Laws come as transistors, diodes (those beside channels last), breakdowns; each has one row of
    ``I_S``, ``nV_T``, its reciprocal ``inv`` and ``v_on``, the voltage at 100 µA.
    """

    g: int
    currents: int
    voltages: int
    I_S: int
    nV_T: int
    inv: int
    v_on: int
    inv_beta: int
    inv_beta_R: int
    inv_V_A: int
    I_CBO: int
    V_Z: int
    rest: int
    V_CE_sat: int
    K: int
    V_GS_th: int
    inv_V_A_channel: int
    size: int


def layout_of(net: Network) -> Layout:
    """Rows of a network."""
    q = len(net.bipolars)
    breaking = sum(1 for d in net.diodes if math.isfinite(d.data.V_Z))
    laws = q + len(with_junctions(net).diodes) + breaking
    counts = [len(net.resistors), len(net.currents), len(net.voltages)]
    counts += [laws] * 4 + [q] * 4 + [breaking] * 2 + [q]
    counts += [len(net.fets)] * 3
    starts = np.concatenate([[0], np.cumsum(counts)]).tolist()
    return Layout(*(int(s) for s in starts))


class Figures:
    """Figures of a circuit's parts, with arrays where a setting varies them.

    Parameters
    ----------
    net : Network
        The nominal network.
    values : mapping of str to ndarray
        Varied settings.
    temperature : float
        Junction temperature where no setting varies it. [K]
    """

    def __init__(self, net: Network, values: Mapping[str, FloatArray], temperature: float) -> None:
        self.net = net
        self.T: Figure = values.get(TEMPERATURE, temperature)
        self._varied: dict[tuple[str, str], FloatArray] = {}
        for name, column in values.items():
            for t in targets(net.circuit, name):
                self._varied[t.part, t.symbol] = column
        self._parts: dict[str, Part] = {p.name: p for p in net.circuit.parts}

    def value(self, name: str, nominal: float) -> Figure:
        """Main value of a part."""
        return self._varied.get((name, ""), nominal)

    def value_at(self, part: Part) -> Figure:
        """Main value of a part at the temperature of each set."""
        value = self.value(part.name, part.value.value if part.value is not None else 0.0)
        return value_at(part, self.T, value, lambda symbol: self.option(part.name, symbol, None))

    def zener_voltage(self, part: Part) -> Figure:
        """Zener voltage at the temperature of each set, by its own or the usual coefficient. [V]"""
        V_Z = self.value_at(part)
        if follows_temperature(part):
            return V_Z
        return V_Z + zener_drift(V_Z) * (self.T - NOMINAL_TEMPERATURE)

    def option(self, name: str, symbol: str, default: Figure) -> Figure:
        """Varied or stated value of an option, else a default."""
        found = self._varied.get((name, symbol))
        if found is not None:
            return found
        stated = self._parts[name].option(symbol)
        return default if stated is None else stated

    def states(self, name: str, symbol: str) -> bool:
        """Whether an option is stated or varied."""
        return (name, symbol) in self._varied or self._parts[name].option(symbol) is not None

    def saturation_current(self, name: str, drop: str, default: float) -> Figure:
        """I_S at 25 °C: stated, or from the drop at 1 mA. [A]"""
        if self.states(name, "I_S"):
            return self.option(name, "I_S", None)
        V = self.option(name, drop, default)
        V = np.where(np.asarray(V) > 0.0, V, default)
        n = self.option(name, "n", 1.0)
        return 1e-3 / np.expm1(V / (n * thermal_voltage(NOMINAL_TEMPERATURE)))

    def matched_saturation_current(self, name: str) -> Figure:
        """I_S at 25 °C of a transistor; one without its own takes its twin's. [A]"""
        known = {q.name: q for q in self.net.bipolars}
        seen = {name}
        while not self.states(name, "I_S"):
            twin = known[name].matched_to
            if twin not in known or twin in seen:
                break
            name = twin
            seen.add(name)
        return self.saturation_current(name, "V_BE", DEFAULT_V_BE)


def rows_of(figures: Figures, layout: Layout, n: int) -> FloatArray:
    """Rows of a block of value sets.

    Parameters
    ----------
    figures : Figures
        Figures of the parts.
    layout : Layout
        Where each stands.
    n : int
        Sets in the block. [-]

    Returns
    -------
    ndarray, shape (rows, n)
    """
    net, P = figures.net, np.empty((layout.size, n))
    for k, r in enumerate(net.resistors):
        part = net.circuit.part(r.name)
        ohms = (
            figures.value_at(part)
            if part.kind is Kind.RESISTOR
            else figures.option(r.name, "R_S", r.value)
        )
        P[layout.g + k] = 1.0 / ohms
    for k, c in enumerate(net.currents):
        P[layout.currents + k] = figures.value(c.name, c.value)
    for k, v in enumerate(net.voltages):
        inductor = net.circuit.part(v.name).kind is Kind.INDUCTOR
        P[layout.voltages + k] = 0.0 if inductor else figures.value(v.name, v.value)
    _junction_rows(figures, layout, P)
    for k, t in enumerate(net.bipolars):
        P[layout.inv_beta + k] = 1.0 / figures.option(t.name, "beta", t.data.beta)
        beta_R = figures.option(t.name, "beta_R", t.data.beta_R)
        P[layout.inv_beta_R + k] = 1.0 / np.maximum(beta_R, 1e-3)
        P[layout.inv_V_A + k] = 1.0 / figures.option(t.name, "V_A", math.inf)
        P[layout.I_CBO + k] = figures.option(t.name, "I_CBO", 0.0)
        V_BE = figures.option(t.name, "V_BE", t.data.V_BE)
        P[layout.V_CE_sat + k] = figures.option(t.name, "V_CE_sat", np.minimum(0.2, V_BE))
    return P


def _junction_rows(figures: Figures, layout: Layout, P: FloatArray) -> None:
    """Laws of all junctions, carried to the temperature of each set."""
    net = figures.net
    V_T = figures.T * thermal_voltage(1.0)
    exponent = TEMPERATURE_EXPONENT * np.log(figures.T / NOMINAL_TEMPERATURE)
    exponent = exponent + GAP_VOLTAGE * (1.0 / thermal_voltage(NOMINAL_TEMPERATURE) - 1.0 / V_T)
    laws: list[tuple[Figure, Figure]] = []
    for t in net.bipolars:
        n = figures.option(t.name, "n", 1.0)
        I_S = figures.matched_saturation_current(t.name)
        laws.append((I_S * np.exp(exponent / n), n * V_T))
    for d in net.diodes:
        n = figures.option(d.name, "n", 1.0)
        I_S = figures.saturation_current(d.name, "V_F", DEFAULT_V_F)
        laws.append((I_S * np.exp(exponent / n), n * V_T))
    for d in junctions_of_fets(net):
        laws.append((d.data.I_S * np.exp(exponent / d.data.n), d.data.n * V_T))
    breaking = [d for d in net.diodes if math.isfinite(d.data.V_Z)]
    for m, d in enumerate(breaking):
        I_Z = figures.option(d.name, "I_Z", d.data.I_Z)
        slope = np.maximum(V_T, figures.option(d.name, "r_Z", d.data.r_Z) * I_Z)
        V_Z = figures.zener_voltage(net.circuit.part(d.name))
        P[layout.V_Z + m] = V_Z
        P[layout.rest + m] = I_Z * np.exp(-V_Z / slope)
        laws.append((I_Z, slope))
    entry = math.log(ENTRY_CURRENT)
    for k, (I_S, nV_T) in enumerate(laws):
        P[layout.I_S + k] = I_S
        P[layout.nV_T + k] = nV_T
        P[layout.inv + k] = 1.0 / np.asarray(nV_T)
        P[layout.v_on + k] = nV_T * (entry - np.log(I_S))


TOP_ABOVE_ENTRY: Final = math.log(TOP_CURRENT / ENTRY_CURRENT)
"""Voltage of the tangent above that of the entry, in nV_T. [-]"""
