"""``steadypoint parts``: the catalogue of registered types, or one record with its model."""

from __future__ import annotations

import dataclasses
import math
import sys
from pathlib import Path
from typing import Any

from steadypoint.cli._console import Report
from steadypoint.cli._point import print_json
from steadypoint.devices import (
    BipolarModel,
    DeviceModel,
    Figure,
    FitPoint,
    PartRecord,
    fit_points,
    model_of,
    part_record,
    part_types,
    typical_options,
)
from steadypoint.errors import OutputError
from steadypoint.values import format_quantity

_NONE = "–"
_SAID = ("beta", "V_BE", "I_DSS", "V_GS_off", "V_GS_th", "K", "V_A")


def show_parts(*, as_json: bool) -> None:
    """Print all registered types."""
    records = [part_record(name) for name in part_types()]
    if as_json:
        print_json([_brief(record) for record in records])
        return
    report = Report()
    bipolar = [r for r in records if r.is_bipolar]
    heads = ("Type", "Kind", "Use", "V_CEO", "I_C max", "h_FE")
    rows = [(*_names(r), _rating(r, "V_CEO"), _rating(r, "I_C_max"), _gain(r)) for r in bipolar]
    report.table(heads, rows, (3, 4, 5))
    fets = [r for r in records if not r.is_bipolar]
    heads = ("Type", "Kind", "Use", "V_DS", "V_GS off or th", "I_DSS")
    rows = [(*_names(r), _drain_voltage(r), _threshold(r), _zero_gate(r)) for r in fets]
    report.table(heads, rows, (3, 4, 5))
    report.say("A type with its figures, sources and model: steadypoint parts 2N3904")
    report.print()


def show_part(type_name: str, output: Path | None, *, as_json: bool) -> None:
    """Print the record of one type, or draw its curves into a file."""
    record = part_record(type_name)
    if output is not None:
        _write_curves(record, output)
        return
    model, points = model_of(type_name), fit_points(type_name)
    if as_json:
        print_json(_full(record, model, points))
        return
    _report(record, model, points).print()


def _write_curves(record: PartRecord, output: Path) -> None:
    from steadypoint.draw import part_curves
    from steadypoint.publish import scene_pdf, scene_png, scene_svg, write_atomic

    suffix = output.suffix.lower()
    if suffix not in (".svg", ".png", ".pdf"):
        raise OutputError(
            f"'{output}' does not end in .svg, .png or .pdf. Name the chart, such as "
            f"{record.type_name}.svg."
        )
    scene = part_curves(record.type_name)
    if suffix == ".svg":
        data = scene_svg(scene)
    elif suffix == ".png":
        data = scene_png(scene, width=1600, theme="light")
    else:
        data = scene_pdf(scene, title=scene.description)
    write_atomic(output, data)
    sys.stdout.write(f"{output}\n")


def _report(record: PartRecord, model: DeviceModel, points: tuple[FitPoint, ...]) -> Report:
    report = Report()
    material = "" if record.material == "silicon" else f", {record.material}"
    report.title(record.type_name, f"{record.kind}{material}, {record.package}: {record.use}")
    if record.complement:
        report.say(f"Complement: {record.complement}")
    if record.note:
        report.say(record.note, joined=bool(record.complement))
    keys = {s.key: f"[{i}]" for i, s in enumerate(record.sources, 1)}
    rows = [(f.symbol, _given(f.max, f.unit), f.at, _source(f, keys)) for f in record.ratings]
    report.table(("Rating", "Limit", "Condition", "Source"), rows, (1,))
    rows5 = [
        (
            f.symbol,
            f.at,
            *(_given(v, f.unit) for v in (f.min, f.typ, f.max)),
            _source(f, keys),
            _value(p.fitted, f.unit),
            _error(p),
        )
        for f, p in zip(record.figures, points, strict=True)
    ]
    heads = ("Figure", "Condition", "min", "typ", "max", "Source", "Model", "Error")
    report.table(heads, rows5, (2, 3, 4, 6, 7))
    parameters = [(name, _value(v, unit)) for name, v, unit in _parameters(model)]
    report.table(("Model at 25 °C", "Value"), parameters, (1,))
    typical = typical_options(record.type_name)
    if typical:
        words = [f"{n} {_value(typical[n], _UNITS.get(n, '-'))}" for n in _SAID if n in typical]
        report.say(f"On a sheet it stands for {', '.join(words)} where nothing else is stated.")
    for index, source in enumerate(record.sources):
        report.say(f"{keys[source.key]} {source.citation}", joined=index > 0)
    if any(f.source == "from memory" for f in (*record.ratings, *record.figures)):
        report.say("(m) from memory: nobody looked this figure up.", joined=bool(record.sources))
    if record.kind.startswith("p"):
        like = "magnitudes" if record.is_bipolar else "in the signs of an n-channel type"
        report.say(f"All currents and voltages are {like}.", joined=True)
    report.say(
        "Error: the model against the typical value, against the middle of two limits, or against "
        "a minimum of h_FE lifted in proportion; empty where only a limit had to be kept."
    )
    return report


_UNITS = {
    "I_S": "A",
    "V_BE": "V",
    "V_A": "V",
    "V_A_R": "V",
    "I_knee": "A",
    "I_leak": "A",
    "r_b": "Ω",
    "r_e": "Ω",
    "r_c": "Ω",
    "I_CBO": "A",
    "V_GS_th": "V",
    "V_GS_off": "V",
    "I_DSS": "A",
    "K": "A/V²",
    "r_d": "Ω",
    "r_s": "Ω",
    "I_body": "A",
}
_LEFT_OUT = ("polarity", "channel", "gate", "material", "temperature", "V_GS_th_slope")


def _parameters(model: DeviceModel) -> list[tuple[str, float, str]]:
    fields = [f.name for f in dataclasses.fields(model) if f.name not in _LEFT_OUT]
    return [(name, getattr(model, name), _UNITS.get(name, "-")) for name in fields]


def _value(value: float | None, unit: str) -> str:
    if value is None:
        return ""
    if math.isinf(value):
        return "none"
    if unit == "K":
        return f"{value - 273.15:.4g} °C".replace("-", "−")
    if unit == "-":
        return f"{value:.3g}"
    if unit in ("K/W", "A/V²"):
        base = unit.partition("/")
        number = format_quantity(value, base[0]) if base[0] == "A" else f"{value:.4g} K"
        return f"{number}/{base[2]}"
    return format_quantity(value, unit)


def _given(value: float | None, unit: str) -> str:
    """A figure of a sheet with the digits that it has."""
    if value is None or unit in ("K", "-", "K/W", "A/V²"):
        return _value(value, unit)
    return _short(value, unit)


def _error(point: FitPoint) -> str:
    if point.error is None or point.target is None:
        return ""
    if point.symbol in ("V_BE", "V_BE_sat", "V_SD"):
        return _signed(1e3 * (point.fitted - point.target), "mV")
    return _signed(100 * point.error, "%")


def _signed(value: float, unit: str) -> str:
    figures = f"{value:+.0f}" if round(value) else "0"
    return f"{figures} {unit}".replace("-", "−")


def _source(figure: Figure, keys: dict[str, str]) -> str:
    if figure.source not in keys:
        return "(m)"
    return f"{keys[figure.source]} p. {figure.page}"


def _names(record: PartRecord) -> tuple[str, str, str]:
    kind = f"{record.kind}, {record.material}" if record.material != "silicon" else record.kind
    return record.type_name, kind, record.use


def _rating(record: PartRecord, symbol: str) -> str:
    unit = "V" if symbol.startswith("V") else "A"
    value = record.rating(symbol)
    return _NONE if value is None else _short(value, unit)


def _short(value: float, unit: str) -> str:
    fits = (n for n in (1, 2) if math.isclose(value, float(f"{value:.{n}g}"), rel_tol=1e-9))
    digits = next(fits, 3)
    return format_quantity(value, unit, digits)


def _gain(record: PartRecord) -> str:
    """Range of h_FE at the current where the sheet sorts it."""
    figures = record.of("h_FE")
    for figure in figures:
        if figure.min is not None and figure.max is not None:
            return f"{figure.min:g} to {figure.max:g}"
    typical = [f.typ for f in figures if f.typ is not None]
    return f"typ. {typical[0]:g}" if typical else _NONE


def _drain_voltage(record: PartRecord) -> str:
    value = record.rating("V_DS") or record.rating("V_GS")
    return _NONE if value is None else _short(value, "V")


def _threshold(record: PartRecord) -> str:
    for symbol in ("V_GS_th", "V_GS_off", "V_GS_on"):
        for f in record.of(symbol):
            if f.min is not None and f.max is not None:
                return f"{f.min:g} V to {f.max:g} V".replace("-", "−")
            if f.min is not None and f.typ is not None:
                return f"typ. {f.typ:g} V".replace("-", "−")
    return _NONE


def _zero_gate(record: PartRecord) -> str:
    for f in record.of("I_DSS"):
        if f.min is not None and f.max is not None:
            return f"{1e3 * f.min:.3g} mA to {1e3 * f.max:.3g} mA"
    return _NONE


def _brief(record: PartRecord) -> dict[str, Any]:
    return {
        "type": record.type_name,
        "kind": record.kind,
        "material": record.material,
        "use": record.use,
        "package": record.package,
        "aliases": list(record.aliases),
        "complement": record.complement or None,
        "ratings": {f.symbol: f.max for f in record.ratings},
        "h_FE": [_limits(f) for f in record.of("h_FE")],
    }


def _full(record: PartRecord, model: DeviceModel, points: tuple[FitPoint, ...]) -> dict[str, Any]:
    figures = [
        {
            "symbol": f.symbol,
            **_limits(f),
            "unit": f.unit,
            "source": f.source,
            "page": f.page,
            "fitted": p.fitted,
            "target": p.target,
            "rule": p.rule,
            "error": p.error,
        }
        for f, p in zip(record.figures, points, strict=True)
    ]
    kind = "bipolar" if isinstance(model, BipolarModel) else "square law"
    parameters = {n: (v if math.isfinite(v) else None) for n, v, _ in _parameters(model)}
    return {
        **_brief(record),
        "note": record.note or None,
        "figures": figures,
        "model": {"law": kind, "temperature": model.temperature, "parameters": parameters},
        "on_a_sheet": dict(typical_options(record.type_name)),
        "sources": {s.key: s.citation for s in record.sources},
    }


def _limits(figure: Figure) -> dict[str, Any]:
    return {
        "min": figure.min,
        "typ": figure.typ,
        "max": figure.max,
        "at": figure.at,
        "conditions": dict(figure.conditions),
    }
