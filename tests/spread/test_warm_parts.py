"""Parts that follow the temperature are causes of a drift of their own."""

from __future__ import annotations

import math

import pytest

from steadypoint.circuit import read_sheet
from steadypoint.solve import operating_point
from steadypoint.spread import read_variation, tolerances, warm_shift, worst_case

SHEET = """
VCC = 9 V
Q1 = npn, beta 150
from VCC through R1 15k to Q1 base
from Q1 base through RT NTC 2k2 B 3400 K, R2 1k to ground
from VCC through RC 1k to Q1 collector
from Q1 emitter through RE 220 TCR 0.4 %/K to ground
"""


WARM = 2200 * math.exp(3400 * (1 / 318.15 - 1 / 298.15))
"""Resistance of RT at 45 °C by IEC 60539-1, R = R25 exp(B (1/T - 1/T25)). [Ω]"""


def test_a_thermistor_is_a_cause_of_its_own():
    shift = warm_shift(read_sheet(SHEET), "I_C", 298.15, 318.15)
    causes = {cause.symbol: cause for cause in shift.causes}
    assert {"RT", "RE", "V_BE", "β"} <= causes.keys()
    assert causes["RT"].before == 2200.0
    assert causes["RT"].after == pytest.approx(WARM)
    assert causes["RE"].after == pytest.approx(220 * 1.08)
    alone = operating_point(read_sheet(SHEET).with_value("RT", causes["RT"].after), "exact")
    cold = operating_point(read_sheet(SHEET), "exact")
    moved = alone.transistors["Q1"].I_C - cold.transistors["Q1"].I_C
    # The cold point of the sum has the leakage of 25 °C in it.
    assert causes["RT"].moved == pytest.approx(moved, rel=1e-3)
    assert causes["RT"].moved < 0 < causes["V_BE"].moved


def test_a_thermistor_in_the_divider_takes_most_of_the_drift_away():
    plain = read_sheet(SHEET.replace("NTC 2k2 B 3400 K", "2k2").replace(" TCR 0.4 %/K", ""))
    other = SHEET.replace("NTC 2k2 B 3400 K, R2 1k", "NTC 180 B 3400 K, R2 3k02")
    held = read_sheet(other.replace(" TCR 0.4 %/K", ""))
    drift = warm_shift(plain, "I_C", 298.15, 318.15).together
    assert abs(warm_shift(held, "I_C", 298.15, 318.15).together) < 0.3 * abs(drift)


def test_the_sum_starts_at_the_value_of_its_first_temperature():
    shift = warm_shift(read_sheet(SHEET), "I_C", 318.15, 298.15)
    rt = next(cause for cause in shift.causes if cause.symbol == "RT")
    assert (rt.before, rt.after) == (pytest.approx(WARM), 2200.0)


def test_worst_case_takes_a_thermistor_at_its_temperature():
    sheet = "temperature = 45 °C\n" + SHEET.replace("2k2 B", "2k2 ±10% B")
    circuit = read_sheet(sheet)
    found = worst_case(circuit, tolerances(circuit), ["I_C"]).extremes["Q1.I_C"]
    ends = sorted(
        operating_point(circuit.with_value("RT", 2200.0 * share)).transistors["Q1"].I_C
        for share in (0.9, 1.1)
    )
    assert [found.low, found.high] == pytest.approx(ends)
    assert not found.proved


def test_worst_case_over_temperature_moves_the_thermistor():
    circuit = read_sheet(SHEET)
    box = [read_variation(circuit, "temperature 25C..45C")]
    found = worst_case(circuit, box, ["I_C"]).extremes["Q1.I_C"]
    warm = warm_shift(circuit, "I_C", 298.15, 318.15)
    by_parts = sum(c.moved for c in warm.causes if c.symbol in ("RT", "RE", "V_BE"))
    assert found.low - found.high == pytest.approx(by_parts, rel=0.1)
