"""Results of ``steadypoint drift`` as tables and sentences."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from steadypoint.circuit import Circuit
from steadypoint.cli._console import Report
from steadypoint.cli._point import REGION_WORDS, celsius
from steadypoint.derive import to_text
from steadypoint.spread import (
    BeforeAfter,
    MonteCarlo,
    Reading,
    Stability,
    TemperatureRange,
    Uncertainty,
    VarianceShare,
    WarmShift,
    WorstCase,
    in_percent,
    reading,
)
from steadypoint.values import format_quantity

if TYPE_CHECKING:
    from steadypoint.cli._drift import Results

_ROWS = 9
_FACTORS = {"S_ICO": "", "S_VBE": "S", "S_beta": "A", "S_VGSth": "S", "S_K": "V²"}
_OF_VOLTAGE = {"S_ICO": "Ω", "S_VBE": "", "S_beta": "V", "S_VGSth": "", "S_K": "V³/A"}
_COMPOUND = ("V²", "V³/A")
_HEADS = {"S_ICO": "S(I_CO)", "S_VBE": "S(V_BE)", "S_beta": "S(β)"}


def drift_report(results: Results) -> Report:
    """Everything that was found, in the order of the options."""
    report = Report()
    report.title(results.circuit.title or "Drift of the operating point")
    if results.stability:
        _add_stability(report, results.stability)
    elif not (results.changes or results.temperature or results.worst or results.spread):
        report.say("There is nothing to tell.")
    if results.warming is not None:
        _add_warming(report, results.warming)
    for change in results.changes:
        _add_change(report, change)
    if results.temperature is not None:
        _add_temperature(report, results.temperature)
        sentences = [r.sentence for r in results.runaway]
        sentences += [results.runaway_fault] if results.runaway_fault else []
        for index, sentence in enumerate(sentences):
            report.say(sentence, joined=index > 0)
    if results.worst is not None:
        _add_worst(report, results.worst)
    if results.spread is not None:
        _add_spread(report, results.spread)
        _add_yields(report, results.spread)
    if results.quoted:
        _add_quoted(report, results.circuit, results.quoted)
    if results.shares and results.spread is not None:
        _add_shares(report, results.spread, results.shares)
    return report


def _name(quantity: Reading) -> str:
    return quantity.name if quantity.of_node else f"{quantity.owner} {quantity.symbol}"


def _figure(value: float, unit: str) -> str:
    floor = {"A": 1e-15, "V": 1e-9}.get(unit, 0.0)
    value = 0.0 if abs(value) < floor else value
    if unit in _COMPOUND:
        return f"{value:.3g} {unit}".replace("-", "−")
    return format_quantity(value, unit)


def _add_stability(report: Report, found: tuple[Stability, ...]) -> None:
    current = all(s.quantity.unit == "A" for s in found)
    units = _FACTORS if current else _OF_VOLTAGE
    bipolar = [s for s in found if s.return_ratio is not None]
    rows = [
        (
            s.transistor,
            REGION_WORDS[s.region],
            f"{_name(s.quantity)} = {_figure(s.value, s.quantity.unit)}",
            *(_figure(s.factors[k], units[k]) for k in _HEADS),
            f"{s.return_ratio:.3g}",
        )
        for s in bipolar
    ]
    heads = ("Transistor", "Region", "Moves", *_HEADS.values(), "Return ratio")
    report.table(heads, rows, numeric=range(3, len(heads)))
    fets = [s for s in found if s.return_ratio is None]
    rows = [
        (
            s.transistor,
            f"{_name(s.quantity)} = {_figure(s.value, s.quantity.unit)}",
            *(_figure(s.factors[k], units[k]) for k in ("S_VGSth", "S_K")),
        )
        for s in fets
    ]
    report.table(("Transistor", "Moves", "by V_GS_th", "by K"), rows, numeric=(2, 3))
    for index, one in enumerate(s for s in found if s.sentence):
        report.say(one.sentence, joined=index > 0)
    if len(found) == 1 and found[0].forms is not None:
        forms = found[0].forms
        lines = {"S(I_CO)": forms.S_ICO, "S(V_BE)": forms.S_VBE, "S(β)": forms.S_beta}
        rows = [(name, to_text(line.right)) for name, line in lines.items()]
        if forms.S_beta_finite is not None:
            rows.append(("ΔI_C/Δβ", to_text(forms.S_beta_finite.right)))
        report.table(("Factor", "In letters"), rows)


def _add_warming(report: Report, found: WarmShift) -> None:
    unit = found.quantity.unit
    rows = []
    for cause in found.causes:
        relative = cause.moved / found.before if found.before else 0.0
        share = in_percent(100.0 * relative) if abs(relative) > 1e-9 else "0 %"
        values = [_figure(v, cause.unit) for v in (cause.before, cause.after)]
        moved = [_figure(v, unit) for v in (cause.linear, cause.moved)]
        rows.append((cause.symbol, *values, *moved, share))
    ends = [celsius(T) for T in (found.start, found.end)]
    heads = ("Cause", f"at {ends[0]}", f"at {ends[1]}", "by the factor", "really", "of the value")
    report.table(heads, rows, numeric=range(1, len(heads)))
    report.say(found.sentence)


def _add_change(report: Report, found: BeforeAfter) -> None:
    report.say(f"Changed: {found.words} ({found.before.model} model)", "bold")
    rows = []
    for m in found.moved:
        figures = [_figure(v, m.quantity.unit) for v in (m.before, m.after, m.difference)]
        percent = "" if m.percent is None else in_percent(m.percent)
        rows.append((_name(m.quantity), *figures, percent))
    heads = ("Quantity", "Before", "After", "Difference", "of the value before")
    report.table(heads, rows, numeric=range(1, len(heads)))
    report.say(" ".join(found.regions))


def _add_temperature(report: Report, found: TemperatureRange) -> None:
    count = len(found.temperatures)
    chosen = np.unique(np.linspace(0, count - 1, min(count, _ROWS)).round().astype(int))
    rows = []
    for k in chosen.tolist():
        row = [celsius(float(found.temperatures[k]))]
        for name, values in found.values.items():
            value = float(values[k])
            unit = found.quantities[name].unit
            row.append(_figure(value, unit) if math.isfinite(value) else "none")
        rows.append(tuple(row))
    first = "Air" if found.self_heating else "Junction"
    heads = (first, *(_name(q) for q in found.quantities.values()))
    report.table(heads, rows, numeric=range(len(heads)))
    for index, sentence in enumerate(found.sentences):
        report.say(sentence, joined=index > 0)


def _add_worst(report: Report, found: WorstCase) -> None:
    rows = []
    for e in found.extremes.values():
        figures = [_figure(v, e.quantity.unit) for v in (e.nominal, e.low, e.high)]
        rows.append((_name(e.quantity), *figures))
    report.table(("Quantity", "As stated", "Least", "Most"), rows, numeric=(1, 2, 3))
    rows = [(_name(e.quantity), e.words_low, e.words_high) for e in found.extremes.values()]
    report.table(("Quantity", "Least with", "Most with"), rows)
    for sentence in found.sentences[len(found.extremes) :]:
        report.say(sentence)
    if found.proved:
        report.say("Proved: no values within the limits pass these.")
    else:
        report.say("These are the worst of the points tried; that none is worse is not proved.")


def _add_spread(report: Report, found: MonteCarlo) -> None:
    rows = []
    for name, q in found.quantities.items():
        shown = reading(found.circuit, name)
        low, high = sorted(shown.sign * v for v in (q.low, q.high))
        values = (shown.sign * q.median, low, high, q.deviation)
        rows.append((_name(shown), *(_figure(v, q.column.unit) for v in values)))
    heads = (f"{found.n:,} copies", "Median", "2.5 % below", "97.5 % below", "Deviation")
    report.table(heads, rows, numeric=range(1, len(heads)))
    for name, shares in found.regions.items():
        parts = [f"{100.0 * share:.3g} % {region}" for region, share in shares.items() if share]
        report.say(f"{name}: {', '.join(parts)}.")
    if found.without_point:
        report.say(f"{found.without_point:,} copies have no operating point.", "bold")


def _add_yields(report: Report, found: MonteCarlo) -> None:
    for y in found.yields:
        shown = reading(found.circuit, y.quantity)
        low, high = (
            _figure(v, shown.unit) for v in sorted((shown.sign * y.low, shown.sign * y.high))
        )
        ends = " to ".join(f"{100.0 * share:.2f} %" for share in y.interval)
        report.say(
            f"{_name(shown)} lies between {low} and {high} in {100.0 * y.share:.2f} % of the "
            f"copies ({ends} with {100.0 * y.level:g} % confidence)."
        )


def _add_shares(report: Report, found: MonteCarlo, shares: Sequence[VarianceShare]) -> None:
    """What to tighten first."""
    shown = reading(found.circuit, next(iter(found.quantities)))
    rows = [(s.cause.replace("beta", "β"), f"{100.0 * max(0.0, s.first):.1f} %") for s in shares]
    report.table(("Cause", f"of the variance of {_name(shown)}"), rows, numeric=(1,))
    if len(rows) > 1:
        report.say(f"What to tighten first: {rows[0][0]}.")


def _add_quoted(report: Report, circuit: Circuit, quoted: Sequence[Uncertainty]) -> None:
    for index, one in enumerate(quoted):
        shown = reading(circuit, one.quantity)
        value = format_quantity(shown.sign * one.value, one.unit)
        room = format_quantity(one.expanded, one.unit, 2)
        report.say(f"{_name(shown)} = {value} ± {room} (k = {one.k:g})", joined=index > 0)
