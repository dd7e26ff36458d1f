"""How far a transistor is from thermal runaway: the condition in figures."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from steadypoint.circuit import Circuit
from steadypoint.devices import NOMINAL_TEMPERATURE
from steadypoint.solve import OperatingPoint
from steadypoint.spread._temperature import celsius, point_at
from steadypoint.values import format_quantity

_STEP: Final = 0.05  # half the step of dP/dT [K]


@dataclass(frozen=True, slots=True)
class Runaway:
    """How far a transistor is from thermal runaway.

    Parameters
    ----------
    transistor : str
        Which.
    temperature : float
        Junction temperature at which the figures hold. [K]
    power : float
        Its power there. [W]
    slope : float
        dP/dT_J, its junctions' temperature rising alike. [W/K]
    R_thJA : float or None
        Thermal resistance to the air, where sheet or catalogue states it. [K/W]
    half_rule : bool or None
        Whether |V_CE| is below half of what it is with the transistor cut off, where more current
        means less power; None where the load line has no such end.
    """

    transistor: str
    temperature: float
    power: float
    slope: float
    R_thJA: float | None
    half_rule: bool | None

    @property
    def condition(self) -> str:
        """The condition in letters."""
        return "R_thJA · dP/dT_J < 1"

    @property
    def loop_gain(self) -> float | None:
        """R_thJA dP/dT_J: one or more is thermal runaway. [-]"""
        return None if self.R_thJA is None else self.R_thJA * self.slope

    @property
    def largest_R_thJA(self) -> float:
        """Thermal resistance at which it would run away; infinite where power falls. [K/W]"""
        return math.inf if self.slope <= 0.0 else 1.0 / self.slope

    @property
    def sentence(self) -> str:
        """The condition with its figures."""
        slope = format_quantity(self.slope, "W")
        head = f"{self.transistor}: dP/dT_J is {slope} per kelvin at {celsius(self.temperature)}"
        if self.slope <= 0.0:
            return f"{head}: more warmth means less power, so it cannot run away from there."
        limit = format_quantity(self.largest_R_thJA, "K/W")
        if self.loop_gain is None:
            return f"{head}: it runs away only with more than {limit} to the air."
        gain = f"R_thJA · dP/dT_J = {self.loop_gain:.3g}"
        if self.loop_gain >= 1.0:
            return f"{head}: {gain}, which is not below 1: it runs away."
        return f"{head}: {gain}, below 1; it would run away above {limit}."


def runaway(
    circuit: Circuit, *, temperature: float | None = None, self_heating: bool = False
) -> tuple[Runaway, ...]:
    r"""Condition against thermal runaway of every transistor, on the device rung.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    temperature : float, optional
        Temperature of the junctions, or of the air with self-heating; without it that of the sheet,
        else 25 °C. [K]
    self_heating : bool, default False
        Take the slope at the temperature that the junctions reach; the hottest counts for all.

    Returns
    -------
    tuple of Runaway
        Bipolar transistors first.

    Raises
    ------
    ThermalRunawayError
        If it runs away while self-heating is followed.
    CircuitError
        If a thermal resistance is missing there.
    SolveError
        If there is no point.

    Notes
    -----
    A junction settles where T_J = T_A + R_thJA P, and stays there if

    .. math:: R_{thJA}\,\frac{dP}{dT_J} < 1

    The textbook writes dP/dT_J = (∂P/∂I_C)(S ∂I_CO/∂T) and finds that it cannot be positive with
    V_CE below half of the supply of the collector loop. The slope is a central difference with the
    temperatures of all junctions rising alike, exact for one transistor.

    References
    ----------
    J. Millman, C. C. Halkias, *Integrated Electronics*, thermal runaway (from memory).

    Examples
    --------
    >>> from steadypoint.circuit import arrangement
    >>> runaway(arrangement("voltage divider").circuit)[0].half_rule
    True
    """
    T = temperature
    if T is None:
        T = circuit.temperature.value if circuit.temperature else NOMINAL_TEMPERATURE
    if self_heating:
        T = max([T, *point_at(circuit, T, heated=True).junction_temperatures.values()])
    here = point_at(circuit, T, heated=False)
    colder, warmer = (point_at(circuit, T + d, heated=False) for d in (-_STEP, _STEP))
    found = []
    for part in (*circuit.transistors, *circuit.fets):
        P = [_power(point, part.name) for point in (colder, here, warmer)]
        slope = (P[2] - P[0]) / (2.0 * _STEP)
        R_thJA = part.option("R_thJA")
        found.append(Runaway(part.name, T, P[1], slope, R_thJA, _half(here, part.name)))
    return tuple(found)


def _power(point: OperatingPoint, name: str) -> float:
    stage = point.transistors.get(name) or point.fets[name]
    return stage.P


def _half(point: OperatingPoint, name: str) -> bool | None:
    stage = point.transistors.get(name)
    if stage is None or not math.isfinite(stage.headroom_cutoff) or stage.headroom_cutoff < 0.0:
        return None
    return abs(stage.V_CE) < stage.headroom_cutoff
