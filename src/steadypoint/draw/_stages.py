"""Transistors of either kind as charts see them: magnitudes, letters, words."""

from __future__ import annotations

from typing import TypeAlias

from steadypoint.circuit import Circuit, Kind, Part
from steadypoint.draw._describe import region_words
from steadypoint.errors import CircuitError, UnknownNameError
from steadypoint.solve import FetPoint, OperatingPoint, Region, TransistorPoint

StagePoint: TypeAlias = TransistorPoint | FetPoint


def stage_points(point: OperatingPoint) -> dict[str, StagePoint]:
    """Points of all transistors by name, the bipolar ones first."""
    return {**point.transistors, **point.fets}


def stage_point(point: OperatingPoint, name: str) -> StagePoint:
    """Point of one transistor."""
    return stage_points(point)[name]


def chosen_transistor(circuit: Circuit, transistor: str | None) -> str:
    """The transistor that was asked for, or the first.

    Raises
    ------
    CircuitError
        If the circuit has no transistor.
    UnknownNameError
        If it has none of this name.
    """
    names = [part.name for part in (*circuit.transistors, *circuit.fets)]
    if not names:
        raise CircuitError("The circuit has no transistor and therefore no operating point.")
    if transistor is not None and transistor not in names:
        raise UnknownNameError(
            f"There is no transistor '{transistor}'. The circuit has {', '.join(names)}."
        )
    return transistor or names[0]


def is_inverse(kind: Kind) -> bool:
    """True for pnp and p-channel, of which people read magnitudes."""
    return kind in (Kind.PNP, Kind.P_JFET, Kind.P_MOSFET)


def symbols(kind: Kind) -> tuple[str, str]:
    """Letter symbols of the voltage across a transistor and of its current."""
    if kind.is_fet:
        return ("V_SD" if is_inverse(kind) else "V_DS"), "I_D"
    return ("V_EC" if is_inverse(kind) else "V_CE"), "I_C"


def current_words(kind: Kind) -> str:
    """``Collector current`` or ``Drain current``."""
    return "Drain current" if kind.is_fet else "Collector current"


def magnitudes(point: StagePoint) -> tuple[float, float]:
    """Voltage across a transistor and its current as lecturers write them. [V], [A]"""
    if isinstance(point, FetPoint):
        sign = -1.0 if point.polarity == "p-channel" else 1.0
        return sign * point.V_DS, sign * point.I_D
    sign = -1.0 if point.polarity == "pnp" else 1.0
    return sign * point.V_CE, sign * point.I_C


def drawn_number(part: Part, circuit: Circuit) -> str:
    """What tells the quantities of several transistors apart: ``1`` for Q1."""
    many = len(circuit.transistors) + len(circuit.fets) > 1
    return part.name[1:] if many and part.name[0] == "Q" else ""


def low_word(kind: Kind) -> str:
    """What a transistor is where the voltage across it is small."""
    return "triode" if kind.is_fet else "saturated"


def is_low(point: StagePoint) -> bool:
    """True where the voltage across it is too small to amplify: saturated, or triode."""
    low = Region.TRIODE if isinstance(point, FetPoint) else Region.SATURATION
    return point.region is low


def state_words(point: StagePoint) -> str:
    """Region of a transistor in a sentence."""
    return region_words(point.region, fet=isinstance(point, FetPoint))
