"""Laws of the parts and their default data."""

from steadypoint.devices._bipolar_model import BETA_EXPONENT, BipolarModel
from steadypoint.devices._bipolar_terminals import BipolarBias, bias_at, saturated_at
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
from steadypoint.devices._diode_model import (
    LED_EMISSION,
    DiodeModel,
    led_colours,
    led_model,
    zener_model,
    zener_slope,
)
from steadypoint.devices._fet_model import MOBILITY_EXPONENT, THRESHOLD_SLOPE, FetModel
from steadypoint.devices._resistive import NtcModel, PtcModel, ResistorModel
from steadypoint.devices._temperature import (
    COLDEST,
    GERMANIUM,
    HOTTEST,
    SILICON,
    Material,
    activation,
    check_temperature,
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
    "BETA_EXPONENT",
    "COLDEST",
    "DEFAULT_BETA",
    "DEFAULT_BETA_R",
    "DEFAULT_V_BE",
    "DEFAULT_V_CE_SAT",
    "DEFAULT_V_F",
    "GAP_VOLTAGE",
    "GERMANIUM",
    "HOTTEST",
    "LED_EMISSION",
    "MOBILITY_EXPONENT",
    "NOMINAL_TEMPERATURE",
    "SILICON",
    "TEMPERATURE_EXPONENT",
    "THRESHOLD_SLOPE",
    "ZENER_TEST_CURRENT",
    "BipolarBias",
    "BipolarData",
    "BipolarModel",
    "DiodeData",
    "DiodeModel",
    "FetModel",
    "Material",
    "NtcModel",
    "PtcModel",
    "ResistorModel",
    "activation",
    "bias_at",
    "bipolar_data",
    "check_temperature",
    "diode_data",
    "led_colours",
    "led_model",
    "saturated_at",
    "saturation_current",
    "saturation_current_at",
    "thermal_voltage",
    "zener_model",
    "zener_slope",
]
