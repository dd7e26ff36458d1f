"""Temperature laws and first-order relations of the device models against textbooks."""

from __future__ import annotations

import math

import pytest

from steadypoint.devices import (
    GERMANIUM,
    BipolarModel,
    DiodeModel,
    FetModel,
    NtcModel,
    PtcModel,
    ResistorModel,
    bias_at,
    led_colours,
    led_model,
    saturated_at,
    thermal_voltage,
    zener_model,
    zener_slope,
)
from steadypoint.errors import DeviceError, UnknownNameError
from steadypoint.kernels import static_fet

approx = pytest.approx

T_25 = 298.15
IDEAL = BipolarModel(polarity="npn", I_S=1e-14, beta_F=200.0)
REAL = BipolarModel(
    polarity="npn",
    I_S=1e-14,
    beta_F=250.0,
    V_A=80.0,
    I_knee=0.1,
    I_leak=3e-13,
    n_leak=1.8,
    beta_R=4.0,
    r_b=20.0,
    r_e=0.3,
    r_c=1.0,
    I_CBO=1e-9,
)


def test_shockleys_law_gives_60_mV_per_decade():
    # V_T ln 10 = 59.16 mV at 25 °C (k and e exact, SI Brochure, 9th ed.).
    step = bias_at(IDEAL, 1e-2, 5.0).V_BE - bias_at(IDEAL, 1e-3, 5.0).V_BE
    assert step == approx(59.16e-3, abs=5e-6)


@pytest.mark.parametrize("I_C", [1e-5, 1e-4, 1e-3, 1e-2])
def test_transconductance_is_I_C_over_V_T_to_first_order(I_C: float):
    assert bias_at(IDEAL, I_C, 5.0).g_m == approx(I_C / thermal_voltage(T_25), rel=1e-4)


def test_output_conductance_is_I_C_over_V_A_plus_V_CE():
    # Early's line through -V_A: g_o = I_C / (V_A + V_CE - V_BE) at constant base current.
    model = BipolarModel(polarity="npn", I_S=1e-14, beta_F=200.0, V_A=80.0)
    at = bias_at(model, 1e-3, 5.0)
    assert at.g_o == approx(1e-3 / (80.0 + 5.0 - at.V_BE), rel=1e-3)


def test_beta_falls_at_small_and_at_large_currents():
    beta = [bias_at(REAL, I_C, 2.0).h_FE for I_C in (1e-6, 1e-3, 0.2)]
    assert beta[0] < 0.7 * beta[1]
    assert beta[2] < 0.6 * beta[1]


def test_series_resistances_add_their_drops():
    bare = BipolarModel(polarity="npn", I_S=1e-14, beta_F=100.0)
    wired = BipolarModel(polarity="npn", I_S=1e-14, beta_F=100.0, r_b=50.0, r_e=0.5, r_c=2.0)
    a, b = saturated_at(bare, 20e-3, 2e-3), saturated_at(wired, 20e-3, 2e-3)
    assert approx(2e-3 * 50.0 + 22e-3 * 0.5, rel=1e-9) == b.V_BE - a.V_BE
    assert approx(20e-3 * 2.0 + 22e-3 * 0.5, rel=1e-9) == b.V_CE - a.V_CE


def test_saturation_voltage_of_an_ideal_transistor():
    # Ebers and Moll (Proc. IRE 42, 1954, in transport form, from memory):
    # V_CE = V_T ln[(1 + (1 + I_C/I_B)/beta_R) / (1 - I_C/(I_B beta_F))].
    model = BipolarModel(polarity="npn", I_S=1e-14, beta_F=100.0, beta_R=3.0)
    forced, V_T = 10.0, thermal_voltage(T_25)
    wanted = V_T * math.log((1 + (1 + forced) / 3.0) / (1 - forced / 100.0))
    assert approx(wanted, rel=1e-6) == saturated_at(model, 10e-3, 1e-3).V_CE


@pytest.mark.parametrize("I_C", [1e-4, 1e-3, 1e-2])
def test_V_BE_falls_by_about_2_mV_per_kelvin(I_C: float):
    # Common practice: -2 mV/K at constant current, -1.7 to -2.4 over the usual currents.
    slope = (bias_at(REAL.at(303.15), I_C, 5.0).V_BE - bias_at(REAL.at(293.15), I_C, 5.0).V_BE) / 10
    assert -2.4e-3 < slope < -1.7e-3


def test_leakage_doubles_about_every_10_K():
    # Common practice. From 25 °C to 75 °C five doublings are expected, a factor of 32.
    factor = REAL.at(348.15).I_CBO / REAL.I_CBO
    assert 50.0 / math.log2(factor) == approx(10.0, abs=1.0)


def test_germanium_leakage_doubles_every_9_K_and_its_V_BE_is_steeper():
    model = BipolarModel(polarity="pnp", I_S=4e-7, beta_F=100.0, I_CBO=5e-6, material=GERMANIUM)
    assert 25.0 / math.log2(model.at(323.15).I_CBO / model.I_CBO) == approx(9.5, abs=1.0)
    slope = (bias_at(model.at(303.15), 1e-3, 5.0).V_BE - bias_at(model, 1e-3, 5.0).V_BE) / 5
    assert -2.6e-3 < slope < -1.8e-3


def test_beta_rises_by_about_half_a_percent_per_kelvin():
    rise = IDEAL.at(308.15).beta_F / IDEAL.beta_F
    assert 1.03 < rise < 1.08


def test_at_its_own_temperature_a_model_is_unchanged_and_steps_compose():
    assert REAL.at(T_25) == REAL
    there = REAL.at(340.0)
    back = there.at(T_25)
    assert (back.I_S, back.I_CBO, back.beta_F) == approx((REAL.I_S, REAL.I_CBO, REAL.beta_F))


JFET = FetModel(channel="n", gate="junction", V_GS_th=-2.0, K=1e-3)


def test_jfet_square_law():
    # I_D = I_DSS (1 - V_GS/V_GS_off)², g_m0 = 2 I_DSS/|V_GS_off| (any textbook on JFETs).
    assert approx(4e-3) == JFET.I_DSS
    I_D, _, g_m, *_ = static_fet(-1.0, 10.0, JFET.static)
    assert approx(JFET.I_DSS / 4, rel=1e-9) == I_D
    assert g_m == approx(0.5 * 2 * JFET.I_DSS / 2.0, rel=1e-9)


def test_jfet_has_a_bias_without_drift():
    # Evans, "Designing with Field-Effect Transistors" (from memory): V_GS - V_GS_off = 0.63 V.
    def drift(above: float) -> float:
        hot = static_fet(JFET.V_GS_th + above, 10.0, JFET.at(308.15).static)[0]
        cold = static_fet(JFET.V_GS_th + above, 10.0, JFET.at(288.15).static)[0]
        return float(hot - cold)

    assert drift(0.5) > 0 > drift(0.8)


def test_mosfet_body_diode_and_threshold():
    model = FetModel(channel="n", gate="insulated", V_GS_th=2.0, K=0.1, I_body=1e-13)
    assert static_fet(0.0, 10.0, model.static)[0] == approx(0.0, abs=1e-12)
    assert static_fet(0.0, -0.7, model.static)[0] < -1e-3
    assert model.at(398.15).V_GS_th == approx(1.6)
    assert not model.is_depletion


def test_zener_coefficient_changes_sign_near_5_V():
    # Tunnelling below, avalanche above; data sheets place the change between 5 V and 6 V.
    assert zener_slope(3.9)[0] < 0 < zener_slope(6.2)[0]
    low, high = 4.7, 6.2
    while high - low > 1e-6:
        middle = (low + high) / 2
        low, high = (middle, high) if zener_slope(middle)[0] < 0 else (low, middle)
    assert 5.0 < low < 5.6


def test_zener_carries_its_test_current():
    model = zener_model(6.2)
    assert model.current(-6.2)[0] == approx(-5e-3, rel=1e-6)
    assert approx(6.2 + 50 * 2.3e-3) == model.at(348.15).V_Z


@pytest.mark.parametrize("colour", led_colours())
def test_led_has_its_typical_voltages(colour: str):
    model = led_model(colour)
    slope = (model.at(308.15).forward_voltage(10e-3) - model.forward_voltage(10e-3)) / 10
    assert 1.1 < model.forward_voltage(10e-3) < model.forward_voltage(20e-3) < 3.5
    assert -5e-3 < slope < 0


def test_red_and_blue_led():
    # Common practice: a red LED drops about 2 V, a blue one about 3.2 V at 20 mA.
    assert led_model("red").forward_voltage(20e-3) == approx(2.0, abs=0.01)
    assert led_model("Blue").forward_voltage(20e-3) == approx(3.25, abs=0.01)
    with pytest.raises(UnknownNameError, match="Did you mean 'yellow'"):
        led_model("yelow")


def test_ntc_by_its_B_value():
    # B25/85 = 3977 K, 10 kΩ at 25 °C: 1066 Ω at 85 °C (usual table of such types, from memory).
    ntc = NtcModel(R_25=10e3, B=3977.0)
    assert ntc.at(358.15) == approx(1066.0, rel=5e-3)
    assert ntc.at(T_25) == approx(10e3)


def test_silicon_ptc_and_resistor_coefficient():
    # 1 kΩ at 25 °C gives 1696 Ω at 100 °C (table of a silicon sensor of 1 kΩ, from memory).
    assert PtcModel(R_25=1e3).at(373.15) == approx(1696.0, rel=5e-3)
    assert ResistorModel(R_25=1e3, coefficient=100e-6).at(T_25 + 50) == approx(1005.0)


WRONG = [
    (lambda: BipolarModel(polarity="npn", I_S=1e-14, beta_F=0.0), "beta_F"),
    (lambda: BipolarModel(polarity="npn", I_S=1e-14, beta_F=-5.0), "beta_F"),
    (lambda: BipolarModel(polarity="npn", I_S=1e-14, beta_F=100.0, V_A=0.0), "V_A"),
    (lambda: BipolarModel(polarity="npn", I_S=math.nan, beta_F=100.0), "I_S"),
    (lambda: BipolarModel(polarity="nnp", I_S=1e-14, beta_F=100.0), "npn or pnp"),
    (lambda: BipolarModel(polarity="npn", I_S=1e-14, beta_F=100.0, r_e=-1.0), "r_e"),
    (lambda: IDEAL.at(200.0), "-65 °C to 200 °C"),
    (lambda: IDEAL.at(480.0), "-65 °C to 200 °C"),
    (lambda: IDEAL.at(math.nan), "no number"),
    (lambda: JFET.at(500.0), "-65 °C to 200 °C"),
    (lambda: FetModel(channel="n", gate="junction", V_GS_th=1.0, K=1e-3), "Turn its sign"),
    (lambda: FetModel(channel="x", gate="junction", V_GS_th=-1.0, K=1e-3), "n or p"),
    (lambda: DiodeModel(I_S=0.0), "I_S"),
    (lambda: NtcModel(R_25=-1.0, B=3000.0), "R_25"),
    (lambda: bias_at(IDEAL, 1e-3, 0.001), "cannot carry"),
    (lambda: saturated_at(IDEAL, 1e-3, 1e-6), "larger base current"),
]


@pytest.mark.parametrize(("make", "needle"), WRONG)
def test_figures_without_physics_earn_one_sentence(make, needle: str):
    with pytest.raises(DeviceError, match=needle) as caught:
        make()
    assert str(caught.value).endswith(".")
    assert "\n" not in str(caught.value)
