"""Reading of what people type, by the rules of docs/reference-values.md."""

from __future__ import annotations

from math import isfinite

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadypoint.errors import QuantityError
from steadypoint.values import Quantity, format_quantity, read_quantity, read_tolerance, round_to
from steadypoint.values._units import UNITS

# Text, unit, value in SI, stated digits. The values follow from the prefixes of the SI Brochure,
# 9th ed., table 7, and the letter code of IEC 60062.
READ = [
    ("3k3", "Ω", 3300.0, 2),
    ("3K3", "Ω", 3300.0, 2),
    ("3.3 kΩ", "Ω", 3300.0, 2),
    ("3.3k\u2126", "Ω", 3300.0, 2),
    ("3.3kohm", "Ω", 3300.0, 2),
    ("3k3 ohms", "Ω", 3300.0, 2),
    ("3.30k", "Ω", 3300.0, 3),
    ("3300", "Ω", 3300.0, 2),
    ("3300.", "Ω", 3300.0, 4),
    ("3 300 Ω", "Ω", 3300.0, 2),
    ("3\u202f300\u202fΩ", "Ω", 3300.0, 2),
    ("4R7", "Ω", 4.7, 2),
    ("4Ω7", "Ω", 4.7, 2),
    ("R47", "Ω", 0.47, 2),
    ("100R", "Ω", 100.0, 1),
    ("1M", "Ω", 1e6, 1),
    ("1m", "Ω", 1e-3, 1),
    ("4M7", "Ω", 4.7e6, 2),
    ("4m7", "Ω", 4.7e-3, 2),
    ("1e3", "Ω", 1000.0, 1),
    ("10u", "F", 10e-6, 1),
    ("10 \u00b5F", "F", 10e-6, 1),
    ("10 \u03bcF", "F", 10e-6, 1),
    ("4n7", "F", 4.7e-9, 2),
    ("100 nF", "F", 100e-9, 1),
    ("0.65V", "V", 0.65, 2),
    ("2V7", "V", 2.7, 2),
    (".7", "V", 0.7, 1),
    ("-9 V", "V", -9.0, 1),
    ("\u22129 V", "V", -9.0, 1),
    ("\u20139 V", "V", -9.0, 1),
    ("+5 V", "V", 5.0, 1),
    ("650 mV", "V", 0.65, 2),
    ("0", "V", 0.0, 1),
    ("-0", "V", 0.0, 1),
    ("2.5 mA", "A", 2.5e-3, 2),
    ("2m5", "A", 2.5e-3, 2),
    ("1e-14 A", "A", 1e-14, 1),
    ("2.2 × 10⁻¹⁶ A", "A", 2.2e-16, 2),
    ("2.2*10^-16", "A", 2.2e-16, 2),
    ("10 mH", "H", 10e-3, 1),
    ("250 mW", "W", 0.25, 2),
    ("1k5", "Hz", 1500.0, 2),
    ("40 mS", "S", 0.04, 1),
    ("20 ms", "s", 0.02, 1),
    ("25 °C", "K", 298.15, 2),
    ("25°C", "K", 298.15, 2),
    ("25 ℃", "K", 298.15, 2),
    ("\u221240 °C", "K", 233.15, 1),
    ("25.0 degC", "K", 298.15, 3),
    ("298 K", "K", 298.0, 3),
    ("-2 mV/K", "V/K", -0.002, 1),
    ("200 K/W", "K/W", 200.0, 1),
    ("150", "", 150.0, 2),
    ("0.99", "", 0.99, 2),
    ("  12 V  ", "V", 12.0, 2),
]


@pytest.mark.parametrize(("text", "unit", "value", "digits"), READ)
def test_what_people_type_is_read(text: str, unit: str, value: float, digits: int) -> None:
    quantity = read_quantity(text, unit)
    assert (quantity.value, quantity.unit, quantity.digits) == (value, unit, digits)
    assert quantity.written == text.strip()


def test_minus_zero_is_zero() -> None:
    assert str(read_quantity("-0", "V").value) == "0.0"


def test_a_bare_number_of_degrees_where_degrees_are_wanted() -> None:
    assert read_quantity("25", "°C") == read_quantity("25 °C", "K") == Quantity(298.15, "K")
    assert read_quantity("-40", "°C").text(plain=True) == "-40 °C"
    assert read_quantity("298 K", "°C").value == 298.0
    with pytest.raises(QuantityError, match="Here a temperature is missing"):
        read_quantity(" ", "°C")


def test_notebooks_show_the_written_quantity() -> None:
    assert read_quantity("3k3", "Ω")._repr_mimebundle_()["text/plain"] == "3.3\u202fkΩ"


def test_equality_is_by_value_and_unit() -> None:
    assert read_quantity("3k3", "Ω") == read_quantity("3.30 kΩ", "Ω") == Quantity(3300.0, "Ω")


def test_a_quantity_writes_itself_at_its_stated_digits() -> None:
    assert read_quantity("3.30k", "Ω").text(plain=True) == "3.30 kΩ"
    assert read_quantity("25 °C", "K").text(plain=True) == "25 °C"
    assert read_quantity("298 K", "K").text(plain=True) == "298 K"
    assert str(Quantity(-0.65, "V")) == "\u22120.65\u202fV"


@pytest.mark.parametrize(
    ("text", "tolerance"),
    [("±5%", 0.05), ("5 %", 0.05), ("+/-5%", 0.05), ("0.1 %", 0.001), ("J", 0.05), ("F", 0.01)],
)
def test_tolerances(text: str, tolerance: float) -> None:
    assert read_tolerance(text) == tolerance


VALUES = st.floats(1e-15, 1e12) | st.floats(-1e12, -1e-15)
DIGITS = st.integers(1, 12)
DIRECT = [u for u in UNITS if u != "K"]


@given(VALUES, st.sampled_from(DIRECT), DIGITS, st.booleans())
def test_reading_undoes_writing(value: float, unit: str, digits: int, plain: bool) -> None:
    text = format_quantity(value, unit, digits, plain=plain)
    assert read_quantity(text, unit).value == round_to(value, digits)


@given(VALUES, st.sampled_from(DIRECT))
def test_reading_undoes_writing_of_all_digits(value: float, unit: str) -> None:
    short = round_to(value, 12)
    assert read_quantity(format_quantity(short, unit, None), unit).value == short


@given(st.decimals(-273, 900, places=1), st.booleans())
def test_reading_undoes_writing_of_temperatures(celsius: object, plain: bool) -> None:
    kelvin = read_quantity(f"{celsius} °C", "K").value
    assert read_quantity(format_quantity(kelvin, "°C", None, plain=plain), "K").value == kelvin


@given(st.integers(1, 10**6), st.integers(-9, 9))
def test_stated_digits_survive_writing_where_no_zero_is_padded(figures: int, power: int) -> None:
    quantity = read_quantity(f"{figures}e{power}", "V")
    again = read_quantity(quantity.text(), "V")
    assert again == quantity
    assert again.digits is not None
    assert quantity.digits is not None
    assert again.digits <= quantity.digits


@given(st.text(max_size=30), st.sampled_from(list(UNITS)))
def test_any_text_is_read_or_refused_in_a_sentence(text: str, unit: str) -> None:
    try:
        quantity = read_quantity(text, unit)
    except QuantityError as refusal:
        sentence = str(refusal)
    else:
        sentence = f"{quantity.value} is finite." if isfinite(quantity.value) else ""
    assert sentence.endswith(".")
