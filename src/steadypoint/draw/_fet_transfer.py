"""The transfer chart of a field-effect transistor straight from its circuit and point."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from steadypoint.circuit import Circuit, Kind, Part
from steadypoint.draw._fet_curves import square_law, transfer_curve
from steadypoint.draw._scene import Scene
from steadypoint.draw._transfer import transfer_chart
from steadypoint.errors import CircuitError, SolveError, UnknownNameError, did_you_mean
from steadypoint.solve import OperatingPoint, operating_point
from steadypoint.values import Quantity

_ROOM: Final = 0.25


def fet_transfer_chart(
    circuit: Circuit,
    point: OperatingPoint,
    transistor: str | None = None,
    *,
    title: str | None = None,
    width: float = 600.0,
    height: float = 400.0,
) -> Scene:
    """Drain current against V_GS with the bias line of the rest of the circuit.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    point : OperatingPoint
        Its operating point.
    transistor : str, optional
        Which field-effect transistor; the first by default.
    title : str, optional
        Title of the chart.
    width, height : float
        Size of the chart. [px]

    Returns
    -------
    Scene
        The square law in saturation, the gate-source voltage that the rest of the circuit gives at
        each drain current, and the point where both meet; magnitudes for a p-channel.

    Raises
    ------
    CircuitError
        If there is no field-effect transistor, or the rest of the circuit has no point without it.
    UnknownNameError
        If the circuit has no such transistor.

    Notes
    -----
    The rest of the circuit is solved with a current source in the place of the channel: the
    graphical solution of the textbooks (R. L. Boylestad, L. Nashelsky, Electronic Devices and
    Circuit Theory, 7.3).
    """
    part = _chosen(circuit, transistor)
    q = point.fets[part.name]
    law = square_law(part, point)
    s = -1.0 if part.kind in (Kind.P_JFET, Kind.P_MOSFET) else 1.0
    V, current = s * q.V_GS, s * q.I_D
    first, second = (_gate_voltage(circuit, part, s, share * abs(current)) for share in (0.0, 1.5))
    low = min(law.V_GS_th, V, first, second)
    high = max(V + _ROOM * abs(V - law.V_GS_th), 0.0 if law.V_GS_th < 0.0 else V)
    low -= 0.1 * (high - low)
    curve = transfer_curve(law, low, high, abs(q.V_DS))
    symbols = ("V_GS", "I_D") if s > 0.0 else ("V_SG", "I_D")
    return transfer_chart(
        [v for v, _ in curve],
        [i for _, i in curve],
        bias_line=((first, 0.0), (second, 1.5 * abs(current))),
        point=(V, current),
        symbols=symbols,
        title=title,
        width=width,
        height=height,
    )


def _chosen(circuit: Circuit, transistor: str | None) -> Part:
    names = [p.name for p in circuit.fets]
    if not names:
        raise CircuitError(
            "The circuit has no field-effect transistor, so it has no transfer curve."
        )
    if transistor is None:
        return circuit.fets[0]
    if transistor not in names:
        hint = did_you_mean(transistor, names) or f" It has {', '.join(names)}."
        raise UnknownNameError(f"There is no field-effect transistor '{transistor}'.{hint}")
    return circuit.part(transistor)


def _gate_voltage(circuit: Circuit, part: Part, s: float, current: float) -> float:
    """V_GS, as of an n-channel, that the rest gives while a drain current flows. [V]"""
    drain, gate, source = part.nodes
    ends = (drain, source) if s > 0.0 else (source, drain)
    stand_in = Part(part.name, Kind.CURRENT_SOURCE, ends, Quantity(current, "A"))
    rest = replace(
        circuit, parts=tuple(stand_in if p.name == part.name else p for p in circuit.parts)
    )
    try:
        nodes = operating_point(rest, "exact").nodes
    except SolveError as fault:
        raise CircuitError(
            f"The bias line of {part.name} cannot be drawn: {fault} A bias line needs a circuit "
            "that fixes gate and source without it."
        ) from fault
    return s * (nodes[gate] - nodes[source])
