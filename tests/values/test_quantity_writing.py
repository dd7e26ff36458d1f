"""Writing of quantities: digits, prefixes, rounding, spaces."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadypoint.errors import QuantityError
from steadypoint.values import Shown, format_quantity, round_to, shown

WRITTEN = [
    (3.7449, "V", 3, "3.74 V"),
    (0.00374, "A", 3, "3.74 mA"),
    (3300.0, "Ω", 3, "3.30 kΩ"),
    (3300.0, "Ω", None, "3.3 kΩ"),
    (999.96, "Hz", 4, "1.000 kHz"),
    (999.94, "Hz", 4, "999.9 Hz"),
    (0.0009996, "A", 3, "1.00 mA"),
    (123456.0, "Ω", 2, "120 kΩ"),
    (0.65, "V", 2, "0.65 V"),
    (0.1, "V", 3, "0.100 V"),
    (0.09996, "V", 3, "0.100 V"),
    (0.0258, "V", 3, "25.8 mV"),
    (0.47, "Ω", 2, "0.47 Ω"),
    (0.25, "W", 2, "250 mW"),
    (1e-7, "F", 3, "100 nF"),
    (1e-5, "F", None, "10 µF"),
    (4.7e-12, "F", 2, "4.7 pF"),
    (1e-14, "A", 1, "10 fA"),
    (2.2e-17, "A", 2, "2.2 × 10⁻¹⁷ A"),
    (1.5e13, "Ω", 2, "1.5 × 10¹³ Ω"),
    (-9.0, "V", 1, "-9 V"),
    (0.0, "V", 3, "0 V"),
    (-0.0, "V", 3, "0 V"),
    (150.0, "", 3, "150"),
    (0.99, "", 2, "0.99"),
    (12345.0, "", 3, "12300"),
    (1.5e-9, "", 2, "1.5 × 10⁻⁹"),
    (298.15, "°C", 3, "25.0 °C"),
    (233.15, "°C", 2, "-40 °C"),
    (273.15, "°C", 3, "0 °C"),
    (298.15, "K", 4, "298.2 K"),
    (0.05, "%", 1, "5 %"),
    (0.1234, "%", 3, "12.3 %"),
    (-0.002, "V/K", 1, "-2 mV/K"),
    (200.0, "K/W", 3, "200 K/W"),
    (float("inf"), "V", 3, "∞ V"),
    (0.1 + 0.2, "V", None, "0.3 V"),
]


@pytest.mark.parametrize(("value", "unit", "digits", "text"), WRITTEN)
def test_plain_writing(value: float, unit: str, digits: int | None, text: str) -> None:
    assert format_quantity(value, unit, digits, plain=True) == text


def test_typographic_writing_has_true_minus_and_narrow_space() -> None:
    # SI Brochure, 9th ed., 5.4.3: a space between number and unit, also before °C and %.
    assert format_quantity(-0.00374, "A") == "\u22123.74\u202fmA"
    assert format_quantity(298.15, "°C", 2) == "25\u202f°C"
    assert format_quantity(0.05, "%", 1) == "5\u202f%"


def test_decimal_comma_is_written_on_demand() -> None:
    assert format_quantity(0.00374, "A", decimal_mark=",") == "3,74\u202fmA"


def test_parts_for_a_typesetter() -> None:
    assert shown(-0.00374, "A") == Shown("\u22123.74", "mA")
    assert shown(150.0) == Shown("150", "")
    assert shown(3300.0, "Ω", 2).join(" ") == "3.3 kΩ"


def test_a_column_can_share_its_prefix() -> None:
    column = [shown(v, "A", 3, prefix="m").number for v in (0.0102, 0.00374, 0.000052)]
    assert column == ["10.2", "3.74", "0.0520"]
    assert shown(0.0, "A", 3, prefix="m") == Shown("0", "mA")
    assert shown(0.65, "V", 2, prefix="m") == Shown("650", "mV")
    assert shown(5.0, "V", 1, prefix="") == Shown("5", "V")


# 2.675 and 1.005 have no exact float and lie below the half in binary; a reader sees the decimal.
@pytest.mark.parametrize(
    ("value", "digits", "away", "even"),
    [
        (2.675, 3, 2.68, 2.68),
        (2.665, 3, 2.67, 2.66),
        (1.005, 3, 1.01, 1.0),
        (-2.665, 3, -2.67, -2.66),
        (0.125, 2, 0.13, 0.12),
        (2.5, 1, 3.0, 2.0),
    ],
)
def test_halves_by_iso_80000_1_annex_b(value: float, digits: int, away: float, even: float) -> None:
    assert round_to(value, digits) == away
    assert round_to(value, digits, halves="even") == even


@given(st.floats(1e-12, 1e12), st.integers(1, 12))
def test_rounding_agrees_with_the_decimal_module(value: float, digits: int) -> None:
    exact = Decimal(repr(value))
    step = Decimal(1).scaleb(exact.adjusted() - digits + 1)
    assert round_to(value, digits) == float(exact.quantize(step, ROUND_HALF_UP))


@given(st.floats(1e-15, 1e12), st.integers(3, 12))
def test_the_number_lies_between_one_and_a_thousand(value: float, digits: int) -> None:
    number, unit = shown(value, "A", digits)
    if "×" not in number:
        assert 1 <= float(number) < 1000
        assert len(number.replace(".", "").lstrip("0")) == digits or float(number) >= 100
    assert unit in {p + "A" for p in ("f", "p", "n", "µ", "m", "", "k", "M", "G")}


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        ({"value": float("nan")}, "A value that is not a number cannot be written."),
        (
            {"value": 1.0, "digits": 0},
            "0 significant digits cannot be written. Ask for at least 1.",
        ),
        (
            {"value": 1.0, "prefix": "c"},
            "'c' is no prefix that is written. Use one of f, p, n, µ, m, k, M, G.",
        ),
        (
            {"value": 300.0, "unit": "K", "prefix": "m"},
            "A temperature takes no prefix, so not 'm'.",
        ),
        ({"value": 1.0, "decimal_mark": ";"}, "';' is no decimal mark. Use '.' or ','."),
    ],
)
def test_refusals(arguments: dict[str, object], sentence: str) -> None:
    with pytest.raises(QuantityError) as caught:
        format_quantity(**{"unit": "V", **arguments})  # type: ignore[arg-type]
    assert str(caught.value) == sentence
