"""Newton's method on groups of eight value sets, for compiled code.

Never imported by the package itself: asked for by name when it is wanted.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from steadypoint.kernels._eight import (
    W,
    any_less,
    compiled,
    inlined,
    load,
    magnitude,
    splat,
    store,
    where_le,
)
from steadypoint.kernels._eight_functions import exponential, logarithm
from steadypoint.kernels._lane_tables import Scratch, Tables


@inlined
def _add(rows: Any, row: int, value: Any) -> None:
    store(rows, row, load(rows, row) + value)


@inlined
def _clear(rows: Any) -> None:
    for r in range(len(rows)):
        store(rows, r, splat(0.0))


@inlined
def _copy(rows: Any, into: Any) -> None:
    for r in range(len(rows)):
        store(into, r, load(rows, r))


@inlined
def _leaves(F: Any, S: Any, a: int, b: int, i: Any) -> None:
    """Count a current that leaves row a for row b."""
    size = magnitude(i)
    _add(F, a, i)
    _add(F, b, splat(0.0) - i)
    _add(S, a, size)
    _add(S, b, size)


@inlined
def _begin(P: Any, at: int, count: int, k: Tables, s: Scratch) -> None:
    """Figures, state and linear part of a group."""
    for r in range(k.sizes[3]):
        for j in range(W):
            s.p[r, j] = P[r, at + min(j, count - 1)]
    _clear(s.x)
    _clear(s.J)
    for m in range(len(k.factors)):
        _add(s.x, k.ties[m, 0], load(s.p, k.ties[m, 1]) * k.factors[m])
    for m in range(len(k.resistors)):
        g = load(s.p, k.resistors[m, 2])
        _add(s.J, k.resistors[m, 3], g)
        _add(s.J, k.resistors[m, 4], g)
        _add(s.J, k.resistors[m, 5], splat(0.0) - g)
        _add(s.J, k.resistors[m, 6], splat(0.0) - g)
    for m in range(len(k.hanging)):
        _add(s.J, k.hanging[m, 4], splat(-1.0))
        _add(s.J, k.hanging[m, 5], splat(1.0))
        _add(s.J, k.hanging[m, 6], splat(1.0))
        _add(s.J, k.hanging[m, 7], splat(-1.0))
    for m in range(len(k.anchors)):
        _add(s.J, k.anchors[m, 1], splat(1e-12))


@inlined
def _linear(k: Tables, s: Scratch) -> None:
    """Currents of resistors and sources."""
    F, S, x, p = s.F, s.S, s.x, s.p
    _clear(F)
    _clear(S)
    for m in range(len(k.resistors)):
        a, b = k.resistors[m, 0], k.resistors[m, 1]
        _leaves(F, S, a, b, load(p, k.resistors[m, 2]) * (load(x, a) - load(x, b)))
    for m in range(len(k.currents)):
        _leaves(F, S, k.currents[m, 0], k.currents[m, 1], load(p, k.currents[m, 2]))
    for m in range(len(k.hanging)):
        a, b, row = k.hanging[m, 0], k.hanging[m, 1], k.hanging[m, 3]
        _leaves(F, S, b, a, load(x, row))
        store(F, row, load(x, a) - load(x, b) - load(p, k.hanging[m, 2]))
    for m in range(len(k.anchors)):
        a = k.anchors[m, 0]
        _add(F, a, load(x, a) * 1e-12)


@inlined
def _bipolars(k: Tables, s: Scratch) -> None:
    """Currents and slopes of the transistors; row 0 of ``t`` keeps the largest exponential."""
    Q = k.bipolars
    for m in range(len(Q)):
        v_F, v_R = load(s.v, Q[m, 4]), load(s.v, Q[m, 5])
        d_F, d_R = load(s.d, Q[m, 4]), load(s.d, Q[m, 5])
        I_S, inv = load(s.p, Q[m, 6]), load(s.p, Q[m, 7])
        by, by_R = load(s.p, Q[m, 8]), load(s.p, Q[m, 9])
        inv_V_A, I_CBO, nV_T = load(s.p, Q[m, 10]), load(s.p, Q[m, 11]), load(s.p, Q[m, 21])
        e_F, e_R = I_S * exponential(v_F * inv), I_S * exponential(v_R * inv)
        top = load(s.t, 0)
        top = where_le(e_F, top, top, e_F)
        store(s.t, 0, where_le(e_R, top, top, e_R))
        early, through = 1.0 - v_R * inv_V_A, e_F - e_R
        slope_F, slope_R = e_F * inv, e_R * inv
        g_b = slope_F * by + 1e-12
        span = magnitude(v_R) + 2.0 * nV_T
        leak = I_CBO / span
        back = slope_R * by_R + 1e-12 + leak * 2.0 * nV_T / span
        g_F = slope_F * early
        d_r = splat(0.0) - slope_R * early - through * inv_V_A
        i_r = (e_R - I_S) * by_R + (leak + 1e-12) * v_R
        I_C = through * early - i_r + g_F * d_F + (d_r - back) * d_R
        I_B = (e_F - I_S) * by + v_F * 1e-12 + i_r + g_b * d_F + back * d_R
        way = float(Q[m, 3])
        _leaves(s.F, s.S, Q[m, 0], Q[m, 2], I_C * way)
        _leaves(s.F, s.S, Q[m, 1], Q[m, 2], I_B * way)
        _add(s.A, Q[m, 12], back - d_r)
        _add(s.A, Q[m, 13], g_F + d_r - back)
        _add(s.A, Q[m, 14], splat(0.0) - g_F)
        _add(s.A, Q[m, 15], splat(0.0) - back)
        _add(s.A, Q[m, 16], g_b + back)
        _add(s.A, Q[m, 17], splat(0.0) - g_b)
        _add(s.A, Q[m, 18], d_r)
        _add(s.A, Q[m, 19], splat(0.0) - g_F - d_r - g_b)
        _add(s.A, Q[m, 20], g_F + g_b)


@inlined
def _diodes(k: Tables, s: Scratch) -> None:
    """Currents and slopes of diodes and breakdowns."""
    D = k.diodes
    for m in range(len(D)):
        v, inv, leak = load(s.v, D[m, 2]), load(s.p, D[m, 4]), 1e-12 * float(D[m, 6])
        i = load(s.p, D[m, 3]) * exponential(v * inv)
        g = i * inv + leak
        top = load(s.t, 0)
        store(s.t, 0, where_le(i, top, top, i))
        i = i + v * leak - load(s.p, D[m, 5]) + g * load(s.d, D[m, 2])
        _leaves(s.F, s.S, D[m, 0], D[m, 1], i)
        _add(s.A, D[m, 7], g)
        _add(s.A, D[m, 8], g)
        _add(s.A, D[m, 9], splat(0.0) - g)
        _add(s.A, D[m, 10], splat(0.0) - g)


@inlined
def _solve(k: Tables, s: Scratch) -> None:
    """Run the order of elimination; row 1 of ``t`` takes the sign of the determinant."""
    A, F, y, q = s.A, s.F, s.y, k.program
    sign = splat(1.0)
    for m in range(len(k.starts)):
        o = k.starts[m]
        row, below, right = q[o + 1], q[o + 3], q[o + 4]
        pivot = 1.0 / load(A, q[o])
        store(A, q[o], pivot)
        sign = where_le(splat(0.0), pivot, sign, splat(0.0) - sign)
        own = load(F, row)
        c = o + 5
        o = c + 2 * right
        for _ in range(below):
            factor = load(A, q[o]) * pivot
            _add(F, q[o + 1], splat(0.0) - factor * own)
            for u in range(right):
                target = q[o + 2 + u]
                store(A, target, load(A, target) - factor * load(A, q[c + u]))
            o += 2 + right
    store(s.t, 1, sign)
    for m in range(len(k.starts) - 1, -1, -1):
        o = k.starts[m]
        right = q[o + 4]
        own = load(F, q[o + 1])
        for u in range(right):
            own = own - load(A, q[o + 5 + u]) * load(y, q[o + 5 + right + u])
        store(y, q[o + 2], own * load(A, q[o]))


@inlined
def _limit(w: Any, j: int, nV_T: Any, inv: Any, on: Any, vs: Any, ds: Any) -> None:
    """Follow the state with junction j, no further than its limit; the law is ``limited``."""
    v = load(vs, j)
    step, half, none, one = (w - v) * inv, splat(0.5), splat(0.0), splat(1.0)
    if not (any_less(half, step) or any_less(step, splat(-0.5))):
        store(vs, j, w)
        store(ds, j, none)
        return
    up = where_le(step, half, none, where_le((w - on) * inv, half, none, one))
    down = where_le(splat(-0.5), step, none, where_le(v, on - 10.0 * nV_T, none, one))
    base = where_le(one, up, where_le(v, on, on, v), v)
    ratio = (w - base) * inv
    near = base + nV_T * logarithm(1.0 + where_le(splat(-0.99), ratio, ratio, splat(-0.99)))
    new = where_le(one, up + down, near, w)
    store(vs, j, new)
    store(ds, j, w - new)


@inlined
def _wanted(a: int, b: int, x: Any) -> Any:
    return load(x, a) - load(x, b)


@inlined
def _follow(k: Tables, s: Scratch) -> None:
    """Move all junctions to the state."""
    Q, D = k.bipolars, k.diodes
    for m in range(len(Q)):
        nV_T, inv, on, way = (
            load(s.p, Q[m, 21]),
            load(s.p, Q[m, 7]),
            load(s.p, Q[m, 22]),
            float(Q[m, 3]),
        )
        _limit(_wanted(Q[m, 1], Q[m, 2], s.x) * way, Q[m, 4], nV_T, inv, on, s.v, s.d)
        _limit(_wanted(Q[m, 1], Q[m, 0], s.x) * way, Q[m, 5], nV_T, inv, on, s.v, s.d)
    for m in range(len(D)):
        w = _wanted(D[m, 0], D[m, 1], s.x)
        if D[m, 13] >= 0:
            w = w - load(s.p, D[m, 13])
        _limit(w, D[m, 2], load(s.p, D[m, 11]), load(s.p, D[m, 4]), load(s.p, D[m, 12]), s.v, s.d)


@inlined
def _seed(k: Tables, s: Scratch) -> None:
    """Junctions at the first guess, and how far the state is from it."""
    Q, D = k.bipolars, k.diodes
    for m in range(len(Q)):
        nV_T, on, way = load(s.p, Q[m, 21]), load(s.p, Q[m, 22]), float(Q[m, 3])
        v_F, v_R = on + nV_T * k.seeds[Q[m, 4]], on + nV_T * k.seeds[Q[m, 5]]
        store(s.v, Q[m, 4], v_F)
        store(s.v, Q[m, 5], v_R)
        store(s.d, Q[m, 4], _wanted(Q[m, 1], Q[m, 2], s.x) * way - v_F)
        store(s.d, Q[m, 5], _wanted(Q[m, 1], Q[m, 0], s.x) * way - v_R)
    for m in range(len(D)):
        v = load(s.p, D[m, 12]) + load(s.p, D[m, 11]) * k.seeds[D[m, 2]]
        w = _wanted(D[m, 0], D[m, 1], s.x)
        if D[m, 13] >= 0:
            w = w - load(s.p, D[m, 13])
        store(s.v, D[m, 2], v)
        store(s.d, D[m, 2], w - v)


@inlined
def _judged(k: Tables, s: Scratch) -> Any:
    """1 in lanes where every node balances and no junction is away from the state, else 0."""
    none, one = splat(0.0), splat(1.0)
    good = where_le(load(s.t, 0), splat(1e3), one, none)
    for j in range(len(k.seeds)):
        good = where_le(magnitude(load(s.d, j)), none, good, none)
    for i in range(k.sizes[0] - len(k.hanging)):
        bound = load(s.S, i) * 1e-9 + 1e-18
        good = where_le(magnitude(load(s.F, i)), bound, good, none)
    for m in range(len(k.hanging)):
        a, b, row = k.hanging[m, 0], k.hanging[m, 1], k.hanging[m, 3]
        size = magnitude(load(s.x, a)) + magnitude(load(s.x, b))
        size = size + magnitude(load(s.p, k.hanging[m, 2]))
        bound = size * 1.7763568394002505e-15 + 1e-15
        good = where_le(magnitude(load(s.F, row)), bound, good, none)
    return good


@inlined
def _group(k: Tables, s: Scratch) -> None:
    """Take a group to its points; rows 2 and 3 of ``t`` get steps (-1: none) and signs."""
    none, one = splat(0.0), splat(1.0)
    steps, signs = splat(-1.0), splat(1.0)
    for step in range(k.sizes[4]):
        store(s.t, 0, none)
        _copy(s.J, s.A)
        _linear(k, s)
        _bipolars(k, s)
        _diodes(k, s)
        good = _judged(k, s) if step > 0 else none
        _solve(k, s)
        for i in range(k.sizes[0]):
            x = load(s.x, i)
            store(s.x, i, where_le(none, steps, x, x - load(s.y, i)))
        good = where_le(none, steps, none, good)
        steps = where_le(one, good, splat(step + 1.0), steps)
        signs = where_le(one, good, load(s.t, 1), signs)
        if not any_less(steps, none):
            break
        _follow(k, s)
    store(s.t, 2, steps)
    store(s.t, 3, signs)


@compiled
def solve_groups(P: Any, k: Tables, X: Any, steps: Any) -> None:
    """Solve value sets, group by group.

    Parameters
    ----------
    P : ndarray, shape (rows, n)
        Figures, one column per set. [SI]
    k : Tables
        Structure of the circuit.
    X : ndarray, shape (state rows, n)
        Takes the states. [V, A]
    steps : ndarray of int32, shape (n,)
        Takes the steps of each set; -1 where no point was found. [-]
    """
    N, M, slots, rows = k.sizes[0], k.sizes[1], k.sizes[2], k.sizes[3]
    n, junctions = P.shape[1], len(k.seeds)
    s = Scratch(
        np.empty((rows, W)),
        np.empty((M, W)),
        np.empty((junctions, W)),
        np.empty((junctions, W)),
        np.empty((slots + 1, W)),
        np.empty((slots + 1, W)),
        np.empty((M, W)),
        np.empty((M, W)),
        np.empty((N, W)),
        np.empty((4, W)),
    )
    for at in range(0, n, W):
        count = min(W, n - at)
        _begin(P, at, count, k, s)
        _seed(k, s)
        _group(k, s)
        for j in range(count):
            lost = (s.t[2, j] < 0.0) or (k.sizes[5] > 0 and s.t[3, j] * k.sizes[6] < 0.0)
            steps[at + j] = -1 if lost else int(s.t[2, j])
        for i in range(M):
            for j in range(count):
                X[i, at + j] = s.x[i, j]
