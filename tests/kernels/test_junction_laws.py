"""Kernels against mpmath and against their own definition."""

from __future__ import annotations

import math

import mpmath
import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadypoint.kernels import (
    junction,
    leakage,
    limited,
    transport_currents,
    transport_slopes,
)

V_T = 0.0257
I_S = 1e-14
TOP = V_T * math.log(1e3 / I_S)


@given(st.floats(-5.0, 0.9))
def test_junction_is_shockleys_exponential(v):
    # Shockley's law; mpmath at 30 digits is the outside.
    with mpmath.workdps(30):
        expected = mpmath.mpf(I_S) * mpmath.exp(mpmath.mpf(v) / mpmath.mpf(V_T))
        slope = expected / mpmath.mpf(V_T)
    current, g = junction(v, I_S, V_T, TOP)
    assert current == pytest.approx(float(expected), rel=1e-13)
    assert g == pytest.approx(float(slope), rel=1e-13)


def test_junction_goes_on_along_its_tangent_above_a_kiloampere():
    below, g = junction(TOP, I_S, V_T, TOP)
    above, g_above = junction(TOP + 1.0, I_S, V_T, TOP)
    assert below == pytest.approx(1e3)
    assert g_above == g
    assert above == pytest.approx(below + g * 1.0)
    assert math.isfinite(junction(1e6, I_S, V_T, TOP)[0])


@given(st.floats(-20.0, 20.0), st.floats(-1.0, 1.0))
def test_a_limited_step_keeps_its_direction(v, v_old):
    on = V_T * math.log(1e-4 / I_S)
    new = limited(v, v_old, V_T, on)
    if v >= v_old:
        assert v_old <= new <= v
    else:  # the current falls to a hundredth at most, which takes V_T ln 100
        assert min(v, v_old - 4.61 * V_T) <= new <= v_old


@given(st.floats(0.6, 0.9), st.floats(0.02, 40.0))
def test_a_limited_rise_follows_the_current_along_its_tangent(v_old, rise):
    # By definition: i(v_new) equals i + g Δv with Δv counted from v_old above the entry.
    on = V_T * math.log(1e-4 / I_S)
    v = max(v_old, on) + rise
    i, g = junction(max(v_old, on), I_S, V_T, 1e3)
    assert junction(limited(v, v_old, V_T, on), I_S, V_T, 1e3)[0] == pytest.approx(i + g * rise)


def test_active_transistor_has_beta():
    I_C, I_B = transport_currents(1e-3, 0.0, 1.0, 1 / 150, 1.0)
    assert pytest.approx(150) == I_C / I_B


def test_reverse_transistor_has_beta_R():
    # Exchanged roles: emitter current over base current is beta_R, so I_C = -(beta_R + 1) I_B.
    I_C, I_B = transport_currents(0.0, 1e-3, 1.0, 1 / 150, 1 / 2.5)
    assert pytest.approx(-3.5) == I_C / I_B


@given(st.floats(0.3, 0.75), st.floats(-10.0, 0.6))
def test_slopes_are_derivatives_of_the_transport_current(v_be, v_bc):
    inv_V_A, h = 1 / 80.0, mpmath.mpf(10) ** -12

    def through(x, y):
        with mpmath.workdps(40):
            e = [I_S * mpmath.exp(mpmath.mpf(v) / mpmath.mpf(V_T)) for v in (x, y)]
            return (e[0] - e[1]) * (1 - mpmath.mpf(y) * inv_V_A)

    j_f, g_f = junction(v_be, I_S, V_T, TOP)
    j_r, g_r = junction(v_bc, I_S, V_T, TOP)
    d_f, d_r = transport_slopes(g_f, g_r, j_f - j_r, 1 - v_bc * inv_V_A, inv_V_A)
    with mpmath.workdps(40):
        x, y = mpmath.mpf(v_be), mpmath.mpf(v_bc)
        assert d_f == pytest.approx(
            float((through(x + h, y) - through(x - h, y)) / (2 * h)), rel=1e-8
        )
        assert d_r == pytest.approx(
            float((through(x, y + h) - through(x, y - h)) / (2 * h)), rel=1e-8
        )


def test_leakage_saturates_and_passes_through_zero():
    assert leakage(0.0, 1e-9, V_T, 0.0)[0] == 0.0
    assert leakage(-10.0, 1e-9, V_T, 0.0)[0] == pytest.approx(-1e-9, rel=0.01)
    assert leakage(-10.0, 0.0, V_T, 1e-12) == (-1e-11, 1e-12)
