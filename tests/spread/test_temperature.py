"""Ranges of temperature and thermal runaway against closed forms and solved points."""

from __future__ import annotations

import math

import numpy as np
import pytest

from steadypoint import arrangement, arrangements, operating_point, read_sheet
from steadypoint.circuit import Circuit
from steadypoint.devices import GAP_VOLTAGE, TEMPERATURE_EXPONENT, thermal_voltage
from steadypoint.errors import CircuitError, QuantityError, ThermalRunawayError
from steadypoint.solve import Region
from steadypoint.spread import runaway, temperature_range


def driven(more: str = "", supply: float = 12.0, load: float = 470.0) -> Circuit:
    """A transistor whose base-emitter voltage is fixed: its current follows I_S(T) alone."""
    return read_sheet(
        f"""
        VCC = {supply} V
        VBB = 0.65 V
        Q1 = npn, beta 100{more}
        from VBB to Q1 base
        from VCC through RC {load} to Q1 collector
        from Q1 emitter to ground
        """
    )


def test_slope_of_power_is_the_derivative_by_hand() -> None:
    """I_C = I_S(T) exp(V/V_T) gives dI_C/dT = I_C (γ + (V_G0 - V)/V_T)/T, and P = V_CE I_C +
    V_BE I_B with V_CE = V_CC - R_C I_C."""
    for supply, load in ((12.0, 470.0), (5.0, 22e3)):
        circuit = driven(supply=supply, load=load)
        at = operating_point(circuit, "device").transistors["Q1"]
        T = 298.15
        slope = at.I_C * (TEMPERATURE_EXPONENT + (GAP_VOLTAGE - 0.65) / thermal_voltage(T)) / T
        expected = (supply - 2.0 * load * at.I_C) * slope + 0.65 * slope / 100.0
        found = runaway(circuit)[0]
        assert found.slope == pytest.approx(expected, rel=1e-4)
        assert found.power == pytest.approx(at.P)


def test_half_rule_and_resistances() -> None:
    """Millman and Halkias, thermal runaway (from memory): no runaway with V_CE < V_CC/2."""
    warm = runaway(driven(supply=5.0, load=22e3))[0]
    assert warm.half_rule is True
    assert warm.slope < 0.0
    assert math.isinf(warm.largest_R_thJA)
    assert "cannot run away" in warm.sentence
    cool = runaway(driven())[0]
    assert cool.half_rule is False
    assert cool.largest_R_thJA == pytest.approx(1.0 / cool.slope)
    assert cool.loop_gain is None


def test_condition_and_self_heating_agree() -> None:
    """A thermal resistance above 1/(dP/dT) runs away, half of it does not start to."""
    limit = runaway(driven(load=10.0))[0].largest_R_thJA
    above = driven(f", R_thJA {2.0 * limit:.6g} K/W", load=10.0)
    assert runaway(above)[0].loop_gain == pytest.approx(2.0, rel=1e-3)
    assert "runs away" in runaway(above)[0].sentence
    found = temperature_range(above, 263.15, 303.15, points=3, self_heating=True)
    assert found.runs_away_at is not None
    assert found.runs_away_at < 298.15
    assert any("runs away" in s for s in found.sentences)
    calm = driven(f", R_thJA {0.05 * limit:.6g} K/W", load=10.0)
    warm = temperature_range(calm, 263.15, 298.15, points=3, self_heating=True)
    assert warm.runs_away_at is None
    plain = temperature_range(calm, 263.15, 298.15, points=3)
    assert (warm.values["Q1.I_C"] > plain.values["Q1.I_C"]).all()


def test_runaway_temperature_separates() -> None:
    circuit = driven(", R_thJA 4000 K/W", load=10.0)
    found = temperature_range(circuit, 243.15, 323.15, points=5, self_heating=True)
    edge = found.runs_away_at
    assert edge is not None
    assert 243.15 < edge < 323.15
    assert operating_point(circuit, "device", temperature=edge - 0.02, self_heating=True)
    with pytest.raises(ThermalRunawayError):
        operating_point(circuit, "device", temperature=edge + 0.02, self_heating=True)


def test_region_is_left_where_it_says() -> None:
    """The current of a driven transistor rises until it saturates."""
    circuit = driven(load=2.2e3)
    found = temperature_range(circuit, 273.15, 393.15, points=9)
    change = found.leaves_active["Q1"][0]
    assert (change.below, change.above) == (Region.ACTIVE, Region.SATURATION)
    for step, region in ((-0.01, change.below), (0.01, change.above)):
        at = operating_point(circuit, "device", temperature=change.temperature + step)
        assert at.transistors["Q1"].region is region
    assert any("saturated above" in s for s in found.sentences)


def test_values_are_those_of_the_points() -> None:
    circuit = arrangement("pnp voltage divider").circuit
    found = temperature_range(circuit, 253.15, 343.15, points=4, quantities=["V_EC", "OUT"])
    for T, V in zip(found.temperatures, found.values["Q1.V_CE"], strict=True):
        at = operating_point(circuit, "device", temperature=float(T))
        assert pytest.approx(-at.transistors["Q1"].V_CE) == V
    assert set(found.values) == {"Q1.V_CE", "V(OUT)"}


@pytest.mark.parametrize("one", arrangements(), ids=lambda a: a.name)
def test_every_arrangement_has_a_range_and_a_condition(one) -> None:
    found = temperature_range(one.circuit, 263.15, 333.15, points=3)
    stages = len(one.circuit.transistors) + len(one.circuit.fets)
    assert len(found.values) == 2 * stages
    assert all(np.isfinite(v).all() for v in found.values.values())
    conditions = runaway(one.circuit)
    assert len(conditions) == stages
    assert all(c.sentence for c in conditions)


def test_refusals() -> None:
    circuit = driven()
    with pytest.raises(QuantityError, match="colder"):
        temperature_range(circuit, 300.0, 290.0)
    with pytest.raises(QuantityError, match="200 °C"):
        temperature_range(circuit, 100.0, 290.0)
    with pytest.raises(QuantityError, match="points"):
        temperature_range(circuit, 280.0, 290.0, points=1)
    with pytest.raises(CircuitError, match="thermal resistance"):
        temperature_range(circuit, 280.0, 290.0, points=2, self_heating=True)
