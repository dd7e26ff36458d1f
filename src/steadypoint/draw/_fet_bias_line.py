"""Transfer curve of a field-effect transistor with the bias line of its circuit."""

from __future__ import annotations

from typing import Final

from steadypoint.circuit import Circuit, Part
from steadypoint.draw._bias_marks import along, mark_point, mark_zero, stretched
from steadypoint.draw._canvas import Canvas, Plot, Values
from steadypoint.draw._describe import region_words
from steadypoint.draw._fet_curves import SquareLaw, square_law
from steadypoint.draw._scale import roomy, symbol_scale
from steadypoint.draw._scene import Box, Scene, Span
from steadypoint.draw._stages import is_inverse
from steadypoint.draw._typography import SMALL, number, plain_number
from steadypoint.errors import CircuitError
from steadypoint.solve import OperatingPoint, Region, thevenin

_SAMPLES: Final = 160
_SHOWN: Final = 3.0  # a line that starts further out, in overdrives of the point, is cut
_NOISE: Final = 1e-9  # what the linear solver leaves of a zero [V]
_ABOVE: Final = 2.0  # height of the chart over the drain current where the channel has no I_DSS


def fet_bias_chart(
    circuit: Circuit,
    point: OperatingPoint,
    name: str,
    title: str | None,
    size: tuple[float, float],
) -> Scene:
    """Drain current against V_GS at the V_DS of the point, with the bias line.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    point : OperatingPoint
        Its operating point.
    name : str
        The transistor.
    title : str or None
        Title of the chart.
    size : tuple of (float, float)
        Width and height. [px]

    Returns
    -------
    Scene
        The chart; a p-channel is shown in magnitudes.

    Raises
    ------
    CircuitError
        If the channel is closed or turned round.
    """
    part, own = circuit.part(name), point.fets[name]
    if own.region in (Region.CUTOFF, Region.REVERSE):
        raise CircuitError(
            f"{name} is {region_words(own.region)}: without drain current there is no bias line."
        )
    sign = -1.0 if is_inverse(part.kind) else 1.0
    V_0, V_GS, V_DS, I_D = (
        sign * v for v in (_open_voltage(circuit, point, part), own.V_GS, own.V_DS, own.I_D)
    )
    law = square_law(part, point)
    V, I = ("V_SG" if sign < 0 else "V_GS"), "I_D"  # noqa: E741  letter symbols
    ends, tops = _reach(law, V_0, V_GS, V_DS, I_D)
    width, height = size
    area = Box(64, 40, width - 30, height - 54)
    plot = Plot(symbol_scale(V, "V", *ends), symbol_scale(I, "A", *tops), area)
    canvas = Canvas(width, height)
    canvas.axes(plot)
    canvas.line(plot, _curve(law, ends, V_DS), "curve")
    line = ((V_0, 0.0), (V_GS, I_D))
    canvas.line(plot, stretched(line, ends, tops), "loadline")
    mark_zero(canvas, plot, ends, tops[1])
    mark_point(canvas, plot, (V_GS, I_D), (V, "V"), (I, "A"))
    room = Box(68, 8, width - 4, height - 60)
    R = (V_0 - V_GS) / I_D
    upright = abs(V_0 - V_GS) < 1e-6 * (ends[1] - ends[0])
    words = (Span("bias line" if upright else "bias line, ", size=SMALL),)
    ohms = () if upright else number(R, "Ω", size=SMALL)
    canvas.name("bias line", along(plot, line, (ends, tops)), [((*words, *ohms), "name")], room)
    if not upright and ends[0] <= V_0 <= ends[1]:
        start = (*number(V_0, "V"), Span(" without drain current", size=SMALL))
        canvas.name("open", [plot.at(V_0, 0.0)], [(start, "name")], room)
    falls = (
        f"stands upright at {plain_number(V_GS, 'V')}, whatever the current"
        if upright
        else f"starts at {plain_number(V_0, 'V')} without drain current and falls as a resistance "
        f"of {plain_number(R, 'Ω')} would let it"
    )
    description = (
        f"Drain current of {name} against {V} at a {'V_SD' if sign < 0 else 'V_DS'} of "
        f"{plain_number(V_DS, 'V')}, {point.model.value} rung. The bias line of the rest of the "
        f"circuit {falls}. It meets the curve at {plain_number(V_GS, 'V')} and "
        f"{plain_number(I_D, 'A')}."
    )
    return canvas.scene(title or f"Bias line of {name}", description)


def _open_voltage(circuit: Circuit, point: OperatingPoint, part: Part) -> float:
    """Gate-source voltage that the rest would give without drain current. [V]"""
    _, gate, source = part.nodes
    if gate == source:
        return 0.0
    V_0 = thevenin(circuit, gate, source, without=[part.name], point=point).V_thev
    return V_0 if abs(V_0) > _NOISE else 0.0


def _reach(
    law: SquareLaw, V_0: float, V_GS: float, V_DS: float, I_D: float
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Ends of both scales: the foot of the curve, the point, and the start of the line if near."""
    over = max(V_GS - law.V_GS_th, 0.1)
    high = V_GS + 0.5 * over
    if law.junction or law.V_GS_th < 0.0:
        high = max(high, 0.0)
    if V_GS < V_0 <= V_GS + _SHOWN * over:
        high = max(high, V_0)
    low = min(law.V_GS_th, 0.0 if law.V_GS_th > 0.0 and V_0 > 0.0 else law.V_GS_th)
    top = _ABOVE * I_D
    if law.V_GS_th < 0.0:
        top = max(top, law.current(0.0, V_DS))
    return roomy(low, high), roomy(0.0, top)


def _curve(law: SquareLaw, ends: tuple[float, float], V_DS: float) -> Values:
    """The law at one V_DS; of a junction only as far as the gate does not conduct."""
    low, high = ends[0], min(ends[1], 0.0) if law.junction else ends[1]
    places = [low + (high - low) * k / _SAMPLES for k in range(_SAMPLES + 1)]
    if low < law.V_GS_th < high:
        places = sorted([*places, law.V_GS_th])
    return [(v, law.current(v, V_DS)) for v in places]
