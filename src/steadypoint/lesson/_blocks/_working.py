"""The block ``working``: the steps on the board."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from steadypoint.circuit import Circuit
from steadypoint.derive import Derivation, derive
from steadypoint.errors import SteadypointError
from steadypoint.lesson._blocks._registry import register
from steadypoint.lesson._options import Fence
from steadypoint.lesson._tree import Block, Steps

if TYPE_CHECKING:
    from steadypoint.lesson._weave import Weaver

RUNGS: Final = ("exact", "board")
_RANGE: Final = re.compile(r"(\d+)(?:\s*(?:to|–|-)\s*(\d+))?\Z")
OPTIONS = {
    "of": "name of the circuit; the one above by default",
    "rung": "exact (default) or board",
    "change": "values that differ, such as beta = 200",
    "steps": "only these steps, such as 3 to 6",
}


def working_of(fence: Fence, weaver: Weaver, changed: Circuit) -> Derivation:
    """The working of a circuit on the rung that the fence asks for.

    Raises
    ------
    LessonError
        If no working can be given.
    """
    rung = fence.choice("rung", RUNGS)
    try:
        return derive(changed, rung)
    except SteadypointError as fault:
        raise fence.source.fault_at(str(fault), fence.line, fence.name) from fault


@register("working", "The working, step by step: letters, numbers, result.", OPTIONS)
def working(fence: Fence, weaver: Weaver) -> Sequence[Block]:
    """Steps of a working."""
    case = weaver.case_of(fence)
    changed = weaver.cases.changed(case, fence.get("change"), fence.at("change"))
    derivation = working_of(fence, weaver, changed)
    first, last = _range(fence, len(derivation))
    label = f"Working, {case.name}" if case.name else "Working"
    return [Steps(derivation[first - 1 : last], first, label, changed)]


def _range(fence: Fence, count: int) -> tuple[int, int]:
    text = fence.get("steps")
    if not text:
        return 1, count
    found = _RANGE.match(text)
    first = int(found[1]) if found else 0
    last = int(found[2] or found[1]) if found else 0
    if not 1 <= first <= last <= count:
        raise fence.source.fault_at(
            f"'{text}' are no steps of this working. Write, for instance, '1 to {count}'.",
            fence.at("steps"),
            text,
        )
    return first, last
