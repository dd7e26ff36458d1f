"""The compiled lanes: when they are there, and what they need of a circuit."""

from __future__ import annotations

import importlib.util
from collections.abc import Callable
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from steadypoint.solve._lane_plan import Ends, Lanes
from steadypoint.solve._lu_plan import LuPlan

if TYPE_CHECKING:
    from steadypoint.kernels._lane_tables import Tables

FAST_STEPS = 16
"""Steps after which a set goes to the lanes without compiled code. [-]"""


@lru_cache(maxsize=1)
def installed() -> bool:
    """Whether the extra ``fast`` is installed."""
    return importlib.util.find_spec("numba") is not None


def tables_of(lanes: Lanes) -> Tables:
    """Structure of a circuit as the compiled lanes take it.

    Parameters
    ----------
    lanes : Lanes
        What the value sets share.

    Returns
    -------
    Tables
    """
    from steadypoint.kernels._lane_tables import Tables

    N, layout, slots = lanes.N, lanes.layout, lanes.lu.slots
    spare = len(slots)

    def at(row: int, column: int) -> int:
        return slots.get((row, column), spare) if row < N and column < N else spare

    def pair(ends: Ends) -> list[int]:
        a, b = ends
        return [at(a, a), at(b, b), at(a, b), at(b, a)]

    first = N - len(lanes.hanging)
    resistors = [[a, b, layout.g + k, *pair((a, b))] for k, (a, b) in enumerate(lanes.resistors)]
    currents = [[a, b, layout.currents + k] for k, (a, b) in enumerate(lanes.currents)]
    hanging = []
    for h, (a, b, k) in enumerate(lanes.hanging):
        row = first + h
        where = [at(a, row), at(b, row), at(row, a), at(row, b)]
        hanging.append([a, b, layout.voltages + k, row, *where])
    program, starts = _flat(lanes.lu)
    sizes = [N, lanes.rows, spare, layout.size, FAST_STEPS, lanes.guard, -1 if lanes.lu.odd else 1]
    ties = [(row, layout.voltages + k, f) for row, shares in lanes.tied for k, f in shares]
    return Tables(
        _table(resistors, 7),
        _table(currents, 3),
        _table(hanging, 8),
        _table(_bipolars(lanes, at), 23),
        _table(_diodes(lanes, pair), 14),
        np.array(program, dtype=np.int64),
        np.array(starts, dtype=np.int64),
        np.array(sizes, dtype=np.int64),
        np.array(lanes.seeds, dtype=np.float64),
        _table([[row, k] for row, k, _ in ties], 2),
        np.array([f for *_, f in ties], dtype=np.float64),
        _table([[i, at(i, i)] for i in lanes.anchors], 2),
    )


def _table(rows: list[list[int]], width: int) -> NDArray[np.int64]:
    return np.array(rows, dtype=np.int64).reshape(len(rows), width)


def _bipolars(lanes: Lanes, at: Callable[[int, int], int]) -> list[list[int]]:
    layout, rows = lanes.layout, []
    for k, (c, b, e, sign) in enumerate(lanes.bipolars):
        figures = [layout.I_S, layout.inv, layout.inv_beta, layout.inv_beta_R]
        figures += [layout.inv_V_A, layout.I_CBO]
        slots = [at(r, s) for r in (c, b, e) for s in (c, b, e)]
        own = [f + k for f in figures]
        rows.append(
            [c, b, e, sign, 2 * k, 2 * k + 1, *own, *slots, layout.nV_T + k, layout.v_on + k]
        )
    return rows


def _diodes(lanes: Lanes, pair: Callable[[Ends], list[int]]) -> list[list[int]]:
    layout, rows, q, count = lanes.layout, [], len(lanes.bipolars), len(lanes.diodes)
    for m in range(count + len(lanes.breaks)):
        law, j = q + m, 2 * q + m
        a, b = lanes.junctions[j]
        breaks = m >= count
        rest = layout.rest + m - count if breaks else layout.I_S + law
        V_Z = layout.V_Z + m - count if breaks else -1
        own = [layout.I_S + law, layout.inv + law, rest, int(not breaks)]
        rows.append([a, b, j, *own, *pair((a, b)), layout.nV_T + law, layout.v_on + law, V_Z])
    return rows


def _flat(lu: LuPlan) -> tuple[list[int], list[int]]:
    """The order of elimination in a row of integers."""
    program: list[int] = []
    starts: list[int] = []
    for p in lu.pivots:
        starts.append(len(program))
        program += [p.slot, p.row, p.column, len(p.below), len(p.right)]
        program += [slot for slot, _ in p.right] + [column for _, column in p.right]
        for slot, row, pairs in p.below:
            program += [slot, row, *(target for _, target in pairs)]
    return program, starts
