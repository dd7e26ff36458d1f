"""Node equations with exponential junctions, written from ``docs/solving.md``, for any arithmetic.

It shares no code with the solver; ``ops`` is ``math``, ``numpy`` or an mpmath context.
"""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from itertools import pairwise
from typing import Any

import mpmath
from scipy import constants

from steadypoint.circuit import GROUND, Circuit, Kind, Part

LEAK = 1e-12
"""The 1 pS that the device rung has across every junction. [S]"""


def unknown_nodes(circuit: Circuit) -> list[str]:
    """Nodes that no supply ties."""
    tied = {p.nodes[0] for p in circuit.supplies} | {GROUND}
    return [n for n in circuit.nodes if n not in tied]


def imbalances(circuit: Circuit, x: list[Any], T: float, ops: Any) -> tuple[list[Any], list[Any]]:
    """Sum of the currents leaving each unknown node, and sum of their magnitudes. [A]"""
    nodes = unknown_nodes(circuit)
    V: dict[str, Any] = dict(zip(nodes, x, strict=True)) | {GROUND: 0 * x[0] if x else 0.0}
    for p in circuit.supplies:
        V[p.nodes[0]] = V[GROUND] + p.value.value
    sums = dict.fromkeys(circuit.nodes, V[GROUND])
    sizes = dict.fromkeys(circuit.nodes, V[GROUND])

    def leaves(node: str, current: Any) -> None:
        sums[node] += current
        sizes[node] += abs(current)

    for p in circuit.parts:
        if p.kind is Kind.SUPPLY:
            continue
        for node, current in zip(
            p.nodes, _currents(p, [V[n] for n in p.nodes], T, ops), strict=True
        ):
            leaves(node, current)
    return [sums[n] for n in nodes], [sizes[n] for n in nodes]


def _saturation_current(V_on: float, T: float, ops: Any) -> Any:
    """I_S from the drop at 1 mA and 25 °C, carried to T by the law of docs/solving.md."""
    V_T0, V_T = (constants.k * t / constants.e for t in (298.15, T))
    I_S = 1e-3 / (ops.exp(V_on / V_T0) - 1)
    return I_S * (T / 298.15) ** 3.2 * ops.exp(1.205 / V_T0 - 1.205 / V_T)


@cache
def _zeners() -> list[tuple[float, float]]:
    """Voltage and coefficient of the usual types. [V, V/K]"""
    text = files("steadypoint.devices").joinpath("catalogue/diodes.toml").read_text("utf-8")
    return [(row["V_Z"], 1e-3 * row["slope"]) for row in tomllib.loads(text)["zener"]]


def usual_coefficient(V_Z: float) -> float:
    """Coefficient between those of the neighbours in the table, as docs/solving.md says. [V/K]"""
    rows = _zeners()
    for (low, slope), (high, next_slope) in pairwise(rows):
        if low <= V_Z <= high:
            return slope + (next_slope - slope) * (V_Z - low) / (high - low)
    volts, slope = rows[0] if rows[0][0] > V_Z else rows[-1]
    return slope * V_Z / volts


def _currents(p: Part, V: list[Any], T: float, ops: Any) -> list[Any]:
    """Current into the part at each of its nodes."""
    V_T = constants.k * T / constants.e
    if p.kind is Kind.RESISTOR:
        current = (V[0] - V[1]) / p.value.value
        return [current, -current]
    if p.kind in (Kind.DIODE, Kind.ZENER):
        v = V[0] - V[1]
        current = _saturation_current(p.option("V_F"), T, ops) * (ops.exp(v / V_T) - 1) + LEAK * v
        if p.kind is Kind.ZENER:
            V_Z = p.value.value + usual_coefficient(p.value.value) * (T - 298.15)
            current -= 5e-3 * (ops.exp((-v - V_Z) / V_T) - ops.exp(-V_Z / V_T))
        return [current, -current]
    if p.kind.is_fet:
        return _channel_currents(p, V, T, ops)
    s = 1 if p.kind is Kind.NPN else -1
    v_be, v_bc = s * (V[1] - V[2]), s * (V[1] - V[0])
    I_S = _saturation_current(p.option("V_BE"), T, ops)
    j_f, j_r = I_S * (ops.exp(v_be / V_T) - 1), I_S * (ops.exp(v_bc / V_T) - 1)
    beta, beta_R, V_A = (p.option(n) for n in ("beta", "beta_R", "V_A"))
    I_C = (j_f - j_r) * (1 - v_bc / V_A) - j_r / beta_R - LEAK * v_bc
    I_B = j_f / beta + j_r / beta_R + LEAK * (v_be + v_bc)
    return [s * I_C, s * I_B, -s * (I_C + I_B)]


def _channel_currents(p: Part, V: list[Any], T: float, ops: Any) -> list[Any]:
    """Current into drain, gate and source: square law, body diode or gate junctions of 10 fA."""
    s = 1 if p.kind in (Kind.N_JFET, Kind.N_MOSFET) else -1
    junction = p.kind in (Kind.N_JFET, Kind.P_JFET)
    v_gs, v_gd = s * (V[1] - V[2]), s * (V[1] - V[0])
    V_T0, V_T = (constants.k * t / constants.e for t in (298.15, T))
    leak = 1e-14 * (T / 298.15) ** 3.2 * ops.exp(1.205 / V_T0 - 1.205 / V_T)
    if junction:
        V_th, slope = s * p.option("V_GS_off"), -2.2e-3
        K = p.option("I_DSS") / V_th**2
        V_th = min(V_th + slope * (T - 298.15), -1e-3)
    else:
        K = p.option("K")
        V_th = s * p.option("V_GS_th") - 4e-3 * (T - 298.15)
    K *= (T / 298.15) ** -2.0

    def shut(v: Any) -> Any:
        return v if v > 0 else 0 * v

    I_D = K * (shut(v_gs - V_th) ** 2 - shut(v_gd - V_th) ** 2)
    I_D *= 1 + p.option("lambda") * abs(v_gs - v_gd)

    def diode(v: Any) -> Any:
        return leak * (ops.exp(v / V_T) - 1) + LEAK * v

    if junction:
        to_s, to_d = diode(v_gs), diode(v_gd)
        return [s * (I_D - to_d), s * (to_s + to_d), -s * (I_D + to_s)]
    body = diode(v_gd - v_gs)  # from source to drain
    return [s * (I_D - body), 0 * I_D, -s * (I_D - body)]


def polished(circuit: Circuit, x: list[float], T: float) -> Any:
    """The root at the digits of mpmath's context next to x, or None; by Newton's method."""
    at = mpmath.matrix([mpmath.mpf(float(v)) for v in x])
    h = mpmath.mpf(10) ** -22
    for _ in range(50):
        F = mpmath.matrix(imbalances(circuit, list(at), T, mpmath.mp)[0])
        J = mpmath.matrix(len(x), len(x))
        for k in range(len(x)):
            moved = at.copy()
            moved[k] += h
            J[:, k] = (mpmath.matrix(imbalances(circuit, list(moved), T, mpmath.mp)[0]) - F) / h
        step = mpmath.lu_solve(J, F)
        at -= step
        if max(abs(s) for s in step) < 1e-25:
            return at
    return None
