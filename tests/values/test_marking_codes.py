"""Letter, tolerance and colour codes of IEC 60062."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadypoint.errors import QuantityError
from steadypoint.values import (
    colour_code,
    letter_code,
    read_colour_code,
    read_letter_code,
    read_quantity,
    read_tolerance,
    round_to,
    series,
    tolerance_letter,
)

# The eight examples that Wikipedia, "RKM code", prints for IEC 60062, then the standard's own
# tables of examples (from memory).
RESISTORS = {
    0.47: "R47",
    4.7: "4R7",
    470.0: "470R",
    4700.0: "4K7",
    47e3: "47K",
    47.3e3: "47K3",
    470e3: "470K",
    4.7e6: "4M7",
    0.1: "R10",
    0.15: "R15",
    0.332: "R332",
    0.5904: "R5904",
    1.0: "1R0",
    1.5: "1R5",
    3.32: "3R32",
    5.904: "5R904",
    10.0: "10R",
    15.0: "15R",
    33.2: "33R2",
    59.04: "59R04",
    100.0: "100R",
    332.0: "332R",
    590.4: "590R4",
    1e3: "1K0",
    3.32e3: "3K32",
    5.904e3: "5K904",
    10e3: "10K",
    59.04e3: "59K04",
    150e3: "150K",
    590.4e3: "590K4",
    1e6: "1M0",
    3.32e6: "3M32",
    10e6: "10M",
    59.04e6: "59M04",
    100e6: "100M",
    1e9: "1G0",
    10e9: "10G",
    100e9: "100G",
    1e12: "1T0",
    10e12: "10T",
}
CAPACITORS = {
    0.1e-12: "p10",
    0.15e-12: "p15",
    0.332e-12: "p332",
    1e-12: "1p0",
    3.32e-12: "3p32",
    10e-12: "10p",
    100e-12: "100p",
    1e-9: "1n0",
    3.32e-9: "3n32",
    10e-9: "10n",
    100e-9: "100n",
    1e-6: "1µ0",
    3.32e-6: "3µ32",
    100e-6: "100µ",
    1e-3: "1m0",
    10e-3: "10m",
}


@pytest.mark.parametrize(("value", "code"), RESISTORS.items())
def test_resistors_of_the_standard(value: float, code: str) -> None:
    assert letter_code(value) == code
    assert read_letter_code(code).value == value


@pytest.mark.parametrize(("value", "code"), CAPACITORS.items())
def test_capacitors_of_the_standard(value: float, code: str) -> None:
    assert letter_code(value, "F") == code
    assert read_letter_code(code, "F").value == value


def test_trade_forms() -> None:
    # Common practice, no source: lower-case k, u for µ, leading zero, zener voltages.
    # L for a thousandth of an ohm: sizes.com, "resistance codes", after IEC 60062:2016.
    assert read_letter_code("6L8").value == read_quantity("6L8", "Ω").value == 6.8e-3
    assert letter_code(4700.0, kilo="k") == "4k7"
    assert letter_code(1e-5, "F", micro="u") == "10u"
    assert letter_code(5.1, "V") == "5V1"
    assert letter_code(12.0, "V") == "12V"
    assert letter_code(0.047) == "R047"
    assert [read_letter_code(c).value for c in ("4k7", "0R47", "R047", "4Ω7")] == [
        4700.0,
        0.47,
        0.047,
        4.7,
    ]


@given(st.integers(1, 9999), st.integers(-2, 9), st.sampled_from(["K", "k"]))
def test_letter_code_round_trip(figures: int, power: int, kilo: str) -> None:
    value = float(f"{figures}e{power}")
    code = letter_code(value, kilo=kilo)
    assert read_letter_code(code).value == value
    assert read_quantity(code, "Ω").value == value


@given(st.integers(1, 9999), st.integers(-15, -4))
def test_letter_code_round_trip_of_capacitors(figures: int, power: int) -> None:
    value = float(f"{figures}e{power}")
    assert read_letter_code(letter_code(value, "F"), "F").value == value


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf"), 12345.0, 1e16])
def test_no_letter_code(value: float) -> None:
    with pytest.raises(QuantityError):
        letter_code(value)


# IEC 60062:2016, clause 4 (symmetrical tolerances in per cent; E, L, P, W from memory).
TOLERANCES = {
    "E": 0.005,
    "L": 0.01,
    "P": 0.02,
    "W": 0.05,
    "B": 0.1,
    "C": 0.25,
    "D": 0.5,
    "F": 1,
    "G": 2,
    "H": 3,
    "J": 5,
    "K": 10,
    "M": 20,
    "N": 30,
}


@pytest.mark.parametrize(("letter", "per_cent"), TOLERANCES.items())
def test_tolerance_letters(letter: str, per_cent: float) -> None:
    assert read_tolerance(letter) == pytest.approx(per_cent / 100, rel=1e-12)
    assert tolerance_letter(per_cent / 100) == letter


def test_a_tolerance_without_a_letter() -> None:
    with pytest.raises(QuantityError, match=r"no letter for ±7 %\."):
        tolerance_letter(0.07)


# The examples of resistorcolorcodes.org, "Color Code Chart" (IEC 60062), and its grey band brought
# to the edition of 2016.
MARKED = [
    ("brown black red gold", 1000.0, 0.05, None),
    ("yellow violet red gold", 4700.0, 0.05, None),
    ("red red orange gold", 22000.0, 0.05, None),
    ("brown black black gold brown", 10.0, 0.01, None),
    # Common practice, no source:
    ("green blue silver silver", 0.56, 0.1, None),
    ("orange orange black brown brown", 3300.0, 0.01, None),
    ("orange orange black brown brown red", 3300.0, 0.01, 50e-6),
    ("violet green black red grey", 75000.0, 0.0001, None),
]


@pytest.mark.parametrize(("colours", "value", "tolerance", "coefficient"), MARKED)
def test_colours(colours: str, value: float, tolerance: float, coefficient: float | None) -> None:
    assert read_colour_code(colours) == (value, tolerance, coefficient)
    bands = len(colours.split())
    assert colour_code(value, tolerance, bands=bands, coefficient=coefficient) == colours


def test_other_spellings_and_three_bands() -> None:
    assert read_colour_code("Gray-Red-Black").value == 82.0
    assert read_colour_code("orange, orange, red").tolerance == 0.2


@given(
    st.sampled_from(series("E96")),
    st.integers(-1, 8),
    st.sampled_from([0.01, 0.02, 0.005, 0.0025, 0.001]),
)
def test_colour_code_round_trip(mantissa: float, power: int, tolerance: float) -> None:
    value = round_to(mantissa * 10.0**power, 3)
    marking = read_colour_code(colour_code(value, tolerance))
    assert (marking.value, marking.tolerance) == (value, tolerance)


@pytest.mark.parametrize(
    ("arguments", "match"),
    [
        ({"value": 0.0}, "finite resistance above zero"),
        ({"value": 4750.0, "bands": 4}, "more than the 2 digits"),
        ({"value": 4700.0, "tolerance": 0.07}, "No colour stands for a tolerance"),
        ({"value": 4700.0, "bands": 7}, "4, 5 or 6 bands, not 7"),
        ({"value": 4700.0, "bands": 6}, "sixth band"),
        ({"value": 1e-6}, "No colour multiplies"),
    ],
)
def test_no_colour_code(arguments: dict[str, float], match: str) -> None:
    with pytest.raises(QuantityError, match=match):
        colour_code(**arguments)  # type: ignore[arg-type]
