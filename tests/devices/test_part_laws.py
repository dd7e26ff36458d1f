"""Laws of the parts against CODATA and textbook figures."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest
from scipy import constants

from steadypoint.devices import (
    NOMINAL_TEMPERATURE,
    bipolar_data,
    diode_data,
    saturation_current,
    saturation_current_at,
    thermal_voltage,
)
from steadypoint.devices._thermal import BOLTZMANN, ELEMENTARY_CHARGE


# k, e exact (SI Brochure, 9th ed., 2019); kT/e rounded to 1 µV, so ±0.5 µV.
def test_thermal_voltage_at_300_K():
    assert thermal_voltage(300.0) == pytest.approx(25.852e-3, abs=5e-7)


def test_thermal_voltage_is_that_of_codata():
    found = thermal_voltage(298.15)
    per_kelvin = constants.physical_constants["Boltzmann constant in eV/K"][0]
    assert found == pytest.approx(298.15 * per_kelvin, rel=1e-12)


@pytest.mark.parametrize("temperature", [0.0, -1.0, math.nan])
def test_no_thermal_voltage_below_absolute_zero(temperature):
    with pytest.raises(ValueError, match="above 0 K"):
        thermal_voltage(temperature)


def test_saturation_current_gives_its_drop_back():
    I_S = saturation_current(0.7)
    assert thermal_voltage(NOMINAL_TEMPERATURE) * math.log(1e-3 / I_S + 1) == pytest.approx(0.7)


# A decade of current takes V_T ln 10, 59.2 mV at 25 °C (any electronics textbook; from memory).
def test_sixty_millivolts_per_decade():
    ratio = saturation_current(0.6, 1e-3) / saturation_current(0.6, 1e-4)
    assert ratio == pytest.approx(10)
    assert saturation_current(0.6592) == pytest.approx(saturation_current(0.6) / 10, rel=0.01)


# V_BE falls by about 2 mV/K at constant current (Horowitz and Hill 2.1 mV/K, Gray and Meyer 2 mV/K;
# both from memory). Nothing in the code holds this figure.
@pytest.mark.parametrize("V_BE", [0.6, 0.65, 0.7])
def test_V_BE_falls_by_two_millivolts_per_kelvin(V_BE):
    I_S = saturation_current(V_BE)

    def drop(T):
        return thermal_voltage(T) * math.log(1e-3 / saturation_current_at(I_S, T) + 1)

    slope = (drop(308.15) - drop(288.15)) / 20
    assert -2.4e-3 < slope < -1.8e-3


# The saturation current of silicon doubles about every 5 K near room temperature (from memory).
def test_saturation_current_doubles_every_few_kelvin():
    ratio = saturation_current_at(1e-14, 303.15) / saturation_current_at(1e-14, 298.15)
    assert 1.8 < ratio < 2.4


def test_defaults_of_a_transistor():
    data = bipolar_data(lambda _: None)
    assert (data.beta, data.beta_R, data.V_BE, data.V_CE_sat) == (100.0, 1.0, 0.7, 0.2)
    assert math.isinf(data.V_A)
    assert not data.log_law


def test_neglected_V_BE_makes_no_battery():
    data = bipolar_data({"V_BE": 0.0}.get)
    assert data.V_CE_sat == 0.0
    assert saturation_current(0.7) == data.I_S


def test_stated_I_S_without_V_BE_asks_for_the_logarithm():
    assert bipolar_data({"I_S": 1e-15}.get).log_law
    assert not bipolar_data({"I_S": 1e-15, "V_BE": 0.6}.get).log_law


def test_defaults_of_a_diode():
    data = diode_data(lambda _: None)
    assert data.V_F == 0.7
    assert saturation_current(0.7) == data.I_S
    assert math.isinf(data.V_Z)


def test_constants_are_those_of_codata():
    # Exact by definition (SI Brochure, 9th ed., 2019), so equal to the last bit.
    assert constants.Boltzmann == BOLTZMANN
    assert constants.elementary_charge == ELEMENTARY_CHARGE


def test_solving_a_point_loads_no_scipy():
    code = "import sys, steadypoint.solve; sys.exit('scipy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
