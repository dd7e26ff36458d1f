"""Laws of the junctions on many value sets at once."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.solve._device import CONDUCTING_CURRENT
from steadypoint.solve._many_settings import TOP_ABOVE_ENTRY, Layout
from steadypoint.solve._newton import ENTRY_CURRENT, JUNCTION_LEAK, TOP_CURRENT
from steadypoint.solve._tableau import FloatArray

CONDUCTS: Final = math.log(CONDUCTING_CURRENT / ENTRY_CURRENT)
"""Voltage at which a junction counts as conducting above that of the entry, in nV_T. [-]"""


class LaneLaws:
    """Laws of the device rung on rows of figures.

    Parameters
    ----------
    layout : Layout
        Where each figure stands.
    P : ndarray, shape (rows, n)
        The figures.
    """

    def __init__(self, layout: Layout, P: FloatArray) -> None:
        self.layout, self.P = layout, P
        self.early = bool(P[layout.inv_V_A : layout.I_CBO].any())
        self.leaky = bool(P[layout.I_CBO : layout.V_Z].any())

    def exponential(self, v: FloatArray, law: int) -> tuple[FloatArray, FloatArray]:
        """Exponential current of a junction and its slope. [A, S]"""
        layout, P = self.layout, self.P
        inv = P[layout.inv + law]
        e = v * inv
        np.exp(e, out=e)
        e *= P[layout.I_S + law]
        g = e * inv
        if not e.max(initial=0.0) <= TOP_CURRENT:
            over = np.flatnonzero(~(e <= TOP_CURRENT))
            nV_T = P[layout.nV_T + law, over]
            top = P[layout.v_on + law, over] + nV_T * TOP_ABOVE_ENTRY
            g[over] = TOP_CURRENT / nV_T
            e[over] = TOP_CURRENT + g[over] * (v[over] - top)
        return e, g

    def bipolar(
        self, k: int, v_F: FloatArray, v_R: FloatArray
    ) -> tuple[FloatArray, FloatArray, tuple[FloatArray, FloatArray, FloatArray, FloatArray]]:
        """I_C, I_B of an npn and dI_C/dv_BE, dI_T/dv_BC, dI_B/dv_BE, dI_B/dv_BC. [A, S]"""
        P, layout = self.P, self.layout
        I_S = P[layout.I_S + k]
        by, by_R = P[layout.inv_beta + k], P[layout.inv_beta_R + k]
        e_F, g_F = self.exponential(v_F, k)
        e_R, g_R = self.exponential(v_R, k)
        I_C = e_F - e_R
        g_b = g_F * by
        g_b += JUNCTION_LEAK
        back = g_R * by_R
        back += JUNCTION_LEAK
        d_r = -g_R
        if self.early:
            inv_V_A = P[layout.inv_V_A + k]
            early = v_R * inv_V_A
            np.subtract(1.0, early, out=early)
            g_F *= early
            d_r *= early
            d_r -= I_C * inv_V_A
            I_C *= early
        e_R -= I_S
        e_R *= by_R
        e_R += JUNCTION_LEAK * v_R
        if self.leaky:
            I_CBO, nV_T = P[layout.I_CBO + k], P[layout.nV_T + k]
            span = np.abs(v_R) + 2.0 * nV_T
            e_R += I_CBO * v_R / span
            back += I_CBO * 2.0 * nV_T / (span * span)
        I_C -= e_R
        e_F -= I_S
        e_F *= by
        e_F += JUNCTION_LEAK * v_F
        e_F += e_R
        return I_C, e_F, (g_F, d_r, g_b, back)

    def channel(
        self, k: int, v_GS: FloatArray, v_GD: FloatArray
    ) -> tuple[FloatArray, FloatArray, FloatArray]:
        """I_D of an n-channel and its slopes against both ends; see ``channel_current``. [A, S]"""
        P, layout = self.P, self.layout
        K, opens, modulation = (
            P[first + k] for first in (layout.K, layout.V_GS_th, layout.inv_V_A_channel)
        )
        a, b = np.maximum(v_GS - opens, 0.0), np.maximum(v_GD - opens, 0.0)
        v_DS = v_GS - v_GD
        plain = K * np.where((a > 0.0) & (b > 0.0), v_DS, a - b) * (a + b)
        stretch = 1.0 + modulation * np.abs(v_DS)
        longer = plain * modulation * np.where(v_DS >= 0.0, 1.0, -1.0)
        return (
            plain * stretch,
            2.0 * K * a * stretch + longer,
            -2.0 * K * b * stretch - longer,
        )

    def region(self, k: int, v_F: FloatArray, v_R: FloatArray) -> NDArray[np.uint8]:
        """Codes of the regions, by the rule of the single solver."""
        P, layout = self.P, self.layout
        on = P[layout.v_on + k] + CONDUCTS * P[layout.nV_T + k]
        code = np.where(v_F - v_R <= P[layout.V_CE_sat + k], 1, 0).astype(np.uint8)
        code[v_R > v_F] = 3
        code[np.maximum(v_F, v_R) < on] = 2
        return code
