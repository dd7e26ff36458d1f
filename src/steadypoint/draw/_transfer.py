"""Transfer curves with the bias line that meets them in the point."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from scipy.constants import Boltzmann, elementary_charge

from steadypoint.circuit import Circuit, Kind, Part
from steadypoint.devices import bipolar_data
from steadypoint.draw._bias_marks import along, mark_point, mark_zero, stretched
from steadypoint.draw._canvas import Canvas, Plot, Values
from steadypoint.draw._describe import region_words
from steadypoint.draw._fet_bias_line import fet_bias_chart
from steadypoint.draw._scale import roomy, symbol_scale
from steadypoint.draw._scene import Box, Scene, Span
from steadypoint.draw._stages import chosen_transistor
from steadypoint.draw._typography import SMALL, number, plain_number
from steadypoint.errors import CircuitError, QuantityError
from steadypoint.solve import Model, OperatingPoint, Region, thevenin
from steadypoint.values import Quantity

_SAMPLES: Final = 240
_SHOWN: Final = 3.0  # a bias line that starts further out is cut, else the curve is a wall [V]
_ZOOM: Final = 1.2


def input_chart(
    circuit: Circuit,
    point: OperatingPoint,
    transistor: str | None = None,
    *,
    title: str | None = None,
    width: float = 600.0,
    height: float = 400.0,
) -> Scene:
    """Transfer curve of a transistor with the bias line of the rest of the circuit.

    Base current against V_BE of a bipolar transistor, drain current against V_GS of a
    field-effect transistor.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    point : OperatingPoint
        Its operating point.
    transistor : str, optional
        Which transistor; the first by default.
    title : str, optional
        Title of the chart.
    width, height : float
        Size of the chart. [px]

    Returns
    -------
    Scene
        The curve of the rung, the line of what the rest of the circuit offers between base and
        emitter (gate and source) at each current, and the point where both meet.

    Raises
    ------
    CircuitError
        If there is no transistor, no base or drain current flows, or the rest of the circuit is
        no line.
    UnknownNameError
        If there is no such transistor.

    Notes
    -----
    The rest of the circuit is Thévenin's pair between base and emitter without the transistor,
    while a source of :math:`I_C = I_B \\cdot I_{CQ}/I_{BQ}` stands for its collector:
    :math:`V_{BE} = V_0 - R\\,I_B`. With a resistor at the emitter R holds (β + 1) R_E.
    The gate of a field-effect transistor takes no current: :math:`V_{GS} = V_0 - R\\,I_D`, where
    R is the resistor at the source, or holds the feedback from the drain.
    """
    name = chosen_transistor(circuit, transistor)
    if circuit.part(name).kind.is_fet:
        return fet_bias_chart(circuit, point, name, title, (width, height))
    own = point.transistors[name]
    part = circuit.part(name)
    if own.region not in (Region.ACTIVE, Region.SATURATION) or own.I_B == 0.0:
        raise CircuitError(
            f"{name} is {region_words(own.region)}: without base current there is no bias line."
        )
    sign = -1.0 if part.kind is Kind.PNP else 1.0
    V_0, V_BE, I_B = (sign * v for v in (_open_voltage(circuit, point, part), own.V_BE, own.I_B))
    if V_0 <= V_BE:
        raise CircuitError(f"Nothing drives a base current into {name}: it has no bias line.")
    R = (V_0 - V_BE) / I_B
    end = 1.06 * V_0 if V_0 <= _SHOWN else max(_ZOOM, 1.5 * V_BE)
    top = 1.25 * V_0 / R if V_0 <= _SHOWN else 1.8 * I_B
    V, I = ("V_EB" if sign < 0 else "V_BE"), "I_B"  # noqa: E741  letter symbols
    plot = Plot(
        symbol_scale(V, "V", 0.0, end),
        symbol_scale(I, "A", 0.0, top),
        Box(64, 40, width - 30, height - 54),
    )
    canvas = Canvas(width, height)
    canvas.axes(plot)
    canvas.line(plot, _characteristic(part, point, V_BE, I_B, end, top), "curve")
    canvas.line(plot, [(0.0, V_0 / R), (V_0, 0.0)], "loadline")
    mark_point(canvas, plot, (V_BE, I_B), (V, "V"), (I, "A"))
    room = Box(68, 8, width - 4, height - 60)
    line = (Span("bias line, ", size=SMALL), *number(R, "Ω", size=SMALL))
    across = min(end, V_0)
    spots = [plot.at(across * f, (V_0 - across * f) / R) for f in (0.3, 0.5, 0.75, 0.2, 0.9)]
    canvas.name("bias line", [p for p in spots if p[1] >= 40], [(line, "name")], room)
    if end >= V_0:
        words = (*number(V_0, "V"), Span(" without base current", size=SMALL))
        canvas.name("open", [plot.at(V_0, 0.0)], [(words, "name")], room)
    if top >= V_0 / R:
        canvas.name("short", [plot.at(0.0, V_0 / R)], [(number(V_0 / R, "A"), "name")], room)
    description = (
        f"Base current of {name} against {V}, {point.model.value} rung. The bias line of the rest "
        f"of the circuit starts at {plain_number(V_0, 'V')} without base current and falls as a "
        f"resistance of {plain_number(R, 'Ω')} would let it. It meets the curve at "
        f"{plain_number(V_BE, 'V')} and {plain_number(I_B, 'A')}."
    )
    return canvas.scene(title or f"Bias line of {name}", description)


def transfer_chart(
    voltages: Sequence[float],
    currents: Sequence[float],
    *,
    bias_line: tuple[tuple[float, float], tuple[float, float]],
    point: tuple[float, float],
    symbols: tuple[str, str] = ("V_GS", "I_D"),
    title: str | None = None,
    width: float = 600.0,
    height: float = 400.0,
) -> Scene:
    """A given transfer curve with a given bias line, such as that of a field-effect transistor.

    Parameters
    ----------
    voltages, currents : sequence of float
        The curve. [V], [A]
    bias_line : tuple of (float, float)
        Two places on the bias line. [V], [A]
    point : tuple of (float, float)
        Where both meet. [V], [A]
    symbols : tuple of str
        Letter symbols of voltage and current.
    title : str, optional
        Title of the chart.
    width, height : float
        Size of the chart. [px]

    Returns
    -------
    Scene
        The chart.

    Raises
    ------
    QuantityError
        If the curve has fewer than two places, or the lengths differ.
    """
    if len(voltages) != len(currents) or len(voltages) < 2:
        raise QuantityError(
            f"A transfer curve needs as many currents as voltages, two at least; these are "
            f"{len(currents)} and {len(voltages)}."
        )
    V, I = symbols  # noqa: E741  letter symbols
    ends = roomy(min(*voltages, point[0]), max(*voltages, point[0]))
    tops = roomy(0.0, max(*currents, point[1]))
    plot = Plot(
        symbol_scale(V, "V", *ends),
        symbol_scale(I, "A", *tops),
        Box(64, 40, width - 30, height - 54),
    )
    canvas = Canvas(width, height)
    canvas.axes(plot)
    canvas.line(plot, list(zip(voltages, currents, strict=True)), "curve")
    canvas.line(plot, stretched(bias_line, ends, tops), "loadline")
    mark_zero(canvas, plot, ends, tops[1])
    mark_point(canvas, plot, point, (V, "V"), (I, "A"))
    room = Box(68, 8, width - 4, height - 60)
    line = (Span("bias line", size=SMALL),)
    places = along(plot, bias_line, (ends, tops))
    canvas.name("bias line", places, [(line, "name")], room)
    description = (
        f"{I} against {V}. The bias line meets the curve at {plain_number(point[0], 'V')} and "
        f"{plain_number(point[1], 'A')}."
    )
    return canvas.scene(title or f"{I} against {V} with its bias line", description)


def _open_voltage(circuit: Circuit, point: OperatingPoint, part: Part) -> float:
    """Base-emitter voltage that the rest would give without base and collector current. [V]"""
    collector, base, emitter = part.nodes
    own = point.transistors[part.name]
    without = thevenin(circuit, base, emitter, without=[part.name], point=point)
    if own.I_C == 0.0 or collector == emitter:
        return without.V_thev
    name = "collector current"  # no sheet can call a part so
    source = Part(name, Kind.CURRENT_SOURCE, (collector, emitter), Quantity(own.I_C, "A"))
    driven = Circuit((*circuit.parts, source), circuit.title, circuit.temperature)
    with_I_C = thevenin(driven, base, emitter, without=[part.name], point=point)
    # At the point itself R_thev · I_B is what the base current takes of the voltage with I_C; what
    # I_C takes grows with I_B as well, so both belong to the line.
    return without.V_thev + (own.V_BE + with_I_C.R_thev * own.I_B - with_I_C.V_thev)


def _characteristic(
    part: Part, point: OperatingPoint, V_BE: float, I_B: float, end: float, top: float
) -> Values:
    if point.model is not Model.DEVICE:
        return [(0.0, 0.0), (V_BE, 0.0), (V_BE, top)]
    # Through the point, with the slope of its emission coefficient: what the collector does to the
    # base current is that of the point throughout.
    V_T = bipolar_data(part.option).n * Boltzmann * point.temperature / elementary_charge
    out = []
    for k in range(_SAMPLES + 1):
        V = end * k / _SAMPLES
        current = I_B * math.exp(min((V - V_BE) / V_T, 50.0))
        out.append((V, current))
        if current > 1.5 * top:
            break
    return out
