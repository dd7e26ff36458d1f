"""Series resistances of registered types and LEDs: resistors to inner nodes, device rung."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from steadypoint.devices import NOMINAL_TEMPERATURE
from steadypoint.solve._network import Branch, Network, has_simple_laws


def with_series(
    net: Network,
    temperature: float = NOMINAL_TEMPERATURE,
    junctions: Mapping[str, float] | None = None,
) -> Network:
    """Network in which every transistor of a registered type stands behind its own resistances.

    Inner nodes and their resistors come behind those of the circuit, so that what counts nodes and
    resistors of the circuit finds them where they were.

    Parameters
    ----------
    net : Network
        The network of the circuit.
    temperature : float, default 298.15
        Junction temperature; the resistance of a channel rises with it. [K]
    junctions : mapping of str to float, optional
        Junction temperatures of parts that differ from it, by name. [K]

    Returns
    -------
    Network
    """
    if has_simple_laws(net):
        return net
    names, resistors = list(net.names), list(net.resistors)

    def behind(node: int, part: str, symbol: str, R: float) -> int:
        if R == 0.0:
            return node
        names.append(f"{part} behind {symbol}")
        resistors.append(Branch(f"{part} {symbol}", node, len(names) - 1, R))
        return len(names) - 1

    bipolars = list(net.bipolars)
    for k, q in enumerate(bipolars):
        if q.model:
            collector = behind(q.collector, q.name, "r_c", q.model.r_c)
            base = behind(q.base, q.name, "r_b", q.model.r_b)
            emitter = behind(q.emitter, q.name, "r_e", q.model.r_e)
            bipolars[k] = replace(q, collector=collector, base=base, emitter=emitter)
    fets = list(net.fets)
    for k, f in enumerate(fets):
        if f.model:
            model = f.model.at((junctions or {}).get(f.name, temperature))
            drain = behind(f.drain, f.name, "r_d", model.r_d)
            source = behind(f.source, f.name, "r_s", model.r_s)
            fets[k] = replace(f, drain=drain, source=source)
    diodes = list(net.diodes)
    for k, d in enumerate(diodes):
        if d.model:
            diodes[k] = replace(d, anode=behind(d.anode, d.name, "r_s", d.model.r_s))
    return replace(
        net,
        names=tuple(names),
        resistors=tuple(resistors),
        bipolars=tuple(bipolars),
        fets=tuple(fets),
        diodes=tuple(diodes),
    )


def inner_nodes(net: Network) -> tuple[tuple[int, int], ...]:
    """Inner nodes with the node of the circuit that each stands behind."""
    added = with_series(net).resistors[len(net.resistors) :]
    return tuple((r.end, r.start) for r in added)
