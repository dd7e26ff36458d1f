"""Field-effect transistors of a solved piece: currents, regions, the end of the load line."""

from __future__ import annotations

import numpy as np

from steadypoint.solve._pieces import Piece, columns_of, overdrive, solve_linear
from steadypoint.solve._point import Region
from steadypoint.solve._tableau import FloatArray, Tableau

OPEN = 1e-9
"""Overdrive above which an end of a channel counts as open. [V]"""


def region_of(source_end: float, drain_end: float) -> Region:
    """Region of a channel from the overdrives of its two ends.

    Parameters
    ----------
    source_end, drain_end : float
        V_GS and V_GD above the threshold, as of an n-channel. [V]

    Returns
    -------
    Region
        ``cutoff``, ``saturation``, ``triode``, or ``reverse`` where only the drain end is open.
    """
    if source_end > OPEN:
        return Region.TRIODE if drain_end > OPEN else Region.SATURATION
    return Region.REVERSE if drain_end > OPEN else Region.CUTOFF


def channel_regions(tab: Tableau, x: FloatArray) -> tuple[Region, ...]:
    """Region of every field-effect transistor of a solution."""
    pairs = zip(tab.channels[::2], tab.channels[1::2], strict=True)
    return tuple(region_of(overdrive(tab, x, a), overdrive(tab, x, b)) for a, b in pairs)


def drain_currents(tab: Tableau, x: FloatArray) -> FloatArray:
    """Currents into the drains, negative for a conducting p-channel. [A]"""
    sign = np.array([f.sign for f in tab.network.fets], dtype=float)
    ends = x[[tab.first + j for j in tab.channels]]
    return np.asarray(sign * (ends[::2] - ends[1::2]), dtype=np.float64)


def hold_channels(tab: Tableau, A: FloatArray, b: FloatArray, x: FloatArray) -> None:
    """Let every end of a channel carry the current that it has."""
    for j in tab.channels:
        row = tab.first + j
        A[row], b[row] = 0.0, x[row]
        A[row, row] = 1.0


def cutoff_V_DS(tab: Tableau, piece: Piece) -> FloatArray:
    """V_DS at the cut-off end of each load line, the others carrying what they carry. [V]"""
    out = np.zeros(len(tab.network.fets))
    for k, f in enumerate(tab.network.fets):
        A, b = tab.system(piece.state)
        hold_channels(tab, A, b, piece.x)
        b[[tab.first + tab.channels[2 * k], tab.first + tab.channels[2 * k + 1]]] = 0.0
        columns = columns_of(tab)
        V = solve_linear(A, b, columns)
        if V is None:
            V = solve_linear(A + tab.leak, b, columns)
        if V is not None:
            D, S = (float(V[i]) if i >= 0 else 0.0 for i in (f.drain, f.source))
            out[k] = D - S
    return out
