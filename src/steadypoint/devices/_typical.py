"""Figures of a registered type for the rungs that take a transistor by a few constants."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from steadypoint.devices._bipolar_model import BipolarModel
from steadypoint.devices._bipolar_terminals import bias_at
from steadypoint.devices._catalogue import model_of, part_record
from steadypoint.devices._fet_model import FetModel
from steadypoint.devices._fet_terminals import drain_current
from steadypoint.devices._records import PartRecord
from steadypoint.devices._thermal import saturation_current

_RATINGS = ("V_CEO", "I_C_max", "P_tot", "R_thJA", "T_J_max")
_FET_RATINGS = ("I_D_max", "P_tot", "R_thJA", "T_J_max")


def usual_current(record: PartRecord) -> float:
    """Collector current at which a type is usually biased: 1 % of its rating, at least 1 mA.

    Parameters
    ----------
    record : PartRecord
        Record of a bipolar type.

    Returns
    -------
    float
        Collector current (common practice, no source). [A]
    """
    return max(1e-3, 0.01 * (record.rating("I_C_max") or 0.1))


@cache
def typical_options(type_name: str) -> Mapping[str, float]:
    """What a sheet would state of a registered type: typical figures and ratings.

    Parameters
    ----------
    type_name : str
        Registered type or alias.

    Returns
    -------
    mapping of str to float
        ``beta``, ``V_BE`` in steps of 0.05 V as boards take it, ``I_S`` and ``V_A`` at the usual
        current, the ratings ``V_CEO``, ``I_C_max`` and ``P_tot``, and ``R_thJA`` and ``T_J_max``,
        by symbol; three digits.
        Of a field-effect type ``V_GS_off`` and ``I_DSS`` (JFET, depletion) or ``V_GS_th`` and ``K``
        in the signs of its channel, ``V_A``, the ratings ``V_DS_max``, ``I_D_max``, ``P_tot``,
        and ``R_thJA`` and ``T_J_max``.
        [SI]

    Raises
    ------
    UnknownNameError
        If the catalogue does not hold the type.

    Examples
    --------
    >>> 100 < typical_options("2N3904")["beta"] < 300
    True
    """
    record, model = part_record(type_name), model_of(type_name)
    if not isinstance(model, BipolarModel):
        return _typical_of_fet(record, model)
    I_C = usual_current(record)
    active = bias_at(model, I_C, 5.0)
    # One exponential through the usual point: knee and series resistances are left to the model.
    I_S = saturation_current(active.V_BE, I_C)
    V_BE = round(20.0 * active.V_BE) / 20.0
    figures = {"beta": active.h_FE, "V_BE": V_BE, "I_S": I_S, "V_A": model.V_A}
    for symbol in _RATINGS:
        rating = record.rating(symbol)
        if rating is not None:
            figures[symbol] = rating
    return {symbol: _short(symbol, value) for symbol, value in figures.items()}


def _typical_of_fet(record: PartRecord, model: FetModel) -> Mapping[str, float]:
    """Square law through the point of the model that a sheet would be written from.

    Source and drain resistance are left to the model, so I_DSS and K are those at the terminals.
    """
    sign = -1.0 if model.channel == "p" else 1.0
    overdrive = -model.V_GS_th if model.is_depletion else 1.0
    V_DS = 15.0
    I_D = drain_current(model, model.V_GS_th + overdrive, V_DS) / (1.0 + V_DS / model.V_A)
    if model.is_depletion:
        figures = {"V_GS_off": sign * model.V_GS_th, "I_DSS": I_D}
    else:
        figures = {"V_GS_th": sign * model.V_GS_th, "K": I_D / overdrive**2}
    figures["V_A"] = model.V_A
    for symbol in ("V_DS", *_FET_RATINGS):
        rating = record.rating(symbol)
        if rating is not None:
            figures["V_DS_max" if symbol == "V_DS" else symbol] = rating
    return {symbol: _short(symbol, value) for symbol, value in figures.items()}


def _short(symbol: str, value: float) -> float:
    """Value of three digits; a temperature stays as it is, for its digits count in °C."""
    return value if symbol == "T_J_max" else float(f"{value:.3g}")
