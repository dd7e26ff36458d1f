"""What lies above what: potentials of a network of equal resistors between the rails.

No operating point is needed: every part is a unit resistor, junctions conduct half as well, and the
rails are pinned at 1 and 0. The node potentials then order the nodes from supply to ground.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from steadypoint.circuit import Kind
from steadypoint.draw._netlist import Netlist

_JUNCTION: Final = 0.5
_OPEN: Final = 1e-4  # capacitors only order nodes that nothing else orders
_FLOOR: Final = 1e-9


def potentials(net: Netlist) -> dict[str, float]:
    """Potential of every node between 0 (lower rail) and 1 (upper rail)."""
    nodes = list(net.pins)
    index = {node: i for i, node in enumerate(nodes)}
    G = np.zeros((len(nodes), len(nodes)))
    fixed = dict.fromkeys(net.flags, 0.5) | {net.top: 1.0, net.bottom: 0.0}

    def conduct(a: str, b: str, g: float) -> None:
        i, j = index[a], index[b]
        G[i, i] += g
        G[j, j] += g
        G[i, j] -= g
        G[j, i] -= g

    for element in net.elements:
        if element.is_transistor:
            collector, base, emitter = element.nodes
            conduct(collector, emitter, 1.0)
            conduct(base, emitter, _JUNCTION)
        elif len(element.nodes) == 2:
            conduct(*element.nodes, _OPEN if element.kind is Kind.CAPACITOR else 1.0)
    rhs = np.zeros(len(nodes))
    for node, i in index.items():
        if node in fixed:
            G[i, :] = 0.0
            G[i, i] = 1.0
            rhs[i] = fixed[node]
        else:
            G[i, i] += _FLOOR
    solved = np.linalg.solve(G, rhs)
    return {node: float(solved[i]) for node, i in index.items()}
