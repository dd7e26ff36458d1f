"""Figures of field-effect transistors for many value sets, and what their points are."""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from steadypoint.circuit import Part
from steadypoint.devices import (
    MOBILITY_EXPONENT,
    NOMINAL_TEMPERATURE,
    THRESHOLD_SLOPE,
    fet_data,
)
from steadypoint.solve._fet_law import junction_currents, junctions_of_fets
from steadypoint.solve._fets import OPEN
from steadypoint.solve._lane_laws import LaneLaws
from steadypoint.solve._lane_plan import Lanes
from steadypoint.solve._many_points import FetColumns
from steadypoint.solve._many_settings import Figures, Layout
from steadypoint.solve._newton import JUNCTION_LEAK
from steadypoint.solve._tableau import FloatArray

LEAST_PINCH_OFF: Final = -1e-3
"""V_GS_off of a JFET stays below this at any temperature. [V]"""


def fet_rows(figures: Figures, layout: Layout, P: FloatArray) -> None:
    """Fill in the square laws of all channels, carried to the temperature of each set.

    A JFET whose V_GS_off is not negative gets no numbers: the single solver refuses it in words.
    """
    T = figures.T
    for k, f in enumerate(figures.net.fets):
        part = figures.net.circuit.part(f.name)
        V_GS_th, K, inv_V_A = _channel(figures, part, f.sign, junction=f.data.junction)
        slope = THRESHOLD_SLOPE["junction" if f.data.junction else "insulated"]
        opens = V_GS_th + slope * (T - NOMINAL_TEMPERATURE)
        if f.data.junction:
            opens = np.where(V_GS_th < 0.0, np.minimum(opens, LEAST_PINCH_OFF), np.nan)
        P[layout.V_GS_th + k] = opens
        K = np.where(np.asarray(K) > 0.0, K, np.nan)
        P[layout.K + k] = K * (T / NOMINAL_TEMPERATURE) ** -MOBILITY_EXPONENT
        P[layout.inv_V_A_channel + k] = inv_V_A


def _channel(figures: Figures, part: Part, sign: int, *, junction: bool) -> tuple[Any, Any, Any]:
    """V_GS_th, K and λ at 25 °C, in the signs of an n-channel. [V, A/V², 1/V]"""

    def option(symbol: str) -> Any:
        return None if symbol in ("V_A", "lambda") else figures.option(part.name, symbol, None)

    data = fet_data(option, sign, junction=junction, depletion="depletion" in part.traits)
    V_A = figures.option(part.name, "V_A", None)
    inv_V_A = figures.option(part.name, "lambda", 0.0) if V_A is None else 1.0 / V_A
    return data.V_GS_th, data.K, inv_V_A


def fet_columns(lanes: Lanes, P: FloatArray, x: FloatArray) -> dict[str, FetColumns]:
    """Quiescent values of every field-effect transistor.

    Parameters
    ----------
    lanes : Lanes
        What the sets share.
    P : ndarray, shape (figures, n)
        Figures of the sets.
    x : ndarray, shape (rows, n)
        States of the sets.
    """
    if not lanes.channels:
        return {}
    with np.errstate(all="ignore"):
        found = _columns(lanes, LaneLaws(lanes.layout, P), x)
    return {f.name: c for f, c in zip(lanes.net.fets, found, strict=True)}


def _columns(lanes: Lanes, laws: LaneLaws, x: FloatArray) -> list[FetColumns]:
    beside = junctions_of_fets(lanes.net)
    extra = [_beside(lanes, laws, x, k) for k in range(-len(beside), 0)]
    drain, gate = junction_currents(lanes.net, extra)
    found = []
    for k, (d, g, s, sign) in enumerate(lanes.channels):
        v_GS, v_GD = sign * (x[g] - x[s]), sign * (x[g] - x[d])
        I_D, _, _ = laws.channel(k, v_GS, v_GD)
        opens = laws.P[lanes.layout.V_GS_th + k]
        source_end, drain_end = v_GS - opens > OPEN, v_GD - opens > OPEN
        code = np.where(source_end, 1, 2)
        code[drain_end] = np.where(source_end[drain_end], 4, 3)
        I_G = gate[k] + np.zeros(x.shape[1])
        I_D = sign * I_D + drain[k]
        found.append(FetColumns(I_D, I_G, x[d] - x[s], x[g] - x[s], code.astype(np.uint8)))
    return found


def _beside(lanes: Lanes, laws: LaneLaws, x: FloatArray, k: int) -> FloatArray:
    """Current of a junction beside a channel, counted from the last diode. [A]"""
    q, at = len(lanes.bipolars), len(lanes.diodes) + k
    anode, cathode = lanes.diodes[at]
    v = x[anode] - x[cathode]
    i, _ = laws.exponential(v, q + at)
    return np.asarray(i - laws.P[lanes.layout.I_S + q + at] + JUNCTION_LEAK * v)
