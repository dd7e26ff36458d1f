"""Determinants of a hand model taken anew in whole numbers."""

from __future__ import annotations

from fractions import Fraction

from steadypoint.choose._hand_model import HandModel
from steadypoint.choose._problem import Problem
from steadypoint.choose._small_signal import PROBE, SignalRatio


def determinants(p: Problem) -> tuple[list[int], list[list[list[int]]]]:
    """D, and N of every output and source with its constant last, in whole numbers."""
    m = p.model
    size, k = m._rows.shape[0], m._rows.shape[1]
    rows = [[[int(v) for v in row] for row in m._rows[s].tolist()] for s in range(size)]
    drives = m._drives.astype(int).tolist()
    D = _moebius([_determinant(A) for A in rows], len(m.resistors), m.factors)
    sign = -1 if min(D) < 0 else 1
    found: list[list[list[int]]] = []
    constants: list[Fraction] = []
    for condition in (None, *p.conditions):
        if condition is not None and condition.signal is not None:
            found.append(_of_signal(condition.signal, m))
            constants.append(Fraction(0))
            continue
        quantity = condition.quantity if condition else p.quantity
        weights = [0] * k
        for name, factor in quantity.items():
            if name:
                weights[m.unknowns[name]] += int(factor)
                if int(factor) != factor:
                    raise ValueError("A quantity to be proved needs whole factors.")
        constants.append(Fraction(repr(float(quantity.get("", 0.0)))))
        per_source = []
        for s in range(len(m.sources)):
            bordered = [
                _determinant(
                    [[*row, -drives[s][i][r]] for r, row in enumerate(rows[i])] + [[*weights, 0]]
                )
                for i in range(size)
            ]
            coefficients = _moebius(bordered, len(m.resistors), m.factors)
            per_source.append([sign * c for c in coefficients])
        found.append(per_source)
    D = [sign * c for c in D]
    for output, constant in zip(found, constants, strict=True):
        if len(output) == len(m.sources):
            output.append([constant * c for c in D])  # type: ignore[misc]
    return D, found


def _of_signal(signal: SignalRatio, model: HandModel) -> list[list[int]]:
    """A resistance seen by the signal: its polynomial last, no source moves it."""
    m = signal.model
    k = m._rows.shape[1]
    rows = [[[int(v) for v in row] for row in A.tolist()] for A in m._rows]
    drives = m._drives[m.sources.index(PROBE)].astype(int).tolist()
    at = m.unknowns[f"V({signal.node})"]
    below = [int(i == at) for i in range(k)] + [0]
    N = _moebius(
        [
            _determinant([[*row, -drives[i][r]] for r, row in enumerate(A)] + [below])
            for i, A in enumerate(rows)
        ],
        len(m.resistors),
        m.factors,
    )
    D = _moebius([_determinant(A) for A in rows], len(m.resistors), m.factors)
    sign = -1 if min(D) < 0 else 1
    factors = (*model.resistors, *model.transistors)
    exact = signal.polynomial(factors, [sign * c for c in N], [sign * c for c in D])
    still = [[0] * len(exact) for _ in model.sources]
    return [*still, exact]  # type: ignore[list-item]


def _determinant(matrix: list[list[int]]) -> int:
    """Determinant in whole numbers (E. H. Bareiss, Mathematics of Computation 22 (1968) 565)."""
    A = [row[:] for row in matrix]
    n, sign, previous = len(A), 1, 1
    for k in range(n - 1):
        if A[k][k] == 0:
            swap = next((i for i in range(k + 1, n) if A[i][k]), None)
            if swap is None:
                return 0
            A[k], A[swap], sign = A[swap], A[k], -sign
        for i in range(k + 1, n):
            for j in range(k + 1, n):
                A[i][j] = (A[i][j] * A[k][k] - A[i][k] * A[k][j]) // previous
        previous = A[k][k]
    return sign * A[-1][-1]


def _moebius(values: list[int], resistors: int, factors: int) -> list[int]:
    """Coefficients from values at zeros and ones, conductances turned to resistances."""
    x = values[:]
    for i in range(factors):
        for j in range(len(x)):
            if j >> i & 1:
                x[j] -= x[j ^ 1 << i]
    full = (1 << resistors) - 1
    return [x[j ^ full] for j in range(len(x))]
