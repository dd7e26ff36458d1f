"""Where each figure of a circuit stands in the matrix of the exact rung.

Every figure enters along one direction: ``A = A0 + θ u vᵀ``, ``b = b0 + θ w`` with θ the figure or
its reciprocal. That gives exact derivatives, and it makes every voltage and current of a piece
monotone in each figure alone, since both determinants of Cramer's rule are straight in θ.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from steadypoint.circuit import Circuit, Kind
from steadypoint.errors import UnknownNameError, did_you_mean
from steadypoint.solve._tableau import FloatArray, Tableau

LEAKAGE = "I_CBO"
"""Letter symbol of the collector-base leakage."""

BIPOLAR_FIGURES = ("beta", "V_BE", LEAKAGE, "V_CE_sat")
"""What a bipolar transistor brings into the exact rung."""


@dataclass(frozen=True, slots=True)
class Stamp:
    """One figure of one part in the matrix.

    Parameters
    ----------
    part, symbol : str
        The part, and the option or an empty text for its main value.
    value : float
        The figure that the circuit states. [SI]
    u, v, w : ndarray, shape (size,)
        ``A`` changes by ``dθ u vᵀ`` and ``b`` by ``dθ w``.
    reciprocal : bool
        Whether θ is the reciprocal of the figure.
    """

    part: str
    symbol: str
    value: float
    u: FloatArray
    v: FloatArray
    w: FloatArray
    reciprocal: bool = False

    def theta(self, value: float) -> float:
        """What stands in the matrix for a figure.

        Parameters
        ----------
        value : float
            The figure. [SI]
        """
        return 1.0 / value if self.reciprocal else value

    @property
    def slope(self) -> float:
        """Derivative of θ by the figure, at the stated one."""
        return -1.0 / self.value**2 if self.reciprocal else 1.0


def stamp(tab: Tableau, state: tuple[bool, ...], part: str, symbol: str = "") -> Stamp:
    """Where a figure stands while the junctions have a given state.

    Parameters
    ----------
    tab : Tableau
        The network.
    state : tuple of bool
        Conducting or not, per junction.
    part, symbol : str
        The part, and the option or an empty text for its main value.

    Returns
    -------
    Stamp

    Raises
    ------
    UnknownNameError
        If the exact rung knows no such figure.
    """
    net, size = tab.network, tab.A0.shape[0]
    u, v, w = np.zeros(size + 1), np.zeros(size + 1), np.zeros(size + 1)
    value, reciprocal = float("nan"), False
    for r in net.resistors:
        inductor = net.circuit.part(r.name).kind is Kind.INDUCTOR
        if r.name == part and symbol == ("R_S" if inductor else ""):
            value, reciprocal = r.value, True
            for vector in (u, v):
                vector[r.start] += 1.0
                vector[r.end] -= 1.0
    for c in net.currents:
        if c.name == part and not symbol:
            value = c.value
            w[c.start] -= 1.0
            w[c.end] += 1.0
    for i, source in enumerate(net.voltages):
        if source.name == part and not symbol:
            value = source.value
            w[len(net.names) + i] = 1.0
    for k, q in enumerate(net.bipolars):
        if q.name == part and symbol in BIPOLAR_FIGURES:
            value = getattr(q.data, symbol)
            reciprocal = symbol == "beta"
            _bipolar_stamp(tab, state, k, symbol, (u, v, w))
    for j, junction in enumerate(tab.junctions):
        drop = {"diode": "V_F", "breakdown": ""}.get(junction.kind)
        if junction.part == part and symbol == drop:
            value = junction.drop
            w[tab.first + junction.leader] = -1.0 if state[j] else 0.0
    if np.isnan(value):
        raise UnknownNameError(_unknown(net.circuit, part, symbol))
    u[size] = v[size] = w[size] = 0.0
    return Stamp(part, symbol, value, u[:size], v[:size], w[:size], reciprocal)


def _bipolar_stamp(
    tab: Tableau,
    state: tuple[bool, ...],
    k: int,
    symbol: str,
    into: tuple[FloatArray, FloatArray, FloatArray],
) -> None:
    u, v, w = into
    q = tab.network.bipolars[k]
    forward, reverse = 2 * k, 2 * k + 1
    if symbol == "beta":
        u[q.base] += q.sign
        u[q.emitter] -= q.sign
        v[tab.first + forward] = 1.0
    elif symbol == LEAKAGE:
        w[q.collector] -= q.sign
        w[q.base] += q.sign
    else:
        alone = state[reverse] and not state[forward]
        if symbol == "V_BE" and state[forward]:
            w[tab.first + tab.junctions[forward].leader] = -1.0
        elif symbol == "V_BE" and alone:
            w[tab.first + tab.junctions[reverse].leader] = -1.0
        elif symbol == "V_CE_sat" and state[reverse]:
            w[tab.first + tab.junctions[reverse].leader] = 1.0


def _unknown(circuit: Circuit, part: str, symbol: str) -> str:
    name = f"{part}.{symbol}" if symbol else part
    known = [p.name for p in circuit.parts if p.value is not None]
    known += [f"{p.name}.{s}" for p in circuit.transistors for s in BIPOLAR_FIGURES]
    hint = did_you_mean(name, known) or f" It knows {', '.join(known[:6])}."
    return f"The exact rung has no figure '{name}' here.{hint}"
