"""What a constant V_BE hides of transistors on one emitter node: how they share the current."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations
from typing import Final

from steadypoint.devices import thermal_voltage
from steadypoint.solve._network import Bipolar, Network
from steadypoint.solve._point import Model, OperatingPoint, Region
from steadypoint.values import format_quantity

LEAST_SHARE: Final = 0.01
"""Share of the current that is worth a sentence; our own choice. [-]"""


def shared_tails(net: Network, point: OperatingPoint) -> Iterator[str]:
    r"""Sentences about transistors taken as cut off that carry a share of a common emitter current.

    Parameters
    ----------
    net : Network
        The network.
    point : OperatingPoint
        Its point; the ``device`` rung shares the current by itself and earns no sentence.

    Yields
    ------
    str
        One for each pair.

    Notes
    -----
    Both junctions follow the exponential law, so that what V_BE lacks of its constant decides:

    .. math:: I_{C2}/I_{C1} = e^{-(V_{BE,on} - V_{BE2})/V_T}

    with :math:`V_{BE1} = V_{BE,on}` of the conducting one.
    """
    if point.model is Model.DEVICE:
        return
    for pair in combinations(net.bipolars, 2):
        on, off = sorted(pair, key=lambda q: point.transistors[q.name].region is Region.CUTOFF)
        joined = on.emitter == off.emitter and on.sign == off.sign
        regions = point.transistors[on.name].region, point.transistors[off.name].region
        if not joined or regions != (Region.ACTIVE, Region.CUTOFF):
            continue
        lacks = _lacking(off, point)
        share = math.exp(-lacks / thermal_voltage(point.temperature))
        if share >= LEAST_SHARE:
            yield _sentence(on, off, lacks, share)


def _lacking(off: Bipolar, point: OperatingPoint) -> float:
    """What the junction voltage lacks of the constant drop. [V]"""
    return max(off.data.V_BE - off.sign * point.transistors[off.name].V_BE, 0.0)


def _sentence(on: Bipolar, off: Bipolar, lacks: float, share: float) -> str:
    drop = "V_BE" if off.sign > 0 else "V_EB"
    constant = format_quantity(off.data.V_BE, "V")
    return (
        f"{on.name} and {off.name} share an emitter node, and {drop} of {off.name} lacks only "
        f"{format_quantity(lacks, 'V')} of {constant}. A constant {drop} gives {on.name} the whole "
        f"current; in truth {off.name} carries about {format_quantity(share, '', 2)} times as much "
        f"as {on.name}. The device model shares it."
    )
