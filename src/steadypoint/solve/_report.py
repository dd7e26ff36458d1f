"""From node voltages and currents to the operating point that people read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from steadypoint.circuit import GROUND, Circuit, Kind, Part
from steadypoint.solve._network import Network
from steadypoint.solve._point import (
    FetPoint,
    Model,
    OperatingPoint,
    PartPoint,
    Region,
    TransistorPoint,
)
from steadypoint.solve._tableau import FloatArray


@dataclass(frozen=True, slots=True)
class Raw:
    """What a solver found.

    Parameters
    ----------
    voltages : ndarray, shape (n,)
        Node voltages. [V]
    delivered : ndarray, shape (m,)
        Currents out of the plus terminals of the voltage sources. [A]
    base, collector, emitter : ndarray, shape (q,)
        Currents into base and collector, out of the emitter. [A]
    diodes : ndarray, shape (d,)
        Diode currents from anode to cathode. [A]
    regions : tuple of Region
        Region of each transistor.
    cutoff_V_CE : ndarray, shape (q,)
        V_CE that each transistor would have if it carried no current. [V]
    drain, gate : ndarray, shape (f,)
        Currents into drain and gate of the field-effect transistors. [A]
    fet_regions : tuple of Region
        Region of each field-effect transistor.
    cutoff_V_DS : ndarray, shape (f,)
        V_DS that each of these would have if it carried no current. [V]
    thresholds : tuple of float
        V_GS_th of each at its temperature, as of an n-channel; empty where it is that of the data.
        [V]
    """

    voltages: FloatArray
    delivered: FloatArray
    base: FloatArray
    collector: FloatArray
    emitter: FloatArray
    diodes: FloatArray
    regions: tuple[Region, ...]
    cutoff_V_CE: FloatArray
    drain: FloatArray = field(default_factory=lambda: np.zeros(0))
    gate: FloatArray = field(default_factory=lambda: np.zeros(0))
    fet_regions: tuple[Region, ...] = ()
    cutoff_V_DS: FloatArray = field(default_factory=lambda: np.zeros(0))
    thresholds: tuple[float, ...] = ()


def operating_point_of(
    net: Network,
    raw: Raw,
    model: Model,
    temperature: float,
    *,
    warnings: tuple[str, ...] = (),
    neglected: tuple[str, ...] = (),
    steps: int = 0,
) -> OperatingPoint:
    """Assemble the operating point.

    Parameters
    ----------
    net : Network
        The network that was solved.
    raw : Raw
        Voltages and currents.
    model : Model
        The rung.
    temperature : float
        Junction temperature. [K]
    warnings, neglected : tuple of str
        Sentences of the solver.
    steps : int
        Iterations. [-]

    Returns
    -------
    OperatingPoint
    """
    nodes = {GROUND: 0.0} | {
        name: float(v) for name, v in zip(net.names, raw.voltages, strict=True)
    }
    nodes = {name: nodes[name] for name in net.circuit.nodes}
    currents = _branch_currents(net, raw, nodes)
    parts = {
        p.name: _part_point(p, nodes, currents[p.name])
        for p in net.circuit.parts
        if not p.kind.is_transistor
    }
    transistors = {
        q.name: _transistor_point(net, k, raw, nodes) for k, q in enumerate(net.bipolars)
    }
    fets = {f.name: _fet_point(net, k, raw, nodes) for k, f in enumerate(net.fets)}
    residual = _imbalance(net.circuit, parts, transistors, fets)
    return OperatingPoint(
        circuit=net.circuit,
        model=model,
        temperature=temperature,
        nodes=nodes,
        parts=parts,
        transistors=transistors,
        warnings=warnings,
        neglected=neglected,
        steps=steps,
        residual=residual,
        fets=fets,
    )


def _branch_currents(net: Network, raw: Raw, nodes: Mapping[str, float]) -> dict[str, float]:
    """Current from the first to the second node; for voltage sources that delivered."""
    V = [*(float(v) for v in raw.voltages), 0.0]
    currents = {r.name: (V[r.start] - V[r.end]) / r.value for r in net.resistors}
    currents |= {c.name: c.value for c in net.currents}
    currents |= {c.name: 0.0 for c in net.capacitors}
    currents |= {v.name: float(i) for v, i in zip(net.voltages, raw.delivered, strict=True)}
    currents |= {d.name: float(i) for d, i in zip(net.diodes, raw.diodes, strict=True)}
    return currents


def _part_point(part: Part, nodes: Mapping[str, float], current: float) -> PartPoint:
    V = nodes[part.nodes[0]] - nodes[part.nodes[1]]
    if part.kind is Kind.INDUCTOR:
        return PartPoint(-current, V, 0.0)  # solved as a source of 0 V, counted as a part
    if part.kind is Kind.CURRENT_SOURCE:
        return PartPoint(current, V, -V * current)
    return PartPoint(current, V, V * current)


def _transistor_point(
    net: Network, k: int, raw: Raw, nodes: Mapping[str, float]
) -> TransistorPoint:
    q = net.bipolars[k]
    part = net.circuit.part(q.name)
    V_C, V_B, V_E = (nodes[n] for n in part.nodes)
    I_B, I_C, I_E = float(raw.base[k]), float(raw.collector[k]), float(raw.emitter[k])
    V_CE = V_C - V_E
    along = q.sign * V_CE
    down = raw.regions[k] in (Region.SATURATION, Region.REVERSE)
    off = raw.regions[k] is Region.CUTOFF
    return TransistorPoint(
        name=q.name,
        polarity=part.kind.value,
        I_B=I_B,
        I_C=I_C,
        I_E=I_E,
        V_BE=V_B - V_E,
        V_CE=V_CE,
        V_B=V_B,
        V_C=V_C,
        V_E=V_E,
        P=(V_B - V_E) * I_B + V_CE * I_C,
        region=raw.regions[k],
        headroom_saturation=max(along - q.data.V_CE_sat, 0.0) if not down else 0.0,
        headroom_cutoff=max(q.sign * float(raw.cutoff_V_CE[k]) - along, 0.0) if not off else 0.0,
    )


def _fet_point(net: Network, k: int, raw: Raw, nodes: Mapping[str, float]) -> FetPoint:
    f = net.fets[k]
    part = net.circuit.part(f.name)
    V_D, V_G, V_S = (nodes[n] for n in part.nodes)
    I_D, I_G = float(raw.drain[k]), float(raw.gate[k])
    V_GS, V_DS = V_G - V_S, V_D - V_S
    V_GS_th = raw.thresholds[k] if raw.thresholds else f.data.V_GS_th
    region, along = raw.fet_regions[k], f.sign * V_DS
    edge = along - (f.sign * V_GS - V_GS_th)
    return FetPoint(
        name=f.name,
        kind=part.kind.value,
        I_D=I_D,
        I_G=I_G,
        I_S=I_D + I_G,
        V_GS=V_GS,
        V_DS=V_DS,
        V_G=V_G,
        V_D=V_D,
        V_S=V_S,
        V_GS_th=f.sign * V_GS_th,
        P=V_GS * I_G + V_DS * I_D,
        region=region,
        headroom_triode=max(edge, 0.0) if region is Region.SATURATION else 0.0,
        headroom_cutoff=max(f.sign * float(raw.cutoff_V_DS[k]) - along, 0.0)
        if region is not Region.CUTOFF
        else 0.0,
    )


def _imbalance(
    circuit: Circuit,
    parts: Mapping[str, PartPoint],
    transistors: Mapping[str, TransistorPoint],
    fets: Mapping[str, FetPoint],
) -> float:
    """Largest imbalance of Kirchhoff's current law over all nodes but ground. [A]"""
    sums = dict.fromkeys(circuit.nodes, 0.0)
    for part in circuit.parts:
        if part.kind.is_fet:
            f = fets[part.name]
            for node, current in zip(part.nodes, (f.I_D, f.I_G, -f.I_S), strict=True):
                sums[node] += current
            continue
        if part.kind.is_transistor:
            t = transistors[part.name]
            for node, current in zip(part.nodes, (t.I_C, t.I_B, -t.I_E), strict=True):
                sums[node] += current
            continue
        out = parts[part.name].I
        if part.kind in (Kind.SUPPLY, Kind.VOLTAGE_SOURCE):
            out = -out
        sums[part.nodes[0]] += out
        sums[part.nodes[1]] -= out
    return float(np.max([abs(s) for n, s in sums.items() if n != GROUND], initial=0.0))
