"""From node voltages and currents to the operating point that people read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from steadypoint.circuit import GROUND, Circuit, Kind, Part
from steadypoint.solve._network import Network
from steadypoint.solve._point import Model, OperatingPoint, PartPoint, Region, TransistorPoint
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
    """

    voltages: FloatArray
    delivered: FloatArray
    base: FloatArray
    collector: FloatArray
    emitter: FloatArray
    diodes: FloatArray
    regions: tuple[Region, ...]
    cutoff_V_CE: FloatArray


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
    residual = _imbalance(net.circuit, parts, transistors)
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


def _imbalance(
    circuit: Circuit, parts: Mapping[str, PartPoint], transistors: Mapping[str, TransistorPoint]
) -> float:
    """Largest imbalance of Kirchhoff's current law over all nodes but ground. [A]"""
    sums = dict.fromkeys(circuit.nodes, 0.0)
    for part in circuit.parts:
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
