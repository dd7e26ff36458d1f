"""Newton's method on the exponential network, with limited junction steps."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.devices import saturation_current_at, thermal_voltage
from steadypoint.kernels import (
    StaticBipolar,
    junction,
    leakage,
    limited,
    static_bipolar_float,
    transport_currents,
    transport_slopes,
)
from steadypoint.solve._fet_law import ChannelLaw, channel_current, channel_laws, with_junctions
from steadypoint.solve._network import Network
from steadypoint.solve._plan import Plan
from steadypoint.solve._series import with_series
from steadypoint.solve._tableau import FloatArray

JUNCTION_LEAK: Final = 1e-12
"""Conductance across every junction; fixes nodes that leakage alone defines. [S]"""

TOP_CURRENT: Final = 1e3
"""Above this the exponential continues by its tangent. [A]"""

ENTRY_CURRENT: Final = 1e-4
"""Current at which a rising junction step begins to be limited. [A]"""

SEED_CURRENT: Final = 1e-3
"""Forward junction current of the first guess. [A]"""

RELATIVE: Final = 1e-9
ROUNDING: Final = 8.0 * float(np.finfo(float).eps)
FLOOR: Final = 1e-18
Stretch = Callable[[FloatArray, NDArray[np.floating[Any]]], float]

GATE_STEP: Final = 3.0
"""Longest step of the voltage at an end of a channel. [V]"""

POLISHED: Final = 1e-13
"""Accepted imbalance at a node: RELATIVE Σ|i| + ROUNDING Σ g|v| + FLOOR. One step more is taken
unless the imbalance is already POLISHED times the largest current. [-, -, A, -]"""


@dataclass(frozen=True, slots=True)
class Laws:
    """Values of a network on the device rung at one temperature.

    Junctions come as in :class:`steadypoint.solve._plan.Plan`. ``charge`` holds the full law of
    each transistor of a registered type, None where the simple law holds.
    """

    g: FloatArray
    currents: FloatArray
    voltages: FloatArray
    I_S: tuple[float, ...]
    nV_T: tuple[float, ...]
    v_top: tuple[float, ...]
    v_on: tuple[float, ...]
    offset: FloatArray
    rest: tuple[float, ...]
    inv_beta: tuple[float, ...]
    inv_beta_R: tuple[float, ...]
    inv_V_A: tuple[float, ...]
    I_CBO: tuple[float, ...]
    diode_of: tuple[tuple[int, float], ...]
    channels: tuple[ChannelLaw, ...] = ()
    charge: tuple[StaticBipolar | None, ...] = ()


@dataclass(slots=True)
class Trial:
    """State of a search: node voltages with ground last, hanging currents, junction voltages."""

    V: FloatArray
    hanging: FloatArray
    v: list[float]
    steps: int = 0
    settled: bool = False
    worst: int = -1
    orientation: float = 0.0


def laws_of(net: Network, temperature: float, junctions: Mapping[str, float] | None = None) -> Laws:
    """Carry the data of the parts to a temperature.

    Parameters
    ----------
    net : Network
        The network.
    temperature : float
        Junction temperature. [K]
    junctions : mapping of str to float, optional
        Junction temperatures of parts that differ from it, by name. [K]

    Returns
    -------
    Laws
    """
    at = junctions or {}
    net = with_series(net, temperature, at)
    channels, net = channel_laws(net, temperature, at), with_junctions(net)
    models = [q.model.at(at.get(q.name, temperature)) if q.model else None for q in net.bipolars]
    I_S: list[float] = []
    nV_T: list[float] = []
    for q, model in zip(net.bipolars, models, strict=True):
        T = at.get(q.name, temperature)
        if model:
            I_S += [model.I_S] * 2
            nV_T += [model.n_F * thermal_voltage(T)] * 2
            continue
        I_S += [saturation_current_at(_matched_I_S(net, q.name), T, n=q.data.n)] * 2
        nV_T += [q.data.n * thermal_voltage(T)] * 2
    for d in net.diodes:
        T = at.get(d.name, temperature)
        if d.model:
            I_S.append(d.model.at(T).I_S)
            nV_T.append(d.model.n * thermal_voltage(T))
            continue
        I_S.append(saturation_current_at(d.data.I_S, T, n=d.data.n))
        nV_T.append(d.data.n * thermal_voltage(T))
    breaking = [(k, d) for k, d in enumerate(net.diodes) if math.isfinite(d.data.V_Z)]
    rest = list(I_S)
    for _, d in breaking:
        slope = max(thermal_voltage(at.get(d.name, temperature)), d.data.r_Z * d.data.I_Z)
        I_S.append(d.data.I_Z)
        nV_T.append(slope)
        rest.append(d.data.I_Z * math.exp(-(d.data.V_Z + d.data.drift) / slope))
    offset = np.zeros(len(I_S) + 2 * len(channels))
    offset[len(I_S) - len(breaking) : len(I_S)] = [d.data.V_Z + d.data.drift for _, d in breaking]
    pairs = list(zip(I_S, nV_T, strict=True))
    return Laws(
        g=np.array([1.0 / r.value for r in net.resistors]),
        currents=np.array([c.value for c in net.currents]),
        voltages=np.array([v.value for v in net.voltages]),
        I_S=tuple(I_S),
        nV_T=tuple(nV_T),
        v_top=tuple(t * math.log(TOP_CURRENT / i) for i, t in pairs),
        v_on=tuple(t * math.log(ENTRY_CURRENT / i) for i, t in pairs),
        offset=offset,
        rest=tuple(rest),
        inv_beta=tuple(1.0 / q.data.beta for q in net.bipolars),
        inv_beta_R=tuple(1.0 / max(q.data.beta_R, 1e-3) for q in net.bipolars),
        inv_V_A=tuple(1.0 / q.data.V_A for q in net.bipolars),
        I_CBO=tuple(q.data.I_CBO for q in net.bipolars),
        diode_of=(*((k, 1.0) for k in range(len(net.diodes))), *((k, -1.0) for k, _ in breaking)),
        channels=channels,
        charge=tuple(m.static if m else None for m in models),
    )


def _matched_I_S(net: Network, name: str) -> float:
    """Saturation current at 25 °C; a matched transistor without a stated one takes its twin's."""
    known = {q.name: q for q in net.bipolars}
    q, seen = known[name], {name}
    while not q.states_I_S and q.matched_to in known and q.matched_to not in seen:
        q = known[q.matched_to]
        seen.add(q.name)
    return q.data.I_S


def scaled(laws: Laws, share: float) -> Laws:
    """Laws with all independent sources at a share of their value."""
    return replace(laws, currents=laws.currents * share, voltages=laws.voltages * share)


def cold(plan: Plan, laws: Laws, net: Network) -> Trial:
    """First guess: base-emitter junctions at 1 mA, channels pinched off, the others at rest."""
    v = [0.0] * len(laws.I_S)
    for k in range(len(net.bipolars)):
        v[2 * k] = laws.nV_T[2 * k] * math.log(SEED_CURRENT / laws.I_S[2 * k])
    for j in range(len(laws.I_S)):
        v[j] -= float(laws.offset[j])
    for law in laws.channels:
        v += [law.V_GS_th + 1.0, law.V_GS_th - 1.0]
    return Trial(np.zeros(plan.R.shape[0]), np.zeros(len(plan.floating)), v)


def device_currents(laws: Laws, v: list[float]) -> tuple[FloatArray, FloatArray]:
    """Terminal currents (I_C, I_B per transistor, diodes, channels) and slopes at voltages.

    Parameters
    ----------
    laws : Laws
        The device values.
    v : list of float
        Junction voltages less their offsets. [V]

    Returns
    -------
    tuple of (ndarray, ndarray)
        Currents, shape (2 q + diodes + f,), and slopes, shape (4 q + junctions of diodes + 2 f,).
        [A, S]
    """
    q = len(laws.inv_beta)
    d = len(laws.I_S) - 2 * q
    diodes = sum(1 for _, way in laws.diode_of if way > 0)
    channels = len(laws.channels)
    i, g = [0.0] * (2 * q + diodes + channels), [0.0] * (4 * q + d + 2 * channels)
    for k, law in enumerate(laws.channels):
        at, out = 2 * q + d + 2 * k, 4 * q + d + 2 * k
        i[2 * q + diodes + k], g[out], g[out + 1] = channel_current(v[at], v[at + 1], law)
    for k in range(q):
        f, r, full = 2 * k, 2 * k + 1, laws.charge[k]
        if full is not None:
            I_C, I_B, g_CF, g_CR, g_BF, g_BR = static_bipolar_float(v[f], v[r], full)
            i[f], i[r] = I_C - JUNCTION_LEAK * v[r], I_B + JUNCTION_LEAK * (v[f] + v[r])
            g[4 * k] = g_CF
            g[4 * k + 1] = g_CR - JUNCTION_LEAK
            g[4 * k + 2] = g_BF + JUNCTION_LEAK
            g[4 * k + 3] = g_BR + JUNCTION_LEAK
            continue
        e_f, g_f = junction(v[f], laws.I_S[f], laws.nV_T[f], laws.v_top[f])
        e_r, g_r = junction(v[r], laws.I_S[r], laws.nV_T[r], laws.v_top[r])
        early = 1.0 - v[r] * laws.inv_V_A[k]
        j_f, j_r = e_f - laws.I_S[f], e_r - laws.I_S[r]
        by, by_R = laws.inv_beta[k], laws.inv_beta_R[k]
        I_C, I_B = transport_currents(j_f, j_r, early, by, by_R)
        d_f, d_r = transport_slopes(g_f, g_r, j_f - j_r, early, laws.inv_V_A[k])
        leak_r, g_leak = leakage(v[r], laws.I_CBO[k], laws.nV_T[r], JUNCTION_LEAK)
        i[f], i[r] = I_C - leak_r, I_B + JUNCTION_LEAK * v[f] + leak_r
        back = g_r * by_R + g_leak
        g[4 * k : 4 * k + 4] = d_f, d_r - back, g_f * by + JUNCTION_LEAK, back
    for m in range(d):
        j = 2 * q + m
        k, way = laws.diode_of[m]
        e, slope = junction(v[j], laws.I_S[j], laws.nV_T[j], laws.v_top[j])
        leak = JUNCTION_LEAK if way > 0 else 0.0
        i[2 * q + k] += way * (e - laws.rest[j] + leak * v[j])
        g[4 * q + m] = slope + leak
    return np.array(i), np.array(g)


def newton(
    plan: Plan,
    laws: Laws,
    trial: Trial,
    *,
    extra: float = 0.0,
    most: int = 100,
    stretch: Stretch | None = None,
) -> Trial:
    """Run Newton's method from a trial.

    Parameters
    ----------
    plan : Plan
        Structure of the network.
    laws : Laws
        Its values.
    trial : Trial
        Where to start; only its junction voltages and, with ``extra``, its nodes matter.
    extra : float, default 0
        Conductance from every free node to its voltage in ``trial``. [S]
    most : int, default 100
        Most steps. [-]
    stretch : callable, optional
        Factor of each step, from the voltages of the free nodes and their step.

    Returns
    -------
    Trial
        ``settled`` tells whether the acceptance test holds; otherwise ``worst`` is the junction
        that was limited last, or -1.
    """
    equations = _Equations(plan, laws, trial, extra)
    free, nf, offset = plan.free, len(plan.free), laws.offset
    V, hanging, v = equations.start.copy(), trial.hanging.copy(), list(trial.v)
    wanted = V[plan.plus] - V[plan.minus] - offset
    jump = wanted - v
    worst, sign, off = -1, 0.0, 0.0
    good: Trial | None = None
    for step in range(most + 1):
        i, g = device_currents(laws, v)
        exact = step > 0 and wanted.tolist() == v
        flow = i if exact else i + plan.tangents @ (g * jump[plan.junction_of])
        residual, i_R = equations.residual(V, hanging, flow)
        J = equations.jacobian(g)
        if exact and good is None and _accepted(plan, laws, V, hanging, residual, i, g, i_R):
            sign = float(np.linalg.slogdet(J)[0]) if len(residual) else 1.0
            good, off = Trial(V.copy(), hanging, v, step, True, -1, sign), _size(residual)
            if off <= POLISHED * _size(i_R):
                return good
        elif good is not None:  # one step more, kept where it is better
            better = exact and _size(residual) < off
            return Trial(V, hanging, v, step, True, -1, good.orientation) if better else good
        if step == most:
            break
        try:
            y = np.linalg.solve(J, residual) if len(residual) else residual
        except np.linalg.LinAlgError:
            break
        if stretch:
            y *= stretch(V[free], y[:nf])
        V[free] -= y[:nf]
        if len(hanging):
            hanging = hanging - y[nf:]
        if not math.isfinite(float(V.sum()) + float(hanging.sum())):
            break
        wanted = V[plan.plus] - V[plan.minus] - offset
        v, worst = _limit(wanted, v, laws)
        jump = wanted - v
    return good or Trial(V, hanging, v, most, False, worst, sign)


def jacobian_at(plan: Plan, laws: Laws, trial: Trial) -> FloatArray:
    """Derivatives of the imbalances at a trial, for free nodes and hanging currents. [S, -]"""
    _, g = device_currents(laws, trial.v)
    return _Equations(plan, laws, trial, 0.0).jacobian(g)


class _Equations:
    """Node equations of a network, with a conductance from every free node to where it began."""

    def __init__(self, plan: Plan, laws: Laws, trial: Trial, extra: float) -> None:
        R, I, _, _ = plan.at_free  # noqa: E741
        nf = len(plan.free)
        self.plan, self.laws, self.extra = plan, laws, extra
        self.start = trial.V.copy()
        self.start[plan.tied] = plan.tie @ laws.voltages
        self.linear = plan.base.copy()
        self.linear[:nf, :nf] += (R * laws.g) @ R.T
        if extra:
            self.linear[np.arange(nf), np.arange(nf)] += extra
        self.injected = I @ laws.currents - extra * self.start[plan.free]
        self.to_ground = plan.base.diagonal()[:nf] + extra
        self.grounded = bool(self.to_ground.any())

    def residual(
        self, V: FloatArray, hanging: FloatArray, i_dev: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Imbalances of the unknowns' equations, and the resistor currents. [A, V; A]"""
        plan = self.plan
        R, _, F, T = plan.at_free
        i_R = self.laws.g * (plan.R.T @ V)
        out = R @ i_R
        out += T @ i_dev
        out += self.injected
        if self.grounded:
            out += self.to_ground * V[plan.free]
        if len(hanging):
            out -= F @ hanging
            level = plan.F.T @ V - self.laws.voltages[plan.floating]
            out = np.concatenate([out, level])
        return out, i_R

    def jacobian(self, g: FloatArray) -> FloatArray:
        """Derivatives of the imbalances for the slopes of the junctions."""
        return self.linear + (self.plan.pattern @ g).reshape(self.linear.shape)


_SHORT: Final = 40


def _size(values: FloatArray) -> float:
    if values.size <= _SHORT:  # a loop over few numbers is quicker than two calls of NumPy
        plain = values.tolist()
        return max(*plain, -min(plain)) if plain else 0.0
    return float(np.abs(values).max(initial=0.0))


def _limit(wanted: FloatArray, old: list[float], laws: Laws) -> tuple[list[float], int]:
    new, worst, most = [], -1, 0.0
    exponential = len(laws.I_S)
    for j, (w, o) in enumerate(zip(wanted.tolist(), old, strict=True)):
        if j < exponential:
            v = limited(w, o, laws.nV_T[j], laws.v_on[j])
        else:
            v = min(max(w, o - GATE_STEP), o + GATE_STEP)
        new.append(v)
        if abs(w - v) > most:
            worst, most = j, abs(w - v)
    return new, worst


def _far(
    off: FloatArray, laws: Laws, V: FloatArray, i: FloatArray, g: FloatArray, i_R: FloatArray
) -> bool:
    """Whether a node misses balance by more than :func:`_accepted` allows for any network."""
    ways = 3.0 * (len(i) + len(i_R) + len(laws.currents))
    largest = max(_size(i_R), _size(i), _size(laws.currents))
    steepest = 2.0 * len(g) * max(_size(g), _size(laws.g)) * len(V) * _size(V)
    return _size(off) > ways * (RELATIVE * largest + ROUNDING * steepest) + FLOOR


def _accepted(
    plan: Plan,
    laws: Laws,
    V: FloatArray,
    hanging: FloatArray,
    residual: FloatArray,
    i: FloatArray,
    g: FloatArray,
    i_R: FloatArray,
) -> bool:
    """Whether every node balances within RELATIVE Σ|i| + ROUNDING Σ g|v| + FLOOR."""
    nf = len(plan.free)
    off = np.abs(residual)
    if not off.max(initial=0.0) < np.inf:
        return False
    if nf == len(off) and _far(off, laws, V, i, g, i_R):
        return False
    aR, aI, aF, aT = plan.sizes
    aV = np.abs(V)
    flow = aR @ np.abs(i_R) + aT @ np.abs(i) + aI @ np.abs(laws.currents) + aF @ np.abs(hanging)
    bound = RELATIVE * flow + FLOOR
    if nf == len(off) and (off <= bound).all():
        return True
    slope = np.abs(plan.tangents) @ np.abs(g)
    steep = aR @ (laws.g * (np.abs(plan.R).T @ aV)) + aT @ (slope * (plan.touch.T @ aV))
    level = ROUNDING * (np.abs(plan.F).T @ aV + np.abs(laws.voltages[plan.floating])) + 1e-15
    return bool((off <= np.concatenate([bound + ROUNDING * steep, level])).all())
