"""The series of IEC 60063."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadypoint.errors import QuantityError, UnknownNameError
from steadypoint.values import (
    SERIES_TOLERANCE,
    at_least,
    at_most,
    is_in_series,
    nearest,
    neighbours,
    next_down,
    next_up,
    series,
    values_between,
)

# IEC 60063:2015 as printed in Wikipedia, "E-series of preferred numbers", for E3 to E24.
PRINTED = {
    "E3": "1.0 2.2 4.7",
    "E6": "1.0 1.5 2.2 3.3 4.7 6.8",
    "E12": "1.0 1.2 1.5 1.8 2.2 2.7 3.3 3.9 4.7 5.6 6.8 8.2",
    "E24": "1.0 1.1 1.2 1.3 1.5 1.6 1.8 2.0 2.2 2.4 2.7 3.0 "
    "3.3 3.6 3.9 4.3 4.7 5.1 5.6 6.2 6.8 7.5 8.2 9.1",
    # E48 from memory, as data sheets of film resistors print it.
    "E48": "1.00 1.05 1.10 1.15 1.21 1.27 1.33 1.40 1.47 1.54 1.62 1.69 1.78 1.87 1.96 2.05 "
    "2.15 2.26 2.37 2.49 2.61 2.74 2.87 3.01 3.16 3.32 3.48 3.65 3.83 4.02 4.22 4.42 "
    "4.64 4.87 5.11 5.36 5.62 5.90 6.19 6.49 6.81 7.15 7.50 7.87 8.25 8.66 9.09 9.53",
}
NAMES = list(SERIES_TOLERANCE)
VALUES = st.floats(1e-12, 1e9)


@pytest.mark.parametrize("name", PRINTED)
def test_printed_tables(name: str) -> None:
    assert series(name) == tuple(float(m) for m in PRINTED[name].split())


@pytest.mark.parametrize("name", ["E48", "E96", "E192"])
def test_rule_of_the_three_figure_series(name: str) -> None:
    # IEC 60063: 10^(i/n) rounded to three figures; the one exception is 9.20 (9.19) of E192.
    count = int(name[1:])
    ruled = [round(100 * 10 ** (i / count)) / 100 for i in range(count)]
    odd = {r: p for r, p in zip(ruled, series(name), strict=True) if r != p}
    assert odd == ({9.19: 9.2} if name == "E192" else {})


def test_exceptions_of_the_two_figure_series() -> None:
    ruled = [round(10 * 10 ** (i / 24)) / 10 for i in range(24)]
    odd = {r: p for r, p in zip(ruled, series("E24"), strict=True) if r != p}
    # Wikipedia, "E-series of preferred numbers": eight values deviate from the rule.
    assert odd == {2.6: 2.7, 2.9: 3.0, 3.2: 3.3, 3.5: 3.6, 3.8: 3.9, 4.2: 4.3, 4.6: 4.7, 8.3: 8.2}


@pytest.mark.parametrize("name", NAMES)
def test_size_order_and_nesting(name: str) -> None:
    values = series(name)
    assert len(values) == int(name[1:]) == len(set(values))
    assert list(values) == sorted(values)
    if name not in ("E3", "E48"):
        assert set(series(NAMES[NAMES.index(name) - 1])) < set(values)


def test_name_is_read_in_any_case_and_others_are_refused() -> None:
    assert series("e12") == series("E12")
    with pytest.raises(UnknownNameError) as caught:
        series("E13")
    assert str(caught.value) == (
        "There is no series 'E13' of preferred values. Use E3, E6, E12, E24, E48, E96, E192."
    )


@given(VALUES, st.sampled_from(NAMES))
def test_nearest_is_nearest(value: float, name: str) -> None:
    found = nearest(value, name)
    power = math.floor(math.log10(value))
    others = [float(f"{m}e{p}") for p in (power - 1, power, power + 1) for m in series(name)]
    assert found in others
    distance = abs(math.log(found / value))
    assert all(distance <= abs(math.log(other / value)) + 1e-11 for other in others)


@given(VALUES, st.sampled_from(NAMES))
def test_neighbours_enclose(value: float, name: str) -> None:
    below, above = neighbours(value, name)
    assert below < value < above
    assert is_in_series(below, name)
    assert is_in_series(above, name)
    assert values_between(below, above, name)[0] == below
    inside = values_between(below, above, name)[1:-1]
    assert inside == () or is_in_series(value, name)
    assert next_down(above, name) in (below, *inside)
    assert at_most(value, name) <= value * (1 + 1e-11)
    assert at_least(value, name) >= value * (1 - 1e-11)


def test_across_the_decade_and_exact_floats() -> None:
    assert next_up(9.1e3) == 1e4
    assert next_down(1e4) == 9.1e3
    assert nearest(9.7e-6) == 1e-5
    assert values_between(8.2, 15.0, "E12") == (8.2, 10.0, 12.0, 15.0)
    assert values_between(1e4, 1e4, "E12") == (1e4,)
    assert is_in_series(4699.99999999999, "E6")
    assert next_up(4699.99999999999, "E6") == 6800.0


@pytest.mark.parametrize("name", NAMES)
def test_no_tie_can_arise(name: str) -> None:
    values = [round(1000 * m) for m in (*series(name), 10.0)]
    for low, high in pairwise(values):
        assert math.isqrt(low * high) ** 2 != low * high


@pytest.mark.parametrize("value", [0.0, -4700.0, float("nan"), float("inf")])
def test_no_preferred_value(value: float) -> None:
    for verb in (nearest, next_up, next_down, at_least, at_most, is_in_series):
        with pytest.raises(QuantityError):
            verb(value, "E24")


def test_swapped_limits() -> None:
    with pytest.raises(QuantityError, match="nothing between 20 and 10: swap the limits"):
        values_between(20.0, 10.0)
