"""Junctions that heat themselves: temperatures and currents solved together.

A junction settles where T_J = T_A + R_thJA P. The power P of each depends on the temperatures of
all, through the circuit. From the temperature of the air on, each step is Newton's for these
equations while the loop gain R_thJA dP/dT is below 1, and follows the warming up otherwise, never
more than ``LONGEST`` at once. So the first temperature is found at which the parts stay after they
are switched on; none below ``HOTTEST``, or a loop gain of 1 there, is thermal runaway.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.devices import HOTTEST
from steadypoint.errors import CircuitError, ConvergenceError, SolveError, ThermalRunawayError
from steadypoint.solve._device import DeviceFound, raw_of_device, solve_device
from steadypoint.solve._network import Network
from steadypoint.solve._point import Model
from steadypoint.solve._report import operating_point_of
from steadypoint.solve._tableau import FloatArray
from steadypoint.values import format_quantity

LONGEST: Final = 10.0
"""Longest step of a junction temperature. [K]"""

CLOSE: Final = 1e-5
"""Step of every temperature at which the search ends; what is left is far below 1 mK. [K]"""

_NUDGE: Final = 0.01  # step of the numeric derivative dP/dT [K]
_MOST: Final = 150


@dataclass(frozen=True, slots=True)
class Heated:
    """An operating point with the temperatures of its junctions.

    Parameters
    ----------
    found : DeviceFound
        The settled search at these temperatures.
    junctions : mapping of str to float
        Junction temperature of every part that heats itself. [K]
    loop_gain : float
        Largest real part of the eigenvalues of R_thJA dP/dT; with one part its loop gain. [-]
    """

    found: DeviceFound
    junctions: Mapping[str, float]
    loop_gain: float


def thermal_resistances(net: Network) -> dict[str, float]:
    """Thermal resistance from junction to ambient of every part that heats itself, by name. [K/W]

    Parameters
    ----------
    net : Network
        The network.

    Raises
    ------
    CircuitError
        If neither the sheet nor the catalogue states that of a transistor.
    """
    out: dict[str, float] = {}
    names = [*(q.name for q in net.bipolars), *(f.name for f in net.fets)]
    for name in (*names, *(d.name for d in net.diodes)):
        stated = net.circuit.part(name)
        R_thJA = stated.option("R_thJA")
        if R_thJA is not None:
            out[name] = R_thJA
        elif stated.kind.is_transistor:
            raise CircuitError(
                f"How warm {name} gets cannot be told: neither the sheet nor a registered "
                f"type states its thermal resistance. Write, for instance, "
                f"{name} = {stated.kind.value}, R_thJA 200 K/W."
            )
    return out


def heat(net: Network, ambient: float, found: DeviceFound, R_thJA: Mapping[str, float]) -> Heated:
    """Let the junctions of a point warm up until they stay as they are.

    Parameters
    ----------
    net : Network
        The network.
    ambient : float
        Temperature of the air. [K]
    found : DeviceFound
        The point with all junctions at that temperature.
    R_thJA : mapping of str to float
        Thermal resistances by name, as of :func:`thermal_resistances`. [K/W]

    Returns
    -------
    Heated

    Raises
    ------
    ThermalRunawayError
        If a junction runs away or would pass ``HOTTEST``.
    ConvergenceError
        If the temperatures do not come to rest.
    """
    if not R_thJA:
        return Heated(found, {}, 0.0)
    search = _Warming(net, ambient, found, tuple(R_thJA), np.array(list(R_thJA.values())))
    T, haste = np.full(len(R_thJA), ambient), np.inf
    push = search.push(T)
    for _ in range(_MOST):
        hottest = int(T.argmax())
        gains = search.gains(T, push)
        gain = float(np.linalg.eigvals(gains).real.max())
        if T[hottest] >= HOTTEST - CLOSE and push[hottest] > 0:
            raise ThermalRunawayError(_runaway(search.names[hottest], R_thJA, gain, ambient))
        if _size(np.linalg.solve(np.eye(len(T)) - gains, push)) < CLOSE:
            if gain >= 1:
                raise ThermalRunawayError(_runaway(search.names[hottest], R_thJA, gain, ambient))
            return Heated(search.found, dict(zip(search.names, T.tolist(), strict=True)), gain)
        T, push, haste = _step(search, T, push, (gains, gain), haste)
    worst = search.names[int(np.abs(push).argmax())]
    raise ConvergenceError(
        f"The junction temperatures did not settle within {_MOST} steps: that of {worst} would "
        "not come to rest. Solve without self-heating to see the circuit as it is switched on."
    )


def _step(
    search: _Warming,
    T: FloatArray,
    push: FloatArray,
    slope: tuple[FloatArray, float],
    haste: float,
) -> tuple[FloatArray, FloatArray, float]:
    """One step of the warming up, implicit in time and of a length that it can trust.

    ``haste`` is the time step over the thermal time constant, infinite for a step of Newton's
    method. A loop gain above 1 lets the temperatures rise no faster than they do in time.
    """
    gains, gain = slope
    while True:
        held = max(1.0 / haste, 2.0 * (gain - 1.0) + 0.5 if gain >= 1 else 0.0)
        step = np.linalg.solve((1.0 + held) * np.eye(len(T)) - gains, push)
        step = step * min(1.0, LONGEST / max(_size(step), 1e-300))
        ahead = np.clip(T + step, search.ambient, HOTTEST)
        last = search.found
        pushed = search.push(ahead)
        if _size(pushed) <= 1.5 * _size(push) + CLOSE or haste < 1e-3:
            return ahead, pushed, min(8.0 * haste, np.inf) if haste < 1e3 else np.inf
        search.found = last
        haste = min(haste, 4.0) / 4.0


def _size(values: NDArray[np.floating[Any]]) -> float:
    return float(np.abs(values).max())


def warmed(
    net: Network, ambient: float, settled: Sequence[DeviceFound], R_thJA: Mapping[str, float] | None
) -> tuple[list[DeviceFound], list[Mapping[str, float]]]:
    """Settled points after warming up, the first first, with their junction temperatures.

    Parameters
    ----------
    net : Network
        The network.
    ambient : float
        Temperature of the air. [K]
    settled : sequence of DeviceFound
        Points with all junctions at that temperature; the first is the one that is asked for.
    R_thJA : mapping of str to float or None
        Thermal resistances; without them nothing warms up. [K/W]

    Raises
    ------
    ThermalRunawayError
        If the first runs away; others that do are left out.
    """
    if R_thJA is None:
        return list(settled), [{} for _ in settled]
    out = [heat(net, ambient, settled[0], R_thJA)]
    for found in settled[1:]:
        try:
            out.append(heat(net, ambient, found, R_thJA))
        except SolveError:
            continue
    return [h.found for h in out], [h.junctions for h in out]


class _Warming:
    """Points of one network at given junction temperatures, each started from the last."""

    def __init__(
        self,
        net: Network,
        ambient: float,
        found: DeviceFound,
        names: tuple[str, ...],
        R_thJA: FloatArray,
    ) -> None:
        self.net, self.ambient, self.found = net, ambient, found
        self.names, self.R_thJA = names, R_thJA

    def point(self, T: FloatArray, *, keep: bool = True) -> DeviceFound:
        """Settled point at junction temperatures."""
        junctions = dict(zip(self.names, T.tolist(), strict=True))
        start = self.found.trial
        try:
            found = solve_device(
                self.net, self.ambient, start, only_newton=True, junctions=junctions
            )
        except ConvergenceError:
            found = solve_device(self.net, self.ambient, junctions=junctions)
        if keep:
            self.found = found
        return found

    def push(self, T: FloatArray, *, keep: bool = True) -> FloatArray:
        """How much warmer each junction would get by the power it takes up at T. [K]"""
        net, found = self.net, self.point(T, keep=keep)
        none = np.zeros(len(net.bipolars)), np.zeros(len(net.fets))
        raw = raw_of_device(net, found, *none)
        point = operating_point_of(net, raw, Model.DEVICE, self.ambient)
        P = {n: p.P for n, p in point.parts.items()}
        P |= {n: t.P for n, t in point.transistors.items()}
        P |= {n: f.P for n, f in point.fets.items()}
        return np.asarray(self.ambient + self.R_thJA * [P[n] for n in self.names] - T)

    def gains(self, T: FloatArray, push: FloatArray) -> FloatArray:
        """R_thJA dP/dT of every part for the temperature of every part. [-]"""
        out = np.eye(len(T))
        for k in range(len(T)):
            moved = T.copy()
            nudge = -_NUDGE if T[k] > HOTTEST - 1.0 else _NUDGE  # the laws end there
            moved[k] += nudge
            out[:, k] += (self.push(moved, keep=False) - push) / nudge
        return out


def _runaway(name: str, R_thJA: Mapping[str, float], gain: float, ambient: float) -> str:
    """Sentence on a junction that finds no temperature to stay at."""
    top = format_quantity(HOTTEST, "°C")
    if gain >= 1:
        return (
            f"{name} runs away thermally: warmer, it takes up more power than its thermal "
            f"resistance of {format_quantity(R_thJA[name], 'K/W')} can carry off "
            "(R_thJA · dP/dT is above 1). Give it more emitter or source resistance, less voltage "
            "across it, or a heat sink with a smaller R_thJA."
        )
    return (
        f"{name} would heat its junction beyond {top}, which no transistor stands: its power is "
        f"too much for a thermal resistance of {format_quantity(R_thJA[name], 'K/W')} in air of "
        f"{format_quantity(ambient, '°C')}. Give it less power, or a heat sink with a smaller "
        "R_thJA."
    )
