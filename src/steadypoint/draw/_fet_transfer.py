"""The transfer chart of a field-effect transistor straight from its circuit and point."""

from __future__ import annotations

from steadypoint.circuit import Circuit, Part
from steadypoint.draw._fet_bias_line import fet_bias_chart
from steadypoint.draw._scene import Scene
from steadypoint.errors import CircuitError, UnknownNameError, did_you_mean
from steadypoint.solve import OperatingPoint


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
        The square law at the V_DS of the point, the gate-source voltage that the rest of the
        circuit gives at each drain current with the resistance it falls by, and the point where
        both meet; magnitudes for a p-channel.

    Raises
    ------
    CircuitError
        If there is no field-effect transistor, its channel is closed or turned round, or the rest
        of the circuit is no line.
    UnknownNameError
        If the circuit has no such transistor.

    Notes
    -----
    The line goes from Thévenin's voltage without the transistor through the point, as in the
    graphical solution of the textbooks (R. L. Boylestad, L. Nashelsky, Electronic Devices and
    Circuit Theory, 7.3).
    """
    part = _chosen(circuit, transistor)
    return fet_bias_chart(circuit, point, part.name, title, (width, height))


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
