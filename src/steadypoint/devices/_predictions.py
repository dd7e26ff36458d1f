"""What a model says where a data sheet gives a figure."""

from __future__ import annotations

from steadypoint.devices._bipolar_model import BipolarModel
from steadypoint.devices._bipolar_terminals import bias_at, saturated_at
from steadypoint.devices._fet_model import FetModel
from steadypoint.devices._fet_terminals import (
    body_voltage,
    drain_current,
    gate_voltage,
    on_resistance,
    transconductance,
)
from steadypoint.devices._records import Figure
from steadypoint.errors import DeviceError
from steadypoint.kernels import static_bipolar

DeviceModel = BipolarModel | FetModel


def predicted(model: DeviceModel, figure: Figure) -> float:
    """Value of a model under the condition of a figure, in the figure's unit.

    Parameters
    ----------
    model : BipolarModel or FetModel
        Transistor at 25 °C.
    figure : Figure
        Figure of its data sheet.

    Returns
    -------
    float
        What the model gives there. [SI unit of the figure]

    Raises
    ------
    DeviceError
        If the condition does not say enough, or the model cannot meet it.
    """
    if isinstance(model, BipolarModel):
        return _bipolar(model, figure)
    return _fet(model, figure)


def _condition(figure: Figure, symbol: str) -> float:
    value = figure.given(symbol)
    if value is None:
        raise DeviceError(
            f"{figure.symbol} at '{figure.at}' does not state {symbol}. Add it to the condition."
        )
    return value


def leakage_with_open_emitter(model: BipolarModel, V_CB: float) -> float:
    """Collector-base current of a transistor whose emitter is open.

    Parameters
    ----------
    model : BipolarModel
        Transistor at its junction temperature.
    V_CB : float
        Reverse voltage of the collector junction. [V]

    Returns
    -------
    float
        I_CBO as measured: the leakage of the model and what its junctions add. [A]
    """
    from scipy.optimize import brentq

    p = model.static

    def emitter_current(v_BE: float) -> float:
        i_C, i_B, *_ = static_bipolar(v_BE, -V_CB, p)
        return float(i_C + i_B)

    v_BE = brentq(emitter_current, -5.0, 20.0 * p.V_F, xtol=1e-12)
    return float(static_bipolar(v_BE, -V_CB, p)[0])


def _bipolar(model: BipolarModel, figure: Figure) -> float:
    symbol = figure.symbol
    if symbol == "I_CBO":
        return leakage_with_open_emitter(model, _condition(figure, "V_CB"))
    I_C = _condition(figure, "I_C")
    if symbol in ("V_BE_sat", "V_CE_sat"):
        bias = saturated_at(model, I_C, _condition(figure, "I_B"))
        return bias.V_BE if symbol == "V_BE_sat" else bias.V_CE
    bias = bias_at(model, I_C, _condition(figure, "V_CE"))
    values = {"h_FE": bias.h_FE, "V_BE": bias.V_BE, "h_oe": bias.g_o}
    if symbol not in values:
        raise DeviceError(f"{symbol} is no figure of a bipolar transistor.")
    return values[symbol]


def _fet(model: FetModel, figure: Figure) -> float:
    symbol = figure.symbol
    if symbol in ("V_GS_off", "V_GS_th", "V_GS_on"):
        return gate_voltage(model, _condition(figure, "I_D"), figure.given("V_DS"))
    if symbol == "r_DS_on":
        return on_resistance(model, _condition(figure, "V_GS"), _condition(figure, "I_D"))
    if symbol == "V_SD":
        return body_voltage(model, _condition(figure, "I_S"))
    V_DS, V_GS = _condition(figure, "V_DS"), figure.given("V_GS")
    if V_GS is None:
        V_GS = gate_voltage(model, _condition(figure, "I_D"), V_DS)
    if symbol == "I_DSS":
        return drain_current(model, V_GS, V_DS)
    g_m, g_o = transconductance(model, V_GS, V_DS)
    values = {"y_fs": g_m, "y_os": g_o}
    if symbol not in values:
        raise DeviceError(f"{symbol} is no figure of a field-effect transistor.")
    return values[symbol]
