"""The hand rung of a circuit as polynomials that are affine in every resistance and every beta.

With every junction conducting, a voltage or current of the circuit is N/D, where D and the share of
N that each source has are determinants: multi-affine in the resistances and the current gains, with
whole coefficients. So an extreme over a box of values lies at a corner of the box, exactly.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.circuit import Circuit, at_temperature
from steadypoint.errors import CircuitError
from steadypoint.solve._network import Bipolar, Branch, Network, network

FloatArray = NDArray[np.float64]

MOST_FACTORS: Final = 12
"""Resistances and current gains that a model may have together. [-]"""

Functional = Mapping[str, float]
"""A quantity as a sum: unknowns by name with their factors, ``""`` for a constant."""


@dataclass(frozen=True, slots=True)
class HandModel:
    """D and N of a circuit on the hand rung, all junctions conducting.

    Parameters
    ----------
    circuit : Circuit
        Where it comes from.
    net : Network
        The same, numbered.
    resistors, transistors : tuple of str
        The factors: bit i of a coefficient's index is the i-th resistance, then the betas follow.
    sources : tuple of str
        Supplies and current sources by name, ``V_BE(Q1)``, ``I_CBO(Q1)``, ``V_F(D1)``, ``V_Z(D2)``.
    unknowns : mapping of str to int
        Position of every unknown: ``V(node)``, ``I(VCC)``, ``I_B(Q1)``, ``I_C(Q1)``, ``I(D1)``.
    D : ndarray, shape (2**factors,)
        Coefficients of the determinant; all of one sign, made positive.
    """

    circuit: Circuit
    net: Network
    resistors: tuple[str, ...]
    transistors: tuple[str, ...]
    sources: tuple[str, ...]
    unknowns: Mapping[str, int]
    D: FloatArray
    _rows: FloatArray
    _drives: FloatArray
    _negative: bool

    @property
    def factors(self) -> int:
        """Resistances and betas together. [-]"""
        return len(self.resistors) + len(self.transistors)

    def numerators(self, quantity: Functional) -> FloatArray:
        """Coefficients of N for every source of a quantity, its constant last.

        Parameters
        ----------
        quantity : mapping of str to float
            Unknowns with their factors.

        Returns
        -------
        ndarray, shape (sources + 1, 2**factors)
        """
        M, k = self._rows.shape[0], self._rows.shape[1]
        out = np.zeros((len(self.sources) + 1, M))
        weights = np.zeros(k)
        for name, factor in quantity.items():
            if name:
                weights[self.unknowns[name]] += factor
        if weights.any():
            # c adj(A) b is the determinant of A bordered by -b and c
            bordered = np.zeros((len(self.sources), M, k + 1, k + 1))
            bordered[:, :, :k, :k] = self._rows
            bordered[:, :, :k, k] = -self._drives
            bordered[:, :, k, :k] = weights
            found = _coefficients(np.linalg.det(bordered), len(self.resistors), self.factors)
            out[:-1] = -found if self._negative else found
        out[-1] = quantity.get("", 0.0) * self.D
        return out


def hand_model(circuit: Circuit) -> HandModel:
    """Polynomials of a circuit on the hand rung.

    Parameters
    ----------
    circuit : Circuit
        A circuit of resistors, sources, diodes, zeners and bipolar transistors.

    Returns
    -------
    HandModel

    Raises
    ------
    CircuitError
        If there are field-effect transistors, too many parts, or feedback that can make the
        determinant zero, so that nothing can be proved.
    """
    net = network(at_temperature(circuit))
    _refuse(net)
    net = _compact(net)
    unknowns = _unknowns(net)
    sources = _sources(net)
    m = len(net.resistors) + len(net.bipolars)
    rows = np.zeros((1 << m, len(unknowns), len(unknowns)))
    drives = np.zeros((len(sources), 1 << m, len(unknowns)))
    for pattern in range(1 << m):
        _fill(net, unknowns, sources, pattern, rows[pattern], drives[:, pattern])
    D = _coefficients(np.linalg.det(rows), len(net.resistors), m)
    signs = np.sign(D[D != 0.0])
    if not len(signs):
        raise CircuitError(
            "The hand rung does not settle the currents of this circuit: two junctions lie in "
            "parallel, as in a current mirror, or a node has no path for direct current. Choose "
            "values for a circuit in which resistors set every current."
        )
    if (signs != signs[0]).any():
        raise CircuitError(
            "This circuit has feedback that helps itself (its determinant can be zero), so no "
            "choice of values can be proved. Choose values for a circuit without it."
        )
    negative = bool(signs[0] < 0)
    return HandModel(
        circuit,
        net,
        tuple(r.name for r in net.resistors),
        tuple(q.name for q in net.bipolars),
        sources,
        unknowns,
        -D if negative else D,
        rows,
        drives,
        negative,
    )


def _refuse(net: Network) -> None:
    if net.fets:
        raise CircuitError(
            f"{net.fets[0].name} is a field-effect transistor, whose square law allows no proof of "
            "this kind. Choose values for bipolar circuits."
        )
    if not net.bipolars:
        raise CircuitError("The circuit has no transistor whose point could be chosen.")
    m = len(net.resistors) + len(net.bipolars)
    if m > MOST_FACTORS:
        raise CircuitError(
            f"{len(net.resistors)} resistors and {len(net.bipolars)} transistors are too many to "
            f"choose values for with proof. Keep to {MOST_FACTORS} together."
        )


def _unknowns(net: Network) -> dict[str, int]:
    names = [f"V({name})" for name in net.names]
    names += [f"I({v.name})" for v in net.voltages] + [f"I({d.name})" for d in net.diodes]
    names += [f"{symbol}({q.name})" for q in net.bipolars for symbol in ("I_B", "I_C")]
    return {name: i for i, name in enumerate(names)}


def _compact(net: Network) -> Network:
    """The same without nodes that only capacitors touch."""
    kept = {old: new for new, old in enumerate(_settled(net))} | {-1: -1}

    def moved(part: Branch) -> Branch:
        return replace(part, start=kept[part.start], end=kept[part.end])

    return replace(
        net,
        names=tuple(net.names[i] for i in _settled(net)),
        resistors=tuple(moved(r) for r in net.resistors),
        currents=tuple(moved(c) for c in net.currents),
        voltages=tuple(moved(v) for v in net.voltages),
        capacitors=(),
        diodes=tuple(replace(d, anode=kept[d.anode], cathode=kept[d.cathode]) for d in net.diodes),
        bipolars=tuple(
            replace(q, collector=kept[q.collector], base=kept[q.base], emitter=kept[q.emitter])
            for q in net.bipolars
        ),
    )


def _settled(net: Network) -> list[int]:
    """Nodes that parts other than capacitors touch; the others carry no direct current."""
    touched: set[int] = set()
    for part in (*net.resistors, *net.voltages, *net.currents):
        touched |= {part.start, part.end}
    for d in net.diodes:
        touched |= {d.anode, d.cathode}
    for q in net.bipolars:
        touched |= {q.collector, q.base, q.emitter}
    return sorted(touched - {-1})


def _sources(net: Network) -> tuple[str, ...]:
    names = [v.name for v in net.voltages] + [c.name for c in net.currents]
    names += [f"{'V_Z' if np.isfinite(d.data.V_Z) else 'V_F'}({d.name})" for d in net.diodes]
    names += [f"{symbol}({q.name})" for symbol in ("V_BE", "I_CBO") for q in net.bipolars]
    return tuple(names)


def _fill(
    net: Network,
    at: Mapping[str, int],
    sources: tuple[str, ...],
    pattern: int,
    A: FloatArray,
    b: FloatArray,
) -> None:
    """Equations for conductances and betas of 0 or 1, as the bits of a pattern say."""
    place = {name: i for i, name in enumerate(sources)}
    for i, r in enumerate(net.resistors):
        if pattern >> i & 1:
            for here, there in ((r.start, r.end), (r.end, r.start)):
                if here >= 0:
                    A[here, here] += 1.0
                    if there >= 0:
                        A[here, there] -= 1.0
    for v in net.voltages:
        # I counts from the first node through the source to the second
        row = at[f"I({v.name})"]
        _branch(A, row, v.start, v.end)
        b[place[v.name], row] = 1.0
    for c in net.currents:
        for node, sign in ((c.start, -1.0), (c.end, 1.0)):
            if node >= 0:
                b[place[c.name], node] += sign
    for d in net.diodes:
        row = at[f"I({d.name})"]
        zener = bool(np.isfinite(d.data.V_Z))
        start, end = (d.cathode, d.anode) if zener else (d.anode, d.cathode)
        _branch(A, row, start, end)
        b[place[f"{'V_Z' if zener else 'V_F'}({d.name})"], row] = 1.0
    for k, q in enumerate(net.bipolars):
        _transistor(at, place, q, float(pattern >> (len(net.resistors) + k) & 1), A, b)


def _branch(A: FloatArray, row: int, start: int, end: int) -> None:
    """A current from start to end, and the row that fixes the voltage between them."""
    for node, sign in ((start, 1.0), (end, -1.0)):
        if node >= 0:
            A[node, row] += sign
            A[row, node] += sign


def _transistor(
    at: Mapping[str, int],
    place: Mapping[str, int],
    q: Bipolar,
    beta: float,
    A: FloatArray,
    b: FloatArray,
) -> None:
    """I_B and I_C are magnitudes: into an npn, out of a pnp."""
    i_b, i_c, s = at[f"I_B({q.name})"], at[f"I_C({q.name})"], float(q.sign)
    for node, ib, ic in ((q.base, s, 0.0), (q.collector, 0.0, s), (q.emitter, -s, -s)):
        if node >= 0:
            A[node, i_b] += ib
            A[node, i_c] += ic
    for node, sign in ((q.base, s), (q.emitter, -s)):
        if node >= 0:
            A[i_b, node] += sign
    b[place[f"V_BE({q.name})"], i_b] = 1.0
    A[i_c, i_c] += 1.0
    A[i_c, i_b] -= beta
    b[place[f"I_CBO({q.name})"], i_c] = beta + 1.0


def _coefficients(values: FloatArray, resistors: int, factors: int) -> FloatArray:
    """Whole coefficients from determinants at zeros and ones, turned to resistances."""
    x = np.rint(values)
    shape = x.shape
    for i in range(factors):
        pairs = x.reshape(*shape[:-1], -1, 2, 1 << i)
        pairs[..., 1, :] -= pairs[..., 0, :]
    full = (1 << resistors) - 1
    index = np.arange(1 << factors)
    return np.ascontiguousarray(x[..., index ^ full])
