"""Laws of the parts and their default data."""

from steadypoint.devices._data import (
    DEFAULT_BETA,
    DEFAULT_BETA_R,
    DEFAULT_V_BE,
    DEFAULT_V_CE_SAT,
    DEFAULT_V_F,
    ZENER_TEST_CURRENT,
    BipolarData,
    DiodeData,
    bipolar_data,
    diode_data,
)
from steadypoint.devices._thermal import (
    GAP_VOLTAGE,
    NOMINAL_TEMPERATURE,
    TEMPERATURE_EXPONENT,
    saturation_current,
    saturation_current_at,
    thermal_voltage,
)

__all__ = [
    "DEFAULT_BETA",
    "DEFAULT_BETA_R",
    "DEFAULT_V_BE",
    "DEFAULT_V_CE_SAT",
    "DEFAULT_V_F",
    "GAP_VOLTAGE",
    "NOMINAL_TEMPERATURE",
    "TEMPERATURE_EXPONENT",
    "ZENER_TEST_CURRENT",
    "BipolarData",
    "DiodeData",
    "bipolar_data",
    "diode_data",
    "saturation_current",
    "saturation_current_at",
    "thermal_voltage",
]
