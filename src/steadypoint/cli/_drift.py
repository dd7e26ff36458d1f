"""``steadypoint drift``: what was asked for becomes results, tables, JSON or a picture."""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

import numpy as np

from steadypoint.circuit import Circuit
from steadypoint.cli._drift_json import drift_json
from steadypoint.cli._drift_report import drift_report
from steadypoint.cli._input import read_circuit
from steadypoint.cli._point import celsius, print_json
from steadypoint.draw import (
    Influence,
    Scene,
    drift_chart,
    influence_chart,
    load_line,
    spread_chart,
)
from steadypoint.errors import OutputError, QuantityError, SolveError, SteadypointError
from steadypoint.publish import scene_pdf, scene_png, scene_svg, write_atomic
from steadypoint.solve import operating_point
from steadypoint.spread import (
    BeforeAfter,
    MonteCarlo,
    Runaway,
    Stability,
    TemperatureRange,
    Uncertainty,
    VarianceShare,
    Variation,
    WarmShift,
    WorstCase,
    before_and_after,
    column,
    each_alone,
    end_words,
    monte_carlo,
    read_variation,
    reading,
    runaway,
    stability,
    temperature_range,
    tolerances,
    uncertainty,
    variance_shares,
    warm_shift,
    worst_case,
)
from steadypoint.values import read_quantity, read_tolerance

_QUIET: Final = 2.0
_POINTS: Final = 41
_DESIGN: Final = 1024
_BARE: Final = frozenset("0123456789.-−+ ")


@dataclass(frozen=True, slots=True)
class Asked:
    """What was typed; see the command's help."""

    changes: tuple[str, ...] = ()
    temperature: str | None = None
    self_heating: bool = False
    tolerance: bool = False
    vary: tuple[str, ...] = ()
    resistors: str | None = None
    spread: int | None = None
    seed: int = 0
    quantities: tuple[str, ...] = ()
    windows: tuple[str, ...] = ()
    output: Path | None = None


@dataclass(slots=True)
class Results:
    """What was found; what was not asked for is empty."""

    circuit: Circuit
    stability: tuple[Stability, ...] = ()
    warming: WarmShift | None = None
    changes: list[BeforeAfter] = field(default_factory=list)
    temperature: TemperatureRange | None = None
    runaway: tuple[Runaway, ...] = ()
    runaway_fault: str = ""
    worst: WorstCase | None = None
    spread: MonteCarlo | None = None
    shares: tuple[VarianceShare, ...] = ()
    quoted: tuple[Uncertainty, ...] = ()


class _Progress:
    """A line on standard error, from two seconds on, where that is a terminal."""

    def __init__(self, what: str) -> None:
        self.what = what
        self.start = self.said = time.monotonic()

    def __call__(self, done: int, total: int | None) -> None:
        now = time.monotonic()
        if now - self.start < _QUIET or now - self.said < 1.0 or not sys.stderr.isatty():
            return
        self.said = now
        sys.stderr.write(f"{done:,} of {total or 0:,} {self.what}\n")


def show_drift(sheet: str, settings: Sequence[str], asked: Asked, *, as_json: bool) -> None:
    """Work out what was asked for, then print it or draw it."""
    circuit = read_circuit(sheet, settings)
    _check(asked, as_json=as_json)
    results = _results(circuit, asked, as_json=as_json)
    if asked.output is not None:
        scene = _scene(results, asked)
        write_atomic(asked.output, _bytes(scene, asked.output))
        sys.stdout.write(f"{asked.output}\n")
    elif as_json:
        print_json(drift_json(results))
    else:
        drift_report(results).print()


def _check(asked: Asked, *, as_json: bool) -> None:
    limits = asked.vary or asked.resistors
    if limits and not (asked.tolerance or asked.spread):
        raise QuantityError(
            "Limits are for the worst case or for copies. Add --tolerance or --spread 100000."
        )
    if asked.windows and not asked.spread:
        raise QuantityError("A window is for copies. Add --spread 100000.")
    if asked.self_heating and not (asked.temperature or asked.changes):
        raise QuantityError("--self-heating needs --temperature or --change.")
    if asked.output is None:
        return
    if as_json:
        raise OutputError("A picture holds no JSON: leave out --json or -o.")
    figures = [bool(asked.changes), bool(asked.temperature), bool(asked.spread), asked.tolerance]
    if sum(figures) > 1 or len(asked.changes) > 1:
        raise OutputError(
            "A file holds one figure. Ask for one --change, or --temperature, --tolerance or "
            "--spread."
        )
    if asked.output.suffix.lower() not in (".svg", ".png", ".pdf"):
        raise OutputError(
            f"'{asked.output.name}' does not say what to draw. End it in .svg, .png or .pdf."
        )


def _stability_of(circuit: Circuit, asked: Asked, *, needed: bool) -> tuple[Stability, ...]:
    """Stability factors; where only JSON would add them, none for a quantity that has none."""
    try:
        return stability(circuit, next(iter(asked.quantities), None))
    except SteadypointError:
        if needed:
            raise
        return ()


def _results(circuit: Circuit, asked: Asked, *, as_json: bool) -> Results:
    found = Results(circuit)
    special = asked.changes or asked.temperature or asked.tolerance or asked.spread
    if not special or as_json:
        found.stability = _stability_of(circuit, asked, needed=not special)
    if not special and circuit.transistors:
        found.warming = warm_shift(circuit, next(iter(asked.quantities), "I_C"))
    for text in asked.changes:
        try:
            result = before_and_after(
                circuit, text, quantities=asked.quantities, self_heating=asked.self_heating
            )
        except SteadypointError as fault:
            raise SteadypointError(f"--change {text}: {fault}") from fault
        found.changes.append(result)
    if asked.temperature:
        _over_temperature(found, asked)
    if asked.tolerance or asked.spread:
        limits = _limits(circuit, asked)
        if asked.tolerance:
            found.worst = worst_case(circuit, limits, asked.quantities)
        if asked.spread:
            _draw_copies(found, limits, asked)
    return found


def _draw_copies(found: Results, limits: tuple[Variation, ...], asked: Asked) -> None:
    """Copies, their shares within windows, what to tighten first, and the quoted ±."""
    circuit = found.circuit
    found.spread = monte_carlo(
        circuit,
        limits,
        asked.spread or 0,
        seed=asked.seed,
        quantities=asked.quantities,
        windows=_windows(circuit, asked.windows),
        progress=_Progress("copies"),
    )
    names = list(found.spread.quantities)
    try:
        found.shares = variance_shares(circuit, limits, names[0], n=_DESIGN, seed=asked.seed)
        found.quoted = tuple(uncertainty(circuit, limits, name) for name in names)
    except SolveError:
        return  # some copies have no point: the table of the copies says how many


def _windows(circuit: Circuit, texts: Sequence[str]) -> dict[str, tuple[float, float]]:
    """``Q1.V_CE 3V..6V`` as quantity and limits; those of a pnp are typed as magnitudes."""
    found: dict[str, tuple[float, float]] = {}
    for text in texts:
        name, _, limits = text.strip().partition(" ")
        low, dots, high = limits.partition("..")
        if not (dots and low.strip() and high.strip()):
            raise QuantityError(f"--window {text}: this is no window. Write 'Q1.V_CE 3V..6V'.")
        try:
            shown = reading(circuit, column(circuit, name).name)
            ends = [shown.sign * read_quantity(text, shown.unit).value for text in (low, high)]
            found[name] = (ends[0], ends[1]) if shown.sign > 0 else (ends[1], ends[0])
        except SteadypointError as fault:
            raise SteadypointError(f"--window {text}: {fault}") from fault
    return found


def _over_temperature(found: Results, asked: Asked) -> None:
    low, high = _range(asked.temperature or "")
    found.temperature = temperature_range(
        found.circuit,
        low,
        high,
        points=_POINTS,
        quantities=asked.quantities,
        self_heating=asked.self_heating,
        progress=_Progress("temperatures"),
    )
    try:
        found.runaway = runaway(found.circuit, self_heating=asked.self_heating)
    except SolveError as fault:
        found.runaway_fault = str(fault)


def _range(text: str) -> tuple[float, float]:
    first, dots, second = text.partition("..")
    if not (dots and first.strip() and second.strip()):
        raise QuantityError(f"--temperature {text}: this is no range. Write -20..70, in °C.")
    ends = []
    for figure in (first, second):
        bare = set(figure) <= _BARE
        try:
            ends.append(read_quantity(f"{figure.strip()} °C" if bare else figure, "K").value)
        except SteadypointError as fault:
            raise SteadypointError(f"--temperature {text}: {fault}") from fault
    return ends[0], ends[1]


def _limits(circuit: Circuit, asked: Asked) -> tuple[Variation, ...]:
    """Typed limits, then those of the sheet for what was not typed."""
    share = None
    if asked.resistors:
        try:
            share = read_tolerance(asked.resistors)
        except SteadypointError as fault:
            raise SteadypointError(f"--resistors {asked.resistors}: {fault}") from fault
    typed = []
    for text in asked.vary:
        try:
            typed.append(read_variation(circuit, text))
        except SteadypointError as fault:
            raise SteadypointError(f"--vary {text}: {fault}") from fault
    names = {v.setting for v in typed}
    stated = [v for v in tolerances(circuit, resistors=share) if v.setting not in names]
    if not typed and not stated:
        raise QuantityError(
            "The sheet states no tolerance. Add --resistors 5%, or limits such as "
            "--vary 'beta 100..400'."
        )
    return (*stated, *typed)


def _scene(results: Results, asked: Asked) -> Scene:
    if results.changes:
        change = results.changes[0]
        return load_line(change.after.circuit, change.after, before=change.before)
    if results.temperature is not None:
        low, high = _range(asked.temperature or "")
        if asked.self_heating:
            raise OutputError("The curve over temperature is drawn without --self-heating.")
        return drift_chart(results.circuit, "temperature", low, high)
    if results.worst is not None:
        return _influences_of_limits(results.worst)
    spread = results.spread
    if spread is None:
        return _influences_of_warmth(results.warming)
    first = next(iter(spread.quantities.values()))
    stated = first.column
    values = first.values[:200_000]
    point = operating_point(results.circuit, "device")
    at = point.nodes.get(stated.node)
    if at is None and stated.transistor:
        stages = {**point.transistors, **point.fets}
        at = float(getattr(stages[stated.transistor], stated.symbol))
    good = values[np.isfinite(values)].tolist()
    return spread_chart(good, stated.symbol, stated.unit, stated=at)


def _influences_of_limits(worst: WorstCase) -> Scene:
    """A bar for each limit: how far it moves the first quantity by itself."""
    first = next(iter(worst.extremes.values()))
    bars = [
        Influence(
            one.setting.replace("beta", "β"),
            one.low,
            one.high,
            end_words(worst.circuit, one.setting, one.at_low),
            end_words(worst.circuit, one.setting, one.at_high),
        )
        for one in each_alone(worst.circuit, worst.variations, first.quantity.name)
    ]
    return influence_chart(bars, first.quantity.symbol, first.quantity.unit, first.nominal)


def _influences_of_warmth(found: WarmShift | None) -> Scene:
    """A bar for each cause: how far it moves the quantity between two temperatures."""
    if found is None:
        raise OutputError(
            "What warmth moves is drawn for bipolar transistors. Ask for --change, "
            "--temperature or --tolerance."
        )
    ends = [celsius(T) for T in (found.start, found.end)]
    bars = [
        Influence(cause.symbol, found.before, found.before + cause.moved, *ends)
        for cause in found.causes
    ]
    quantity = found.quantity
    title = f"What moves {quantity.symbol} from {ends[0]} to {ends[1]}"
    return influence_chart(bars, quantity.symbol, quantity.unit, found.before, title=title)


def _bytes(scene: Scene, output: Path) -> bytes:
    suffix = output.suffix.lower()
    if suffix == ".png":
        return scene_png(scene)
    if suffix == ".pdf":
        return scene_pdf(scene, title=scene.description, theme="print")
    return scene_svg(scene)
