"""Two circuits whose points follow on paper."""

from __future__ import annotations

import pytest

from steadypoint.circuit import Circuit, Kind, Part
from steadypoint.solve import Region, operating_point
from steadypoint.values import Quantity


def _stage(R_B: float) -> Circuit:
    return Circuit(
        (
            Part("VCC", Kind.SUPPLY, ("VCC", "ground"), Quantity(10.0, "V")),
            Part("RB", Kind.RESISTOR, ("VCC", "Q1.base"), Quantity(R_B, "Ω")),
            Part("RC", Kind.RESISTOR, ("VCC", "Q1.collector"), Quantity(2e3, "Ω")),
            Part("Q1", Kind.NPN, ("Q1.collector", "Q1.base", "ground")),
        )
    )


def test_base_bias_is_ohms_law_twice():
    q = operating_point(_stage(930e3)).transistors["Q1"]
    assert pytest.approx(9.3 / 930e3) == q.I_B
    assert pytest.approx(100 * 9.3 / 930e3) == q.I_C
    assert pytest.approx(10 - 2e3 * 1e-3) == q.V_CE
    assert q.region is Region.ACTIVE


def test_base_bias_saturates_where_the_drop_across_RC_would_pass_the_supply():
    q = operating_point(_stage(93e3)).transistors["Q1"]
    assert q.region is Region.SATURATION
    assert pytest.approx(0.2) == q.V_CE
    assert pytest.approx(9.8 / 2e3) == q.I_C
