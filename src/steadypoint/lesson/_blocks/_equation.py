"""The block ``equation``: one line of the working, set apart and numbered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from steadypoint.derive import Line, Symbol
from steadypoint.lesson._blocks._registry import register
from steadypoint.lesson._blocks._working import working_of
from steadypoint.lesson._options import Fence
from steadypoint.lesson._source import suggestion
from steadypoint.lesson._tree import Block, Equation

if TYPE_CHECKING:
    from steadypoint.lesson._weave import Weaver

OPTIONS = {
    "for": "the quantity that it gives, such as I_B or V_CE; needed",
    "name": "what text calls it: {{equation base current}}; the quantity by default",
    "of": "name of the circuit; the one above by default",
    "rung": "exact (default) or board",
    "change": "values that differ, such as beta = 200",
    "show": "letters (default) or numbers: with or without figures and result",
}
_SHOW: Final = ("letters", "numbers")


@register("equation", "One equation of the working, numbered.", OPTIONS)
def equation(fence: Fence, weaver: Weaver) -> Sequence[Block]:
    """A numbered equation."""
    case = weaver.case_of(fence)
    changed = weaver.cases.changed(case, fence.get("change"), fence.at("change"))
    steps = working_of(fence, weaver, changed)
    lines = {
        line.left.name: line
        for step in reversed(steps)
        for line in reversed(step.lines)
        if isinstance(line.left, Symbol) and line.sign in ("=", "≈")
    }
    wanted = fence.get("for")
    if wanted not in lines:
        what = f"The working has no equation for '{wanted}'." if wanted else "Name a quantity."
        hint = suggestion(wanted, list(reversed(lines)))
        raise fence.source.fault_at(f"{what}{hint}", fence.at("for"), wanted or fence.name)
    number = weaver.next_equation()
    anchor = weaver.anchor(f"equation {number}")
    names = [fence.get("name") or wanted]
    weaver.cases.references.define("equation", names, number, anchor, fence.at("name"))
    return [Equation(_shown(lines[wanted], fence.choice("show", _SHOW)), number, anchor)]


def _shown(line: Line, show: str) -> Line:
    return line if show == "numbers" else replace(line, numbers=None, result=None)
