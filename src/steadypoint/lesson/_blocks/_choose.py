"""The block ``choose``: the best standard values for a wanted collector current."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from steadypoint.choose import Choice, Wish, choose
from steadypoint.errors import SteadypointError
from steadypoint.lesson._blocks._registry import register
from steadypoint.lesson._blocks._typed import fault_of, limits, share, value
from steadypoint.lesson._names import part_label
from steadypoint.lesson._options import Fence
from steadypoint.lesson._tree import Amount, Block, Inlines, Letter, Paragraph, Table, Text
from steadypoint.values import letter_code, shown

if TYPE_CHECKING:
    from steadypoint.lesson._weave import Weaver

OPTIONS = {
    "of": "name of the circuit whose resistors are chosen; the one above by default",
    "current": "wanted collector current, such as 1 mA; needed",
    "voltage": "wanted V_CE, such as 4.5 V",
    "beta": "limits of beta, 100..400 by default",
    "temperature": "limits of the junction temperature in °C, 0..50 by default",
    "series": "series of preferred values, E24 by default",
    "tolerance": "tolerance of the resistors; that of the series by default",
    "within": "most distance of the current from the wish, such as 20 %",
    "sets": "how many sets, 3 by default",
}


@register("choose", "The best standard values for a wanted collector current, proved.", OPTIONS)
def choose_values(fence: Fence, weaver: Weaver) -> Sequence[Block]:
    """Table of sets with reasons and proof, or why there are none."""
    case = weaver.case_of(fence)
    current = value(fence, "current", "A")
    if current is None:
        raise fence.source.fault_at(
            "No collector current is wished for. Add, for instance, 'current: 1 mA'.",
            fence.line,
            fence.name,
        )
    count = value(fence, "sets", "", "3") or 3.0
    low, high = limits(fence, "temperature", "°C", "0..50")
    try:
        wish = Wish(
            case.circuit,
            current,
            V_CE=value(fence, "voltage", "V"),
            series=fence.get("series", "E24"),
            tolerance=share(fence, "tolerance"),
            beta=limits(fence, "beta", "", "100..400"),
            temperature=(low, high),
            within=share(fence, "within"),
        )
        answer = choose(wish, max(1, min(20, int(count))))
    except SteadypointError as fault:
        raise fault_of(fence, "current", fault) from fault
    if not answer.sets:
        text = "No values can meet this wish."
        if answer.conflict:
            text += f" What contradicts: {'; '.join(answer.conflict)}. {answer.remedy}"
        return [Paragraph([Text(text.strip())])]
    return [_table(answer), *_sentences(answer)]


def _table(answer: Choice) -> Table:
    names = list(answer.sets[0].values)
    head: list[Inlines] = [[part_label(name)] for name in names]
    head += [[Letter("I", "C"), Text(" within")], [Text("real devices")], [Letter("V", "CE")]]
    rows: list[Sequence[Inlines]] = []
    for one in answer.sets:
        V = abs(one.point.transistors[answer.wish.transistor].V_CE)
        parts = shown(V, "V", 2)
        row: list[Inlines] = [[Text(letter_code(v))] for v in one.values.values()]
        real = "–" if math.isnan(one.device_spread) else f"±{100 * one.device_spread:.3g}\u202f%"
        row += [[Text(f"±{100 * one.worst_spread:.3g}\u202f%")], [Text(real)]]
        row.append([Amount(parts.number, parts.unit)])
        rows.append(row)
    return Table(head, rows, ["right"] * len(head))


def _sentences(answer: Choice) -> list[Block]:
    c = answer.certificate
    proof = (
        f"Of {c.combinations:,.0f} combinations none outside this list comes closer."
        if c.optimal
        else "The search was stopped by its time limit; a better set may exist."
    )
    said = [f"The first set: {answer.sets[0].why}", proof, answer.beside_the_rule]
    return [Paragraph([Text(" ".join(s for s in said if s))])]
