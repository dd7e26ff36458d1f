"""The operating point: every voltage, current and power of a solved circuit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from steadypoint.circuit import Circuit


class Model(StrEnum):
    """The rungs of the model ladder."""

    BOARD = "board"
    EXACT = "exact"
    DEVICE = "device"


class Region(StrEnum):
    """Region of operation of a bipolar transistor."""

    ACTIVE = "active"
    SATURATION = "saturation"
    CUTOFF = "cutoff"
    REVERSE = "reverse"


@dataclass(frozen=True, slots=True)
class PartPoint:
    """Current, voltage and power of a two-terminal part.

    Parameters
    ----------
    I : float
        Current from the first to the second node; for supplies and voltage sources the current
        delivered out of the plus terminal. [A]
    V : float
        Voltage of the first node against the second. [V]
    P : float
        Power taken up; for supplies and sources the power delivered. [W]
    """

    I: float  # noqa: E741  letter symbol of IEC 60747-1
    V: float
    P: float


@dataclass(frozen=True, slots=True)
class TransistorPoint:
    """Quiescent values of one bipolar transistor.

    Parameters
    ----------
    name, polarity : str
        Designator and ``npn`` or ``pnp``.
    I_B, I_C : float
        Currents into base and collector; negative for a conducting pnp. [A]
    I_E : float
        Current out of the emitter, I_B + I_C; negative for a conducting pnp. [A]
    V_BE, V_CE : float
        Base and collector voltage against the emitter; negative for a conducting pnp. [V]
    V_B, V_C, V_E : float
        Terminal voltages against ground. [V]
    P : float
        Dissipated power. [W]
    region : Region
        Region of operation.
    headroom_saturation : float
        How far |V_CE| may fall before saturation. [V]
    headroom_cutoff : float
        How far |V_CE| may rise before the collector current is zero. [V]
    """

    name: str
    polarity: str
    I_B: float
    I_C: float
    I_E: float
    V_BE: float
    V_CE: float
    V_B: float
    V_C: float
    V_E: float
    P: float
    region: Region
    headroom_saturation: float
    headroom_cutoff: float


@dataclass(frozen=True, slots=True)
class OperatingPoint:
    """The solved circuit.

    Parameters
    ----------
    circuit : Circuit
        What was solved.
    model : Model
        The rung that was used.
    temperature : float
        Junction temperature. [K]
    nodes : mapping of str to float
        Node voltages against ground, ground included. [V]
    parts : mapping of str to PartPoint
        Two-terminal parts, supplies included.
    transistors : mapping of str to TransistorPoint
        Transistors in the order of the sheet.
    warnings : tuple of str
        One sentence each: a broken assumption, a rating, a caution.
    neglected : tuple of str
        One sentence for each approximation that the rung made here (empty for ``exact``).
    steps : int
        Iterations of the solver. [-]
    residual : float
        Largest imbalance of Kirchhoff's current law. [A]
    """

    circuit: Circuit
    model: Model
    temperature: float
    nodes: Mapping[str, float]
    parts: Mapping[str, PartPoint]
    transistors: Mapping[str, TransistorPoint]
    warnings: tuple[str, ...] = ()
    neglected: tuple[str, ...] = ()
    steps: int = 0
    residual: float = 0.0
