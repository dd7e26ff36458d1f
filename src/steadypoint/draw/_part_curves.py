"""Curves of a registered type with the figures of its data sheet on them."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final, TypeVar

from steadypoint.devices import (
    BipolarModel,
    FetModel,
    Figure,
    PartRecord,
    bias_at,
    drain_current,
    gate_voltage,
    model_of,
    part_record,
    transconductance,
)
from steadypoint.draw._metrics import width
from steadypoint.draw._part_panel import NamedCurve, Panel, SheetFigure, Span1
from steadypoint.draw._scene import Box, Circle, Mark, Path, Point, Scene, Span, Text
from steadypoint.draw._typography import SMALL, plain_number, quantity_symbol
from steadypoint.errors import DeviceError

_SIZE: Final = (680.0, 712.0)
_UPPER: Final = Box(64.0, 58.0, 600.0, 292.0)
_LOWER: Final = Box(64.0, 388.0, 600.0, 622.0)
_SAMPLES: Final = 61
_WIDEST: Final = 2.5  # times V_GS_off, shown at most
_FAR: Final = 1.8  # times the largest gain at 25 °C
_TEMPERATURES: Final = {"silicon": (-25.0, 25.0, 100.0), "germanium": (0.0, 25.0, 60.0)}

Model = TypeVar("Model", BipolarModel, FetModel)


def part_curves(type_name: str) -> Scene:
    """Chart of a registered type at three junction temperatures.

    Parameters
    ----------
    type_name : str
        Registered type or alias.

    Returns
    -------
    Scene
        For a bipolar type h_FE and V_BE against I_C, for a field-effect type I_D against V_GS and
        the transconductance against I_D; with the figures of the data sheet.

    Raises
    ------
    UnknownNameError
        If the catalogue does not hold the type.
    """
    record, model = part_record(type_name), model_of(type_name)
    if isinstance(model, BipolarModel):
        marks, kinds = _bipolar(record, model)
    else:
        marks, kinds = _fet(record, model)
    marks += _legend()
    title = f"{record.type_name}: {kinds}"
    return Scene(title, _description(record, kinds), Box(0.0, 0.0, *_SIZE), tuple(marks), "chart")


def _description(record: PartRecord, kinds: str) -> str:
    celsius = ", ".join(_celsius(t) for t in _TEMPERATURES[record.material])
    return (
        f"Curves of the {record.kind} type {record.type_name}: {kinds}, at junction temperatures "
        f"of {celsius}. Discs are typical values of the data sheet, bars its limits."
    )


def _celsius(value: float) -> str:
    return f"{value:g}\u202f°C".replace("-", "−")


def _curves(
    record: PartRecord, model: Model, xs: Sequence[float], law: Callable[[Model, float], Point]
) -> list[NamedCurve]:
    out = []
    for celsius in _TEMPERATURES[record.material]:
        there = model.at(celsius + 273.15)
        points: list[Point] = []
        for x in xs:
            try:
                points.append(law(there, x))
            except DeviceError:
                continue  # beyond what this transistor can carry
        role = "curve" if celsius == 25.0 else "curve-faint"
        out.append(NamedCurve(points, _celsius(celsius), role))
    return out


def _plausible(curves: list[NamedCurve]) -> list[NamedCurve]:
    """Gain curves without the points where leakage stands in for the base current."""
    usual = max(p[1] for c in curves if c.role == "curve" for p in c.points)
    kept = [[p for p in c.points if 0.0 < p[1] < _FAR * usual] for c in curves]
    return [replace(c, points=points) for c, points in zip(curves, kept, strict=True)]


def _decades(low: float, high: float) -> list[float]:
    share = [k / (_SAMPLES - 1) for k in range(_SAMPLES)]
    return [low * (high / low) ** s for s in share]


def _bipolar(record: PartRecord, model: BipolarModel) -> tuple[list[Mark], str]:
    gains = record.of("h_FE")
    currents = [f.given("I_C") or 1e-3 for f in (*gains, *record.of("V_BE"))]
    top = record.rating("I_C_max") or 0.1
    low = 10.0 ** math.floor(math.log10(max(min(currents) / 3.0, 1e-6)))
    V_CE = gains[0].given("V_CE") or 5.0
    high = max(top, *currents)
    xs = _decades(low, high)
    # Without the collector-base leakage, which lets the base current of a hot transistor vanish.
    tight = replace(model, I_CBO=0.0)
    beta = _curves(record, tight, xs, lambda m, I_C: (I_C, bias_at(m, I_C, V_CE).h_FE))
    beta = _plausible(beta)
    drop = _curves(record, model, xs, lambda m, I_C: (I_C, bias_at(m, I_C, V_CE).V_BE))
    highest = max(p[1] for c in beta for p in c.points)
    highest = max(highest, *(f.max or f.typ or 0.0 for f in gains))
    x = Span1("I_C", "A", low, 1.02 * high, logarithmic=True)
    upper = Panel(x, Span1("h_FE", "", 0.0, 1.08 * highest), _UPPER)
    voltages = [p[1] for c in drop for p in c.points]
    floor = 0.1 * math.floor(10.0 * max(min(voltages), 0.0))
    lower = Panel(x, Span1("V_BE", "V", floor, 1.04 * max(voltages)), _LOWER)
    marks = [*upper.axes(), *upper.curves(beta), *upper.figures(_against(gains, "I_C"))]
    marks += [*lower.axes(), *lower.curves(drop)]
    marks += lower.figures(_against(record.of("V_BE"), "I_C"))
    marks += _headings(record, "V_CE", V_CE)
    return marks, "h_FE and V_BE against I_C"


def _fet(record: PartRecord, model: FetModel) -> tuple[list[Mark], str]:
    transfer = [*record.of("I_DSS"), *record.of("y_fs")]
    V_DS = next((v for f in transfer if (v := f.given("V_DS"))), 10.0)
    off = model.V_GS_th
    if model.is_depletion:
        start, end = 1.25 * off, 0.0
        top = drain_current(model, 0.0, V_DS)
    else:
        top = 1.25 * max(f.given("I_D") or 0.0 for f in transfer)
        start, end = 0.5 * off, 1.1 * gate_voltage(model, top, V_DS)
    for figure in (*record.of("V_GS_off"), *record.of("V_GS_th"), *record.of("V_GS_on")):
        start = min(start, *(v for v in (figure.min, figure.typ) if v is not None), start)
    if model.is_depletion:
        start = max(start, _WIDEST * off)  # limits of a whole family would flatten the curve
    grid = [start + (end - start) * k / (_SAMPLES - 1) for k in range(_SAMPLES)]
    drain = _curves(record, model, grid, lambda m, v: (v, drain_current(m, v, V_DS)))
    I_DSS = record.of("I_DSS")
    highest = max([top, *(p[1] for c in drain for p in c.points)])
    highest = min(max([highest, *(f.max or 0.0 for f in I_DSS)]), 3.0 * top)
    x = Span1("V_GS", "V", start, end)
    upper = Panel(x, Span1("I_D", "A", 0.0, 1.05 * highest), _UPPER)
    marks = [*upper.axes(), *upper.curves(drain)]
    marks += upper.figures([_fixed(f, 0.0, vertical=True) for f in I_DSS])
    gates = (*record.of("V_GS_off"), *record.of("V_GS_th"), *record.of("V_GS_on"))
    marks += upper.figures([_fixed(f, f.given("I_D") or 0.0, vertical=False) for f in gates])
    slopes = record.of("y_fs")
    at = [(f, _slope_current(model, f, V_DS)) for f in slopes]
    low, high = top / 300.0, max([top, *(current for _, current in at)])

    def slope(there: FetModel, share: float) -> Point:
        V_GS = there.V_GS_th + share * (end - there.V_GS_th)
        return drain_current(there, V_GS, V_DS), transconductance(there, V_GS, V_DS)[0]

    curves = _curves(record, model, _decades(0.03, 1.0), slope)
    curves = [replace(c, points=[p for p in c.points if low <= p[0] <= 1.2 * high]) for c in curves]
    span = Span1("I_D", "A", low, 1.2 * high, logarithmic=True)
    most = max([p[1] for c in curves for p in c.points] + [f.typ or f.min or 0.0 for f in slopes])
    lower = Panel(span, Span1("g_m", "S", 0.0, 1.1 * most), _LOWER)
    marks += [*lower.axes(), *lower.curves(curves)]
    marks += lower.figures([_fixed(f, current, vertical=True) for f, current in at])
    marks += _headings(record, "V_DS", V_DS)
    return marks, "I_D against V_GS, and transconductance against I_D"


def _slope_current(model: FetModel, figure: Figure, V_DS: float) -> float:
    given = figure.given("I_D")
    if given is not None:
        return given
    return drain_current(model, figure.given("V_GS") or 0.0, figure.given("V_DS") or V_DS)


def _against(figures: Sequence[Figure], symbol: str) -> list[SheetFigure]:
    return [_fixed(f, f.given(symbol) or 0.0, vertical=True) for f in figures]


def _fixed(figure: Figure, condition: float, *, vertical: bool) -> SheetFigure:
    values = (figure.min, figure.typ, figure.max)
    same = (condition, condition, condition)
    parts = zip(("minimum", "typical", "maximum"), values, strict=True)
    unit = "" if figure.unit == "-" else figure.unit
    words = ", ".join(f"{w} {plain_number(v, unit, 3)}" for w, v in parts if v is not None)
    label = f"{figure.symbol} at {figure.at}: {words}"
    return SheetFigure(same, values, label) if vertical else SheetFigure(values, same, label)


def _headings(record: PartRecord, symbol: str, voltage: float) -> list[Mark]:
    head = (Span(record.type_name, size=16.0, weight="strong"),)
    note = (
        Span(f"{record.kind}, fitted model at ", size=SMALL),
        *quantity_symbol(symbol, SMALL / 14.0),
        Span(f" = {plain_number(voltage, 'V', 2, trim=True)}", size=SMALL),
    )
    return [
        Text(_UPPER.x0 - 32, 20.0, head),
        Text(_UPPER.x0 - 32 + width(head) + 10, 20.0, note, "start", "minor"),
    ]


def _legend() -> list[Mark]:
    y, x = _SIZE[1] - 20.0, _UPPER.x0
    first = (Span("typical value of the data sheet", size=SMALL),)
    second = (Span("its limits", size=SMALL),)
    third = (Span("a lone limit, its stem towards what is allowed", size=SMALL),)
    x2 = x + 14 + width(first) + 30
    x3 = x2 + 14 + width(second) + 30
    marks: list[Mark] = [Circle(x, y - 4.5, 5.5, "disc"), Text(x + 14, y, first, "start", "minor")]
    marks += [_bar(x2, y, lone=False), Text(x2 + 14, y, second, "start", "minor")]
    marks += [_bar(x3, y, lone=True), Text(x3 + 14, y, third, "start", "minor")]
    return marks


def _bar(x: float, y: float, *, lone: bool) -> Path:
    low, high = y + 2.0, y - 12.0
    caps = (low,) if lone else (low, high)
    lines = [("M", x, low), ("L", x, high)]
    for cap in caps:
        lines += [("M", x - 5.0, cap), ("L", x + 5.0, cap)]
    return Path(tuple(lines), "state-line")
