"""Newton's method in the overdrives of the channels alone.

In one combination of junction states everything but the channels is linear, so one inverse gives
the overdrives as straight lines of the channels' currents. What is left is a system of two unknowns
for each field-effect transistor instead of one for each node.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from steadypoint.solve._tableau import FloatArray, Tableau

UNDAMPED = 14
"""Steps of Newton's method before they are halved; where there is something to be found, it has
been found by then or the method walks in a circle. [-]"""

STEPS = 80
"""Steps of Newton's method before it gives up. [-]"""

LARGEST = 1e6
"""Overdrives are kept below this; only leaks would drive them further. [V]"""

SETTLED = 1e-9
"""Change of an overdrive at which the full system takes over. [V]"""

REGULAR = 1e10
"""Condition number up to which the straight lines are trusted. [-]"""


@dataclass(frozen=True, slots=True)
class Lines:
    """Overdrives ``open - effect @ currents`` of the ends of all channels.

    Parameters
    ----------
    open : ndarray, shape (n,)
        Overdrives without channel currents. [V]
    effect : ndarray, shape (n, n)
        What the currents take away. [Ω]
    K : ndarray, shape (n,)
        Conductance parameters. [A/V²]
    """

    open: FloatArray
    effect: FloatArray
    K: FloatArray


def overdrive_lines(
    tab: Tableau, A: FloatArray, b: FloatArray, columns: FloatArray
) -> Lines | None:
    """Overdrives of a combination of states as straight lines of the channels' currents.

    Parameters
    ----------
    tab : Tableau
        The network.
    A, b : ndarray, shapes (n, n) and (n,)
        System of the combination, the currents of the channels being zero.
    columns : ndarray, shape (n,)
        Size of one unit of each unknown.

    Returns
    -------
    Lines or None
        None where the system without channels is singular.
    """
    A = A.copy()
    rows = [tab.first + j for j in tab.channels]
    for row in rows:
        A[row] = 0.0
        A[row, row] = 1.0
    right = np.zeros((A.shape[0], len(rows) + 1))
    right[:, 0] = b
    right[rows, 0] = 0.0
    right[rows, range(1, len(rows) + 1)] = 1.0
    scaled = A * columns
    size = np.abs(scaled).max(axis=1)
    if not size.all():
        return None
    scaled /= size[:, None]
    try:
        inverse = np.linalg.inv(scaled)
    except np.linalg.LinAlgError:
        return None
    condition = np.abs(scaled).sum(axis=0).max() * np.abs(inverse).sum(axis=0).max()
    if not condition < REGULAR:
        return None
    x = (inverse @ (right / size[:, None])) * columns[:, None]
    x = np.vstack([x, np.zeros(x.shape[1])])  # ground, which is node -1
    ends = [tab.junctions[j] for j in tab.channels]
    lines = x[[e.plus for e in ends]] - x[[e.minus for e in ends]]
    drops = np.array([e.drop for e in ends])
    return Lines(lines[:, 0] - drops, -lines[:, 1:], np.array([e.K for e in ends]))


def settle(lines: Lines, start: tuple[float, ...]) -> tuple[float, ...] | None:
    """Overdrives that agree with their own currents, none below zero.

    Parameters
    ----------
    lines : Lines
        What the network makes of the currents.
    start : tuple of float
        Overdrives to begin with. [V]

    Returns
    -------
    tuple of float or None
        None where Newton's method does not settle.
    """
    over, eye = np.array(start), np.eye(len(start))
    for step in range(STEPS):
        slope = lines.K * over
        try:
            reached = np.linalg.solve(
                eye + lines.effect * (2.0 * slope), lines.open + lines.effect @ (slope * over)
            )
        except np.linalg.LinAlgError:
            return None
        reached = np.clip(reached, 0.0, LARGEST)
        if np.abs(reached - over).max() <= SETTLED * max(1.0, over.max()):
            return tuple(reached.tolist())
        over = reached if step < UNDAMPED else 0.5 * (over + reached)
    return None


__all__ = ["LARGEST", "STEPS", "UNDAMPED", "Lines", "overdrive_lines", "settle"]
