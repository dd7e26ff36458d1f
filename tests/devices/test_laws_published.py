"""The square law against worked examples of textbooks and courses.

Printed values are those of the books as their open textbook companions (solved examples with stored
outputs) give them; R_S and R_D enter the model as series resistances. Tolerances follow the printed
digits.
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from scipy.optimize import brentq

from steadypoint.devices import FetModel, drain_current, gate_voltage, transconductance


@dataclass(frozen=True)
class Stage:
    """A common-source stage at fixed gate and supply voltage, with what the source prints."""

    source: str
    gate: str
    V_th: float
    K: float
    V_G: float
    V_DD: float
    R_D: float
    R_S: float
    I_D: tuple[float, float]
    V_GS: tuple[float, float] | None = None
    V_DS: tuple[float, float] | None = None


MOS, JFET = "insulated", "junction"
WANG = "R. Wang, Harvey Mudd College, E84 notes, chapter 4, MOSFET amplifier"
NEAMEN = "D. A. Neamen, Electronic Circuit Analysis and Design, 2nd ed., example"
SEDRA = "A. S. Sedra and K. C. Smith, Microelectronic Circuits, 5th ed., example"
KUMAR = "B. Kumar and S. B. Jain, Electronic Devices and Circuits, example"

STAGES = [
    Stage(WANG, MOS, 1, 1e-3, 1.4, 5, 10e3, 0, (0.16e-3, 5e-6), None, (3.4, 0.05)),
    Stage(WANG, MOS, 1, 1e-3, 1.5, 5, 10e3, 0, (0.25e-3, 5e-6), None, (2.5, 0.05)),
    Stage(WANG, MOS, 1, 1e-3, 1.6, 5, 10e3, 0, (0.36e-3, 5e-6), None, (1.4, 0.05)),
    Stage(f"{NEAMEN} 5.3", MOS, 1, 1e-4, 2, 5, 20e3, 0, (0.10e-3, 5e-6), (2, 5e-3), (3, 5e-3)),
    Stage(f"{NEAMEN} 5.8", MOS, 0.8, 5e-5, 5, 5, 0, 10e3, (0.21e-3, 5e-6), (2.87, 5e-3)),
    Stage(f"{NEAMEN} 5.10", MOS, -2, 1e-4, 0, 5, 5e3, 0, (0.40e-3, 5e-6), None, (3, 5e-3)),
    Stage(f"{SEDRA} 4.5", MOS, 1, 0.5e-3, 5, 10, 6e3, 6e3, (0.5e-3, 5e-5), (2, 0.05), (4, 0.1)),
    Stage(
        "T. L. Floyd, Electronic Devices, example 7.10",
        JFET,
        -6,
        4e-3 / 36,
        0,
        20,
        0,
        680,
        # The book reads 2.25 mA from the drawn curve; the square law itself gives 2.232 mA.
        (2.232e-3, 5e-6),
        (-1.5, 0.05),
    ),
    # ERRATUM: the companion divides integers (3 V at the gate instead of 18 V · 90/490 = 3.306 V)
    # and prints 2.79 mA and 6.83 V; these are the values that follow from the stated circuit.
    Stage(
        f"{KUMAR} 7.5",
        JFET,
        -5,
        12e-3 / 25,
        18 * 90 / 490,
        18,
        2e3,
        2e3,
        (2.920e-3, 5e-6),
        None,
        (6.32, 5e-3),
    ),
]


@pytest.mark.parametrize("stage", STAGES, ids=lambda s: s.source)
def test_stage(stage: Stage):
    model = FetModel(
        channel="n",
        gate=stage.gate,
        V_GS_th=stage.V_th,
        K=stage.K,
        r_s=stage.R_S,
        r_d=stage.R_D,
        I_body=0.0,
    )
    I_D = drain_current(model, stage.V_G, stage.V_DD)
    assert pytest.approx(stage.I_D[0], abs=stage.I_D[1]) == I_D
    if stage.V_GS is not None:
        assert pytest.approx(stage.V_GS[0], abs=stage.V_GS[1]) == stage.V_G - I_D * stage.R_S
    if stage.V_DS is not None:
        V_DS = stage.V_DD - I_D * (stage.R_S + stage.R_D)
        assert pytest.approx(stage.V_DS[0], abs=stage.V_DS[1]) == V_DS


# Source, gate, V_GS_th, K, I_D, V_DS (None: drain at gate), printed V_GS and its tolerance.
BIASED = [
    (f"{NEAMEN} 5.17", JFET, -4.0, 5e-3 / 16, 2e-3, 6.0, -1.47, 5e-3),
    # A p-channel JFET: the book counts V_GS positive.
    (f"{NEAMEN} 5.19", JFET, -2.5, 2.5e-3 / 6.25, 0.8e-3, 5.71, -1.09, 5e-3),
    (f"{NEAMEN} 6.6", MOS, 0.8, 1e-3, 0.5e-3, 3.0, 1.51, 5e-3),
    (f"{SEDRA} 4.2", MOS, 0.7, 0.5 * 100e-6 * 32, 0.4e-3, 1.7, 1.2, 0.05),
    (f"{SEDRA} 4.3", MOS, 0.6, 0.5 * 200e-6 * 5, 80e-6, None, 1.0, 0.05),
]


@pytest.mark.parametrize(("source", "gate", "V_th", "K", "I_D", "V_DS", "V_GS", "room"), BIASED)
def test_gate_voltage_of_a_stated_current(source, gate, V_th, K, I_D, V_DS, V_GS, room):
    model = FetModel(channel="n", gate=gate, V_GS_th=V_th, K=K, I_body=0.0)
    assert gate_voltage(model, I_D, V_DS) == pytest.approx(V_GS, abs=room), source


def test_berkeley_ee105_handout_5_ex_1():
    # UC Berkeley, EE105 discussion handout 5, fall 2005, example 1: pMOS, k' W/L = 0.5 mA/V²,
    # |V_GS| = 2 V, |V_th| = 0.8 V, |V_DS| = 3 V: 360 µA.
    model = FetModel(channel="p", gate=MOS, V_GS_th=0.8, K=0.25e-3)
    assert drain_current(model, 2.0, 3.0) == pytest.approx(360e-6, abs=0.5e-6)


def test_kumar_ex_7_6_drain_feedback():
    # K = 6 mA/(8 V - 3 V)² = 0.24 mA/V², 12 V through 2 kΩ, gate at drain: 6.41 V, 2.79 mA.
    model = FetModel(channel="n", gate=MOS, V_GS_th=3.0, K=0.24e-3)
    I_D = brentq(lambda i: gate_voltage(model, i, None) - (12.0 - 2e3 * i), 1e-4, 4e-3)
    assert pytest.approx(2.79e-3, abs=5e-6) == I_D
    assert pytest.approx(6.41, abs=5e-3) == 12.0 - 2e3 * I_D


def test_sedra_ex_4_9_threshold_spread():
    # V_G = 7 V, R_S = R_D = 10 kΩ at 15 V: the threshold grows from 1 V to 1.5 V, I_D falls by 9 %.
    def current(V_th: float) -> float:
        model = FetModel(channel="n", gate=MOS, V_GS_th=V_th, K=0.5e-3, r_s=10e3, r_d=10e3)
        return drain_current(model, 7.0, 15.0)

    assert current(1.0) == pytest.approx(0.5e-3, abs=5e-6)
    assert current(1.5) / current(1.0) - 1 == pytest.approx(-0.09, abs=5e-3)


def test_neamen_ex_6_3_small_signal():
    # V_GS = 2.91 V, K = 0.5 mA/V², V_th = 1.5 V: 0.99 mA, g_m = 1.41 mA/V; with λ = 0.01 1/V
    # r_o = 1/(λ I_D) = 100.6 kΩ.
    plain = FetModel(channel="n", gate=MOS, V_GS_th=1.5, K=0.5e-3)
    assert drain_current(plain, 2.91, 5.03) == pytest.approx(0.99e-3, abs=5e-6)
    assert transconductance(plain, 2.91, 5.03)[0] == pytest.approx(1.41e-3, abs=5e-6)
    bent = FetModel(channel="n", gate=MOS, V_GS_th=1.5, K=0.5e-3, V_A=100.0)
    assert 1 / transconductance(bent, 2.91, 5.03)[1] == pytest.approx(100.6e3, abs=50.0)
