"""The units that Steadypoint reads and writes, as data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from steadypoint.errors import QuantityError, did_you_mean

#: Exponents of the prefixes that are written, SI Brochure, 9th ed., table 7.
PREFIXES: Final[dict[str, int]] = {
    "f": -15,
    "p": -12,
    "n": -9,
    "µ": -6,
    "m": -3,
    "": 0,
    "k": 3,
    "M": 6,
    "G": 9,
}

#: What people type for a prefix, beside the prefixes themselves.
TYPED_PREFIXES: Final[dict[str, int]] = {**PREFIXES, "u": -6, "μ": -6, "T": 12}


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit and how it is typed, asked for and bounded.

    Parameters
    ----------
    symbol : str
        SI symbol without prefix; empty for a pure number.
    name : str
        The quantity with its article, for instance ``a resistance``.
    spellings : tuple of str
        What is read as this unit, without prefix.
    example : str
        What a sentence offers instead of a faulty text.
    low, high : float
        Smallest and largest magnitude that a circuit of a lesson can hold. [symbol]
    signed : bool
        True when negative values make sense.
    zero : bool
        True when zero makes sense.
    prefixed : bool
        True when the unit takes prefixes.
    points : str
        Letters that stand for the unit and the decimal point (``4R7``, ``2V7``).
    stays_from : float
        Smallest magnitude that is written without a prefix: boards and data sheets say 0.65 V and
        0.47 Ω, not 650 mV and 470 mΩ (common practice, no source). [symbol]
    scaled : tuple of (str, int)
        Spellings that carry a power of ten of their own, with that power (``ppm/K``).
    """

    symbol: str
    name: str
    spellings: tuple[str, ...]
    example: str
    low: float
    high: float
    signed: bool = False
    zero: bool = False
    prefixed: bool = True
    points: str = ""
    stays_from: float = 1.0
    scaled: tuple[tuple[str, int], ...] = ()


# The ranges are common practice, no source: they hold every part and value that a lesson, a
# laboratory or a data sheet of discrete transistors shows, and catch the slip of a prefix or an
# exponent.
_TABLE: Final = (
    Unit(
        "Ω",
        "a resistance",
        ("Ω", "\u2126", "ohm", "ohms", "Ohm", "Ohms", "OHM", "R", "r"),
        "3k3, 3.3k or 3300",
        1e-3,
        1e11,
        points="RrΩ\u2126",
        stays_from=0.1,
    ),
    Unit(
        "V",
        "a voltage",
        ("V", "v", "volt", "volts", "Volt", "Volts"),
        "9 V, 0.65 V or 650 mV",
        1e-9,
        1e5,
        signed=True,
        zero=True,
        points="V",
        stays_from=0.1,
    ),
    Unit(
        "A",
        "a current",
        ("A", "amp", "amps", "Amp", "Amps", "ampere", "amperes"),
        "2.5 mA, 2m5 or 250u",
        1e-24,
        1e4,
        signed=True,
        zero=True,
        points="A",
    ),
    Unit(
        "F",
        "a capacitance",
        ("F", "farad", "farads"),
        "10u, 4n7 or 100 nF",
        1e-15,
        1e2,
        points="F",
    ),
    Unit(
        "H",
        "an inductance",
        ("H", "henry", "henries", "henrys"),
        "10 mH, 4u7 or 100u",
        1e-12,
        1e4,
        points="H",
    ),
    Unit(
        "W",
        "a power",
        ("W", "watt", "watts"),
        "0.25 W or 250 mW",
        1e-18,
        1e6,
        signed=True,
        zero=True,
        points="W",
    ),
    Unit(
        "K",
        "a temperature",
        ("K", "kelvin", "kelvins"),
        "25 °C or 298 K",
        1.0,
        1e3,
        prefixed=False,
    ),
    Unit("Hz", "a frequency", ("Hz", "hz", "hertz"), "50 Hz, 1 kHz or 1k5", 1e-6, 1e12, zero=True),
    Unit(
        "S",
        "a conductance",
        ("S", "siemens"),
        "40 mS or 25u",
        1e-15,
        1e6,
        signed=True,
        zero=True,
    ),
    Unit("s", "a time", ("s", "sec", "second", "seconds"), "20 ms or 1.5 s", 1e-15, 1e9, zero=True),
    Unit(
        "K/W",
        "a thermal resistance",
        ("K/W", "°C/W", "℃/W", "C/W"),
        "200 K/W or 12.5 K/W",
        1e-4,
        1e5,
        prefixed=False,
    ),
    Unit(
        "V/K",
        "a temperature coefficient",
        ("V/K", "V/°C", "V/℃", "V/C"),
        "-2 mV/K or 0.002 V/K",
        1e-9,
        1e2,
        signed=True,
        zero=True,
    ),
    Unit(
        "A/V²",
        "a conductance parameter",
        ("A/V²", "A/V2", "A/V^2"),
        "0.5 mA/V² or 120 µA/V²",
        1e-12,
        1e6,
    ),
    Unit(
        "V⁻¹",
        "a channel-length modulation",
        ("V⁻¹", "V^-1", "1/V", "/V"),
        "0.02 or 0.02 V⁻¹",
        1e-12,
        1e3,
        zero=True,
        prefixed=False,
    ),
    Unit(
        "K⁻¹",
        "a relative temperature coefficient",
        ("K⁻¹", "K^-1", "1/K", "/K"),
        "100 ppm/K, 0.39 %/K or 0.0039",
        1e-9,
        1.0,
        signed=True,
        zero=True,
        prefixed=False,
        scaled=tuple(
            (f"{share}{per}", power)
            for share, power in (("ppm", -6), ("%", -2))
            for per in ("/K", "/°C", "/℃", "/C", "")
        ),
    ),
    Unit("", "a number", ("",), "150 or 0.99", 1e-30, 1e12, signed=True, zero=True, prefixed=False),
)

UNITS: Final[dict[str, Unit]] = {u.symbol: u for u in _TABLE}

#: Spelling of a unit (with no prefix) to its symbol.
SPELLINGS: Final[dict[str, str]] = {
    **{s: u.symbol for u in _TABLE for s, _ in u.scaled if len(s) > 1},
    **{s: u.symbol for u in _TABLE for s in u.spellings},
}


def unit_of(symbol: str) -> Unit:
    """Entry of a unit.

    Parameters
    ----------
    symbol : str
        SI symbol without prefix; the ohm sign U+2126 is taken for Ω.

    Raises
    ------
    QuantityError
        If Steadypoint has no such unit.
    """
    try:
        return UNITS["Ω" if symbol == "\u2126" else symbol]
    except KeyError:
        known = ", ".join(u for u in UNITS if u)
        raise QuantityError(
            f"Steadypoint has no unit '{symbol}'.{did_you_mean(symbol, UNITS)}"
            f" Write one of {known}."
        ) from None
