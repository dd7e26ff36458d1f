"""Input resistance and ratings in a wish, against brute force by textbook formulas."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from steadypoint.choose import Wish, choose
from steadypoint.choose._verify import verified
from steadypoint.circuit import Circuit, read_sheet
from steadypoint.devices import thermal_voltage
from steadypoint.errors import CircuitError, QuantityError

SHEET = """VCC = 12 V
Q1 = npn
from VCC through R1 10k to Q1 base
from Q1 base through R2 10k to ground
from VCC through RC 1k to Q1 collector
from Q1 emitter through RE 1k to ground
from IN through C1 10u to Q1 base
"""
STOCK = (470.0, 1e3, 2.2e3, 4.7e3, 10e3, 22e3, 47e3, 100e3)
NAMES = ("R1", "R2", "RC", "RE")
TOLERANCE = 0.05


def wish(**more: object) -> Wish:
    given: dict[str, object] = {
        "beta": (100.0, 300.0),
        "temperature": (298.15, 298.15),
        "tolerance": TOLERANCE,
        "stock": STOCK,
        "swing": 0.0,
        "most_supply_current": 1.0,
    }
    return Wish(read_sheet(SHEET), 1e-3, **{**given, **more})  # type: ignore[arg-type]


def all_sets() -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """Every set of the stock: worst distance, and extremes over all corners.

    R. L. Boylestad, L. Nashelsky, Electronic Devices and Circuit Theory: 4.5 (exact analysis of
    the divider) and 5 (emitter bias unbypassed: Z_b = beta r_e + (beta + 1) R_E, with beta + 1 for
    beta in the first term too, as r_e carries the emitter current here).
    """
    x = np.array(list(itertools.product(STOCK, repeat=4))).T
    V_BE, r_e = 0.7, thermal_voltage(298.15) / 1e-3
    low, high = np.full(x.shape[1], np.inf), np.full(x.shape[1], -np.inf)
    R_in, P, V_most, V_least = low.copy(), high.copy(), high.copy(), low.copy()
    for signs in itertools.product((1 - TOLERANCE, 1 + TOLERANCE), repeat=4):
        R1, R2, RC, RE = x * np.array(signs)[:, None]
        for beta in (100.0, 300.0):
            I_B = (12 * R2 / (R1 + R2) - V_BE) / (R1 * R2 / (R1 + R2) + (beta + 1) * RE)
            I_C, V_CE = beta * I_B, 12 - beta * I_B * RC - (beta + 1) * I_B * RE
            low, high = np.minimum(low, I_C), np.maximum(high, I_C)
            V_least, V_most = np.minimum(V_least, V_CE), np.maximum(V_most, V_CE)
            P = np.maximum(P, V_CE * I_C)
            R_in = np.minimum(R_in, 1 / (1 / R1 + 1 / R2 + 1 / ((beta + 1) * (r_e + RE))))
    J = np.maximum(high / 1e-3 - 1, 1 - low / 1e-3)
    J[V_least < 1.0] = np.inf
    return J, {"R_in": R_in, "P": P, "V": V_most, "I": high, "x": x}


@pytest.fixture(scope="module")
def every() -> tuple[np.ndarray, dict[str, np.ndarray]]:
    return all_sets()


@pytest.mark.parametrize("ohms", [500.0, 8e3, 20e3])
def test_input_resistance_is_that_of_brute_force(every, ohms: float) -> None:
    J, found = every
    wanted = wish(input_resistance=ohms)
    answer = choose(wanted, 3)
    assert answer.certificate.optimal
    best = J[found["R_in"] >= ohms].min()
    assert min(s.worst_spread for s in answer.sets) == pytest.approx(best, rel=1e-9)
    assert (best > J.min()) == (ohms > found["R_in"][J.argmin()])
    proof = verified(wanted, answer)
    assert proof["valid"], proof["sentence"]


@pytest.mark.parametrize(
    ("limit", "given"), [("V", {"most_voltage": 6.0}), ("I", {"most_current": 1.1e-3})]
)
def test_limits_of_voltage_and_current_are_those_of_brute_force(every, limit, given) -> None:
    J, found = every
    answer = choose(wish(**given), 1)
    best = J[found[limit] <= next(iter(given.values()))].min()
    assert answer.sets[0].worst_spread == pytest.approx(best, rel=1e-9)


@pytest.mark.parametrize("watts", [4.5e-3, 6e-3, 8e-3])
def test_dissipation_is_kept_and_hardly_anything_is_lost(every, watts: float) -> None:
    """Every set given keeps it; no set is lost that stays a twentieth under it."""
    J, found = every
    answer = choose(wish(most_power=watts), 5)
    assert answer.certificate.optimal
    for one in answer.sets:
        values = np.array([one.values[n] for n in NAMES])
        at = (found["x"] == values[:, None]).all(axis=0)
        assert found["P"][at] <= watts
    best = J[found["P"] <= 0.95 * watts].min()
    assert min(s.worst_spread for s in answer.sets) <= best * (1 + 1e-9)


def test_the_greatest_dissipation_may_lie_between_the_corners() -> None:
    """P = V I is greatest at half the supply: a limit at the corners alone would let it through."""
    for one in choose(wish(most_power=5e-3), 5).sets:
        R1, R2, RC, RE = (one.values[n] for n in NAMES)
        for beta in np.linspace(100, 300, 21):
            for share in np.linspace(0.95, 1.05, 21):
                I_B = (12 * R2 / (R1 + R2) - 0.7) / (R1 * R2 / (R1 + R2) + (beta + 1) * RE * share)
                V_CE = 12 - beta * I_B * RC - (beta + 1) * I_B * RE * share
                assert V_CE * beta * I_B <= 5e-3


def test_ratings_of_a_type_hold_without_being_asked_for() -> None:
    sheet = SHEET.replace("Q1 = npn", "Q1 = npn, V_CEO 5 V")
    given = {"tolerance": 0.05, "stock": STOCK, "swing": 0.0, "most_supply_current": 1.0}
    answer = choose(Wish(read_sheet(sheet), 1e-3, **given), 3)  # type: ignore[arg-type]
    assert answer.sets
    assert all(s.point.transistors["Q1"].V_CE <= 5.0 for s in answer.sets)


def test_too_much_input_resistance_names_what_can_be_had() -> None:
    answer = choose(wish(input_resistance=1e6), 1)
    assert not answer.sets
    assert answer.conflict == ("input resistance at least 1.00\u202fMΩ",)
    assert "input resistance of" in answer.remedy
    ohms = float(answer.remedy.split("resistance of ")[1].split("\u202f")[0].split(" ")[0]) * 1e3
    assert choose(wish(input_resistance=ohms), 1).sets


def grounded_base() -> Circuit:
    return read_sheet(SHEET.replace("from IN through C1 10u", "from ground through C1 10u"))


def test_a_shorted_base_has_no_input_resistance() -> None:
    with pytest.raises(CircuitError, match="shorts the base of Q1"):
        choose(Wish(grounded_base(), 1e-3, input_resistance=1e3))


@pytest.mark.parametrize("value", [-1.0, math.inf, math.nan])
def test_limits_out_of_reason_are_refused(value: float) -> None:
    with pytest.raises(QuantityError, match="out of reason"):
        wish(input_resistance=value)
