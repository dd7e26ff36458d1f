"""The load line with output curves and the point."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from steadypoint.circuit import Circuit
from steadypoint.devices import bipolar_data
from steadypoint.draw._axes import Axis, Frame
from steadypoint.draw._end_names import end_names
from steadypoint.draw._fet_curves import boundary, fet_further_curves, fet_own_curve
from steadypoint.draw._load_line_extras import extra_sentences
from steadypoint.draw._load_line_marks import Chart, Painter
from steadypoint.draw._output_curves import further_curves, own_curve
from steadypoint.draw._scene import (
    Box,
    Scene,
)
from steadypoint.draw._stages import (
    chosen_transistor,
    drawn_number,
    is_inverse,
    low_word,
    magnitudes,
    stage_point,
    stage_points,
    state_words,
    symbols,
)
from steadypoint.draw._typography import (
    plain_number,
)
from steadypoint.errors import CircuitError, QuantityError, SolveError
from steadypoint.solve import LoadLineEnds, OperatingPoint, load_line_ends


def load_line(
    circuit: Circuit,
    point: OperatingPoint,
    transistor: str | None = None,
    *,
    before: OperatingPoint | None = None,
    earlier: Sequence[tuple[str, OperatingPoint]] = (),
    signal_resistance: float | None = None,
    limits: bool = True,
    title: str | None = None,
    curves: bool = True,
    width: float = 600.0,
    height: float = 420.0,
    reach: tuple[float, float] | None = None,
) -> Scene:
    """Load line of a transistor with its point.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    point : OperatingPoint
        Its operating point.
    transistor : str, optional
        Which transistor; the first by default.
    before : OperatingPoint, optional
        An earlier point, drawn hollow with an arrow from it.
    earlier : sequence of (str, OperatingPoint), optional
        Points that led here, each with its name (``β 75``), drawn hollow with the way between.
    signal_resistance : float, optional
        Load of the signal between collector and emitter, or drain and source; gives the AC
        load line. [Ω]
    limits : bool, default True
        With the limit of dissipation and V_CEO (V_DS_max) where the sheet or the registered
        type states them and they reach into the chart.
    title : str, optional
        Title of the chart.
    curves : bool, default True
        With output curves at further base currents, or gate-source voltages.
    width, height : float
        Size of the chart. [px]
    reach : tuple of float, optional
        Voltage and current that the axes hold at least, so that several charts share one scale
        (`load_line_reach`). [V, A]

    Returns
    -------
    Scene
        Axes in V and mA; for pnp the magnitudes V_EC and I_C, as lecturers write. Of a
        field-effect transistor I_D against V_DS (p-channel: V_SD), output curves at round V_GS,
        and the boundary V_DS = V_GS - V_GS_th between triode region and saturation, dashed.

    Raises
    ------
    UnknownNameError
        If the circuit has no such transistor.
    CircuitError
        If the circuit has no transistor or the line has no length.
    QuantityError
        If the load of the signal is not above zero.
    NoSolutionError
        If the rest of the circuit forces the current, so that there is no line.
    """
    if not (point.transistors or point.fets):
        raise CircuitError("The circuit has no transistor and therefore no load line.")
    name = chosen_transistor(circuit, transistor)
    if signal_resistance is not None and not 0.0 < signal_resistance < math.inf:
        raise QuantityError(
            f"The load of the signal is a resistance above zero, not {signal_resistance:g} Ω."
        )
    others = tuple(
        (said, magnitudes(stage_point(p, name))) for said, p in earlier if name in stage_points(p)
    )
    chart = _chart(
        circuit, point, name, before, others, curves=curves, size=(width, height), reach=reach
    )
    part = circuit.part(name)
    chart = replace(
        chart,
        earlier=others,
        signal_R=signal_resistance,
        P_tot=part.option("P_tot") if limits else None,
        V_CEO=part.option(chart.V_max_symbol) if limits else None,
    )
    marks, labels, obstacles = Painter(chart).draw()
    box = Box(0.0, 0.0, width, height)
    heading = title or (f"Load line of {name}" + (f", {circuit.title}" if circuit.title else ""))
    return Scene(
        heading, _description(chart), box, tuple(marks), "chart", tuple(labels), tuple(obstacles)
    )


def _ends(circuit: Circuit, name: str, point: OperatingPoint) -> tuple[float, float]:
    ends: LoadLineEnds = load_line_ends(circuit, name, point.model, point=point)
    sign = -1.0 if is_inverse(circuit.part(name).kind) else 1.0
    return sign * ends.V_CE, sign * ends.I_C


def _chart(
    circuit: Circuit,
    point: OperatingPoint,
    name: str,
    before: OperatingPoint | None,
    earlier: tuple[tuple[str, tuple[float, float]], ...] = (),
    *,
    curves: bool,
    size: tuple[float, float],
    reach: tuple[float, float] | None,
) -> Chart:
    part = circuit.part(name)
    ends = _ends(circuit, name, point)
    if ends[0] <= 0:
        raise CircuitError(
            f"Nothing drives a current through {name} the way it conducts: no load line."
        )
    own = stage_point(point, name)
    now = magnitudes(own)
    old = stage_points(before).get(name) if before is not None else None
    was = magnitudes(old) if old is not None else None
    old_ends = _ends(before.circuit, name, before) if before is not None and old else None
    held = [_extent(ends, now), *(p for _, p in earlier)]
    held += [_extent(old_ends, was)] if old_ends and was else []
    held += [reach] if reach else []
    V_max, I_max = 1.04 * max(v for v, _ in held), 1.12 * max(i for _, i in held)
    mark = drawn_number(part, circuit)
    symbol, current = (f"{s}{mark}" for s in symbols(part.kind))
    area = Box(56.0, 44.0, size[0] - 34.0, size[1] - 54.0)
    frame = Frame(Axis(symbol, "V", V_max, 7), Axis(current, "A", I_max, 6), area)
    fet = part.kind.is_fet
    curve, more = (fet_own_curve, fet_further_curves) if fet else (own_curve, further_curves)
    old_curve = None
    if before is not None and old is not None and _changed(circuit, before.circuit, name, now, was):
        old_curve = curve(before.circuit.part(name), before, V_max)
    return Chart(
        frame,
        name,
        symbol,
        ends,
        now,
        own.region,
        0.0 if fet else bipolar_data(part.option).V_CE_sat,
        curve(part, point, V_max),
        more(part, point, V_max, I_max) if curves and was is None else [],
        end_names(circuit, part, ends),
        was,
        old_curve,
        old_ends if old_ends is not None and not _same(old_ends, ends) else None,
        low_word=low_word(part.kind),
        V_max_symbol="V_DS_max" if fet else "V_CEO",
        boundary=boundary(part, point, V_max, I_max) if fet else (),
        words=state_words(own),
    )


def _extent(ends: tuple[float, float], now: tuple[float, float]) -> tuple[float, float]:
    """Voltage and current that a chart of a line and its point holds."""
    if math.isfinite(ends[1]):
        return max(ends[0], now[0]), max(ends[1], now[1])
    return max(ends[0], now[0]), 1.5 * now[1]


def load_line_reach(
    points: Iterable[OperatingPoint], transistor: str | None = None
) -> tuple[float, float] | None:
    """Voltage and current that hold the load lines of several points.

    Parameters
    ----------
    points : iterable of OperatingPoint
        The points, each with its circuit.
    transistor : str, optional
        Whose load line; the first by default.

    Returns
    -------
    tuple of float or None
        For ``load_line(reach=...)``; None where none of them has a load line. [V, A]
    """
    held: list[tuple[float, float]] = []
    for point in points:
        stages = stage_points(point)
        name = transistor or next(iter(stages), "")
        if name not in stages:
            continue
        try:
            ends = _ends(point.circuit, name, point)
        except SolveError:
            continue
        held.append(_extent(ends, magnitudes(stages[name])))
    return (max(v for v, _ in held), max(i for _, i in held)) if held else None


def _changed(
    circuit: Circuit,
    old: Circuit,
    name: str,
    now: tuple[float, float],
    was: tuple[float, float] | None,
) -> bool:
    if was is None:
        return False
    return circuit.part(name) != old.part(name) or not math.isclose(now[1], was[1], rel_tol=1e-3)


def _same(a: tuple[float, float], b: tuple[float, float]) -> bool:
    return all(math.isclose(x, y, rel_tol=1e-3) for x, y in zip(a, b, strict=True))


def _description(chart: Chart) -> str:
    V, I = chart.ends  # noqa: E741  letter symbols
    span = (
        f"from {plain_number(V, 'V')} at no current to {plain_number(I, 'A')} at no voltage"
        if math.isfinite(I)
        else f"at {plain_number(V, 'V')} for any current"
    )
    text = f"Load line of {chart.name} {span}. "
    text += f"The point lies at {plain_number(chart.point[0], 'V')} and "
    text += f"{plain_number(chart.point[1], 'A')}: {chart.words}."
    if chart.before is not None:
        text += f" Before, it lay at {plain_number(chart.before[0], 'V')} and "
        text += f"{plain_number(chart.before[1], 'A')}."
    if chart.boundary:
        text += " The triode region lies left of the dashed parabola, saturation right of it."
    return text + extra_sentences(chart)
