"""Field-effect transistors on the three rungs, against closed forms and other libraries."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq, fsolve

from steadypoint import read_sheet
from steadypoint.devices import FetModel
from steadypoint.kernels import static_fet
from steadypoint.solve import Region, operating_point, solve, to_dict
from steadypoint.solve._fet_law import ChannelLaw, channel_current

SELF_BIAS = """
VDD = 20 V
Q1 = n-channel JFET, I_DSS 8 mA, V_GS_off -6 V
from VDD through RD 3k3 to Q1 drain
from Q1 gate through RG 1M to ground
from Q1 source through RS 1k to ground
"""
MIRROR = """
VDD = 5 V
Q1 = n-channel MOSFET, V_GS_th 1 V, K 1 mA/V²
Q2 = n-channel MOSFET, matched to Q1
from VDD through R1 3k to Q1 drain
from Q1 drain to Q1 gate
from Q1 gate to Q2 gate
from Q1 source to ground
from Q2 source to ground
from VDD through R2 {} to Q2 drain
"""


# The quadratic of self bias, 1000 I_D = 6 (1 - sqrt(I_D/8 mA)), by numpy's roots; of its two roots
# the one with V_GS between V_GS_off and 0 is the point (Boylestad and Nashelsky print 2.6 mA and
# -2.6 V for this circuit; from memory).
def test_self_bias_takes_the_root_that_opens_the_channel():
    K = 8e-3 / 36
    roots = np.roots([K * 1e6, -(2 * K * 6 * 1e3 + 1), K * 36])
    physical = [r for r in roots if -1e3 * r > -6]
    assert len(physical) == 1
    point = operating_point(read_sheet(SELF_BIAS)).fets["Q1"]
    assert pytest.approx(physical[0], rel=1e-12) == point.I_D
    assert pytest.approx(-1e3 * physical[0], rel=1e-12) == point.V_GS
    assert pytest.approx(2.6e-3, abs=0.05e-3) == point.I_D
    assert point.region is Region.SATURATION
    assert point.I_G == 0
    assert point.headroom_triode == pytest.approx(point.V_DS - (point.V_GS + 6), rel=1e-12)
    assert point.headroom_cutoff == pytest.approx(20 - point.V_DS, rel=1e-9)


@pytest.mark.parametrize("model", ["board", "exact", "device"])
def test_a_p_channel_is_the_mirror_image(model):
    turned = SELF_BIAS.replace("20 V", "-20 V").replace("n-channel", "p-channel").replace("-6", "6")
    one = operating_point(read_sheet(SELF_BIAS), model).fets["Q1"]
    other = operating_point(read_sheet(turned), model).fets["Q1"]
    assert pytest.approx(-one.I_D, rel=1e-12) == other.I_D
    assert pytest.approx(-one.V_DS, rel=1e-12) == other.V_DS
    assert (other.region, other.polarity) == (one.region, "p-channel")
    assert other.headroom_cutoff == pytest.approx(one.headroom_cutoff)


# Saturation ends at V_DS = V_GS - V_GS_th: 5 V - 1 mA R = 1 V at R = 4 kΩ.
@pytest.mark.parametrize(("R", "region"), [("3k9", "saturation"), ("4k1", "triode")])
def test_the_edge_of_the_triode_region(R, region):
    point = operating_point(read_sheet(MIRROR.format(R))).fets["Q2"]
    assert point.region.value == region
    if region == "saturation":
        assert pytest.approx(1e-3, rel=1e-12) == point.I_D
        return
    # v²(K R) - (2 K R + 1) v + 5 = 0, the smaller root, by numpy.
    small = min(np.roots([4.1, -(2 * 4.1 + 1), 5.0]))
    assert pytest.approx(small, rel=1e-12) == point.V_DS


def test_cutoff_and_its_sentence():
    sheet = """
    VDD = 12 V
    Q1 = n-channel MOSFET, V_GS_th 2 V
    from VDD through RD 1k to Q1 drain
    from Q1 gate through RG 1M to ground
    from Q1 source to ground
    """
    point = operating_point(read_sheet(sheet))
    assert point.fets["Q1"].I_D == 0
    assert point.fets["Q1"].region is Region.CUTOFF
    assert any("Q1 is cut off" in w for w in point.warnings)


# A JFET source that drives a bipolar base: V_GS = -V_BE by scipy's root finder.
def test_bipolar_and_field_effect_transistors_together():
    sheet = """
    VDD = 12 V
    Q1 = n-channel JFET, I_DSS 8 mA, V_GS_off -3 V
    Q2 = npn, beta 100
    from VDD to Q1 drain
    from Q1 gate through RG 1M to ground
    from Q1 source through RS 1k to ground
    from Q1 source through RB 10k to Q2 base
    from VDD through RC 1k to Q2 collector
    from Q2 emitter to ground
    """

    def balance(V: float) -> float:
        return 8e-3 * (1 - V / 3) ** 2 - V / 1e3 - max(V - 0.7, 0) / 1e4

    V_S = brentq(balance, 0.0, 3.0, xtol=1e-14)
    for model in ("exact", "device"):
        point = operating_point(read_sheet(sheet), model)
        assert pytest.approx(V_S, rel=1e-9 if model == "exact" else 2e-2) == point.fets["Q1"].V_S
        assert pytest.approx((V_S - 0.7) / 100, rel=0.1) == point.transistors["Q2"].I_C


# Cross-coupled inverters latch; the symmetric point between is unstable.
def test_a_latching_pair_has_three_points():
    sheet = """
    VDD = 5 V
    Q1 = n-channel MOSFET, V_GS_th 1 V, K 1 mA/V²
    Q2 = n-channel MOSFET, matched to Q1
    from VDD through R1 10k to Q1 drain
    from VDD through R2 10k to Q2 drain
    from Q1 drain to Q2 gate
    from Q2 drain to Q1 gate
    from Q1 source to ground
    from Q2 source to ground
    """
    for model in ("exact", "device"):
        found = solve(read_sheet(sheet), model)
        points = [found.value, *found.others]
        heights = sorted(p.fets["Q1"].V_D for p in points)
        assert len(heights) == 3
        # Symmetric: 10 (v - 1)² = 5 - v.
        middle = max(np.roots([10, -19, 5]))
        assert heights[1] == pytest.approx(middle, rel=1e-6)
        assert pytest.approx(middle, rel=1e-3) != found.value.fets["Q1"].V_D


def oracle(law: ChannelLaw, R_D: float, R_S: float, V_DD: float, V_G: float) -> float:
    """Drain current of a stage with fixed gate, by scipy on the textbook's three laws."""

    def current(v_GS: float, v_DS: float) -> float:
        u = v_GS - law.V_GS_th
        if u <= 0:
            return 0.0
        plain = law.K * (u * u if v_DS >= u else 2 * u * v_DS - v_DS * v_DS)
        return plain * (1 + law.inv_V_A * v_DS)

    def balance(i: float) -> float:
        return current(V_G - i * R_S, V_DD - i * (R_D + R_S)) - i

    return brentq(balance, 0.0, V_DD / (R_D + R_S), xtol=1e-18, rtol=1e-13)


@given(
    st.floats(1e-5, 1e-2),
    st.floats(-5, 3),
    st.floats(100, 1e5),
    st.floats(10, 1e4),
    st.floats(0, 12),
    st.sampled_from([0.0, 0.02]),
)
@settings(max_examples=150, deadline=None)
def test_random_stages_agree_with_scipy(K, V_th, R_D, R_S, V_G, modulation):
    if abs(V_th) < 0.01:
        return
    word = "depletion " if V_th < 0 else ""
    sheet = f"""
    VDD = 12 V
    VG = {V_G!r} V
    Q1 = n-channel {word}MOSFET, V_GS_th {V_th!r} V, K {K!r} A/V², lambda {modulation}
    from VDD through RD {R_D!r} to Q1 drain
    from VG through RG 1k to Q1 gate
    from Q1 source through RS {R_S!r} to ground
    """
    circuit = read_sheet(sheet)
    plain = oracle(ChannelLaw(K, V_th, 0.0), R_D, R_S, 12.0, V_G)
    found = operating_point(circuit, "exact").fets["Q1"].I_D
    assert found == pytest.approx(plain, rel=1e-8, abs=1e-14)
    longer = oracle(ChannelLaw(K, V_th, modulation), R_D, R_S, 12.0, V_G)
    found = operating_point(circuit, "device").fets["Q1"].I_D
    assert found == pytest.approx(longer, rel=1e-6, abs=1e-10)


@given(st.floats(-6, 6), st.floats(-6, 6))
def test_the_law_of_the_plan_is_that_of_the_kernel(v_GS, v_DS):
    model = FetModel(channel="n", gate="insulated", V_GS_th=1.0, K=1e-3, V_A=50.0, I_body=0.0)
    i, _, g_m, g_ds, _, _ = static_fet(v_GS, v_DS, model.static)
    ours, by_GS, by_GD = channel_current(v_GS, v_GS - v_DS, ChannelLaw(1e-3, 1.0, 0.02))
    assert ours == pytest.approx(float(i), rel=1e-12, abs=1e-14)
    if abs(v_DS) > 1e-6 and min(abs(v_GS - 1), abs(v_GS - v_DS - 1)) > 1e-6:
        assert by_GS + by_GD == pytest.approx(float(g_m), rel=1e-9, abs=1e-15)
        assert -by_GD == pytest.approx(float(g_ds), rel=1e-9, abs=1e-15)


# A MOSFET upside down: the body diode carries (12 V - V_F)/1 kΩ, V_F by scipy on Shockley's law
# with 10 fA.
def test_the_body_diode_conducts_on_the_device_rung():
    sheet = """
    VDD = 12 V
    Q1 = n-channel MOSFET, V_GS_th 2 V
    from VDD through R1 1k to Q1 source
    from Q1 gate through RG 1k to ground
    from Q1 drain to ground
    """
    point = operating_point(read_sheet(sheet), "device").fets["Q1"]
    V_T = 1.380649e-23 * 298.15 / 1.602176634e-19
    V_F = fsolve(lambda v: 1e-14 * math.expm1(v[0] / V_T) - (12 - v[0]) / 1e3, [0.7])[0]
    assert pytest.approx(V_F, rel=1e-6) == -point.V_DS
    assert pytest.approx(-(12 - V_F) / 1e3, rel=1e-6) == point.I_D


# A JFET has one gate voltage of no drift: V_GS_th moves by -2.2 mV/K (the constant of the model)
# and K by T^-2, so 2 (-slope)/(V_GS - V_GS_th) = 2/T: overdrive = 2.2 mV/K · 298 K = 0.656 V.
def test_the_bias_without_drift_comes_out():
    drift = {}
    for V_G in (-3.8, -3.344, -2.5):
        sheet = f"""
        VDD = 12 V
        VG = {V_G} V
        Q1 = n-channel JFET, I_DSS 8 mA, V_GS_off -4 V
        from VDD through RD 100 to Q1 drain
        from VG to Q1 gate
        from Q1 source to ground
        """
        low, high = (
            operating_point(read_sheet(sheet), "device", temperature=T).fets["Q1"].I_D
            for T in (297.15, 299.15)
        )
        drift[V_G] = (high - low) / low / 2
    assert drift[-3.8] > 1e-3
    assert abs(drift[-3.344]) < 2e-5
    assert drift[-2.5] < -1e-3


def test_json_of_a_point():
    data = to_dict(operating_point(read_sheet(SELF_BIAS)))
    assert data["transistors"] == {}
    assert set(data["fets"]["Q1"]) == {
        "I_D",
        "I_G",
        "I_S",
        "V_GS",
        "V_DS",
        "V_G",
        "V_D",
        "V_S",
        "P",
        "region",
        "polarity",
        "kind",
    }
    assert data["fets"]["Q1"]["region"] == "saturation"


@pytest.mark.parametrize("model", ["exact", "device"])
def test_powers_balance(model):
    for text in (SELF_BIAS, MIRROR.format("10k")):
        point = operating_point(read_sheet(text), model)
        supply = point.parts["VDD"].P
        taken = sum(p.P for n, p in point.parts.items() if n != "VDD")
        taken += sum(f.P for f in point.fets.values())
        assert taken == pytest.approx(supply, rel=1e-9)
        assert point.residual < 1e-14
