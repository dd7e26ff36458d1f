"""Registered types on the device rung: the catalogue's full model, and when it stands back.

Held against `bias_at` and `saturated_at` (Newton's method at given terminal values, no circuit),
and against `scipy.optimize.root` on node equations with the charge-control law written here after
Gummel and Poon 1970.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import root

from steadypoint.circuit import apply_setting, read_sheet
from steadypoint.devices import (
    bias_at,
    drain_current,
    model_of,
    saturated_at,
    thermal_voltage,
)
from steadypoint.kernels import static_bipolar, static_bipolar_float
from steadypoint.solve import Region, operating_point, solve, solve_many

DIVIDER = """
VCC = 9 V
Q1 = {type}
from VCC through R1 68k to Q1 base
from Q1 base through R2 18k to ground
from VCC through RC 2k2 to Q1 collector
from Q1 emitter through RE 560 to ground
"""

MIRRORED = """
VEE = -9 V
Q1 = {type}
from VEE through R1 68k to Q1 base
from Q1 base through R2 18k to ground
from VEE through RC 2k2 to Q1 collector
from Q1 emitter through RE 560 to ground
"""


def sheet_of(type_name):
    pnp = model_of(type_name).polarity == "pnp"
    return read_sheet((MIRRORED if pnp else DIVIDER).format(type=type_name))


TYPES = ("2N3904", "2N3906", "BC547B", "BC557B", "2N2222A", "BD139-10", "AC128", "AC127", "OC71")


@pytest.mark.parametrize("type_name", TYPES)
@pytest.mark.parametrize("celsius", [-20.0, 25.0, 40.0])
def test_terminal_values_are_those_of_the_model(type_name, celsius):
    T = celsius + 273.15
    t = operating_point(sheet_of(type_name), "device", temperature=T).transistors["Q1"]
    assert t.region is Region.ACTIVE
    b = bias_at(model_of(type_name).at(T), abs(t.I_C), abs(t.V_CE))
    # 1 pS lies across every junction of the solver, hence the floor.
    assert abs(t.V_BE) == pytest.approx(b.V_BE, abs=1e-7)
    assert abs(t.I_B) == pytest.approx(b.I_B, rel=1e-5, abs=2e-11)


def test_saturation_voltages_are_those_of_the_model():
    circuit = read_sheet(
        """
        VCC = 12 V
        Q1 = 2N2222A
        from VCC through RC 120 to Q1 collector
        from VCC through RB 2k2 to Q1 base
        from Q1 emitter to ground
        """
    )
    t = operating_point(circuit, "device").transistors["Q1"]
    assert t.region is Region.SATURATION
    b = saturated_at(model_of("2N2222A"), t.I_C, t.I_B)
    assert pytest.approx((b.V_CE, b.V_BE), abs=1e-6) == (t.V_CE, t.V_BE)


def charge_control(v_BE, v_BC, m):
    """I_C and I_B of an npn by Gummel and Poon's equations, written for this test."""
    V_T = thermal_voltage(m.temperature)
    i_F, i_R = (m.I_S * math.expm1(min(v / (m.n_F * V_T), 60.0)) for v in (v_BE, v_BC))
    q_1 = 1.0 / (1.0 - v_BC / m.V_A - v_BE / m.V_A_R)
    q_2 = (i_F + i_R) / m.I_knee
    q_b = q_1 * (1.0 + math.sqrt(1.0 + 4.0 * max(q_2, -0.2))) / 2.0
    i_BC = i_R / m.beta_R + m.I_CBO * math.tanh(v_BC / (2.0 * V_T))
    leak = m.I_leak * math.expm1(min(v_BE / (m.n_leak * V_T), 60.0))
    return (i_F - i_R) / q_b - i_BC, i_F / m.beta_F + leak + i_BC


@pytest.mark.parametrize("type_name", ["2N3904", "BC547B", "TIP31C", "AC127"])
@pytest.mark.parametrize("T", [273.15, 298.15, 343.15])
def test_divider_agrees_with_scipy(type_name, T):
    circuit = sheet_of(type_name)
    p = operating_point(circuit, "device", temperature=T)
    m = model_of(type_name).at(T)
    V_T = m.n_F * thermal_voltage(T)

    def imbalance(x):
        V_B, V_C, V_E, v_BE, v_BC = x * np.array([1.0, 1.0, 1.0, V_T, V_T])
        I_C, I_B = charge_control(v_BE, v_BC, m)
        v_B, v_C, v_E = V_B - I_B * m.r_b, V_C - I_C * m.r_c, V_E + (I_B + I_C) * m.r_e
        return [
            1e4 * ((9.0 - V_B) / 68e3 - V_B / 18e3 - I_B),
            1e3 * ((9.0 - V_C) / 2.2e3 - I_C),
            1e3 * (V_E / 560.0 - I_B - I_C),
            (v_B - v_E - v_BE) / V_T,
            (v_B - v_C - v_BC) / V_T,
        ]

    t = p.transistors["Q1"]
    start = np.array([t.V_B + 0.02, t.V_C + 0.2, t.V_E + 0.02, 0, 0])
    start[3:] = (t.V_B - t.V_E) / V_T, (t.V_B - t.V_C) / V_T
    found = root(imbalance, start, method="lm", options={"xtol": 1e-14, "ftol": 1e-14})
    assert found.success
    assert max(abs(found.fun)) < 1e-9
    assert pytest.approx(found.x[:3], abs=3e-7) == (t.V_B, t.V_C, t.V_E)


def test_float_law_is_the_law_of_arrays():
    for type_name in TYPES:
        for T in (230.0, 298.15, 420.0):
            p = model_of(type_name).at(T).static
            for v_BE in (-8.0, 0.0, 0.4, 0.7, 3.0):
                for v_BC in (-30.0, -0.01, 0.5, 2.9):
                    array = [float(x) for x in static_bipolar(v_BE, v_BC, p)]
                    # g_BC is left of 1 - tanh², which cancels in reverse.
                    assert static_bipolar_float(v_BE, v_BC, p) == pytest.approx(
                        array, rel=1e-9, abs=1e-24
                    )


def test_stated_data_of_the_simple_law_go_first():
    circuit = sheet_of("2N3904")
    full = operating_point(circuit, "device").transistors["Q1"]
    simple = operating_point(apply_setting(circuit, "beta=120"), "device").transistors["Q1"]
    assert pytest.approx(120.0, rel=0.1) == simple.I_C / simple.I_B
    generic = read_sheet(DIVIDER.format(type="npn, beta 120, V_BE 0.65 V"))
    typed = read_sheet(DIVIDER.format(type="npn 2N3904, beta 120, I_S 10 fA, V_A 80 V"))
    plain = read_sheet(DIVIDER.format(type="npn, beta 120, I_S 10 fA, V_A 80 V"))
    one = operating_point(typed, "device").transistors["Q1"]
    other = operating_point(plain, "device").transistors["Q1"]
    assert (one.I_C, one.V_BE) == (other.I_C, other.V_BE)
    assert operating_point(generic, "device").transistors["Q1"].I_C != full.I_C


def test_stated_early_voltage_replaces_that_of_the_model():
    circuit = apply_setting(sheet_of("2N3904"), "Q1.V_A=30")
    t = operating_point(circuit, "device").transistors["Q1"]
    b = bias_at(replace(model_of("2N3904"), V_A=30.0), t.I_C, t.V_CE)
    assert pytest.approx((b.I_B, b.V_BE), rel=1e-6) == (t.I_B, t.V_BE)


# Beta grows by about 0.5 to 0.7 %/K (common practice, from memory); knee and leak bend that.
def test_beta_grows_with_temperature():
    circuit = sheet_of("BC547B")
    cold, warm = (
        operating_point(circuit, "device", temperature=T).transistors["Q1"]
        for T in (298.15, 308.15)
    )
    assert 1.03 < (warm.I_C / warm.I_B) / (cold.I_C / cold.I_B) < 1.09


# Germanium leaks microamperes at 25 °C, twice as much every 9 K or so (data books, from memory).
def test_germanium_leakage_doubles_and_is_amplified_with_an_open_base():
    sheet = """
        VCC = -9 V
        Q1 = AC128
        from VCC through RC 10 to Q1 collector
        from Q1 base through RB {base} to ground
        from Q1 emitter through RE {emitter} to ground
        """
    I_CBO, I_CEO = (
        [
            abs(operating_point(read_sheet(text), "device", temperature=T).transistors["Q1"].I_C)
            for T in (298.15, 307.15)
        ]
        for text in (
            sheet.format(base="1", emitter="1G"),
            sheet.format(base="1G", emitter="1"),
        )
    )
    assert 1e-6 < I_CBO[0] < 20e-6
    assert 1.6 < I_CBO[1] / I_CBO[0] < 2.4
    assert I_CEO[0] > 8 * I_CBO[0]


# At 60 °C the leakage of a germanium type lifts this divider into saturation: why silicon came.
def test_divider_that_holds_silicon_loses_germanium_when_hot():
    hot = 333.15
    of = {
        name: operating_point(sheet_of(name), "device", temperature=hot)
        for name in ("OC71", "BC557B")
    }
    assert of["OC71"].transistors["Q1"].region is Region.SATURATION
    assert of["BC557B"].transistors["Q1"].region is Region.ACTIVE


@pytest.mark.parametrize(
    "type_name", ["BF245A", "BF245B", "2N5457", "2N3819", "J201", "J310", "2N5460"]
)
@pytest.mark.parametrize("T", [258.15, 298.15, 348.15])
def test_self_biased_jfet_has_the_current_of_its_model(type_name, T):
    sign = -1 if model_of(type_name).channel == "p" else 1
    circuit = read_sheet(
        f"""
        VDD = {sign * 15} V
        Q1 = {type_name}
        from VDD through RD 1k to Q1 drain
        from Q1 gate through RG 1M to ground
        from Q1 source through RS 470 to ground
        """
    )
    f = operating_point(circuit, "device", temperature=T).fets["Q1"]
    # The gate junctions add picoamperes to the drain.
    model = model_of(type_name).at(T)
    expected = drain_current(model, sign * f.V_GS, sign * f.V_DS)
    assert pytest.approx(sign * expected, rel=1e-6) == f.I_D


@pytest.mark.parametrize("type_name", ["2N7000", "BS170", "BSS84", "BS250", "LND150"])
def test_mosfet_switch_has_the_current_of_its_model(type_name):
    sign = -1 if model_of(type_name).channel == "p" else 1
    circuit = read_sheet(
        f"""
        VDD = {sign * 10} V
        Q1 = {type_name}
        from VDD through RD 1k to Q1 drain
        from VDD through R1 100k to Q1 gate
        from Q1 gate through R2 100k to ground
        from Q1 source to ground
        """
    )
    p = operating_point(circuit, "device")
    f = p.fets["Q1"]
    expected = drain_current(model_of(type_name), abs(f.V_GS), abs(f.V_DS))
    assert abs(f.I_D) == pytest.approx(expected, rel=1e-6)
    assert p.residual < 1e-9


def test_many_points_equal_single_ones():
    circuit = sheet_of("2N3904")
    sets = {"R1": np.array([60e3, 68e3, 75e3]), "temperature": np.array([280.0, 298.15, 320.0])}
    many = solve_many(circuit, sets)
    for k, (R_1, T) in enumerate(zip(*sets.values(), strict=True)):
        one = operating_point(apply_setting(circuit, f"R1={R_1}"), "device", temperature=T)
        assert many.transistors["Q1"].I_C[k] == one.transistors["Q1"].I_C
        assert many.transistors["Q1"].V_BE[k] == one.transistors["Q1"].V_BE


def test_many_points_of_a_varied_beta_take_the_simple_law_as_single_ones_do():
    circuit = sheet_of("2N3904")
    beta = np.array([80.0, 150.0, 280.0])
    many = solve_many(circuit, {"beta": beta})
    for k, b in enumerate(beta):
        one = operating_point(apply_setting(circuit, f"beta={b}"), "device").transistors["Q1"]
        assert many.transistors["Q1"].I_C[k] == pytest.approx(one.I_C, rel=1e-9)


def test_matched_pair_of_a_type_shares_its_current():
    circuit = read_sheet(
        """
        VCC = 12 V
        Q1 = BC547B
        Q2 = npn, matched to Q1
        from VCC through RREF 10k to Q1 collector
        from Q1 collector to Q1 base
        from Q1 base to Q2 base
        from Q1 emitter to ground
        from Q2 emitter to ground
        from VCC through RL 1k to Q2 collector
        """
    )
    found = solve(circuit, "device")
    q = found.value.transistors
    # Early effect: 1 + (V_CE2 - V_CE1)/V_A for the same V_BE, less the base currents.
    widened = (q["Q2"].V_CE - q["Q1"].V_CE) / model_of("BC547B").V_A
    assert pytest.approx(1 + widened, rel=0.02) == q["Q2"].I_C / q["Q1"].I_C
