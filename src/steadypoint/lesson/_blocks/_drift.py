"""The block ``drift``: how far the point moves over a range, or within tolerances."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from steadypoint import draw
from steadypoint.errors import SteadypointError
from steadypoint.lesson._blocks._registry import register
from steadypoint.lesson._blocks._typed import fault_of, share
from steadypoint.lesson._cases import Case
from steadypoint.lesson._options import Fence
from steadypoint.lesson._show import drawing
from steadypoint.lesson._tree import Block, Figure, Paragraph, Table, Text
from steadypoint.spread import (
    WorstCase,
    read_variation,
    stability,
    tolerances,
    warm_shift,
    worst_case,
)
from steadypoint.values import format_quantity

if TYPE_CHECKING:
    from steadypoint.lesson._weave import Weaver

OPTIONS = {
    "of": "name of the circuit; the one above by default",
    "over": "a range that is run through, such as beta 50..400 or temperature -20C..70C",
    "tolerance": "worst case with this tolerance of every resistor, such as 5 %",
    "vary": "further limits for the worst case, such as beta 100..400",
    "name": "what text calls the figure: {{figure warm day}}",
    "caption": "words under the curve",
}


@register(
    "drift", "How far the point moves: over a range, within tolerances, or with warmth.", OPTIONS
)
def drift(fence: Fence, weaver: Weaver) -> Sequence[Block]:
    """A curve, a worst case, or what warmth moves most."""
    case = weaver.case_of(fence)
    try:
        content: list[Block] = []
        if fence.get("over"):
            content.append(_curve(fence, weaver, case))
        if fence.get("tolerance") or fence.get("vary"):
            content += _worst(fence, case)
        if not content:
            content = _warmth(case)
    except SteadypointError as fault:
        key = next((k for k in ("over", "vary", "tolerance") if fence.get(k)), "of")
        raise fault_of(fence, key, fault) from fault
    return content


def _curve(fence: Fence, weaver: Weaver, case: Case) -> Figure:
    v = read_variation(case.circuit, fence.get("over"))
    number, anchor = weaver.new_figure(fence.get("name"), line=fence.at("name"))
    wide, narrow, paper = (
        draw.drift_chart(case.circuit, v.setting, v.low, v.high, width=w, height=h)
        for w, h in ((600.0, 520.0), (358.0, 420.0), (480.0, 400.0))
    )
    words = fence.get("caption") or f"The point over {fence.get('over')}"
    caption = weaver.words(words, fence.at("caption"))
    shown = drawing(wide, anchor, narrow=narrow, paper=paper)
    return Figure([shown], caption, anchor, number, "chart")


def _worst(fence: Fence, case: Case) -> list[Block]:
    typed = [read_variation(case.circuit, t) for t in fence.get("vary").split(",") if t.strip()]
    names = {v.setting for v in typed}
    stated = tolerances(case.circuit, resistors=share(fence, "tolerance"))
    found = worst_case(case.circuit, [*(v for v in stated if v.setting not in names), *typed])
    return [_table(found), *(Paragraph([Text(s)]) for s in found.sentences)]


def _table(found: WorstCase) -> Table:
    head = [
        [Text(t)] for t in ("Quantity", "as stated", "least", "most", "least with", "most with")
    ]
    rows = []
    for e in found.extremes.values():
        figures = [format_quantity(v, e.quantity.unit) for v in (e.nominal, e.low, e.high)]
        rows.append([[Text(t)] for t in (e.quantity.name, *figures, e.words_low, e.words_high)])
    return Table(head, rows, ["left", "right", "right", "right", "left", "left"])


def _warmth(case: Case) -> list[Block]:
    said = [s.sentence for s in stability(case.circuit)]
    said.append(warm_shift(case.circuit).sentence)
    return [Paragraph([Text(" ".join(said))])]
