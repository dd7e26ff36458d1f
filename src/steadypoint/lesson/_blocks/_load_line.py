"""The block ``load line``: output curves, line and point."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from steadypoint.lesson._blocks._registry import register
from steadypoint.lesson._options import Fence
from steadypoint.lesson._show import load_line_figure
from steadypoint.lesson._tree import Block

if TYPE_CHECKING:
    from steadypoint.lesson._weave import Weaver

OPTIONS = {
    "of": "name of the circuit; the one above by default",
    "change": "values that differ, such as beta = 200; the point before stays as a ghost",
    "name": "what text calls the figure: {{figure line}}",
    "caption": "words under the figure",
}


@register("load line", "The load line with its ends, the output curve and the point.", OPTIONS)
def load_line(fence: Fence, weaver: Weaver) -> Sequence[Block]:
    """Figure of a load line."""
    case = weaver.case_of(fence)
    changed = weaver.cases.changed(case, fence.get("change"), fence.at("change"))
    before = (case.circuit, case.model) if changed != case.circuit else None
    now = weaver.cases.point(changed, case.model, fence.line)
    was = weaver.cases.point(*before, fence.line) if before else None
    words = fence.get("caption") or f"Load line, {case.name or 'the circuit above'}"
    caption = weaver.words(words, fence.at("caption"))
    return [load_line_figure(weaver, fence, now, was, caption)]
