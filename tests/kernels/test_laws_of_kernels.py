"""Laws of the kernels against mpmath at 40 digits, written down there a second time."""

from __future__ import annotations

import mpmath as mp
import numpy as np
import pytest

from steadypoint.kernels import StaticBipolar, StaticFet, static_bipolar, static_diode, static_fet

approx = pytest.approx

V_T = 0.025692579
BIPOLAR = StaticBipolar(
    I_S=2e-14,
    V_F=V_T,
    inv_beta_F=1 / 220,
    inv_beta_R=1 / 4,
    inv_V_A=1 / 70,
    inv_V_A_R=1 / 12,
    inv_I_knee=1 / 0.08,
    I_leak=4e-15,
    V_leak=1.7 * V_T,
    I_CBO=3e-9,
    V_T=V_T,
)
POINTS = [(0.6, -5.0), (0.72, -0.1), (0.8, 0.7), (0.3, 0.62), (-1.0, -3.0), (0.0, 0.0), (0.9, 0.2)]


def oracle(v_BE, v_BC):
    """Collector and base current after Gummel and Poon, as mpmath computes them."""
    p = BIPOLAR
    i_F = p.I_S * (mp.e ** (v_BE / mp.mpf(p.V_F)) - 1)
    i_R = p.I_S * (mp.e ** (v_BC / mp.mpf(p.V_F)) - 1)
    q_1 = 1 / (1 - v_BC * mp.mpf(p.inv_V_A) - v_BE * mp.mpf(p.inv_V_A_R))
    q_2 = (i_F + i_R) * p.inv_I_knee
    q_2 = q_2 if q_2 > 0 else mp.mpf(0)
    q_b = q_1 / 2 * (1 + mp.sqrt(1 + 4 * q_2))
    leak = p.I_leak * (mp.e ** (v_BE / mp.mpf(p.V_leak)) - 1)
    i_BC = i_R * p.inv_beta_R + p.I_CBO * mp.tanh(v_BC / (2 * mp.mpf(p.V_T)))
    return (i_F - i_R) / q_b - i_BC, i_F * p.inv_beta_F + leak + i_BC


@pytest.mark.parametrize(("v_BE", "v_BC"), POINTS)
def test_bipolar_currents_and_slopes(v_BE: float, v_BC: float):
    with mp.workdps(40):
        x, y = mp.mpf(v_BE), mp.mpf(v_BC)
        wanted = [*oracle(x, y)]
        for which in (0, 1):
            wanted.append(mp.diff(lambda t, w=which: oracle(t, y)[w], x))
            wanted.append(mp.diff(lambda t, w=which: oracle(x, t)[w], y))
        wanted = [float(w) for w in wanted]
    found = static_bipolar(v_BE, v_BC, BIPOLAR)
    assert found == approx(wanted, rel=1e-6, abs=1e-18)


def test_all_laws_work_element_by_element():
    v_BE, v_BC = np.array(POINTS).T
    rows = np.array(static_bipolar(v_BE, v_BC, BIPOLAR)).T
    for row, one in zip(rows, POINTS, strict=True):
        assert row == approx(static_bipolar(*one, BIPOLAR), rel=1e-12, abs=1e-24)


def test_no_current_without_voltage_and_no_power_given_out():
    assert static_bipolar(0.0, 0.0, BIPOLAR)[:2] == (0.0, 0.0)
    rng = np.random.default_rng(3)
    v_BE, v_BC = rng.uniform(-5, 0.9, (2, 2000))
    i_C, i_B, *_ = static_bipolar(v_BE, v_BC, BIPOLAR)
    assert np.min(i_C * (v_BE - v_BC) + i_B * v_BE) > -1e-15


def test_a_huge_voltage_does_not_overflow():
    assert np.all(np.isfinite(static_bipolar(50.0, -50.0, BIPOLAR)))


FETS = {
    "JFET": StaticFet(1.2e-3, -2.1, 1 / 60, 0.0, V_T, 1e-14, V_T),
    "MOSFET": StaticFet(0.05, 1.8, 1 / 40, 1e-13, 1.2 * V_T, 0.0, V_T),
}


def fet_oracle(p: StaticFet, v_GS, v_DS):
    """Square law region by region, with drain and source exchanged below zero."""
    i = -channel_oracle(p, v_GS - v_DS, -v_DS) if v_DS < 0 else channel_oracle(p, v_GS, v_DS)
    body = p.I_body * (mp.e ** (-v_DS / mp.mpf(p.V_body)) - 1)
    i_GS = p.I_gate * (mp.e ** (v_GS / mp.mpf(p.V_T)) - 1)
    i_GD = p.I_gate * (mp.e ** ((v_GS - v_DS) / mp.mpf(p.V_T)) - 1)
    return i - body - i_GD, i_GS + i_GD


def channel_oracle(p: StaticFet, v_GS, v_DS):
    u = v_GS - mp.mpf(p.V_GS_th)
    if u <= 0:
        return mp.mpf(0)
    stretch = 1 + v_DS * mp.mpf(p.inv_V_A)
    if v_DS < u:
        return p.K * (2 * u * v_DS - v_DS**2) * stretch
    return p.K * u**2 * stretch


@pytest.mark.parametrize("name", FETS)
@pytest.mark.parametrize(
    ("v_GS", "v_DS"), [(-1.0, 8.0), (0.2, 0.3), (2.5, 10.0), (4.0, 0.7), (-4.0, 5.0), (2.6, -0.4)]
)
def test_fet_currents_and_slopes(name: str, v_GS: float, v_DS: float):
    p = FETS[name]
    if name == "JFET" and v_GS > 1:
        v_GS = 0.5  # a gate junction is not driven with volts
    with mp.workdps(40):
        x, y = mp.mpf(v_GS), mp.mpf(v_DS)
        wanted = [*fet_oracle(p, x, y)]
        for which in (0, 1):
            wanted.append(mp.diff(lambda t, w=which: fet_oracle(p, t, y)[w], x))
            wanted.append(mp.diff(lambda t, w=which: fet_oracle(p, x, t)[w], y))
        wanted = [float(w) for w in wanted]
    assert static_fet(v_GS, v_DS, p) == approx(wanted, rel=1e-6, abs=1e-18)


@pytest.mark.parametrize("name", FETS)
def test_fet_is_smooth_where_regions_meet(name: str):
    p = FETS[name]
    u = 0.8
    for v_DS in (u, 0.0):
        low = static_fet(p.V_GS_th + u, v_DS - 1e-9, p)
        high = static_fet(p.V_GS_th + u, v_DS + 1e-9, p)
        assert low == approx(high, rel=1e-6, abs=1e-8)


def test_diode_and_breakdown():
    # Shockley's law at 0.6 V, and the stated current at the breakdown voltage.
    i, g = static_diode(0.6, 1e-14, V_T, 5.1, 5e-3, 0.2)
    assert i == approx(1e-14 * float(mp.expm1(mp.mpf(0.6) / mp.mpf(V_T))), rel=1e-9)
    assert g == approx(i / V_T, rel=1e-3)
    i, g = static_diode(-5.1, 1e-14, V_T, 5.1, 5e-3, 0.2)
    assert i == approx(-5e-3, rel=1e-9)
    assert 1 / g == approx(40.0)
    assert static_diode(0.0, 1e-14, V_T, 5.1, 5e-3, 0.2)[0] == approx(0.0, abs=1e-17)
