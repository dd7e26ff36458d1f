"""``steadypoint compare``: arrangements at the same point, as table, picture or JSON."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from steadypoint.choose import Comparison, Contender, Purpose, compare
from steadypoint.circuit import Circuit, Kind
from steadypoint.cli._choose import circuit_of, range_of, value_of
from steadypoint.cli._console import Report
from steadypoint.cli._point import print_json
from steadypoint.errors import OutputError
from steadypoint.solve import to_dict
from steadypoint.values import format_quantity


@dataclass(frozen=True, slots=True)
class Asked:
    """A comparison as it was typed; see the command's help."""

    names: tuple[str, ...]
    collector_current: str
    supply: str | None
    beta: str
    temperature: str
    series: str
    as_given: bool
    purpose: str


def show_comparison(asked: Asked, output: Path | None, *, as_json: bool) -> None:
    """Compare, then print or draw."""
    supply = asked.supply
    if supply is None:
        supply = f"{_largest_rail(circuit_of(asked.names[0], None)):.6g}V"
    circuits = [(_name(n), circuit_of(n, None if asked.as_given else supply)) for n in asked.names]
    result = compare(
        circuits,
        value_of("--collector-current", asked.collector_current, "A"),
        beta=range_of("--beta", asked.beta, ""),
        temperature=range_of("--temperature", asked.temperature, "°C"),
        series=asked.series,
        as_given=asked.as_given,
    )
    purpose = Purpose(asked.purpose)
    if output is not None:
        _draw(result, output)
    if as_json:
        print_json(as_dict(result, purpose))
    else:
        _print(result, purpose, output)


def _largest_rail(circuit: Circuit) -> float:
    rails = [abs(p.value.value) for p in circuit.parts if p.kind is Kind.SUPPLY and p.value]
    return max(rails, default=9.0)


def _name(text: str) -> str:
    return Path(text).stem if Path(text).is_file() else text


def as_dict(result: Comparison, purpose: Purpose) -> dict[str, Any]:
    """A comparison as JSON shows it, SI values."""
    return {
        "supply": result.supply,
        "contenders": [_contender(c) for c in result.contenders],
        "left_out": [{"name": name, "why": why} for name, why in result.left_out],
        "recommended": result.best(purpose).name,
        "recommendation": result.recommendation(purpose),
    }


def _contender(c: Contender) -> dict[str, Any]:
    values = {p.name: p.value.value for p in c.circuit.parts if p.kind is Kind.RESISTOR and p.value}
    return {
        "name": c.name,
        "values": values,
        "point": to_dict(c.point),
        "changes": [
            {
                "change": m.words,
                "percent": None if math.isnan(m.percent) else m.percent,
                "left_active": m.left_active,
            }
            for m in c.moves
        ],
        "worst_spread": None if math.isnan(c.worst_spread) else c.worst_spread,
        "resistors": c.resistors,
        "supply_current": c.supply_current,
        "input_resistance": None if math.isnan(c.input_resistance) else c.input_resistance,
        "chosen": c.chosen,
    }


def _print(result: Comparison, purpose: Purpose, output: Path | None) -> None:
    report = Report()
    supply = format_quantity(result.supply, "V")
    wanted = format_quantity(result.transistor_current, "A")
    report.title(f"Arrangements at I_C = {wanted} from {supply}")
    heads = ("Arrangement", *(m.words for m in result.contenders[0].moves))
    rows = [
        (c.name, *(_move(m.percent, left=m.left_active) for m in c.moves))
        for c in result.contenders
    ]
    report.say("Change of I_C")
    report.table(heads, rows, tuple(range(1, len(heads))))
    heads = ("Arrangement", "I_C", "V_CE", "copies within", "resistors", "supply", "input")
    report.table(heads, [_costs(c) for c in result.contenders], tuple(range(1, len(heads))))
    if any(m.left_active for c in result.contenders for m in c.moves):
        report.say("* no longer active")
    for name, why in result.left_out:
        report.say(f"Left out: {name}: {why}.".replace("..", "."))
    report.say(result.recommendation(purpose))
    if output is not None:
        report.say(str(output))
    report.print()


def _move(percent: float, *, left: bool) -> str:
    if math.isnan(percent):
        return "no point"
    text = f"{percent:+.1f}" if abs(percent) < 99.95 else f"{percent:+.0f}"
    return text.replace("-", "−") + " %" + ("*" if left else "")


def _costs(c: Contender) -> tuple[str, ...]:
    q = list(c.point.transistors.values())[-1]
    spread = "–" if math.isnan(c.worst_spread) else f"±{100 * c.worst_spread:.3g} %"
    R_in = "–" if math.isnan(c.input_resistance) else format_quantity(c.input_resistance, "Ω", 2)
    return (
        c.name,
        format_quantity(abs(q.I_C), "A"),
        format_quantity(abs(q.V_CE), "V"),
        spread,
        str(c.resistors),
        format_quantity(c.supply_current, "A"),
        R_in,
    )


def _draw(result: Comparison, output: Path) -> None:
    from steadypoint.draw import Compared, comparison_chart
    from steadypoint.publish import scene_pdf, scene_png, scene_svg, write_atomic

    makers = {".svg": scene_svg, ".png": scene_png, ".pdf": scene_pdf}
    maker = makers.get(output.suffix.lower())
    if maker is None:
        raise OutputError(
            f"'{output}' does not end in .svg, .png or .pdf. Name it, such as compared.svg."
        )
    rows = [
        Compared(
            c.name,
            c.point,
            tuple(
                (m.words.replace("beta", "β"), m.point) for m in c.moves[1:3] if m.point is not None
            ),
            list(c.point.transistors)[-1],
        )
        for c in result.contenders
    ]
    write_atomic(output, maker(comparison_chart(rows)))
