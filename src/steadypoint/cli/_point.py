"""``steadypoint point``: the operating point as tables or as JSON."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from steadypoint.circuit import (
    GROUND,
    Circuit,
    Kind,
    Part,
    at_temperature,
    follows_temperature,
)
from steadypoint.cli._console import Report
from steadypoint.cli._input import read_circuit, read_temperature
from steadypoint.devices import NOMINAL_TEMPERATURE
from steadypoint.errors import SolveError
from steadypoint.solve import (
    FetPoint,
    Model,
    OperatingPoint,
    PartPoint,
    Region,
    Solution,
    TransistorPoint,
    solve,
    to_dict,
)
from steadypoint.values import format_quantity

REGION_WORDS = {
    Region.ACTIVE: "active",
    Region.SATURATION: "saturated",
    Region.CUTOFF: "cut off",
    Region.REVERSE: "reverse",
    Region.TRIODE: "triode",
}
FET_REGION_WORDS = REGION_WORDS | {Region.SATURATION: "saturation"}
TUBE = 24  # characters of the level between its two ends


@dataclass(frozen=True, slots=True)
class Asked:
    """How a point is to be solved: the rung, the temperature as typed, and self-heating."""

    model: str
    temperature: str | None
    self_heating: bool = False


def show_point(sheet: str, settings: Sequence[str], asked: Asked, *, as_json: bool) -> None:
    """Solve a sheet and print its operating point."""
    solution = solve(
        read_circuit(sheet, settings),
        Model(asked.model),
        temperature=read_temperature(asked.temperature),
        self_heating=asked.self_heating,
        throw=True,
    )
    solved = solution.value
    if solved is None:  # pragma: no cover  throw=True has raised
        raise SolveError(solution.result.value)
    if as_json:
        print_json(solution_data(solution, solved))
        return
    report = point_report(solved)
    _add_further(report, solution)
    report.print()


def solution_data(solution: Solution, solved: OperatingPoint) -> dict[str, Any]:
    """Data of the point; where there are several also ``stable`` and ``further_points``."""
    data = to_dict(solved)
    if not solution.others:
        return data
    stable, *rest = solution.stable
    further = [
        to_dict(p) | {"stable": rests} for p, rests in zip(solution.others, rest, strict=True)
    ]
    return data | {"stable": stable, "further_points": further}


def print_json(data: object) -> None:
    """Write JSON to standard output; letters stay as they are."""
    sys.stdout.write(json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n")


def point_report(solved: OperatingPoint) -> Report:
    """Tables of an operating point as lecturers write it: magnitudes for pnp, positive currents.

    Parameters
    ----------
    solved : OperatingPoint
        The solved circuit.

    Returns
    -------
    Report
        Transistors, level, nodes, parts, supplies and warnings.
    """
    report = Report()
    warmed = "self-heating in air of " if solved.junction_temperatures else ""
    note = f"Model {solved.model.value}, {warmed}{celsius(solved.temperature)}"
    if solved.circuit.title:
        report.title(solved.circuit.title, note)
    else:
        report.title(note)
    for polarity in ("npn", "pnp"):
        _add_transistors(report, solved, polarity)
    for channel in ("n-channel", "p-channel"):
        _add_fets(report, solved, channel)
    stages: list[TransistorPoint | FetPoint] = [*solved.transistors.values(), *solved.fets.values()]
    for index, transistor in enumerate(stages):
        report.say(level(transistor), joined=index > 0)
    for index, sentence in enumerate(solved.warnings):
        report.say(f"Caution: {sentence}", "bold", joined=index > 0)
    for index, sentence in enumerate(solved.neglected):
        report.say(f"Neglected: {sentence}", joined=index > 0)
    _add_parts(report, solved)
    _add_nodes(report, solved)
    return report


def celsius(temperature: float) -> str:
    """Temperature in degrees Celsius for reading."""
    return f"{temperature - 273.15:.4g} °C".replace("-", "−")


def _add_transistors(report: Report, solved: OperatingPoint, polarity: str) -> None:
    chosen = [t for t in solved.transistors.values() if t.polarity == polarity]
    sign = -1.0 if polarity == "pnp" else 1.0
    V_BE, V_CE = ("V_EB", "V_EC") if polarity == "pnp" else ("V_BE", "V_CE")
    heads = ("Transistor", "Region", "I_C", "I_B", "I_E", V_CE, V_BE, "Power")
    rows = []
    for t in chosen:
        currents = [_with_unit(sign * x, "A") for x in (t.I_C, t.I_B, t.I_E)]
        voltages = [_with_unit(sign * x, "V") for x in (t.V_CE, t.V_BE)]
        region = REGION_WORDS[t.region]
        rows.append((f"{t.name} {t.polarity}", region, *currents, *voltages, _power(t.P)))
    _transistor_table(report, solved, heads, rows, [t.name for t in chosen])


def _add_fets(report: Report, solved: OperatingPoint, channel: str) -> None:
    """Table of the field-effect transistors of one channel; p-channel in magnitudes."""
    chosen = [f for f in solved.fets.values() if f.polarity == channel]
    p = channel == "p-channel"
    sign = -1.0 if p else 1.0
    V_DS, V_GS = ("V_SD", "V_SG") if p else ("V_DS", "V_GS")
    heads = ("Transistor", "Region", "I_D", V_DS, V_GS, "I_G", "Power")
    rows = []
    for f in chosen:
        values = [_with_unit(sign * f.I_D, "A")]
        values += [_with_unit(sign * x, "V") for x in (f.V_DS, f.V_GS)]
        values += [_with_unit(sign * f.I_G, "A"), _power(f.P)]
        rows.append((f"{f.name} {f.kind}", FET_REGION_WORDS[f.region], *values))
    _transistor_table(report, solved, heads, rows, [f.name for f in chosen])


def _transistor_table(
    report: Report,
    solved: OperatingPoint,
    heads: tuple[str, ...],
    rows: list[tuple[str, ...]],
    names: Sequence[str],
) -> None:
    """Table of transistors, with a column T_J where junctions heat themselves."""
    warm = solved.junction_temperatures
    if warm:
        heads = (*heads, "T_J")
        rows = [
            (*row, format_quantity(warm[name], "°C")) for row, name in zip(rows, names, strict=True)
        ]
    report.table(heads, rows, numeric=range(2, len(heads)))


def level(transistor: TransistorPoint | FetPoint) -> str:
    """The level: where V_CE or V_DS stands between its lower end (left) and cut off (right).

    Parameters
    ----------
    transistor : TransistorPoint or FetPoint
        Quiescent values with both headrooms.

    Returns
    -------
    str
        One line with the tube, its disc and the distance to either end.
    """
    if isinstance(transistor, FetPoint):
        fet, down = True, transistor.headroom_triode
    else:
        fet, down = False, transistor.headroom_saturation
    up, region = transistor.headroom_cutoff, transistor.region
    lower, words = ("triode", FET_REGION_WORDS) if fet else ("saturated", REGION_WORDS)
    if region is Region.REVERSE or not (math.isfinite(down) and math.isfinite(up)):
        return f"{transistor.name}  {words[region]}"
    if region is (Region.TRIODE if fet else Region.SATURATION):
        left, tube, right = "", "●" + "─" * TUBE + "┤", ""
    elif region is Region.CUTOFF:
        left, tube, right = "", "├" + "─" * TUBE + "●", ""
    else:
        down, up = max(down, 0.0), max(up, 0.0)
        place = round((TUBE - 1) * down / (down + up)) if down + up > 0 else 0
        tube = "├" + "─" * place + "●" + "─" * (TUBE - 1 - place) + "┤"
        left, right = f"{_with_unit(down, 'V')} ", f" {_with_unit(up, 'V')}"
    return f"{transistor.name}  {lower} {left}{tube}{right} cut off"


def _add_nodes(report: Report, solved: OperatingPoint) -> None:
    rows = [(n, _with_unit(v, "V")) for n, v in solved.nodes.items() if n != GROUND]
    report.table(("Node", "Voltage"), rows, numeric=(1,))


def _add_further(report: Report, solution: Solution) -> None:
    """Table of all points where there are several: node voltages, a column for each."""
    if not solution.others or solution.value is None:
        return
    points = (solution.value, *solution.others)
    heads = [
        f"Point {k}" + ("" if rests else ", unstable")
        for k, rests in enumerate(solution.stable, start=1)
    ]
    nodes = [n for n in solution.value.nodes if n != GROUND]
    rows = [(n, *(_with_unit(p.nodes[n], "V") for p in points)) for n in nodes]
    report.say("All operating points; point 1 is the one shown above.", "bold")
    report.table(("Node", *heads), rows, numeric=range(1, len(points) + 1))


def _add_parts(report: Report, solved: OperatingPoint) -> None:
    circuit = at_temperature(solved.circuit, solved.temperature)
    rows = [
        _part_row(part, solved.parts[part.name])
        for part in circuit.parts
        if part.name in solved.parts and part.kind is not Kind.SUPPLY
    ]
    report.table(("Part", "Value", "From", "To", "Current", "Voltage", "Power"), rows, (4, 5, 6))
    following = [p.name for p in solved.circuit.parts if follows_temperature(p)]
    if following and solved.temperature != NOMINAL_TEMPERATURE:
        report.say(
            f"Value at {celsius(solved.temperature)}, not at 25 °C: {', '.join(following)}.",
        )
    supplies = [_supply_row(circuit, part, solved.parts[part.name]) for part in circuit.supplies]
    report.table(("Supply", "Value", "Current", "Power"), supplies, (1, 2, 3))


def _part_row(part: Part, at: PartPoint) -> tuple[str, ...]:
    source = part.kind in (Kind.CURRENT_SOURCE, Kind.VOLTAGE_SOURCE)
    turned = not source and (at.I < 0 or (at.I == 0 and at.V < 0))
    first, second = reversed(part.nodes) if turned else part.nodes
    sign = -1.0 if turned else 1.0
    value = part_value(part)
    current, voltage = _with_unit(sign * at.I, "A"), _with_unit(sign * at.V, "V")
    return (part.name, value, first, second, current, voltage, _power(at.P))


def _supply_row(circuit: Circuit, part: Part, at: PartPoint) -> tuple[str, ...]:
    # A negative rail delivers its current into ground: people read the magnitude.
    sign = -1.0 if part.value is not None and part.value.value < 0 else 1.0
    return (part.name, part_value(part), _with_unit(sign * at.I, "A"), _power(at.P))


def part_value(part: Part) -> str:
    """Main value of a part for reading, its type or colour, or an empty text."""
    if part.value is None:
        return part.type_name or part.colour
    digits = part.value.digits or 3
    return format_quantity(part.value.value, part.value.unit, digits)


def _with_unit(value: float, unit: str) -> str:
    # Rounding noise of the solver is no current: below a femtoampere and a nanovolt people read 0.
    floor = 1e-15 if unit == "A" else 1e-9
    return format_quantity(0.0 if abs(value) < floor else value, unit)


def _power(value: float) -> str:
    return format_quantity(0.0 if abs(value) < 1e-15 else value, "W")
