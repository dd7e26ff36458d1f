"""Field-effect transistors in bulk: the square law, its regions, what is out of reason."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from steadypoint.circuit import arrangements, read_sheet
from steadypoint.solve import Outcome, Region, operating_point, solve_many
from steadypoint.solve._lanes import solve_lanes
from steadypoint.solve._many_chunk import _prepared
from steadypoint.solve._many_points import REGIONS
from steadypoint.solve._many_settings import Figures

SELF_BIAS = """
VDD = 24 V
Q1 = n-channel JFET, I_DSS 8 mA, V_GS_off -4 V
from VDD through RD 1k5 to Q1 drain
from Q1 source through RS 820 to ground
from Q1 gate through RG 1M to ground
"""
SWITCH = """
VCC = 12 V
Q1 = p-channel MOSFET, V_GS_th -2 V, K 2 mA/V²
Q2 = npn, beta 120
from VCC to Q1 source
from Q1 drain through RL 2k2 to ground
from VCC through R1 10k to Q1 gate
from Q1 gate through R2 1k to Q2 collector
from Q2 emitter to ground
from VIN through RB 22k to Q2 base
VIN = 1 V
"""


def _drawn(rng, n):
    return {"Q1.I_DSS": rng.uniform(4e-3, 12e-3, n), "temperature": rng.uniform(260.0, 340.0, n)}


def test_self_bias_follows_shockleys_square_law_in_closed_form():
    # I_D = I_DSS (1 - V_GS / V_GS_off)² with V_GS = -I_D R_S: W. Shockley, Proc. IRE 40, 1952
    # (from memory), a quadratic in I_D whose smaller root leaves the channel open.
    rng = np.random.default_rng(3)
    R_S, I_DSS = rng.uniform(500.0, 3e3, 200), rng.uniform(4e-3, 12e-3, 200)
    V_off = rng.uniform(-5.0, -2.0, 200)
    values = {"RS": R_S, "Q1.I_DSS": I_DSS, "Q1.V_GS_off": V_off, "RD": 100.0, "RG": 1e3}
    points = solve_many(read_sheet(SELF_BIAS), values)
    k = I_DSS / V_off**2
    b = 1.0 - 2.0 * k * R_S * V_off
    I_D = (b - np.sqrt(b * b - 4.0 * (k * R_S * V_off) ** 2)) / (2.0 * k * R_S**2)
    found = points.fets["Q1"].I_D
    assert found == pytest.approx(I_D, rel=1e-6)  # the gate junctions leak some 10 pA
    assert {REGIONS[c] for c in points.fets["Q1"].region} == {Region.SATURATION}
    assert points.transistors == {}


def test_regions_of_a_switched_channel_beside_a_bipolar_transistor():
    circuit = read_sheet(SWITCH)
    volts = np.array([0.0, 0.5, 0.62, 5.0])
    points = solve_many(circuit, {"VIN": volts})
    for at, V in enumerate(volts):
        alone = operating_point(circuit.with_value("VIN", float(V)), "device")
        assert points.fets["Q1"].I_D[at] == pytest.approx(alone.fets["Q1"].I_D, rel=1e-8, abs=1e-13)
        assert REGIONS[points.fets["Q1"].region[at]] is alone.fets["Q1"].region
        assert REGIONS[points.transistors["Q2"].region[at]] is alone.transistors["Q2"].region
    assert REGIONS[points.fets["Q1"].region[0]] is Region.CUTOFF
    assert REGIONS[points.fets["Q1"].region[-1]] is Region.TRIODE


@pytest.mark.parametrize(
    "given", [a for a in arrangements() if a.circuit.fets], ids=lambda a: a.name
)
def test_lanes_find_the_points_without_the_single_solver(given):
    n = 200
    values = {p.name: p.value.value * np.linspace(0.9, 1.1, n) for p in given.circuit.supplies}
    values["temperature"] = np.linspace(240.0, 380.0, n)
    lanes = _prepared(given.circuit, 298.15)
    found = solve_lanes(lanes, Figures(lanes.net, values, 298.15), n)
    assert (found.steps > 0).all()


def test_any_number_of_workers_gives_the_same_bits():
    circuit = read_sheet(SELF_BIAS)
    alone = solve_many(circuit, _drawn, 3000, seed=5, chunk=700)
    with ThreadPoolExecutor(3) as executor:
        spread = solve_many(circuit, _drawn, 3000, seed=5, chunk=700, executor=executor)
    for symbol in ("I_D", "I_G", "V_DS", "V_GS", "region"):
        one, other = (getattr(p.fets["Q1"], symbol) for p in (alone, spread))
        assert one.tobytes() == other.tobytes()


def test_a_pinch_off_voltage_of_the_wrong_sign_is_out_of_reason():
    points = solve_many(read_sheet(SELF_BIAS), {"Q1.V_GS_off": [-4.0, 1.0, -3.0]})
    assert points.outcome.tolist() == [Outcome.FOUND, Outcome.OUT_OF_REASON, Outcome.FOUND]
    assert "V_GS_off" in points.reasons[1]
    assert np.isnan(points.fets["Q1"].I_D[1])
    assert points.fets["Q1"].region[1] == 255


def test_registered_types_come_to_their_single_points():
    sheet = SELF_BIAS.replace("n-channel JFET, I_DSS 8 mA, V_GS_off -4 V", "2N3819")
    circuit = read_sheet(sheet)
    points = solve_many(circuit, {"RS": [600.0, 900.0]})
    for at, ohms in enumerate((600.0, 900.0)):
        alone = operating_point(circuit.with_value("RS", ohms), "device").fets["Q1"]
        assert points.fets["Q1"].I_D[at] == pytest.approx(alone.I_D, rel=1e-9)
