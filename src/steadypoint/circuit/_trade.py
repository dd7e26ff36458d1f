"""What the trade says of each kind of part: its words, its unit, its options and sane values."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from steadypoint.circuit._model import Kind
from steadypoint.devices import COLDEST, HOTTEST, led_colours
from steadypoint.values._units import unit_of


@dataclass(frozen=True, slots=True)
class Measure:
    """A quantity that a part can carry.

    Parameters
    ----------
    unit : str
        SI unit without prefix.
    low, high : float
        Bounds of reason, in that unit; a value outside is taken for a slip.
    called : str
        What people call it.
    example : str
        A value as it stands in a sheet.
    """

    unit: str
    low: float
    high: float
    called: str
    example: str


def _of_unit(symbol: str, called: str, example: str) -> Measure:
    """A quantity with the range of reason that its unit has everywhere."""
    unit = unit_of(symbol)
    return Measure(symbol, -unit.high if unit.signed else unit.low, unit.high, called, example)


VALUES: Final[dict[Kind, Measure]] = {
    Kind.RESISTOR: _of_unit("Ω", "resistance", "3k3"),
    Kind.CAPACITOR: _of_unit("F", "capacitance", "10u"),
    Kind.INDUCTOR: _of_unit("H", "inductance", "10 mH"),
    Kind.ZENER: Measure("V", 0.1, 1e4, "zener voltage", "5.1 V"),
    Kind.SUPPLY: _of_unit("V", "supply voltage", "9 V"),
    Kind.VOLTAGE_SOURCE: _of_unit("V", "voltage", "1.5 V"),
    Kind.CURRENT_SOURCE: _of_unit("A", "current", "2 mA"),
}

TEMPERATURE: Final = Measure("K", COLDEST, HOTTEST, "temperature", "25 °C")

_BETA: Final = Measure("", 0.01, 1e9, "current gain", "150")
_JUNCTION: Final = Measure("V", 0.0, 10.0, "junction voltage", "0.65 V")
_EMISSION: Final = Measure("", 0.5, 10.0, "emission coefficient", "1")
_SATURATION_CURRENT: Final = Measure("A", 1e-40, 1e-2, "saturation current", "10 fA")
_POWER: Final = Measure("W", 1e-4, 1e5, "power rating", "0.25 W")
_THERMAL: Final = Measure("K/W", 1e-3, 1e5, "thermal resistance", "200 K/W")
_HOTTEST: Final = Measure("K", 300.0, 573.15, "rated junction temperature", "150 °C")
_RATING_V: Final = Measure("V", 0.1, 1e5, "voltage rating", "40 V")
_RATING_I: Final = Measure("A", 1e-6, 1e4, "current rating", "200 mA")

_TRANSISTOR_OPTIONS: Final[dict[str, Measure]] = {
    "beta": _BETA,
    "beta_R": _BETA,
    "V_BE": _JUNCTION,
    "V_CE_sat": Measure("V", 0.0, 10.0, "saturation voltage", "0.2 V"),
    "V_A": Measure("V", 0.1, 1e9, "Early voltage", "80 V"),
    "I_S": _SATURATION_CURRENT,
    "I_CBO": Measure("A", 0.0, 1.0, "leakage current", "20 nA"),
    "n": _EMISSION,
    "V_CEO": _RATING_V,
    "I_C_max": _RATING_I,
    "P_tot": _POWER,
    "R_thJA": _THERMAL,
    "T_J_max": _HOTTEST,
}
_DIODE_OPTIONS: Final[dict[str, Measure]] = {
    "V_F": Measure("V", 0.0, 1e3, "forward voltage", "0.7 V"),
    "I_S": _SATURATION_CURRENT,
    "n": _EMISSION,
    "P_tot": _POWER,
    "R_thJA": _THERMAL,
    "T_J_max": _HOTTEST,
}
_RESISTOR_OPTIONS: Final[dict[str, Measure]] = {
    "P_max": _POWER,
    "TCR": Measure("K⁻¹", -5e-3, 1e-2, "temperature coefficient", "100 ppm/K"),
    "B": Measure("K", 500.0, 2e4, "B value", "3950 K"),
}
_FET_OPTIONS: Final[dict[str, Measure]] = {
    "V_GS_off": Measure("V", -1e3, 1e3, "pinch-off voltage", "-4 V"),
    "I_DSS": Measure("A", 1e-9, 1e3, "drain current at V_GS = 0", "8 mA"),
    "lambda": Measure("V⁻¹", 0.0, 10.0, "channel-length modulation", "0.02"),
    "V_A": Measure("V", 0.1, 1e9, "Early voltage", "80 V"),
    "V_DS_max": _RATING_V,
    "I_D_max": _RATING_I,
    "P_tot": _POWER,
    "R_thJA": _THERMAL,
    "T_J_max": _HOTTEST,
}
_MOSFET_OPTIONS: Final[dict[str, Measure]] = {
    "V_GS_th": Measure("V", -1e3, 1e3, "threshold voltage", "2 V"),
    "K": Measure("A/V²", 1e-9, 1e4, "conductance parameter", "0.5 mA/V²"),
    "I_D_on": Measure("A", 1e-9, 1e4, "drain current at V_GS_on", "6 mA"),
    "V_GS_on": Measure("V", -1e3, 1e3, "gate-source voltage at I_D_on", "8 V"),
    **_FET_OPTIONS,
}
OPTIONS: Final[dict[Kind, dict[str, Measure]]] = {
    Kind.NPN: _TRANSISTOR_OPTIONS,
    Kind.PNP: _TRANSISTOR_OPTIONS,
    Kind.N_JFET: _FET_OPTIONS,
    Kind.P_JFET: _FET_OPTIONS,
    Kind.N_MOSFET: _MOSFET_OPTIONS,
    Kind.P_MOSFET: _MOSFET_OPTIONS,
    Kind.DIODE: _DIODE_OPTIONS,
    Kind.ZENER: {
        **_DIODE_OPTIONS,
        "r_Z": Measure("Ω", 0.0, 1e5, "differential resistance", "5"),
        "I_Z": Measure("A", 1e-9, 1e3, "test current", "5 mA"),
        "I_Z_min": Measure("A", 0.0, 10.0, "least zener current", "1 mA"),
        "S_Z": Measure("V/K", -1.0, 1.0, "temperature coefficient", "-0.8 mV/K"),
    },
    Kind.RESISTOR: _RESISTOR_OPTIONS,
    Kind.CAPACITOR: {"V_max": _RATING_V},
    Kind.INDUCTOR: {"R_S": Measure("Ω", 0.0, 1e6, "winding resistance", "12")},
}

TRAITS: Final[dict[Kind, tuple[str, ...]]] = {
    Kind.CAPACITOR: ("electrolytic",),
    Kind.RESISTOR: ("NTC", "PTC"),
    Kind.DIODE: ("LED", *led_colours()),
    Kind.N_MOSFET: ("depletion",),
    Kind.P_MOSFET: ("depletion",),
}
"""Words that say more about a part of a kind."""

POLAR: Final = frozenset({Kind.DIODE, Kind.ZENER, Kind.VOLTAGE_SOURCE, Kind.CURRENT_SOURCE})
"""Kinds whose direction matters whatever their words say."""

KIND_WORDS: Final[dict[str, Kind]] = {
    "resistor": Kind.RESISTOR,
    "capacitor": Kind.CAPACITOR,
    "inductor": Kind.INDUCTOR,
    "diode": Kind.DIODE,
    "zener": Kind.ZENER,
    "led": Kind.DIODE,
    "ntc": Kind.RESISTOR,
    "ptc": Kind.RESISTOR,
    "voltage source": Kind.VOLTAGE_SOURCE,
    "current source": Kind.CURRENT_SOURCE,
}

POLARITIES: Final[dict[str, Kind]] = {"npn": Kind.NPN, "pnp": Kind.PNP}

CHANNELS: Final[dict[str, str]] = {
    "n-channel": "n-channel",
    "p-channel": "p-channel",
    "nchannel": "n-channel",
    "pchannel": "p-channel",
}
"""How the channel of a field-effect transistor is typed."""

GATES: Final[dict[str, str]] = {"jfet": "JFET", "mosfet": "MOSFET"}
"""Words of the two kinds of gate."""

TRANSISTOR_TERMINALS: Final = (*Kind.NPN.terminals, *Kind.N_JFET.terminals)

NOT_YET: Final[dict[str, str]] = {"igbt": "Insulated-gate bipolar transistors"}
"""Words kept for later, with what they will stand for."""

RESERVED: Final = frozenset(
    {"from", "through", "to", "title", "temperature", "place", "ground", "gnd"}
)
"""Words of the language that no part, rail or node may be called."""

_DESIGNATORS: Final[tuple[tuple[str, Kind], ...]] = (
    ("LED", Kind.DIODE),
    ("NTC", Kind.RESISTOR),
    ("PTC", Kind.RESISTOR),
    ("DZ", Kind.ZENER),
    ("ZD", Kind.ZENER),
    ("R", Kind.RESISTOR),
    ("C", Kind.CAPACITOR),
    ("L", Kind.INDUCTOR),
    ("D", Kind.DIODE),
    ("Z", Kind.ZENER),
    ("I", Kind.CURRENT_SOURCE),
    ("V", Kind.VOLTAGE_SOURCE),
)

_NAME: Final = re.compile(r"[^\W\d]\w*[+-]?\Z")
_TYPE: Final = re.compile(r"(?=.*\d)(?=.*[A-Za-z])[A-Za-z0-9][A-Za-z0-9/-]{2,}\Z")


def is_name(text: str) -> bool:
    """True for a word that may name a part, a rail or a node."""
    return bool(_NAME.match(text)) and text.lower() not in RESERVED


def is_type(text: str) -> bool:
    """True for a word that looks like a registered type (2N3904, BC547B, 1N4148)."""
    return bool(_TYPE.match(text))


def kind_of_name(name: str) -> Kind | None:
    """Kind that a reference designator stands for by its first letters, or None."""
    for letters, kind in _DESIGNATORS:
        if name.startswith(letters):
            return kind
    return None


def trait_of_name(name: str) -> str:
    """Trait that a reference designator implies (``LED`` for LED1, ``NTC`` for NTC1), or empty."""
    return next((t for t in ("LED", "NTC", "PTC") if name.startswith(t)), "")


def fold(symbol: str) -> str:
    """A letter symbol reduced to what stays the same however it is typed."""
    folded = re.sub(r"[_{}()\s]", "", symbol).lower()
    return _FOLDED.get(folded, folded)


_FOLDED: Final = {"β": "beta", "hfe": "beta", "βr": "betar", "ϐ": "beta", "λ": "lambda"}


def find_option(kind: Kind, word: str) -> str | None:
    """Letter symbol of an option of this kind, however it is typed; None if it is none."""
    folded = fold(word)
    for symbol in OPTIONS.get(kind, {}):
        if fold(symbol) == folded:
            return symbol
    return None
