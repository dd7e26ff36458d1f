"""The operating point: every voltage, current and power of a solved circuit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from steadypoint.circuit import Circuit


class Model(StrEnum):
    """The rungs of the model ladder."""

    BOARD = "board"
    EXACT = "exact"
    DEVICE = "device"


class Region(StrEnum):
    """Region of operation of a transistor.

    ``active`` is for bipolar transistors, ``triode`` for field-effect transistors. ``saturation``
    means V_CE down to V_CE_sat with the one, and with the other a channel pinched off at the drain,
    where I_D hardly depends on V_DS.
    """

    ACTIVE = "active"
    SATURATION = "saturation"
    CUTOFF = "cutoff"
    REVERSE = "reverse"
    TRIODE = "triode"


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
class FetPoint:
    """Quiescent values of one field-effect transistor.

    Parameters
    ----------
    name, kind : str
        Designator and kind, for instance ``n-channel JFET``.
    I_D, I_G : float
        Currents into drain and gate; I_D is negative for a conducting p-channel. [A]
    I_S : float
        Current out of the source, I_D + I_G. [A]
    V_GS, V_DS : float
        Gate and drain voltage against the source. [V]
    V_G, V_D, V_S : float
        Terminal voltages against ground. [V]
    V_GS_th : float
        Gate-source voltage at which the channel opens (V_GS_off of a depletion type), in the sign
        of the channel. [V]
    P : float
        Dissipated power. [W]
    region : Region
        ``saturation``, ``triode``, ``cutoff``, or ``reverse`` with drain and source exchanged.
    headroom_triode : float
        How far |V_DS| may fall before the triode region. [V]
    headroom_cutoff : float
        How far |V_DS| may rise before the drain current is zero. [V]
    """

    name: str
    kind: str
    I_D: float
    I_G: float
    I_S: float
    V_GS: float
    V_DS: float
    V_G: float
    V_D: float
    V_S: float
    V_GS_th: float
    P: float
    region: Region
    headroom_triode: float
    headroom_cutoff: float

    @property
    def polarity(self) -> str:
        """``n-channel`` or ``p-channel``."""
        return self.kind.split()[0]


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
        Temperature of all junctions; with self-heating that of the air around. [K]
    nodes : mapping of str to float
        Node voltages against ground, ground included. [V]
    parts : mapping of str to PartPoint
        Two-terminal parts, supplies included.
    transistors : mapping of str to TransistorPoint
        Bipolar transistors in the order of the sheet.
    warnings : tuple of str
        One sentence each: a broken assumption, a rating, a caution.
    neglected : tuple of str
        One sentence for each approximation that the rung made here (empty for ``exact``).
    steps : int
        Iterations of the solver. [-]
    residual : float
        Largest imbalance of Kirchhoff's current law. [A]
    fets : mapping of str to FetPoint
        Field-effect transistors in the order of the sheet.
    junction_temperatures : mapping of str to float
        With self-heating the junction temperature of each part that heats itself, else empty. [K]
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
    fets: Mapping[str, FetPoint] = field(default_factory=dict)
    junction_temperatures: Mapping[str, float] = field(default_factory=dict)

    def _repr_mimebundle_(self, **_: object) -> dict[str, str]:
        from steadypoint.solve._show import plain, table

        return {"text/plain": plain(self), "text/html": table(self)}
