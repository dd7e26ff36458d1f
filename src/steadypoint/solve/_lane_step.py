"""One step of Newton's method on a block of value sets."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.solve._lane_laws import LaneLaws
from steadypoint.solve._lane_plan import Ends, Lanes
from steadypoint.solve._newton import FLOOR, GATE_STEP, JUNCTION_LEAK, RELATIVE, ROUNDING
from steadypoint.solve._tableau import FloatArray

PATIENT: Final = 6
"""Steps after which rounding is allowed for in the acceptance test. [-]"""


@dataclass(slots=True)
class Block:
    """Sets on their way: rows of figures, states, junction voltages, positions, steps so far."""

    P: FloatArray
    x: FloatArray
    v: FloatArray
    index: NDArray[np.intp]
    steps: NDArray[np.int32]

    def kept(self, keep: NDArray[np.bool_]) -> Block:
        """The sets that a mask keeps."""
        at = np.flatnonzero(keep)
        return Block(
            self.P.take(at, axis=1),
            self.x.take(at, axis=1),
            self.v.take(at, axis=1),
            self.index[at],
            self.steps[at],
        )


def joined(blocks: list[Block]) -> Block:
    """Several blocks as one."""
    return Block(
        np.concatenate([b.P for b in blocks], axis=1),
        np.concatenate([b.x for b in blocks], axis=1),
        np.concatenate([b.v for b in blocks], axis=1),
        np.concatenate([b.index for b in blocks]),
        np.concatenate([b.steps for b in blocks]),
    )


class Step:
    """Arrays of one block between two compressions."""

    def __init__(self, lanes: Lanes, block: Block) -> None:
        self.lanes, self.block = lanes, block
        n, N, P, layout = block.P.shape[1], lanes.N, block.P, lanes.layout
        self.F, self.S, self.y = (np.empty((max(N, 1), n)) for _ in range(3))
        self.J = np.zeros((len(lanes.lu.slots), n))
        self.A = np.empty_like(self.J)
        self.jump = np.empty_like(block.v)
        self.limited: NDArray[np.bool_] | None = None
        self.slots = lanes.lu.slots
        for k, (a, b) in enumerate(lanes.resistors):
            self._stamp(self.J, (a, b), (a, b), P[layout.g + k])
        for i, (a, b, _) in enumerate(lanes.hanging):
            row = N - len(lanes.hanging) + i
            for node, way in ((a, 1.0), (b, -1.0)):
                if node < N:
                    self.J[self.slots[node, row]] -= way
                    self.J[self.slots[row, node]] += way
        for i in lanes.anchors:
            self.J[self.slots[i, i]] += 1e-12
        self.laws = LaneLaws(layout, P)
        self.jump_from_state()

    def _stamp(self, A: FloatArray, row: Ends, column: Ends, slope: FloatArray) -> None:
        (r, r_), (c, c_), slots, N = row, column, self.slots, self.lanes.N
        if r < N and c < N:
            A[slots[r, c]] += slope
        if r_ < N and c_ < N:
            A[slots[r_, c_]] += slope
        if r < N and c_ < N:
            A[slots[r, c_]] -= slope
        if r_ < N and c < N:
            A[slots[r_, c]] -= slope

    def wanted(self) -> FloatArray:
        """Junction voltages of the states. [V]"""
        lanes, x, P = self.lanes, self.block.x, self.block.P
        w = np.empty_like(self.block.v)
        for j, (a, b) in enumerate(lanes.junctions):
            np.subtract(x[a], x[b], out=w[j])
        first = len(lanes.junctions) - len(lanes.breaks)
        for m in range(len(lanes.breaks)):
            w[first + m] -= P[lanes.layout.V_Z + m]
        at = len(lanes.junctions)
        for k, (d, g, s, sign) in enumerate(lanes.channels):
            w[at + 2 * k] = sign * (x[g] - x[s])
            w[at + 2 * k + 1] = sign * (x[g] - x[d])
        return w

    def jump_from_state(self) -> None:
        """How far the states are from the junction voltages. [V]"""
        np.subtract(self.wanted(), self.block.v, out=self.jump)
        self.limited = (self.jump != 0.0).any(axis=0)

    def limit(self) -> None:
        """Follow the states with the junction voltages, no junction further than its limit."""
        lanes, P, v = self.lanes, self.block.P, self.block.v
        w, q, layout = self.wanted(), len(lanes.bipolars), lanes.layout
        held = np.zeros(v.shape[1], dtype=bool)
        for j in range(len(lanes.junctions)):
            law = j // 2 if j < 2 * q else j - q
            at = _limit_row(
                w[j], v[j], P[layout.nV_T + law], P[layout.inv + law], P[layout.v_on + law]
            )
            if at is not None:
                held[at] = True
        for j in range(len(lanes.junctions), len(v)):
            near = np.clip(w[j], v[j] - GATE_STEP, v[j] + GATE_STEP)
            held |= near != w[j]
            np.copyto(v[j], near)
        self.limited = held if held.any() else None
        if self.limited is not None:
            np.subtract(w, v, out=self.jump)

    def evaluate(self) -> None:
        """Imbalances, their scale, and the matrix at the junction voltages."""
        lanes, x, P, F, S = self.lanes, self.block.x, self.block.P, self.F, self.S
        layout, N = lanes.layout, lanes.N
        F.fill(0.0)
        S.fill(0.0)
        np.copyto(self.A, self.J)
        for k, (a, b) in enumerate(lanes.resistors):
            i = x[a] - x[b]
            i *= P[layout.g + k]
            self._leaves(a, b, i)
        for k, (a, b) in enumerate(lanes.currents):
            self._leaves(a, b, P[layout.currents + k].copy())
        for h, (a, b, k) in enumerate(lanes.hanging):
            row = N - len(lanes.hanging) + h
            self._leaves(b, a, x[row].copy())
            F[row] = x[a] - x[b] - P[layout.voltages + k]
        for i in lanes.anchors:
            F[i] += 1e-12 * x[i]
        for k in range(len(lanes.bipolars)):
            self._bipolar(k)
        for k in range(len(lanes.junctions) - 2 * len(lanes.bipolars)):
            self._diode(k)
        for k in range(len(lanes.channels)):
            self._channel(k)

    def _leaves(self, a: int, b: int, i: FloatArray) -> None:
        """Count a current that leaves node a for node b; ``i`` is used up."""
        F, S, N = self.F, self.S, self.lanes.N
        if a < N:
            F[a] += i
        if b < N:
            F[b] -= i
        np.abs(i, out=i)
        if a < N:
            S[a] += i
        if b < N:
            S[b] += i

    def _bipolar(self, k: int) -> None:
        lanes = self.lanes
        c, b, e, sign = lanes.bipolars[k]
        I_C, I_B, g = self.laws.bipolar(k, self.block.v[2 * k], self.block.v[2 * k + 1])
        g_f, d_r, g_b, back = g
        through = d_r - back
        if self.limited is not None:
            d_F, d_R = self.jump[2 * k], self.jump[2 * k + 1]
            I_C += g_f * d_F
            I_C += through * d_R
            I_B += g_b * d_F
            I_B += back * d_R
        if sign < 0:
            np.negative(I_C, out=I_C)
            np.negative(I_B, out=I_B)
        self._leaves(c, e, I_C)
        self._leaves(b, e, I_B)
        slots, N, A = self.slots, lanes.N, self.A
        column = g_f + through
        column += g_b
        column += back
        terms = (
            (c, c, through, -1),
            (c, b, g_f + through, 1),
            (c, e, g_f, -1),
            (b, c, back, -1),
            (b, b, g_b + back, 1),
            (b, e, g_b, -1),
            (e, c, d_r, 1),
            (e, b, column, -1),
            (e, e, g_f + g_b, 1),
        )
        for r, s, slope, way in terms:
            if r < N and s < N:
                if way > 0:
                    A[slots[r, s]] += slope
                else:
                    A[slots[r, s]] -= slope

    def _diode(self, k: int) -> None:
        lanes, P, layout = self.lanes, self.block.P, self.lanes.layout
        q, count = len(lanes.bipolars), len(lanes.diodes)
        j = 2 * q + k
        i, g = self.laws.exponential(self.block.v[j], q + k)
        if k < count:
            i -= P[layout.I_S + q + k]
            i += JUNCTION_LEAK * self.block.v[j]
            g += JUNCTION_LEAK
        else:
            i -= P[layout.rest + k - count]
        if self.limited is not None:
            i += g * self.jump[j]
        a, b = lanes.junctions[j]
        self._stamp(self.A, (a, b), (a, b), g)
        self._leaves(a, b, i)

    def _channel(self, k: int) -> None:
        d, g, s, sign = self.lanes.channels[k]
        j = len(self.lanes.junctions) + 2 * k
        I_D, by_source, by_drain = self.laws.channel(k, self.block.v[j], self.block.v[j + 1])
        if self.limited is not None:
            I_D += by_source * self.jump[j] + by_drain * self.jump[j + 1]
        self._stamp(self.A, (d, s), (g, s), by_source)
        self._stamp(self.A, (d, s), (g, d), by_drain)
        self._leaves(d, s, sign * I_D)

    def accepted(self) -> NDArray[np.bool_] | None:
        """Sets whose every node balances and of which no junction was limited; None if none."""
        lanes, F, S = self.lanes, self.F, self.S
        if self.limited is not None and self.limited.all():
            return None
        nf = lanes.N - len(lanes.hanging)
        ok = np.ones(F.shape[1], dtype=bool) if self.limited is None else ~self.limited
        for i in range(nf):
            bound = S[i] * RELATIVE
            bound += FLOOR
            ok &= np.abs(F[i]) <= bound
            ok &= bound < np.inf
        x, P = self.block.x, self.block.P
        for h, (a, b, k) in enumerate(lanes.hanging):
            size = np.abs(x[a]) + np.abs(x[b]) + np.abs(P[lanes.layout.voltages + k])
            ok &= np.abs(F[nf + h]) <= ROUNDING * size + 1e-15
        if self.block.steps.max() >= PATIENT and not ok.all():
            ok |= self._accepted_with_rounding()
        return ok if ok.any() else None

    def _accepted_with_rounding(self) -> NDArray[np.bool_]:
        """The same test with what rounding of the voltages makes of the steepest slopes."""
        lanes, P, F, S = self.lanes, self.block.P, self.F, self.S
        nf, x = lanes.N - len(lanes.hanging), np.abs(self.block.x)
        E = np.zeros_like(F)
        for k, (a, b) in enumerate(lanes.resistors):
            size = P[lanes.layout.g + k] * (x[a] + x[b])
            for node in (n for n in (a, b) if n < lanes.N):
                E[node] += size
        for k, (c, b, e, _) in enumerate(lanes.bipolars):
            _, _, (g_f, d_r, g_b, back) = self.laws.bipolar(
                k, self.block.v[2 * k], self.block.v[2 * k + 1]
            )
            size = x[c] + x[b] + x[e]
            of_C = (np.abs(g_f) + np.abs(d_r - back)) * size
            of_B = (np.abs(g_b) + np.abs(back)) * size
            for node, by in ((c, of_C), (b, of_B), (e, of_C + of_B)):
                if node < lanes.N:
                    E[node] += by
        for k in range(len(lanes.junctions) - 2 * len(lanes.bipolars)):
            j = 2 * len(lanes.bipolars) + k
            _, g = self.laws.exponential(self.block.v[j], len(lanes.bipolars) + k)
            a, b = lanes.junctions[j]
            for node in (n for n in (a, b) if n < lanes.N):
                E[node] += g * (x[a] + x[b])
        for k, (d, gate, e, _) in enumerate(lanes.channels):
            j = len(lanes.junctions) + 2 * k
            _, by_source, by_drain = self.laws.channel(k, self.block.v[j], self.block.v[j + 1])
            steep = (np.abs(by_source) + np.abs(by_drain)) * (x[d] + x[gate] + x[e])
            for node in (n for n in (d, e) if n < lanes.N):
                E[node] += steep
        ok = np.ones(F.shape[1], dtype=bool) if self.limited is None else ~self.limited
        for i in range(nf):
            bound = S[i] * RELATIVE + E[i] * ROUNDING + FLOOR
            ok &= (np.abs(F[i]) <= bound) & (bound < np.inf)
        for h, (a, b, k) in enumerate(lanes.hanging):
            size = x[a] + x[b] + np.abs(P[lanes.layout.voltages + k])
            ok &= np.abs(F[nf + h]) <= ROUNDING * size + 1e-15
        return ok


def _limit_row(
    w: FloatArray, v: FloatArray, nV_T: FloatArray, inv: FloatArray, v_on: FloatArray
) -> NDArray[np.intp] | None:
    """Move one junction of all sets to where it is wanted; positions of those that were limited.

    The law is that of :func:`steadypoint.kernels.limited`.
    """
    step = (w - v) * inv
    if not (step.max() > 0.5 or step.min() < -0.5):
        np.copyto(v, w)
        return None
    rising = (step > 0.5) & ((w - v_on) * inv > 0.5)
    falling = (step < -0.5) & (v > v_on - 10.0 * nV_T)
    at = np.flatnonzero(rising | falling)
    if not len(at):
        np.copyto(v, w)
        return None
    base = np.where(rising[at], np.maximum(v[at], v_on[at]), v[at])
    n = nV_T[at]
    stepped = base + n * np.log1p(np.maximum((w[at] - base) / n, -0.99))
    np.copyto(v, w)
    v[at] = stepped
    return at
