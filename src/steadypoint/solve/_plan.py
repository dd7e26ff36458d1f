"""What the device rung needs of a circuit's structure, computed once per structure."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from steadypoint.solve._chains import tied_nodes
from steadypoint.solve._fet_law import with_junctions
from steadypoint.solve._network import Network
from steadypoint.solve._series import with_series
from steadypoint.solve._structure import Pairs, Structure, floating_groups, structure_of
from steadypoint.solve._tableau import FloatArray

IntArray = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Plan:
    """Index arrays and incidence matrices of a structure.

    The node vector has ground as its last entry. Unknowns are the free nodes and the currents of
    sources that hang between free nodes.

    Parameters
    ----------
    free, tied : ndarray of int
        Indices of free nodes and of nodes that sources tie to ground.
    tie : ndarray, shape (tied, sources)
        Tied voltages from source voltages.
    bound, floating : ndarray of int
        Indices of the sources that tie nodes, and of those that hang.
    bound_solve : ndarray, shape (bound, tied)
        Currents delivered by the tying sources from the currents that leave the tied nodes.
    R, I, F : ndarray, shape (n + 1, branches)
        Incidence of resistors, current sources and hanging voltage sources (+1 where current
        leaves the node into the branch).
    T : ndarray, shape (n + 1, 2 q + d + f)
        Incidence of I_C, I_B of each transistor, then of diode and channel currents.
    at_free, sizes : tuple of ndarray
        The rows of R, I, F and T at free nodes, and their magnitudes.
    touch : ndarray, shape (n + 1, 2 q + d + f)
        1 at every node of the part that each terminal current belongs to.
    plus, minus : ndarray of int
        Ends of each junction, the one that is positive when it conducts first, then gate and
        source, gate and drain of each channel.
    pattern : ndarray, shape (N * N, 4 q + junctions of diodes + 2 f)
        Where each slope goes in the Jacobian.
    tangents : ndarray, shape (2 q + d + f, slopes)
        Where each slope, times the change of its junction, goes in the terminal currents.
    junction_of : ndarray of int, shape (slopes,)
        Junction that each slope belongs to.
    base : ndarray, shape (N, N)
        Constant part of the Jacobian: hanging sources and leaks of floating groups.
    """

    free: IntArray
    tied: IntArray
    tie: FloatArray
    bound: IntArray
    floating: IntArray
    bound_solve: FloatArray
    R: FloatArray
    I: FloatArray  # noqa: E741  letter symbol
    F: FloatArray
    T: FloatArray
    at_free: tuple[FloatArray, FloatArray, FloatArray, FloatArray]
    sizes: tuple[FloatArray, FloatArray, FloatArray, FloatArray]
    touch: FloatArray
    plus: IntArray
    minus: IntArray
    pattern: FloatArray
    tangents: FloatArray
    junction_of: IntArray
    base: FloatArray


def plan_of(net: Network) -> Plan:
    """Plan of a network, from the cache when its structure is known."""
    net = with_series(net)
    return _plan(structure_of(with_junctions(net)), tuple(sorted(tied_nodes(net) - {-1})))


@lru_cache(maxsize=256)
def _plan(s: Structure, tied: tuple[int, ...]) -> Plan:
    n = s.nodes
    free = np.array([i for i in range(n) if i not in tied], dtype=np.intp)
    bound, floating, tie, bound_solve = _ties(s, tied)
    R, I, F, T = (  # noqa: E741
        _incidence(n, s.resistors),
        _incidence(n, s.currents),
        _incidence(n, tuple(s.voltages[i] for i in floating)),
        _terminals(s),
    )
    position = {int(node): i for i, node in enumerate(free)}
    plus, minus = _junction_ends(s)
    tangents, junction_of = _tangents(s)
    nf, N = len(free), len(free) + len(floating)
    base = np.zeros((N, N))
    base[:nf, nf:] = -F[free]  # delivered currents leave at the minus end
    base[nf:, :nf] = F[free].T
    for node in (min(group) for group in floating_groups(s)):
        base[position[node], position[node]] += 1e-12
    return Plan(
        free=free,
        tied=np.array(tied, dtype=np.intp),
        tie=tie,
        bound=np.array(bound, dtype=np.intp),
        floating=np.array(floating, dtype=np.intp),
        bound_solve=bound_solve,
        R=R,
        I=I,
        F=F,
        T=T,
        at_free=(R[free], I[free], F[free], T[free]),
        sizes=(np.abs(R[free]), np.abs(I[free]), np.abs(F[free]), np.abs(T[free])),
        touch=_touch(s),
        plus=plus,
        minus=minus,
        pattern=_pattern(s, position, N),
        tangents=tangents,
        junction_of=junction_of,
        base=base,
    )


def _incidence(n: int, branches: Pairs) -> FloatArray:
    out = np.zeros((n + 1, len(branches)))
    for k, (start, end) in enumerate(branches):
        out[start, k] += 1.0
        out[end, k] -= 1.0
    return out


def _ties(
    s: Structure, tied: tuple[int, ...]
) -> tuple[list[int], list[int], FloatArray, FloatArray]:
    """Split the sources and express tied voltages and tying currents."""
    bound = [i for i, (a, b) in enumerate(s.voltages) if {a, b} <= {*tied, -1}]
    floating = [i for i in range(len(s.voltages)) if i not in bound]
    B = _incidence(s.nodes, tuple(s.voltages[i] for i in bound))[list(tied)]
    inverse = np.asarray(np.linalg.inv(B), dtype=np.float64) if len(tied) else np.zeros((0, 0))
    tie = np.zeros((len(tied), len(s.voltages)))
    tie[:, bound] = inverse.T
    return bound, floating, tie, inverse


def _terminals(s: Structure) -> FloatArray:
    q = len(s.bipolars)
    out = np.zeros((s.nodes + 1, 2 * q + len(s.diodes) + len(s.fets)))
    for k, (d, _, source, sign) in enumerate(s.fets):
        out[d, 2 * q + len(s.diodes) + k] += sign
        out[source, 2 * q + len(s.diodes) + k] -= sign
    for k, (c, b, e, sign) in enumerate(s.bipolars):
        out[c, 2 * k] += sign
        out[e, 2 * k] -= sign
        out[b, 2 * k + 1] += sign
        out[e, 2 * k + 1] -= sign
    for k, (a, c, _) in enumerate(s.diodes):
        out[a, 2 * q + k] += 1.0
        out[c, 2 * q + k] -= 1.0
    return out


def _touch(s: Structure) -> FloatArray:
    q = len(s.bipolars)
    out = np.zeros((s.nodes + 1, 2 * q + len(s.diodes) + len(s.fets)))
    for k, (d, gate, source, _) in enumerate(s.fets):
        out[[d, gate, source], 2 * q + len(s.diodes) + k] = 1.0
    for k, (c, b, e, _) in enumerate(s.bipolars):
        out[[c, b, e], 2 * k : 2 * k + 2] = 1.0
    for k, (a, c, _) in enumerate(s.diodes):
        out[[a, c], 2 * q + k] = 1.0
    return out


def _junction_ends(s: Structure) -> tuple[IntArray, IntArray]:
    """Junctions of each transistor, then diodes, then breakdowns, then the ends of channels."""
    pairs = []
    for c, b, e, sign in s.bipolars:
        pairs += [(b, e), (b, c)] if sign > 0 else [(e, b), (c, b)]
    pairs += [(a, k) for a, k, _ in s.diodes]
    pairs += [(k, a) for a, k, breaks in s.diodes if breaks]
    for d, gate, source, sign in s.fets:
        pairs += [(gate, end) if sign > 0 else (end, gate) for end in (source, d)]
    array = np.array(pairs, dtype=np.intp).reshape(-1, 2)
    return array[:, 0], array[:, 1]


def _tangents(s: Structure) -> tuple[FloatArray, IntArray]:
    """Terminal currents that follow each slope, and the junction whose change it takes."""
    q, d, f = len(s.bipolars), len(s.diodes), len(s.fets)
    entries = [(2 * k + row, 2 * k + j, 1.0) for k in range(q) for row in (0, 1) for j in (0, 1)]
    entries += [(2 * q + k, 2 * q + k, 1.0) for k in range(d)]
    breaking = [k for k, (_, _, breaks) in enumerate(s.diodes) if breaks]
    entries += [(2 * q + k, 2 * q + d + m, -1.0) for m, k in enumerate(breaking)]
    first = 2 * q + d + len(breaking)
    entries += [(2 * q + d + k, first + 2 * k + j, 1.0) for k in range(f) for j in (0, 1)]
    out = np.zeros((2 * q + d + f, len(entries)))
    for column, (row, _, way) in enumerate(entries):
        out[row, column] = way
    return out, np.array([j for _, j, _ in entries], dtype=np.intp)


def _pattern(s: Structure, position: dict[int, int], N: int) -> FloatArray:
    """Jacobian entries per slope: dI_C/dV_BE, dI_C/dV_BC, dI_B/dV_BE, dI_B/dV_BC, diodes,
    channels."""
    columns = []

    def stamp(row: tuple[int, int], column: tuple[int, int]) -> None:
        M = np.zeros((N, N))
        for node, at in zip(row, (1.0, -1.0), strict=True):
            for other, by in zip(column, (1.0, -1.0), strict=True):
                if node in position and other in position:
                    M[position[node], position[other]] += at * by
        columns.append(M.reshape(-1))

    for c, b, e, _ in s.bipolars:
        stamp((c, e), (b, e))
        stamp((c, e), (b, c))
        stamp((b, e), (b, e))
        stamp((b, e), (b, c))
    for a, k, _ in (*s.diodes, *(d for d in s.diodes if d[2])):
        stamp((a, k), (a, k))
    for d, gate, source, _ in s.fets:
        stamp((d, source), (gate, source))
        stamp((d, source), (gate, d))
    return np.array(columns).T.reshape(N * N, len(columns))
