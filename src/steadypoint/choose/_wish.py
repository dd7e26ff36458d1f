"""What a lecturer wants of a circuit's values, and the same as mathematics."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.choose._conditions import collector_resistor, conditions_of
from steadypoint.choose._hand_model import HandModel, hand_model
from steadypoint.choose._problem import Drive, Problem
from steadypoint.circuit import Circuit, Kind
from steadypoint.devices import DEFAULT_V_BE, DEFAULT_V_F, NOMINAL_TEMPERATURE, thermal_voltage
from steadypoint.errors import CircuitError, QuantityError, UnknownNameError, did_you_mean
from steadypoint.values import SERIES_TOLERANCE, format_quantity, series

FloatArray = NDArray[np.float64]

V_BE_SLOPE: Final = -2e-3
"""Change of V_BE with temperature on the hand rung (common practice, no source). [V/K]"""

NEXT: Final = ("supply current", "different values", "distance")
"""What can be made small after the worst distance."""

_LEAST: Final = 10.0
_MOST: Final = 10e6
_SUPPLY_ROOM: Final = 1.5
_SWING_SHARE: Final = 1.0 / 6.0


@dataclass(frozen=True, slots=True)
class Wish:
    """What is wanted.

    Parameters
    ----------
    circuit : Circuit
        Arrangement or own circuit; the stated values of free resistors do not matter.
    collector_current : float
        Wanted I_C. [A]
    transistor : str, optional
        Whose; the last of the sheet by default.
    free : sequence of str, optional
        Resistors to choose; all by default.
    V_CE : float, optional
        Wanted collector-emitter voltage, met within 10 % with all values in their middle. [V]
    series : str, default "E24"
        Series of preferred values (IEC 60063); ``of_series`` states others for single parts.
    of_series : mapping of str to str
        Series by resistor.
    stock : sequence of float
        Values to choose from instead of a series. [Ω]
    tolerance : float, optional
        Relative tolerance of the resistors; that of the series by default. [-]
    beta : (float, float)
        Limits of every beta. [-]
    temperature : (float, float)
        Limits of the junction temperature. [K]
    supply_tolerance : float, default 0
        Relative tolerance of every rail. [-]
    least_voltage : float, default 1
        Least V_CE at any corner; minus infinity asks for none. [V]
    swing : float, optional
        Room for the signal at the collector of the transistor, up and down, at any corner; a sixth
        of the whole supply by default, where a resistor leads from the collector to a rail. [V]
    gain : float, default 0
        Least g_m R_C with the emitter at signal ground, at any corner. [-]
    input_resistance : float, default 0
        Least resistance that a signal sees at IN, or at the base where there is no IN, at any
        corner: capacitors as short circuits, r_e = V_T/I_C at the wished current in the cold. [Ω]
    most_power, most_voltage, most_current : float, optional
        Most V_CE·I_C, V_CE and I_C of every transistor at any corner; what the sheet or the
        registered type states as P_tot, V_CEO and I_C_max by default. [W, V, A]
    most_supply_current : float, optional
        Most current from all positive rails together at any corner; one and a half times the sum
        of the wanted collector currents by default. [A]
    within : float, optional
        Most relative distance of I_C from the wish at any corner. [-]
    centred : float, optional
        Most relative distance of I_C from the wish with everything in its middle. [-]
    collector_drop : float, default 0
        Least voltage across the collector resistor, where there is one, with everything in its
        middle. [V]
    then : str, default ""
        What to make small next, among the sets whose distance is at most ``slack`` more than the
        best: ``supply current`` (proved), ``different values`` or ``distance`` from the wish in the
        middle of everything.
    slack : float, default 0.1
        How much of the best distance may be given away for it. [-]
    """

    circuit: Circuit
    collector_current: float
    transistor: str = ""
    free: Sequence[str] = ()
    V_CE: float | None = None
    series: str = "E24"
    of_series: Mapping[str, str] = field(default_factory=dict)
    stock: Sequence[float] = ()
    tolerance: float | None = None
    beta: tuple[float, float] = (100.0, 400.0)
    temperature: tuple[float, float] = (273.15, 323.15)
    supply_tolerance: float = 0.0
    least_voltage: float = 1.0
    swing: float | None = None
    gain: float = 0.0
    input_resistance: float = 0.0
    most_power: float | None = None
    most_voltage: float | None = None
    most_current: float | None = None
    most_supply_current: float | None = None
    within: float | None = None
    centred: float | None = None
    collector_drop: float = 0.0
    then: str = ""
    slack: float = 0.1

    def __post_init__(self) -> None:
        """Refuse what makes no physics, and settle what was left open."""
        transistors = [q.name for q in self.circuit.transistors]
        if not transistors:
            fets = [p.name for p in self.circuit.parts if p.kind.is_fet]
            raise CircuitError(
                f"{fets[0]} is a field-effect transistor, whose square law allows no proof of this "
                "kind. Choose values for bipolar circuits."
                if fets
                else "The circuit has no transistor whose point could be chosen."
            )
        name = self.transistor or transistors[-1]
        if name not in transistors:
            hint = did_you_mean(name, transistors) or f" It has {', '.join(transistors)}."
            raise UnknownNameError(f"The circuit has no transistor called '{name}'.{hint}")
        object.__setattr__(self, "transistor", name)
        resistors = [p.name for p in self.circuit.parts if p.kind is Kind.RESISTOR]
        for part in (*self.free, *self.of_series):
            if part not in resistors:
                hint = did_you_mean(part, resistors) or f" It has {', '.join(resistors)}."
                raise UnknownNameError(f"The circuit has no resistor called '{part}'.{hint}")
        object.__setattr__(self, "free", tuple(self.free) or tuple(resistors))
        if not self.free:
            raise CircuitError("The circuit has no resistor whose value could be chosen.")
        self._check_figures()

    def _check_figures(self) -> None:
        if not 1e-9 <= self.collector_current <= 100.0:
            raise QuantityError(
                f"A collector current of {format_quantity(self.collector_current, 'A')} is out of "
                "reason. Wish one between 1 nA and 100 A."
            )
        low, high = self.beta
        if not 0.0 < low <= high:
            raise QuantityError(
                f"beta from {low:g} to {high:g} is no range of gains. Write 100..400."
            )
        if not 208.15 <= self.temperature[0] <= self.temperature[1] <= 473.15:
            raise QuantityError(
                "The temperature range is out of reason. Write the colder one first, within -65 °C "
                "to 200 °C, as in 0..50."
            )
        for name, value in (
            ("tolerance", self.resistor_tolerance),
            ("supply tolerance", self.supply_tolerance),
        ):
            if not 0.0 <= value < 1.0:
                raise QuantityError(f"A {name} of {100 * value:g} % is out of reason. Write 5 %.")
        for name, limit in (
            ("input resistance", self.input_resistance or None),
            ("dissipation", self.most_power),
            ("V_CE", self.most_voltage),
            ("I_C", self.most_current),
        ):
            if limit is not None and not 0.0 < limit < math.inf:
                raise QuantityError(f"A limit of {limit:g} for the {name} is out of reason.")
        if self.then and self.then not in NEXT:
            hint = did_you_mean(self.then, NEXT) or f" Use {', '.join(NEXT)}."
            raise QuantityError(f"'{self.then}' cannot be made small next.{hint}")
        if not 0.0 <= self.slack <= 10.0:
            raise QuantityError(f"A slack of {self.slack:g} is out of reason. Write 0.1 for 10 %.")
        if self.within is not None and self.within <= 0.0:
            raise QuantityError("The wanted distance of I_C must be more than 0 %.")

    @property
    def resistor_tolerance(self) -> float:
        """Relative tolerance of the resistors. [-]"""
        if self.tolerance is not None:
            return self.tolerance
        return SERIES_TOLERANCE.get(self.series.upper(), 0.05)

    @property
    def room(self) -> float:
        """Room for the signal at the collector, up and down. [V]"""
        if self.swing is not None:
            return self.swing
        if collector_resistor(self.circuit, self.transistor) is None:
            return 0.0
        rails = [p.value.value for p in self.circuit.parts if p.kind is Kind.SUPPLY and p.value]
        return _SWING_SHARE * (max([0.0, *rails]) - min([0.0, *rails]))

    @property
    def supply_limit(self) -> float:
        """Most supply current. [A]"""
        if self.most_supply_current is not None:
            return self.most_supply_current
        return _SUPPLY_ROOM * self.collector_current * len(self.circuit.transistors)

    def lattice(self, resistor: str) -> FloatArray:
        """Values that a resistor may take, rising. [Ω]

        Parameters
        ----------
        resistor : str
            Its name.
        """
        if self.stock:
            values = sorted({float(v) for v in self.stock})
            if values[0] <= 0.0:
                raise QuantityError("A stock value must be a positive resistance.")
            return np.array(values)
        step = series(self.of_series.get(resistor, self.series))
        found = [
            float(f"{mantissa * 10.0**decade:.6g}")
            for decade in range(0, 8)
            for mantissa in step
            if _LEAST <= mantissa * 10.0**decade <= _MOST
        ]
        return np.array(found)


def problem_of(wish: Wish, model: HandModel | None = None) -> Problem:
    """A wish as mathematics on the hand rung.

    Parameters
    ----------
    wish : Wish
        What is wanted.
    model : HandModel, optional
        The circuit's, where it is known.

    Returns
    -------
    Problem

    Raises
    ------
    CircuitError
        If nothing can be proved for such a circuit.
    """
    model = model or hand_model(wish.circuit)
    tolerances = {
        r: wish.resistor_tolerance if r in wish.free else (wish.circuit.part(r).tolerance or 0.0)
        for r in model.resistors
    }
    return Problem(
        model,
        {r: wish.lattice(r) for r in wish.free},
        tolerances,
        dict.fromkeys(model.transistors, wish.beta),
        _drives(wish, model),
        {f"I_C({wish.transistor})": 1.0},
        wish.collector_current,
        conditions_of(wish, model),
    )


def _drives(wish: Wish, model: HandModel) -> list[Drive]:
    """Supplies, junction voltages, their common temperature, and leakage."""
    found: list[Drive] = []
    for v in model.net.voltages:
        room = abs(v.value) * wish.supply_tolerance
        found.append(Drive(v.name, v.value - room, v.value + room, {v.name: 1.0}))
    for c in model.net.currents:
        found.append(Drive(c.name, c.value, c.value, {c.name: 1.0}))
    follows: dict[str, float] = {}
    for name in model.transistors:
        V = junction_voltage(wish.circuit, name, wish.collector_current)
        found.append(Drive(f"V_BE of {name}", V, V, {f"V_BE({name})": 1.0}))
        follows[f"V_BE({name})"] = V_BE_SLOPE
        leak = wish.circuit.part(name).option("I_CBO") or 0.0
        hot = leak * 2.0 ** ((wish.temperature[1] - NOMINAL_TEMPERATURE) / 10.0)
        found.append(Drive(f"I_CBO of {name}", 0.0, hot, {f"I_CBO({name})": 1.0}))
    for d in model.net.diodes:
        zener = math.isfinite(d.data.V_Z)
        source = f"{'V_Z' if zener else 'V_F'}({d.name})"
        V = d.data.V_Z if zener else (wish.circuit.part(d.name).option("V_F") or DEFAULT_V_F)
        found.append(Drive(source, V, V, {source: 1.0}))
        if not zener:
            follows[source] = V_BE_SLOPE
    low, high = (T - NOMINAL_TEMPERATURE for T in wish.temperature)
    found.append(Drive("temperature", low, high, follows))
    return found


def junction_voltage(circuit: Circuit, transistor: str, I_C: float) -> float:
    """V_BE at 25 °C and a collector current, from that at 1 mA. [V]

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    transistor : str
        Its name.
    I_C : float
        Collector current. [A]
    """
    V = circuit.part(transistor).option("V_BE") or DEFAULT_V_BE
    return V + thermal_voltage(NOMINAL_TEMPERATURE) * math.log(I_C / 1e-3)
