"""How an operating point of the exact rung moves with each figure: exact derivatives."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from steadypoint.circuit import GROUND, Circuit, Kind
from steadypoint.errors import CircuitError, NoSolutionError, UnknownNameError
from steadypoint.solve._exact import search
from steadypoint.solve._network import Fet, network
from steadypoint.solve._pieces import (
    Follow,
    Piece,
    channel_rows,
    columns_of,
    log_rows,
    logarithmic_laws,
    overdrive,
    solve_linear,
)
from steadypoint.solve._seeds import device_seeds
from steadypoint.solve._solve import _temperature
from steadypoint.solve._stamps import LEAKAGE, stamp
from steadypoint.solve._structure import refuse_stuck_currents
from steadypoint.solve._tableau import FloatArray, Tableau, junctions_of, tableau

NO_FEEDBACK = 1e-9
"""Return ratio below which it is rounding. [-]"""

FET_FIGURES = ("K", "V_GS_th")
"""What a field-effect transistor brings into the exact rung."""


@dataclass(frozen=True, slots=True)
class Tangent:
    """The straight law that a circuit follows close to its point on the exact rung.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    tab : Tableau
        Its network.
    piece : Piece
        The point.
    matrix : ndarray, shape (size, size)
        The equations' derivative by the unknowns.
    """

    circuit: Circuit
    tab: Tableau
    piece: Piece
    matrix: FloatArray

    def by(self, name: str, symbol: str = "") -> Mapping[str, float]:
        """Derivatives of all voltages and currents by one figure.

        Parameters
        ----------
        name : str
            Part or rail.
        symbol : str, optional
            Letter symbol of a part's figure: ``beta``, ``V_BE``, ``I_CBO`` or ``V_CE_sat`` of a
            bipolar transistor, ``K`` or ``V_GS_th`` of a field-effect transistor (in the sense of
            an n-channel), ``V_F`` of a diode; without it the main value.

        Returns
        -------
        mapping of str to float
            By quantity (``Q1.I_C``, ``V(OUT)``), in SI units, signs as in
            :class:`steadypoint.solve.TransistorPoint`. Where a transistor follows another's
            base-emitter voltage, both move together with the leader's.

        Raises
        ------
        UnknownNameError
            If the exact rung knows no such figure.
        """
        fets = {f.name: k for k, f in enumerate(self.tab.network.fets)}
        if name in fets:
            return self._reading(self._solved(self._fet_side(fets[name], symbol)))
        found = stamp(self.tab, self.piece.state, name, symbol)
        slope = found.slope * (1.0 if symbol else self._per_stated(name))
        right = slope * (found.w - found.u * float(found.v @ self.piece.x))
        shift = self._reading(self._solved(right))
        for k, q in enumerate(self.tab.network.bipolars):
            if q.name != name:
                continue
            if symbol == "beta":
                shift[f"{name}.I_B"] -= q.sign * self._junction(2 * k) / q.data.beta**2
                shift[f"{name}.I_E"] -= q.sign * self._junction(2 * k) / q.data.beta**2
            elif symbol == LEAKAGE:
                shift[f"{name}.I_C"] += q.sign
                shift[f"{name}.I_B"] -= q.sign
        return shift

    def _per_stated(self, name: str) -> float:
        """Resistance at the temperature over the stated one, 1 for other parts. [-]"""
        stated = self.circuit.part(name).value
        there = [r.value for r in self.tab.network.resistors if r.name == name]
        kind = self.circuit.part(name).kind
        return there[0] / stated.value if kind is Kind.RESISTOR and there and stated else 1.0

    def return_ratio(self, transistor: str) -> float:
        """Return ratio of an active transistor's collector current, broken at its gain.

        The collector current is forced, and the fall of β I_B per ampere is counted.

        Parameters
        ----------
        transistor : str
            A bipolar transistor.

        Returns
        -------
        float
            Positive where the circuit opposes a change; a small relative change of β reaches I_C
            divided by one plus this. [-]

        Raises
        ------
        UnknownNameError
            If the circuit has no such transistor.
        NoSolutionError
            If the forced current finds no way.

        References
        ----------
        H. W. Bode, *Network Analysis and Feedback Amplifier Design*, 1945, return ratio (from
        memory).
        """
        names = [q.name for q in self.tab.network.bipolars]
        if transistor not in names:
            raise UnknownNameError(f"The circuit has no bipolar transistor '{transistor}'.")
        k = names.index(transistor)
        q = self.tab.network.bipolars[k]
        if not self.piece.state[2 * k]:
            return 0.0
        size = len(self.piece.x)
        forced = np.zeros(size + 1)
        forced[q.collector] -= q.sign
        forced[q.emitter] += q.sign
        A = self.matrix.copy()
        A[:, self.tab.first + 2 * k] += forced[:size]
        ratio = -float(self._solved(forced[:size], A)[self.tab.first + 2 * k])
        return ratio if abs(ratio) > NO_FEEDBACK else 0.0

    def follows(self, transistor: str) -> bool:
        """Whether a transistor's base-emitter voltage is that of another, which leads it.

        Parameters
        ----------
        transistor : str
            A bipolar transistor: in parallel with an equal one, or matched to one.
        """
        for k, q in enumerate(self.tab.network.bipolars):
            if q.name == transistor:
                names = {other.name for other in self.tab.network.bipolars}
                shares = self.tab.junctions[2 * k].leader != 2 * k
                return shares or (q.matched_to in names and not q.data.log_law)
        return False

    def _junction(self, j: int) -> float:
        return float(self.piece.x[self.tab.first + j])

    def _solved(self, right: FloatArray, matrix: FloatArray | None = None) -> FloatArray:
        A, columns = self.matrix if matrix is None else matrix, columns_of(self.tab)
        found = solve_linear(A, right, columns)
        if found is None:
            found = solve_linear(A + self.tab.leak, right, columns)
        if found is None:
            raise NoSolutionError("The circuit's equations have no derivative at this point.")
        return found

    def _fet_side(self, k: int, symbol: str) -> FloatArray:
        """Right-hand side for a figure of a field-effect transistor."""
        tab, f = self.tab, self.tab.network.fets[k]
        if symbol not in FET_FIGURES:
            raise UnknownNameError(
                f"{f.name} has no figure '{symbol}' on the exact rung. It has K and V_GS_th."
            )
        right = np.zeros(len(self.piece.x))
        for j in (tab.channels[2 * k], tab.channels[2 * k + 1]):
            u = max(overdrive(tab, self.piece.x, j), 0.0)
            right[tab.first + j] = u * u if symbol == "K" else -2.0 * f.data.K * u
        return right

    def _reading(self, x: FloatArray) -> dict[str, float]:
        """Quantities of a change of the unknowns, what the figures do themselves left aside."""
        net, first = self.tab.network, self.tab.first
        found = {f"V({GROUND})": 0.0}
        found |= {f"V({name})": float(x[i]) for i, name in enumerate(net.names)}

        def V(node: int) -> float:
            return float(x[node]) if node >= 0 else 0.0

        for k, q in enumerate(net.bipolars):
            forward, reverse = float(x[first + 2 * k]), float(x[first + 2 * k + 1])
            I_C = q.sign * (forward - (1.0 + q.data.beta_R) * reverse)
            I_B = q.sign * (forward / q.data.beta + reverse)
            found |= {f"{q.name}.I_C": I_C, f"{q.name}.I_B": I_B, f"{q.name}.I_E": I_B + I_C}
            found[f"{q.name}.V_CE"] = V(q.collector) - V(q.emitter)
            found[f"{q.name}.V_BE"] = V(q.base) - V(q.emitter)
        for k, f in enumerate(net.fets):
            found |= _fet_reading(f, self.tab, k, x)
        return found


def _fet_reading(f: Fet, tab: Tableau, k: int, x: FloatArray) -> dict[str, float]:
    def V(node: int) -> float:
        return float(x[node]) if node >= 0 else 0.0

    near, far = (float(x[tab.first + j]) for j in tab.channels[2 * k : 2 * k + 2])
    return {
        f"{f.name}.I_D": f.sign * (near - far),
        f"{f.name}.V_DS": V(f.drain) - V(f.source),
        f"{f.name}.V_GS": V(f.gate) - V(f.source),
    }


def tangent(circuit: Circuit, *, temperature: float | None = None) -> Tangent:
    """The exact rung's equations differentiated at the operating point.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    temperature : float, optional
        Junction temperature of logarithmic laws; without it that of the sheet, else 25 °C. [K]

    Returns
    -------
    Tangent

    Raises
    ------
    CircuitError
        If a value is missing or out of reason, or the circuit has no transistor.
    NoSolutionError
        If there is no point.

    Notes
    -----
    Implicit differentiation of A(p) x = b(p): dx/dp = A⁻¹ (db/dp - dA/dp x).

    Examples
    --------
    >>> from steadypoint.circuit import arrangement
    >>> law = tangent(arrangement("two-supply emitter bias").circuit)
    >>> law.return_ratio("Q1") > 10
    True
    """
    T = _temperature(circuit, temperature)
    net = network(circuit, T)
    if not net.bipolars and not net.fets:
        raise CircuitError("The circuit has no transistor and therefore no operating point.")
    refuse_stuck_currents(net)
    tab = tableau(net, junctions_of(net))
    laws = logarithmic_laws(tab, T)
    piece = search(tab, laws, device_seeds(tab, net, T)).piece
    return Tangent(circuit, tab, piece, _matrix(tab, piece, laws))


def _matrix(tab: Tableau, piece: Piece, laws: tuple[Follow, ...]) -> FloatArray:
    """Derivative of the equations at a solved piece."""
    A, b = tab.system(piece.state)
    over = np.array([max(overdrive(tab, piece.x, j), 0.0) for j in tab.channels])
    channel_rows(tab, A, b, over)
    live = [w for w in laws if piece.state[w.junction] and (w.leader < 0 or piece.state[w.leader])]
    at = {j: float(piece.x[tab.first + j]) for w in live for j in (w.junction, w.leader) if j >= 0}
    constant = {w.junction: A[tab.first + w.junction].copy() for w in live}
    log_rows(tab, A, b, live, constant, at)
    return A
