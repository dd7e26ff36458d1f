"""When a part of a registered type, or an LED of a colour, takes the full model."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

from steadypoint.circuit import Part
from steadypoint.devices import (
    BipolarModel,
    DiodeModel,
    FetModel,
    led_model,
    model_of,
    registered_kind,
)

_SIMPLE_BIPOLAR: Final = frozenset({"beta", "V_BE", "I_S", "n"})
"""Data of the simple law; a sheet that states one of them wants that law."""

_SIMPLE_FET: Final = frozenset(
    {"V_GS_off", "V_GS_th", "I_DSS", "K", "I_D_on", "V_GS_on", "lambda", "V_A"}
)


def bipolar_model(part: Part) -> BipolarModel | None:
    """Full model of a bipolar transistor at 25 °C, or None where the simple law holds.

    Parameters
    ----------
    part : Part
        The transistor. ``V_A``, ``beta_R`` and ``I_CBO`` that the sheet states replace those of the
        model; a stated ``beta``, ``V_BE``, ``I_S`` or ``n`` asks for the simple law.

    Returns
    -------
    BipolarModel or None
    """
    stated = {symbol: quantity.value for symbol, quantity in part.options}
    model = _model(part, _SIMPLE_BIPOLAR, stated)
    if not isinstance(model, BipolarModel):
        return None
    own: dict[str, Any] = {
        symbol: stated[symbol] for symbol in ("V_A", "I_CBO") if symbol in stated
    }
    if "beta_R" in stated:
        own["beta_R"] = max(stated["beta_R"], 1e-3)
    return replace(model, **own)


def fet_model(part: Part) -> FetModel | None:
    """Full model of a field-effect transistor at 25 °C, or None where the sheet states its law.

    Parameters
    ----------
    part : Part
        The transistor.

    Returns
    -------
    FetModel or None
    """
    model = _model(part, _SIMPLE_FET, {symbol: 0.0 for symbol, _ in part.options})
    return model if isinstance(model, FetModel) else None


def diode_model(part: Part) -> DiodeModel | None:
    """Model of a light-emitting diode of a colour at 25 °C, or None where the simple law holds.

    Parameters
    ----------
    part : Part
        The diode. A stated ``V_F`` is taken at 10 mA; a stated ``I_S`` or ``n`` asks for the simple
        law.

    Returns
    -------
    DiodeModel or None
    """
    stated = {symbol: quantity.value for symbol, quantity in part.options}
    if not part.colour or {"I_S", "n"} & stated.keys():
        return None
    return led_model(part.colour, stated.get("V_F"))


def _model(
    part: Part, simple: frozenset[str], stated: dict[str, float]
) -> BipolarModel | FetModel | None:
    if not part.type_name or simple & stated.keys():
        return None
    if registered_kind(part.type_name) != part.kind.value:
        return None
    return model_of(part.type_name)
