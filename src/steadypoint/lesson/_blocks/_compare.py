"""The block ``compare``: arrangements at the same point, and which holds it best."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from steadypoint import draw
from steadypoint.choose import Comparison, Purpose, compare
from steadypoint.circuit import Circuit, Kind, apply_setting, arrangement
from steadypoint.errors import SteadypointError
from steadypoint.lesson._blocks._registry import register
from steadypoint.lesson._blocks._typed import fault_of, limits, value
from steadypoint.lesson._options import Fence
from steadypoint.lesson._show import drawing
from steadypoint.lesson._tree import Block, Figure, Inlines, Paragraph, Table, Text

if TYPE_CHECKING:
    from steadypoint.lesson._weave import Weaver

_MOVES: Final = 5

OPTIONS = {
    "arrangements": "names of arrangements with commas between; needed",
    "supply": "voltage of the rails, 9 V by default",
    "current": "collector current that all are brought to, 1 mA by default",
    "beta": "limits of beta, 100..400 by default",
    "temperature": "limits of the junction temperature in °C, 0..50 by default",
    "for": "steady (default), simple or light load",
    "name": "what text calls the figure: {{figure four ways}}",
    "caption": "words under the picture",
}


@register(
    "compare", "Arrangements at the same point with their best standard values, moved.", OPTIONS
)
def compare_arrangements(fence: Fence, weaver: Weaver) -> Sequence[Block]:
    """Table, picture and recommendation."""
    names = [n.strip() for n in fence.get("arrangements").split(",") if n.strip()]
    if not names:
        raise fence.source.fault_at(
            "Nothing is compared here. Add, for instance, "
            "'arrangements: base bias, voltage divider'.",
            fence.line,
            fence.name,
        )
    volts = value(fence, "supply", "V", "9 V") or 9.0
    purpose = Purpose(fence.choice("for", tuple(str(p) for p in Purpose)))
    try:
        circuits = [(name, _at(name, volts)) for name in names]
        result = compare(
            circuits,
            value(fence, "current", "A", "1 mA") or 1e-3,
            beta=limits(fence, "beta", "", "100..400"),
            temperature=limits(fence, "temperature", "°C", "0..50"),
        )
    except SteadypointError as fault:
        raise fault_of(fence, "arrangements", fault) from fault
    words = fence.get("caption") or "The arrangements at the same point, and where beta takes them"
    caption = weaver.words(words, fence.at("caption"))
    return [
        _table(result),
        _figure(result, fence, weaver, caption),
        Paragraph([Text(result.recommendation(purpose))]),
    ]


def _at(name: str, volts: float) -> Circuit:
    circuit = arrangement(name).circuit
    for part in circuit.parts:
        if part.kind is Kind.SUPPLY and part.value is not None:
            sign = "-" if part.value.value < 0.0 else ""
            circuit = apply_setting(circuit, f"{part.name}={sign}{volts:.6g}V")
    return circuit


def _table(result: Comparison) -> Table:
    moves = result.contenders[0].moves[:_MOVES]
    head: list[Inlines] = [[Text("Arrangement")], *([Text(m.words)] for m in moves)]
    head += [[Text("copies within")], [Text("resistors")]]
    rows: list[Sequence[Inlines]] = []
    for c in result.contenders:
        row: list[Inlines] = [[Text(c.name)]]
        row += [[Text(_percent(m.percent))] for m in c.moves[:_MOVES]]
        row += [[Text(f"±{100 * c.worst_spread:.3g}\u202f%")], [Text(str(c.resistors))]]
        rows.append(row)
    align = ["left", *["right"] * (len(head) - 1)]
    return Table(head, rows, align, [Text("Change of the collector current")], row_heads=True)


def _percent(percent: float) -> str:
    if math.isnan(percent):
        return "no point"
    return f"{percent:+.1f}\u202f%".replace("-", "−")


def _figure(result: Comparison, fence: Fence, weaver: Weaver, caption: Inlines) -> Figure:
    rows = [
        draw.Compared(
            c.name,
            c.point,
            tuple((m.words.replace("beta", "β"), m.point) for m in c.moves[1:3] if m.point),
            list(c.point.transistors)[-1],
        )
        for c in result.contenders
    ]
    number, anchor = weaver.new_figure(fence.get("name"), line=fence.at("name"))
    wide, narrow, paper = (draw.comparison_chart(rows, width=w) for w in (600.0, 358.0, 480.0))
    return Figure(
        [drawing(wide, anchor, narrow=narrow, paper=paper)], caption, anchor, number, "chart"
    )
