"""``steadypoint choose``: a wish as typed, the sets as a table, as sheets, or as JSON."""

from __future__ import annotations

import math
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import typer

from steadypoint.choose import Choice, ChosenSet, Place, Wish, choose, front_of, readable
from steadypoint.circuit import Circuit, Kind, apply_setting, arrangement, load_sheet, write_sheet
from steadypoint.cli._console import Report
from steadypoint.cli._front import check_picture, write_front
from steadypoint.cli._point import print_json
from steadypoint.errors import QuantityError, SteadypointError, UnknownNameError
from steadypoint.publish import make_folder, write_atomic
from steadypoint.solve import to_dict
from steadypoint.values import format_quantity, letter_code, read_quantity, read_tolerance

_QUIET: Final = 2.0


@dataclass(frozen=True, slots=True)
class Asked:
    """A wish as it was typed; see the command's help."""

    circuit: str
    collector_current: str
    supply: str | None
    transistor: str
    free: tuple[str, ...]
    beta: str
    temperature: str
    series: str
    stock: str
    tolerance: str | None
    supply_tolerance: str | None
    collector_voltage: str | None
    least_voltage: str
    swing: str | None
    gain: float
    most_supply_current: str | None
    within: str | None
    then: str = ""
    slack: str = "10%"
    series_of: tuple[str, ...] = ()
    input_resistance: str | None = None
    most_power: str | None = None
    most_voltage: str | None = None
    most_current: str | None = None


def show_choice(
    asked: Asked,
    sets: int,
    *,
    seconds: float,
    front: bool,
    front_file: Path | None,
    verify: bool,
    output: Path | None,
    as_json: bool,
) -> None:
    """Choose, then print or write."""
    wish = read_wish(asked)
    if front_file is not None:
        check_picture(front_file)
    answer = choose(wish, sets, seconds=seconds, progress=_Progress())
    curve = front_of(wish) if (front or front_file) and answer.sets else ()
    if front_file is not None and curve:
        write_front(curve, front_file, output)
    proof = _verified(wish, answer) if verify else None
    if output is not None:
        _write(answer, output)
    if as_json:
        print_json(as_dict(answer, curve, proof))
    else:
        _print(answer, curve, proof, output)
    if not answer.sets:
        raise typer.Exit(1)


def show_readable(
    asked: Asked, place: str, sets: int, output: Path | None, *, as_json: bool
) -> None:
    """Values that read well on the board."""
    wish = read_wish(asked)
    beta = wish.beta[0]
    found = readable(wish, Place(place), sets, beta=beta)
    if output is not None:
        make_folder(output)
        for i, one in enumerate(found, start=1):
            write_atomic(output / f"readable-{i}.circuit", write_sheet(one.circuit).encode())
    if as_json:
        print_json(
            [
                {"values": dict(s.values), "point": to_dict(s.point), "digits": dict(s.digits)}
                for s in found
            ]
        )
        return
    report = Report()
    report.title(f"Values that read well, point {place}, beta {beta:g}", wish.circuit.title)
    heads = ("", *found[0].values, "I_B", "I_C", "V_CE")
    rows = []
    for i, one in enumerate(found, start=1):
        q = one.point.transistors[wish.transistor]
        figures = (("I_B", q.I_B, "A"), ("I_C", q.I_C, "A"), ("V_CE", q.V_CE, "V"))
        shown = [format_quantity(abs(v), unit, max(2, one.digits[s])) for s, v, unit in figures]
        rows.append((str(i), *(letter_code(v) for v in one.values.values()), *shown))
    report.table(heads, rows, tuple(range(len(heads))))
    if output is not None:
        report.say(f"Written: {len(found)} circuit sheets in {output}")
    report.print()


class _Progress:
    """A line on standard error, from two seconds on, where that is a terminal."""

    def __init__(self) -> None:
        self.start = self.said = time.monotonic()

    def __call__(self, boxes: int, best: float, bound: float) -> None:
        now = time.monotonic()
        if now - self.start < _QUIET or now - self.said < 1.0 or not sys.stderr.isatty():
            return
        self.said = now
        known = "none yet" if math.isinf(best) else f"±{100 * best:.3g} %"
        proved = max(0.0, bound)
        sys.stderr.write(f"{boxes:,} boxes, best {known}, proved above ±{100 * proved:.3g} %\n")


def read_wish(asked: Asked) -> Wish:
    """The wish that was typed.

    Raises
    ------
    SteadypointError
        If a figure cannot be read; the sentence names the option.
    """
    circuit = circuit_of(asked.circuit, asked.supply)
    span = _supply_span(circuit)
    V_CE = None
    if asked.collector_voltage == "half":
        V_CE = span / 2.0
    elif asked.collector_voltage is not None:
        V_CE = value_of("--collector-voltage", asked.collector_voltage, "V")
    low, high = range_of("--temperature", asked.temperature, "°C")
    return Wish(
        circuit,
        value_of("--collector-current", asked.collector_current, "A"),
        transistor=asked.transistor,
        free=asked.free,
        V_CE=V_CE,
        series=asked.series,
        of_series=_series_of(asked.series_of),
        stock=[value_of("--stock", word, "Ω") for word in asked.stock.replace(",", " ").split()],
        tolerance=_share("--tolerance", asked.tolerance),
        beta=range_of("--beta", asked.beta, ""),
        temperature=(low, high),
        supply_tolerance=_share("--supply-tolerance", asked.supply_tolerance) or 0.0,
        least_voltage=value_of("--least-voltage", asked.least_voltage, "V"),
        swing=_given("--swing", asked.swing, "V"),
        gain=asked.gain,
        input_resistance=_given("--input-resistance", asked.input_resistance, "Ω") or 0.0,
        most_power=_given("--most-power", asked.most_power, "W"),
        most_voltage=_given("--most-voltage", asked.most_voltage, "V"),
        most_current=_given("--most-current", asked.most_current, "A"),
        most_supply_current=_given("--most-supply-current", asked.most_supply_current, "A"),
        within=_share("--within", asked.within),
        then=asked.then,
        slack=_share("--slack", asked.slack) or 0.0,
    )


def circuit_of(name: str, supply: str | None) -> Circuit:
    """An arrangement by its name, or a sheet, with its rails at a voltage."""
    circuit = load_sheet(name) if Path(name).is_file() else arrangement(name).circuit
    if supply is None:
        return circuit
    volts = value_of("--supply", supply, "V")
    if volts <= 0.0:
        raise QuantityError(f"--supply {supply}: write a positive voltage, such as 9V.")
    rails = [p for p in circuit.parts if p.kind is Kind.SUPPLY and p.value is not None]
    if not rails:
        raise UnknownNameError("--supply: the circuit has no rail. Leave the option out.")
    for rail in rails:
        sign = "-" if rail.value is not None and rail.value.value < 0.0 else ""
        circuit = apply_setting(circuit, f"{rail.name}={sign}{volts:.6g}V")
    return circuit


def _supply_span(circuit: Circuit) -> float:
    rails = [p.value.value for p in circuit.parts if p.kind is Kind.SUPPLY and p.value]
    return max([0.0, *rails]) - min([0.0, *rails])


def value_of(option: str, text: str, unit: str) -> float:
    """A quantity as typed; the fault names the option. [unit]"""
    try:
        return read_quantity(text, unit).value
    except SteadypointError as fault:
        raise QuantityError(f"{option} {text}: {fault}") from fault


def _given(option: str, text: str | None, unit: str) -> float | None:
    return None if text is None else value_of(option, text, unit)


def _series_of(words: tuple[str, ...]) -> dict[str, str]:
    found = {}
    for word in words:
        name, equals, series = (piece.strip() for piece in word.partition("="))
        if not (name and equals and series):
            raise QuantityError(f"--series-of {word}: write a resistor and its series, as RE=E96.")
        found[name] = series
    return found


def _share(option: str, text: str | None) -> float | None:
    if text is None:
        return None
    try:
        return read_tolerance(text)
    except SteadypointError as fault:
        raise QuantityError(f"{option} {text}: {fault}") from fault


def range_of(option: str, text: str, unit: str) -> tuple[float, float]:
    """Two limits as typed, ``100..400``; one figure stands for both. [unit]"""
    first, dots, second = text.partition("..")
    if not dots:
        second = first
    return value_of(option, first.strip(), unit), value_of(option, second.strip(), unit)


def _verified(wish: Wish, answer: Choice) -> dict[str, Any]:
    from steadypoint.choose._verify import verified

    return verified(wish, answer)


def as_dict(
    answer: Choice,
    curve: tuple[tuple[float, ChosenSet], ...] = (),
    proof: dict[str, Any] | None = None,
) -> dict[str, Any]:
    """A choice as JSON shows it, SI values."""
    c = answer.certificate
    out: dict[str, Any] = {
        "sets": [_set(one) for one in answer.sets],
        "certificate": {
            "optimal": c.optimal,
            "bound": _number(c.bound),
            "gap": _number(c.gap),
            "boxes": c.boxes,
            "combinations": c.combinations,
            "seconds": round(c.seconds, 4),
        },
        "front": [{"most_supply_current": limit, **_set(one)} for limit, one in curve],
        "rule_of_thumb": None
        if answer.usual is None
        else {"values": dict(answer.usual.values), "worst_spread": answer.usual.spread},
        "conflict": list(answer.conflict),
        "remedy": answer.remedy,
        "warnings": list(answer.warnings),
    }
    if proof is not None:
        out["verified"] = proof
    return out


def _set(one: ChosenSet) -> dict[str, Any]:
    return {
        "values": dict(one.values),
        "point": to_dict(one.point),
        "worst_spread": one.worst_spread,
        "device_spread": _number(one.device_spread),
        "why": one.why,
    }


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _print(
    answer: Choice,
    curve: tuple[tuple[float, ChosenSet], ...],
    proof: dict[str, Any] | None,
    output: Path | None,
) -> None:
    wish, c = answer.wish, answer.certificate
    report = Report()
    wanted = format_quantity(wish.collector_current, "A")
    report.title(f"Values for I_C = {wanted} in {wish.transistor}", wish.circuit.title)
    if not answer.sets:
        report.say(_impossible(answer))
        report.print()
        return
    names = list(answer.sets[0].values)
    heads = ("", *names, "I_C within", "real devices", "V_CE")
    rows = [_row(i, one, wish) for i, one in enumerate(answer.sets, start=1)]
    report.table(heads, rows, tuple(range(len(heads))))
    report.say(f"Set 1: {answer.sets[0].why}")
    if answer.beside_the_rule:
        report.say(answer.beside_the_rule, joined=True)
    report.say(_proved(answer), joined=True)
    if proof is not None:
        report.say(proof["sentence"], joined=True)
    if curve:
        heads = ("Supply current at most", *names, "I_C within")
        lines = [
            (format_quantity(limit, "A"), *_codes(one), f"±{100 * one.worst_spread:.3g} %")
            for limit, one in curve
        ]
        report.table(heads, lines, tuple(range(len(heads))))
    for warning in answer.warnings:
        report.say(f"Note: {warning}")
    if output is not None:
        report.say(f"Written: {len(answer.sets)} circuit sheets in {output}")
    if c.seconds > _QUIET:
        report.say(f"The search took {c.seconds:.1f} s.", "dim")
    report.print()


def _row(i: int, one: ChosenSet, wish: Wish) -> tuple[str, ...]:
    real = "–" if math.isnan(one.device_spread) else f"±{100 * one.device_spread:.3g} %"
    V = abs(one.point.transistors[wish.transistor].V_CE)
    codes = _codes(one)
    return (str(i), *codes, f"±{100 * one.worst_spread:.3g} %", real, format_quantity(V, "V", 2))


def _codes(one: ChosenSet) -> tuple[str, ...]:
    return tuple(letter_code(value) for value in one.values.values())


def _proved(answer: Choice) -> str:
    c = answer.certificate
    if answer.wish.then:
        text = (
            f"Among the sets whose distance is at most {100 * answer.wish.slack:g} % more than the "
            f"best, these have the least {answer.wish.then}"
        )
        return f"{text}, proved on the hand rung." if c.optimal else f"{text} of those looked at."
    if c.optimal:
        return (
            f"Proved on the hand rung: of {c.combinations:,.0f} combinations none outside this "
            f"list comes closer than ±{100 * c.bound:.3g} % ({c.boxes:,} boxes judged, gap 0)."
        )
    return (
        f"Not proved: the time limit was reached after {c.boxes:,} boxes; nothing outside this "
        f"list can come closer than ±{100 * max(0.0, c.bound):.3g} %."
    )


def _impossible(answer: Choice) -> str:
    if not answer.certificate.optimal:
        return "No values were found within the time limit. Give the search more with --seconds."
    text = "No values can meet this wish."
    if len(answer.conflict) == 1:
        text += f" The condition that cannot be met: {answer.conflict[0]}."
    elif answer.conflict:
        text += f" These conditions contradict each other: {'; '.join(answer.conflict)}."
    return f"{text} {answer.remedy}".strip()


def _write(answer: Choice, folder: Path) -> None:
    make_folder(folder)
    for i, one in enumerate(answer.sets, start=1):
        write_atomic(folder / f"set-{i}.circuit", write_sheet(one.circuit).encode())
