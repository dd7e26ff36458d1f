"""Structure of a circuit as the compiled lanes take it, and their room to work in."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray


class Tables(NamedTuple):
    """Structure of a circuit as integers.

    Parameters
    ----------
    resistors, currents, hanging, bipolars, diodes : ndarray of int64
        One row per part: rows of the state, rows of figures, slots of the matrix.
    program, starts : ndarray of int64
        The order of elimination, and where each pivot begins in it.
    sizes : ndarray of int64
        Unknowns, rows of the state, slots, rows of figures, most steps, flag for the determinant,
        flag of an odd permutation.
    seeds : ndarray
        First guesses of the junctions above v_on. [V_T]
    ties : ndarray of int64
        Pairs (row of a tied node, source).
    factors : ndarray
        Factor of each tie.
    anchors : ndarray of int64
        Pairs (row, slot) that a minute conductance holds.
    """

    resistors: NDArray[np.int64]
    currents: NDArray[np.int64]
    hanging: NDArray[np.int64]
    bipolars: NDArray[np.int64]
    diodes: NDArray[np.int64]
    program: NDArray[np.int64]
    starts: NDArray[np.int64]
    sizes: NDArray[np.int64]
    seeds: NDArray[np.float64]
    ties: NDArray[np.int64]
    factors: NDArray[np.float64]
    anchors: NDArray[np.int64]


class Scratch(NamedTuple):
    """Room for one group of lanes.

    Parameters
    ----------
    p, x, v, d, A, J, F, S, y, t : ndarray, shape (rows, W)
        Figures, state, junction voltages, their jumps, matrix, its linear part, imbalances, their
        scale, steps, and rows for passing results.
    """

    p: NDArray[np.float64]
    x: NDArray[np.float64]
    v: NDArray[np.float64]
    d: NDArray[np.float64]
    A: NDArray[np.float64]
    J: NDArray[np.float64]
    F: NDArray[np.float64]
    S: NDArray[np.float64]
    y: NDArray[np.float64]
    t: NDArray[np.float64]
