"""Field-effect transistors on the device rung: channel law, and junctions beside the channel."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from steadypoint.devices import ZENER_TEST_CURRENT, DiodeData, FetModel
from steadypoint.solve._network import Diode, Fet, Network


@dataclass(frozen=True, slots=True)
class ChannelLaw:
    """Square law of a channel at one temperature, as of an n-channel.

    Parameters
    ----------
    K : float
        Conductance parameter. [A/V²]
    V_GS_th : float
        Voltage at which an end of the channel opens. [V]
    inv_V_A : float
        Channel-length modulation λ. [1/V]
    """

    K: float
    V_GS_th: float
    inv_V_A: float


def model_of_fet(f: Fet) -> FetModel:
    """Model of a transistor at 25 °C, by what the sheet states or the catalogue gives."""
    if f.model is not None:
        return f.model
    return FetModel(
        channel="n" if f.sign > 0 else "p",
        gate="junction" if f.data.junction else "insulated",
        V_GS_th=f.data.V_GS_th,
        K=f.data.K,
        V_A=f.data.V_A,
    )


def channel_laws(
    net: Network, temperature: float, junctions: Mapping[str, float]
) -> tuple[ChannelLaw, ...]:
    """Laws of all channels at a temperature, or at their own by name. [K]"""
    models = [model_of_fet(f).at(junctions.get(f.name, temperature)) for f in net.fets]
    return tuple(ChannelLaw(m.K, m.V_GS_th, 1.0 / m.V_A) for m in models)


def channel_current(v_GS: float, v_GD: float, law: ChannelLaw) -> tuple[float, float, float]:
    r"""Drain current and its slopes against both ends of the channel.

    Parameters
    ----------
    v_GS, v_GD : float
        Gate voltage against source and drain, as of an n-channel. [V]
    law : ChannelLaw
        The law.

    Returns
    -------
    tuple of float
        I_D, its derivative by v_GS and by v_GD. [A, S, S]

    Notes
    -----
    .. math:: I_D = K ((v_{GS} - V_{th})_+^2 - (v_{GD} - V_{th})_+^2)(1 + \lambda |v_{DS}|)
    """
    a, b = max(v_GS - law.V_GS_th, 0.0), max(v_GD - law.V_GS_th, 0.0)
    v_DS = v_GS - v_GD
    # a² - b² as a product: an open channel with next to no current would drown in rounding
    plain = law.K * (v_DS if a > 0.0 and b > 0.0 else a - b) * (a + b)
    stretch = 1.0 + law.inv_V_A * abs(v_DS)
    longer = plain * law.inv_V_A * (1.0 if v_DS >= 0 else -1.0)
    return plain * stretch, 2 * law.K * a * stretch + longer, -2 * law.K * b * stretch - longer


def with_junctions(net: Network) -> Network:
    """Network with the body diode of each MOSFET and the two gate junctions of each JFET.

    They stand behind the diodes of the network, in the order of :func:`junctions_of_fets`.
    """
    if not net.fets:
        return net
    return replace(net, diodes=(*net.diodes, *junctions_of_fets(net)))


def junctions_of_fets(net: Network) -> tuple[Diode, ...]:
    """Junctions beside the channels: one per MOSFET, gate-source and gate-drain per JFET."""
    out: list[Diode] = []
    for f in net.fets:
        model = model_of_fet(f)
        data = DiodeData(0.7, model.I_body, model.n_body, math.inf, ZENER_TEST_CURRENT, 0.0)
        ends = [(f.gate, f.source), (f.gate, f.drain)] if f.data.junction else [(f.source, f.drain)]
        out += [Diode(f.name, *(e if f.sign > 0 else e[::-1]), data) for e in ends]
    return tuple(out)


def junction_currents(net: Network, extra: list[Any]) -> tuple[list[Any], list[Any]]:
    """Currents that the junctions beside the channels add into drain and gate. [A]

    Parameters
    ----------
    net : Network
        The network.
    extra : list of float or ndarray
        Current of each junction from anode to cathode. [A]
    """
    drain: list[Any] = []
    gate: list[Any] = []
    at = 0
    for f in net.fets:
        if f.data.junction:
            to_source, to_drain = extra[at], extra[at + 1]
            at += 2
            drain.append(-f.sign * to_drain)
            gate.append(f.sign * (to_source + to_drain))
        else:
            drain.append(-f.sign * extra[at])
            gate.append(0.0)
            at += 1
    return drain, gate
