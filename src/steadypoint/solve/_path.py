"""Following the piecewise linear network while its sources rise from zero.

With all sources at zero every junction blocks and everything is at zero. As the sources rise
together the solution moves along a straight line until some junction reaches its edge; there its
state is swapped and the line bends. Where the determinant changes its sign at such an edge, the
path turns back and the sources fall for a while (a fold, as in a latch). At full sources the states
of the junctions are those of an operating point.

J. Katzenelson, "An algorithm for solving nonlinear resistor networks", Bell System Technical
Journal 44, 1965, with the turning rule of Chien and Kuh, 1977 (both cited from memory).
"""

from __future__ import annotations

from typing import Final

import numpy as np

from steadypoint.solve._exact_states import complete, flipped
from steadypoint.solve._pieces import State, columns_of, orientation_of, slack_of, solve_linear
from steadypoint.solve._tableau import FloatArray, Tableau

SERIES: Final = 1e-7
"""Resistance of conducting junctions here, so that loops of constant drops have a solution. [Ω]"""

CORNERS: Final = 600
"""Edges after which the path is given up. [-]"""


def follow_sources(tab: Tableau) -> State | None:
    """States of all junctions at the end of the path, or None when the path has no end.

    Parameters
    ----------
    tab : Tableau
        The network, without logarithmic laws.

    Returns
    -------
    tuple of bool or None
    """
    state = complete(tab, [False] * len(tab.junctions))
    sources = tab.b0.copy()
    share, way, orientation, last = 0.0, 1.0, 0.0, -1
    for _ in range(CORNERS):
        line = _line(tab, state, sources)
        if line is None:
            return None
        rest, slope, sign = line
        if orientation and sign != orientation:
            way = -way
        orientation = sign
        step, junction = _edge(tab, state, rest + share * slope, way * slope, last)
        if way > 0 and step >= 1.0 - share:
            return state
        if junction < 0:
            return None
        share += way * step
        if share < -1e-6:
            return None
        state, last = flipped(tab, state, (junction,)), junction
    return None


def _line(
    tab: Tableau, state: State, sources: FloatArray
) -> tuple[FloatArray, FloatArray, float] | None:
    """Solution without sources, its change per share of the sources, and the orientation."""
    A, b = tab.system(state)
    A = A + tab.leak
    for j in tab.free:
        if state[j]:
            A[tab.first + j, tab.first + j] += SERIES
    columns = columns_of(tab)
    first = solve_linear(A, b - sources, columns)
    second = solve_linear(A, sources, columns)
    if first is None or second is None:
        return None
    return first, second, orientation_of(A, columns)


def _edge(
    tab: Tableau, state: State, x: FloatArray, rate: FloatArray, last: int
) -> tuple[float, int]:
    """Distance to the nearest edge along the line, and the junction that reaches it."""
    nearest, which = np.inf, -1
    ahead = x + rate
    for j in tab.free:
        q = tab.junctions[j]
        if state[j]:
            now, then = float(x[tab.first + j]), float(ahead[tab.first + j])
        else:
            on = q.partner >= 0 and state[q.partner]
            now, then = slack_of(q, x, on), slack_of(q, ahead, on)
        falling = now - then
        if falling <= 0.0 or (j == last and now < 1e-6 * falling):
            continue
        step = max(now, 0.0) / falling
        if step < nearest:
            nearest, which = step, j
    return nearest, which
