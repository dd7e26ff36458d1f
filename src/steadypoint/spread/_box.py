"""A circuit over a box of its figures: every straight piece at all corners of the box at once.

Each figure enters a piece's equations along one direction (see ``solve._stamps``). By Cramer's rule
every voltage and current is then a quotient of two functions that are straight in each figure
alone. So it has its extremes over a box at corners, wherever the determinant keeps its sign, which
is a question of corners too; and the inequalities that make the piece hold are such quantities
themselves. Nothing has to be sampled.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.circuit import Circuit, Kind
from steadypoint.devices import NOMINAL_TEMPERATURE
from steadypoint.errors import QuantityError
from steadypoint.solve._many_settings import TEMPERATURE, targets
from steadypoint.solve._pieces import CURRENT_SLACK, VOLTAGE_SLACK
from steadypoint.solve._stamps import stamp
from steadypoint.solve._tableau import Tableau
from steadypoint.spread._readings import Reading
from steadypoint.spread._variation import Variation
from steadypoint.spread._warming import Warming

FloatArray = NDArray[np.float64]
State = tuple[bool, ...]

ROUNDING: Final = 1e-9
"""Share of a quantity that a figure moves below which it counts as standing. [-]"""

MOST_FACTORS: Final = 12
"""Figures beyond which the corners are too many to be all looked at. [-]"""


@dataclass(frozen=True, slots=True)
class Factor:
    """One direction of a box.

    Parameters
    ----------
    variation : int
        Which variation moves it; a temperature moves several. [-]
    figures : tuple of (str, str)
        Parts and symbols that have it, moved alike.
    law : str
        ``reciprocal``, ``straight``, ``leakage`` or ``drop``: how θ follows the variation.
    start : float
        θ of the circuit as stated. [SI]
    """

    variation: int
    figures: tuple[tuple[str, str], ...]
    law: str
    start: float

    def theta(self, value: FloatArray, rules: Warming) -> FloatArray:
        """What stands in the matrix for values of the variation."""
        if self.law == "reciprocal":
            return 1.0 / value
        if self.law == "drop":
            return rules.V_BE_slope * (value - NOMINAL_TEMPERATURE)
        if self.law == "leakage":
            return self.start * 2.0 ** ((value - NOMINAL_TEMPERATURE) / rules.doubling)
        return value


def factors_of(
    circuit: Circuit, tab: Tableau, state: State, variations: Sequence[Variation], rules: Warming
) -> tuple[Factor, ...]:
    """Directions of a box; a gain that several transistors share is one for each of them."""
    found: list[Factor] = []
    for i, variation in enumerate(variations):
        if variation.setting == TEMPERATURE:
            found += _warm_factors(tab, i, rules)
            continue
        figures = [(t.part, t.symbol) for t in targets(circuit, variation.setting)]
        stamps = [stamp(tab, state, *figure) for figure in figures]
        if any(s.reciprocal for s in stamps):
            found += [
                Factor(i, (figure,), "reciprocal", s.theta(s.value))
                for figure, s in zip(figures, stamps, strict=True)
            ]
        else:
            if len({s.value for s in stamps}) > 1:
                raise QuantityError(
                    f"The {variation.setting} of {' and '.join(p for p, _ in figures)} differ. "
                    f"Give each its own limits, such as {figures[0][0]}.{variation.setting}."
                )
            found.append(Factor(i, tuple(figures), "straight", stamps[0].value))
    return tuple(found)


def _warm_factors(tab: Tableau, i: int, rules: Warming) -> list[Factor]:
    """Drops and leakages that a temperature moves; gains keep the limits that they have."""
    net = tab.network
    drops = [(q.name, "V_BE") for q in net.bipolars if q.data.V_BE]
    drops += [
        (d.name, "V_F")
        for d in net.diodes
        if net.circuit.part(d.name).kind is Kind.DIODE and d.data.V_F
    ]
    found = [Factor(i, tuple(drops), "drop", 0.0)] if drops else []
    return found + [
        Factor(i, ((q.name, "I_CBO"),), "leakage", q.data.I_CBO)
        for q in net.bipolars
        if q.data.I_CBO
    ]


@lru_cache(maxsize=32)
def corner_signs(count: int) -> NDArray[np.bool_]:
    """All corners of a box, shape (2**count, count): True where a side is at its upper end."""
    numbers = np.arange(2**count)[:, None]
    return np.asarray((numbers >> np.arange(count)) & 1, dtype=bool)


@dataclass(frozen=True, slots=True)
class Corners:
    """One piece at all corners of a box.

    Parameters
    ----------
    upper : ndarray of bool, shape (corners, factors)
        Which end each factor is at.
    x : ndarray, shape (corners, size)
        Solutions.
    inverse : ndarray, shape (corners, size, size)
        Inverse matrices.
    theta : ndarray, shape (corners, factors)
        What stands in the matrix. [SI]
    sound : bool
        Whether the determinant keeps its sign over the box.
    """

    upper: NDArray[np.bool_]
    x: FloatArray
    inverse: FloatArray
    theta: FloatArray
    sound: bool


class Box:
    """A circuit whose figures lie in a box.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    tab : Tableau
        Its network.
    state : tuple of bool
        State of its junctions as stated.
    variations : sequence of Variation
        What varies.
    rules : Warming
        What a temperature does.
    """

    def __init__(
        self,
        circuit: Circuit,
        tab: Tableau,
        state: State,
        variations: Sequence[Variation],
        rules: Warming,
    ) -> None:
        self.circuit, self.tab, self.rules = circuit, tab, rules
        self.variations = tuple(variations)
        self.factors = factors_of(circuit, tab, state, variations, rules)
        self._known: dict[State, tuple[FloatArray, ...]] = {}

    def _piece(self, state: State) -> tuple[FloatArray, ...]:
        """A, b and the directions u, v, w of all factors for a state."""
        if state not in self._known:
            A, b = self.tab.system(state)
            n, m = len(b), len(self.factors)
            u, v, w = np.zeros((m, n)), np.zeros((m, n)), np.zeros((m, n))
            for k, factor in enumerate(self.factors):
                seen: set[int] = set()
                for figure in factor.figures:
                    s = stamp(self.tab, state, *figure)
                    u[k], v[k] = s.u, s.v
                    # Junctions in parallel share one row, which a common shift moves once.
                    rows = [int(r) for r in np.flatnonzero(s.w)]
                    if rows and min(rows) >= self.tab.first and set(rows) <= seen:
                        continue
                    seen |= set(rows)
                    w[k] += s.w
            self._known[state] = (A + self.tab.leak, b, u, v, w)
        return self._known[state]

    def corners(self, state: State, low: FloatArray, high: FloatArray) -> Corners:
        """Solve one piece at all corners of a box of the variations.

        Parameters
        ----------
        state : tuple of bool
            The piece.
        low, high : ndarray, shape (variations,)
            The box. [SI]
        """
        A0, b0, u, v, w = self._piece(state)
        start = np.array([f.start for f in self.factors])
        ends = np.array(
            [
                [f.theta(np.asarray(side[f.variation]), self.rules) for f in self.factors]
                for side in (low, high)
            ]
        ).reshape(2, len(self.factors))
        start = np.where([f.law == "drop" for f in self.factors], 0.0, start)
        fixed = low == high
        free = [k for k, f in enumerate(self.factors) if not fixed[f.variation]]
        signs = corner_signs(len(free))
        upper = np.zeros((len(signs), len(self.factors)), dtype=bool)
        upper[:, free] = signs
        theta = np.where(upper, ends[1], ends[0])
        step = theta - start
        A = A0 + np.einsum("ck,ki,kj->cij", step, u, v)
        b = b0 + step @ w
        rows = np.abs(A).max(axis=2)
        scaled = A / rows[:, :, None]
        sign, _ = np.linalg.slogdet(scaled)
        sound = bool((sign == sign[0]).all() and sign[0] != 0.0)
        if not sound:
            empty = np.zeros_like(A)
            return Corners(upper, np.zeros_like(b), empty, theta, sound=False)
        inverse = np.linalg.inv(scaled) / rows[:, None, :]
        x = np.einsum("cij,cj->ci", inverse, b)
        return Corners(upper, x, inverse, theta, sound=True)

    def slopes(self, state: State, corners: Corners, row: FloatArray) -> FloatArray:
        """Proved direction of a linear reading over the box, for each variation.

        dy/dθ = (row A⁻¹)(w - u vᵀx), and both row A⁻¹u and vᵀx keep their signs over the box when
        they do so at its corners.

        Returns
        -------
        ndarray, shape (variations,)
            +1 rises, -1 falls, 0 does not move, NaN where corners leave it open.
        """
        _, _, u, v, w = self._piece(state)
        reach = np.einsum("i,cij->cj", row, corners.inverse)
        size = float(np.abs(corners.x @ row).max())
        span = np.ptp(corners.theta, axis=0)
        found = np.zeros(len(self.variations))
        for k, factor in enumerate(self.factors):
            parts = [-(reach @ u[k]), corners.x @ v[k]] if u[k].any() else [reach @ w[k]]
            if float(np.abs(np.prod(parts, axis=0)).max()) * span[k] <= ROUNDING * size:
                continue
            one = float(np.prod([_common_sign(part) for part in parts]))
            one *= -1.0 if factor.law == "reciprocal" else 1.0
            one *= np.sign(self.rules.V_BE_slope) if factor.law == "drop" else 1.0
            found[factor.variation] = _merged(found[factor.variation], one)
        return found

    def inequalities(self, state: State, corners: Corners) -> FloatArray:
        """What must not be negative for a piece to hold, at all corners.

        Returns
        -------
        ndarray, shape (corners, junctions)
            Junction currents [A] and voltages that are left before a junction conducts [V], slack
            added.
        """
        columns = []
        size = np.abs(corners.x[:, len(self.tab.network.names) :]).max(axis=1)
        for j in self.tab.free:
            junction = self.tab.junctions[j]
            if state[j]:
                columns.append(corners.x[:, self.tab.first + j] + CURRENT_SLACK * size + 1e-15)
                continue
            on = junction.partner >= 0 and state[junction.partner]
            plus, minus = junction.plus, junction.minus
            if on:
                plus, minus = junction.sat_minus, junction.sat_plus
            drop = -junction.sat_drop if on else junction.drop
            V = _at(corners.x, plus) - _at(corners.x, minus)
            shift = self._shift_of_drop(corners, j, on=on)
            columns.append(drop + shift - V + VOLTAGE_SLACK)
        return np.stack(columns, axis=1) if columns else np.ones((len(corners.x), 1))

    def _shift_of_drop(self, corners: Corners, j: int, *, on: bool) -> FloatArray:
        """How far a junction's drop is from the stated one, at all corners. [V]"""
        junction = self.tab.junctions[j]
        shift = np.zeros(len(corners.x))
        for k, factor in enumerate(self.factors):
            for part, symbol in factor.figures:
                if part != junction.part:
                    continue
                sign = 0.0
                if symbol == "V_CE_sat" and junction.kind == "reverse":
                    sign = -1.0
                elif (symbol == "V_BE" and junction.kind in ("forward", "reverse") and not on) or (
                    (symbol, junction.kind) in (("V_F", "diode"), ("", "breakdown"))
                ):
                    sign = 1.0
                stated = 0.0 if factor.law == "drop" else factor.start
                shift += sign * (corners.theta[:, k] - stated)
        return shift


def _common_sign(values: FloatArray) -> float:
    """Sign of all values, NaN where they differ."""
    room = 1e-12 * float(np.abs(values).max(initial=0.0))
    if (values >= -room).all():
        return 1.0
    return -1.0 if (values <= room).all() else float("nan")


def _merged(a: float, b: float) -> float:
    """Direction of two that act together: that of both, or of the one that acts at all."""
    if a == 0.0:
        return b
    return a if b in (0.0, a) else float("nan")


def _at(x: FloatArray, node: int) -> FloatArray:
    return x[:, node] if node >= 0 else np.zeros(len(x))


class Row:
    """A quantity as a linear reading of the unknowns, with what figures add themselves.

    Parameters
    ----------
    box : Box
        The box.
    quantity : Reading
        What is read.
    """

    def __init__(self, box: Box, quantity: Reading) -> None:
        self.box, self.quantity = box, quantity
        tab, net = box.tab, box.tab.network
        self.row = np.zeros(tab.A0.shape[0] + 1)
        self.leak, self.gain = "", -1
        symbol = quantity.name.rpartition(".")[2]
        if quantity.of_node:
            index = {name: i for i, name in enumerate(net.names)}
            self.row[index.get(quantity.owner, -1)] = 1.0
        else:
            k = [q.name for q in net.bipolars].index(quantity.owner)
            q, forward = net.bipolars[k], tab.first + 2 * k
            sign = float(quantity.sign * q.sign)
            if symbol in ("I_C", "I_B", "I_E"):
                back = {"I_C": -(1.0 + q.data.beta_R), "I_B": 1.0, "I_E": -q.data.beta_R}
                self.row[forward] = 0.0 if symbol == "I_B" else sign
                self.row[forward + 1] = sign * back[symbol]
                self.gain = -1 if symbol == "I_C" else forward
                self.leak = "" if symbol == "I_E" else quantity.owner
                self.leak_sign = sign if symbol == "I_C" else -sign
                self.through = sign
                self.beta = q.data.beta
            elif symbol in ("V_CE", "V_BE"):
                plus = q.collector if symbol == "V_CE" else q.base
                self.row[plus] += quantity.sign
                self.row[q.emitter] -= quantity.sign
            else:
                raise QuantityError(
                    f"The extremes of {quantity.name} are not at corners. Ask for a current or a "
                    f"voltage."
                )
        self.row = self.row[:-1]
        self.leakage = 0.0
        if self.leak:
            k = [q.name for q in net.bipolars].index(self.leak)
            self.leakage = net.bipolars[k].data.I_CBO

    def at(self, corners: Corners) -> FloatArray:
        """The quantity at all corners. [SI]"""
        y = corners.x @ self.row
        if self.gain >= 0:
            share = np.full(len(y), 1.0 / self.beta)
            for k, factor in enumerate(self.box.factors):
                if factor.figures == ((self.quantity.owner, "beta"),):
                    share = corners.theta[:, k]
            y = y + self.through * share * corners.x[:, self.gain]
        if self.leak:
            amps = np.full(len(y), self.leakage)
            for k, factor in enumerate(self.box.factors):
                if (self.leak, "I_CBO") in factor.figures:
                    amps = corners.theta[:, k]
            y = y + self.leak_sign * amps
        return np.asarray(y)

    @property
    def plain(self) -> bool:
        """Whether it is linear in the unknowns alone, so that its slopes can be proved."""
        moved = {figure for factor in self.box.factors for figure in factor.figures}
        return self.gain < 0 and (self.leak, "I_CBO") not in moved
