"""Transistors of either kind as a lesson speaks of them: their quantities and regions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final, TypeAlias

from steadypoint.solve import FetPoint, OperatingPoint, Region, TransistorPoint

Stage: TypeAlias = TransistorPoint | FetPoint

MEANINGS: Final = {
    "I_C": "collector current",
    "I_B": "base current",
    "I_E": "emitter current",
    "V_CE": "collector-emitter voltage",
    "V_EC": "emitter-collector voltage",
    "V_BE": "base-emitter voltage",
    "V_EB": "emitter-base voltage",
    "V_CB": "collector-base voltage",
    "V_C": "collector voltage",
    "V_B": "base voltage",
    "V_E": "emitter voltage",
    "P": "power in the transistor",
    "beta": "current gain",
}
FET_MEANINGS: Final = {
    "I_D": "drain current",
    "I_G": "gate current",
    "I_S": "source current",
    "V_DS": "drain-source voltage",
    "V_SD": "source-drain voltage",
    "V_GS": "gate-source voltage",
    "V_SG": "source-gate voltage",
    "V_D": "drain voltage",
    "V_G": "gate voltage",
    "V_S": "source voltage",
    "P": "power in the transistor",
}
FET_STATED: Final = ("I_DSS", "V_GS_off", "V_GS_th", "K")
REGION_WORDS: Final = {
    Region.ACTIVE: "active",
    Region.SATURATION: "saturated",
    Region.CUTOFF: "cut off",
    Region.REVERSE: "reverse active",
}
_FET_REGIONS: Final = {
    Region.SATURATION: "in saturation",
    Region.TRIODE: "in the triode region",
    Region.CUTOFF: "cut off",
    Region.REVERSE: "reversed, drain and source exchanged",
}


def stages(point: OperatingPoint) -> Mapping[str, Stage]:
    """All transistors of a point by name, in the order of the sheet."""
    both: dict[str, Stage] = {**point.transistors, **point.fets}
    return {p.name: both[p.name] for p in point.circuit.parts if p.name in both}


def is_fet(stage: Stage) -> bool:
    """Whether it has a channel."""
    return isinstance(stage, FetPoint)


def is_inverse(stage: Stage) -> bool:
    """Whether lecturers write its magnitudes: pnp and p-channel."""
    return stage.polarity in ("pnp", "p-channel")


def symbols_of(stage: Stage) -> Sequence[str]:
    """What can be asked of it."""
    return tuple(FET_MEANINGS) if is_fet(stage) else tuple(MEANINGS)


def main_symbols(stage: Stage) -> tuple[str, str]:
    """Its current and its voltage on the load line."""
    if is_fet(stage):
        return "I_D", "V_SD" if is_inverse(stage) else "V_DS"
    return "I_C", "V_EC" if is_inverse(stage) else "V_CE"


def card_symbols(stage: Stage) -> Sequence[str]:
    """What its card shows."""
    if is_fet(stage):
        return (*main_symbols(stage), "V_SG" if is_inverse(stage) else "V_GS", "P")
    return (*main_symbols(stage), "I_B", "P")


def region_word(stage: Stage) -> str:
    """Its region in words."""
    return _FET_REGIONS[stage.region] if is_fet(stage) else REGION_WORDS[stage.region]


def glyph_of(stage: Stage) -> str:
    """The region as the page draws it: a channel pinched off amplifies, as an active transistor."""
    if not is_fet(stage):
        return stage.region.value
    shown = {Region.SATURATION: "active", Region.TRIODE: "saturation"}
    return shown.get(stage.region, stage.region.value)


def stage_value(stage: Stage, symbol: str) -> float:
    """Value of a quantity as lecturers write it. [SI]"""
    if symbol in ("V_EC", "V_EB", "V_SD", "V_SG"):
        return -float(getattr(stage, f"V_{symbol[3]}{symbol[2]}"))
    if symbol == "V_CB":
        return float(stage.V_C - stage.V_B)  # type: ignore[union-attr]
    value = float(getattr(stage, symbol))
    # What people read shows magnitudes for the currents of the inverse kinds.
    return -value if symbol[0] == "I" and is_inverse(stage) else value
