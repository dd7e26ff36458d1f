"""A circuit as the numbers that the student page solves: structure, and laws at temperatures."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, Final

import numpy as np

from steadypoint.circuit import Circuit, Kind, follows_temperature
from steadypoint.devices import NOMINAL_TEMPERATURE
from steadypoint.solve import OperatingPoint, operating_point
from steadypoint.solve._fet_law import with_junctions
from steadypoint.solve._network import Network, network
from steadypoint.solve._newton import Laws, laws_of
from steadypoint.solve._plan import plan_of
from steadypoint.solve._series import with_series

TEMPERATURES: Final = tuple(range(-20, 85, 5))
"""Temperatures that the page knows. [°C]"""

_ZERO: Final = 273.15


def program_of(circuit: Circuit) -> dict[str, Any]:
    """Everything that the page needs to solve a circuit itself.

    Parameters
    ----------
    circuit : Circuit
        A circuit that the device rung solves.

    Returns
    -------
    dict
        Plain data for JSON, SI values. ``laws`` has an entry for each of `steps_of_temperature`;
        ``nominal`` is the number of the circuit's own.

    Raises
    ------
    CircuitError, SolveError
        If the device rung does not solve it.
    """
    point = operating_point(circuit, "device")
    nominal = point.temperature
    own = round(nominal - _ZERO, 6)
    temperatures = steps_of_temperature(own)
    first = _network(circuit, nominal)
    plan = plan_of(network(circuit, nominal))
    leaks = [
        int(node) for k, node in enumerate(plan.free) if plan.base[k, k] and k < len(plan.free)
    ]
    return {
        "nodes": list(first.names),
        "resistors": [[r.name, r.start, r.end] for r in first.resistors],
        "voltages": [[v.name, v.start, v.end, v.value] for v in first.voltages],
        "currents": [[c.name, c.start, c.end, c.value] for c in first.currents],
        "bipolars": [[q.name, q.sign, q.collector, q.base, q.emitter] for q in first.bipolars],
        "diodes": [[d.name, d.anode, d.cathode] for d in first.diodes],
        "fets": [[f.name, f.sign, f.drain, f.gate, f.source] for f in first.fets],
        "leaks": leaks,
        "saturation": [q.data.V_CE_sat for q in first.bipolars],
        "betas": [None if q.model else q.data.beta for q in first.bipolars],
        "nominal": temperatures.index(own),
        "laws": _lean([_laws(circuit, nominal if t == own else t + _ZERO) for t in temperatures]),
        "outer": _outer(circuit, nominal),
        "start": _start(first, point),
    }


def steps_of_temperature(own: float) -> Sequence[float]:
    """Temperatures that the page knows, the circuit's own among them, rising. [°C]"""
    return tuple(sorted({*map(float, TEMPERATURES), own}))


def _network(circuit: Circuit, temperature: float) -> Network:
    return with_junctions(with_series(network(circuit, temperature), temperature))


def _laws(circuit: Circuit, temperature: float) -> dict[str, Any]:
    net = network(circuit, temperature)
    laws = laws_of(net, temperature)
    return {
        "g": laws.g.tolist(),
        "I_S": list(laws.I_S),
        "nV": list(laws.nV_T),
        "offset": laws.offset[: len(laws.I_S)].tolist(),
        "rest": list(laws.rest),
        "back": list(laws.inv_beta_R),
        "early": list(laws.inv_V_A),
        "leak": list(laws.I_CBO),
        "breaks": [k for k, way in laws.diode_of if way < 0],
        "channels": [[c.K, c.V_GS_th, c.inv_V_A] for c in laws.channels],
        "full": [_full(laws, k) for k in range(len(laws.inv_beta))],
    }


def _lean(laws: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Of each law after the first only what differs from the first; thirteen digits."""
    short = [{key: _rounded(value) for key, value in law.items()} for law in laws]
    first = short[0]
    return [first, *({k: v for k, v in law.items() if v != first[k]} for law in short[1:])]


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return float(f"{value:.13g}")
    return [_rounded(each) for each in value] if isinstance(value, list) else value


def _outer(circuit: Circuit, temperature: float) -> list[list[int]]:
    """Leads of the transistors, outside of their series resistances: bipolar ones first."""
    net = network(circuit, temperature)
    bipolars = [[q.collector, q.base, q.emitter] for q in net.bipolars]
    return [*bipolars, *([f.drain, f.gate, f.source] for f in net.fets)]


def _full(laws: Laws, k: int) -> list[float] | None:
    law = laws.charge[k] if k < len(laws.charge) else None
    return None if law is None else [float(v) for v in law]


def _start(net: Network, point: OperatingPoint) -> list[float]:
    """Node voltages at the stated values; inner nodes begin where their outer one stands."""
    known = {**point.nodes, "ground": 0.0}
    out = []
    for name in net.names:
        outer = name
        if name not in known:
            near = next(
                (net.names[r.start] for r in net.resistors if net.names[r.end] == name), name
            )
            outer = near
        value = known.get(outer, 0.0)
        out.append(value if math.isfinite(value) else 0.0)
    return [float(v) for v in np.array(out)]


def free_values(circuit: Circuit) -> Sequence[Mapping[str, Any]]:
    """What a reader can change: resistors, supplies, current sources, gains, the temperature.

    Parameters
    ----------
    circuit : Circuit
        The circuit.

    Returns
    -------
    sequence of mapping
        ``name``, ``kind``, ``unit``, ``value`` [SI], as on the sheet, the temperature last.
    """
    found: list[dict[str, Any]] = []
    kinds = {
        Kind.RESISTOR: "Ω",
        Kind.SUPPLY: "V",
        Kind.VOLTAGE_SOURCE: "V",
        Kind.CURRENT_SOURCE: "A",
    }
    for part in circuit.parts:
        if part.kind in kinds and part.value is not None and not follows_temperature(part):
            kind = "supply" if kinds[part.kind] == "V" else part.kind.value
            found.append(
                {
                    "name": part.name,
                    "kind": kind,
                    "unit": kinds[part.kind],
                    "value": part.value.value,
                }
            )
        elif part.kind.is_bipolar and not part.type_name:
            gain = part.option("beta") or 100.0
            found.append({"name": part.name, "kind": "beta", "unit": "", "value": gain})
    kelvin = circuit.temperature.value if circuit.temperature else NOMINAL_TEMPERATURE
    found.append({"name": "temperature", "kind": "temperature", "unit": "°C", "value": kelvin})
    return found


__all__ = ["TEMPERATURES", "free_values", "program_of", "steps_of_temperature"]
