"""Random circuits of one to three transistors against ``solve``, which knows no loops."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import pytest

from steadypoint.circuit import read_sheet
from steadypoint.derive import derive
from steadypoint.solve import operating_point

CAMPAIGN = Path(__file__).parents[2] / "benchmarks" / "random_workings.py"


@pytest.fixture(scope="module")
def campaign():
    spec = importlib.util.spec_from_file_location("random_workings", CAMPAIGN)
    module = importlib.util.module_from_spec(spec)
    sys.modules["random_workings"] = module
    spec.loader.exec_module(module)
    yield module.campaign
    del sys.modules["random_workings"]


@pytest.mark.parametrize("rung", ["exact", "board"])
def test_random_circuits_of_several_transistors(campaign, rung):
    tally = campaign(150, 90_001, rung)
    assert tally.wrong == []
    assert tally.crashes == []
    assert min(tally.regions[r] for r in ("active", "saturation", "cutoff", "reverse")) >= 20
    assert len(tally.fallbacks) <= 0.01 * tally.worked


def test_cut_off_among_others_is_shown_by_its_open_base():
    circuit = read_sheet("""
VCC = 9 V
Q1 = npn, beta 100
Q2 = npn, beta 100
from VCC through R1 47k to Q1 base
from VCC through R2 2k2 to Q1 collector
from Q1 emitter to ground
from Q1 collector to Q2 base
from VCC through R3 1k to Q2 collector
from Q2 emitter to ground
""")
    working = derive(circuit)
    q = operating_point(circuit).transistors["Q2"]
    assert not working.fallback
    assert working.step("Does Q2 conduct?").lines[0].result.value == pytest.approx(q.V_BE)
    assert working.value("V_CE2") == pytest.approx(q.V_CE)
    assert working.value("I_C2") == 0.0
