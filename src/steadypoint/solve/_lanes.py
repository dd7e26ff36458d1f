"""Newton's method on many value sets of one circuit at once: one lane of every array per set."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.solve._lane_fast import tables_of
from steadypoint.solve._lane_laws import LaneLaws
from steadypoint.solve._lane_plan import Lanes
from steadypoint.solve._lane_step import Block, Step, joined
from steadypoint.solve._lu_plan import solve_rows, turned
from steadypoint.solve._many_fets import fet_rows
from steadypoint.solve._many_settings import Figures, rows_of
from steadypoint.solve._tableau import FloatArray

LANES: Final = 2048
"""Sets that are solved side by side: their rows fit the second-level cache. [-]"""

MOST_STEPS: Final = 60
"""Steps after which a set goes to the single solver with its fallbacks. [-]"""


def first_block(lanes: Lanes, P: FloatArray, index: NDArray[np.intp]) -> Block:
    """Sets at the first guess."""
    n, layout = P.shape[1], lanes.layout
    x = np.zeros((lanes.rows, n))
    for row, shares in lanes.tied:
        for k, factor in shares:
            x[row] += factor * P[layout.voltages + k]
    v = np.empty((len(lanes.seeds), n))
    q = len(lanes.bipolars)
    count = len(lanes.junctions)
    for j, seed in enumerate(lanes.seeds[:count]):
        law = j // 2 if j < 2 * q else j - q
        np.multiply(P[layout.nV_T + law], seed, out=v[j])
        v[j] += P[layout.v_on + law]
    for m, seed in enumerate(lanes.seeds[count:]):
        np.add(P[layout.V_GS_th + m // 2], seed, out=v[count + m])
    return Block(P, x, v, index, np.zeros(n, dtype=np.int32))


@dataclass(slots=True)
class Found:
    """States of all sets of a chunk; ``steps`` is -1 where the lanes found none."""

    x: FloatArray
    steps: NDArray[np.int32]
    P: FloatArray


def run(lanes: Lanes, block: Block, found: Found, leave: int) -> Block | None:
    """Take a block to its points.

    Parameters
    ----------
    lanes : Lanes
        What the sets share.
    block : Block
        The sets.
    found : Found
        Takes the states of sets that are accepted.
    leave : int
        Sets that may be left for a later block. [-]

    Returns
    -------
    Block or None
        What is left.
    """
    step = Step(lanes, block)
    while True:
        step.evaluate()
        ok = step.accepted()
        step.block.steps += 1
        solve_rows(lanes.lu, step.A, step.F, step.y)
        step.block.x[: lanes.N] -= step.y
        if ok is not None:
            b = step.block
            done = ok & ~turned(lanes.lu, step.A) if lanes.guard else ok
            found.x[:, b.index[done]] = b.x[:, done]
            found.steps[b.index[done]] = b.steps[done]
            rest = ~ok
            if not rest.any():
                return None
            step = Step(lanes, b.kept(rest))
        step.limit()
        b = step.block
        late = b.steps >= MOST_STEPS
        if late.any() or not np.isfinite(b.x).all():
            lost = late | ~np.isfinite(b.x).all(axis=0)
            if lost.all():
                return None
            step = Step(lanes, b.kept(~lost))
            b = step.block
        if len(b.index) <= leave:
            return b


def solve_lanes(lanes: Lanes, figures: Figures, n: int, *, fast: bool = False) -> Found:
    """Solve a chunk of value sets.

    Parameters
    ----------
    lanes : Lanes
        What the sets share.
    figures : Figures
        Figures of the sets.
    n : int
        Sets. [-]
    fast : bool, default False
        Whether compiled lanes go first; they know no channels.

    Returns
    -------
    Found
    """
    P = rows_of(figures, lanes.layout, n)
    fet_rows(figures, lanes.layout, P)
    found = Found(np.zeros((lanes.rows, n)), np.full(n, -1, dtype=np.int32), P)
    left = np.arange(n)
    if fast and not lanes.channels:
        from steadypoint.kernels._lane_kernel import solve_groups

        with np.errstate(all="ignore"):
            solve_groups(P, tables_of(lanes), found.x, found.steps)
        left = np.flatnonzero(found.steps < 0)
    waiting: list[Block] = []
    with np.errstate(all="ignore"):
        for start in range(0, len(left), LANES):
            at = left[start : start + LANES]
            rest = run(lanes, first_block(lanes, P.take(at, axis=1), at), found, LANES // 16)
            if rest is not None:
                waiting.append(rest)
            if sum(len(b.index) for b in waiting) >= LANES:
                _settle(lanes, waiting, found, LANES // 16)
        while waiting:
            _settle(lanes, waiting, found, 0)
    return found


def _settle(lanes: Lanes, waiting: list[Block], found: Found, leave: int) -> None:
    """Take what earlier blocks left a while further."""
    block = joined(waiting)
    waiting.clear()
    rest = run(lanes, block, found, leave)
    if rest is not None:
        waiting.append(rest)


def outputs(lanes: Lanes, found: Found) -> tuple[FloatArray, FloatArray, NDArray[np.uint8]]:
    """Collector and base currents and the region of every transistor.

    Parameters
    ----------
    lanes : Lanes
        What the sets share.
    found : Found
        States of the sets.

    Returns
    -------
    tuple of ndarray, shape (transistors, n)
        I_C and I_B into the terminals, and codes: 0 active, 1 saturation, 2 cutoff, 3 reverse.
        [A, A, -]
    """
    q, n = len(lanes.bipolars), found.x.shape[1]
    I_C, I_B = np.empty((q, n)), np.empty((q, n))
    region = np.zeros((q, n), dtype=np.uint8)
    with np.errstate(all="ignore"):
        for start in range(0, n, LANES):
            part = slice(start, start + LANES)
            laws, x = LaneLaws(lanes.layout, found.P[:, part]), found.x[:, part]
            for k, (c, b, e, sign) in enumerate(lanes.bipolars):
                v_F, v_R = sign * (x[b] - x[e]), sign * (x[b] - x[c])
                collector, base, _ = laws.bipolar(k, v_F, v_R)
                np.multiply(collector, sign, out=I_C[k, part])
                np.multiply(base, sign, out=I_B[k, part])
                region[k, part] = laws.region(k, v_F, v_R)
    return I_C, I_B, region
