"""Figures of a registered type for the rungs that take a transistor by a few constants."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from steadypoint.devices._bipolar_model import BipolarModel
from steadypoint.devices._bipolar_terminals import bias_at, saturated_at
from steadypoint.devices._catalogue import model_of, part_record
from steadypoint.devices._records import PartRecord

_RATINGS = ("V_CEO", "I_C_max", "P_tot")


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
        ``beta``, ``V_BE``, ``V_CE_sat`` (at the usual current and a tenth of it into the base),
        ``V_A``, ``V_CEO``, ``I_C_max`` and ``P_tot`` by symbol; three digits. Empty for
        field-effect types. [SI]

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
        return {}
    I_C = usual_current(record)
    active, saturated = bias_at(model, I_C, 5.0), saturated_at(model, I_C, 0.1 * I_C)
    figures = {
        "beta": active.h_FE,
        "V_BE": active.V_BE,
        "V_CE_sat": saturated.V_CE,
        "V_A": model.V_A,
    }
    for symbol in _RATINGS:
        rating = record.rating(symbol)
        if rating is not None:
            figures[symbol] = rating
    return {symbol: float(f"{value:.3g}") for symbol, value in figures.items()}
