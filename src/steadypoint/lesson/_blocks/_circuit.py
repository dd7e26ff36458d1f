"""The block ``circuit``: a circuit drawn, solved and given a name."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from steadypoint.circuit import Circuit, arrangement, check, load_sheet, read_sheet
from steadypoint.errors import LessonError, SheetError, SteadypointError
from steadypoint.lesson._blocks._registry import register
from steadypoint.lesson._cases import MODELS, Case, split_settings
from steadypoint.lesson._options import Fence
from steadypoint.lesson._show import circuit_figure
from steadypoint.lesson._tree import Block

if TYPE_CHECKING:
    from steadypoint.lesson._weave import Weaver

OPTIONS = {
    "name": "what text and other blocks call this circuit",
    "file": "circuit sheet beside the lesson, instead of a sheet in the block",
    "arrangement": "named arrangement, instead of a sheet in the block",
    "change": "values that differ from the sheet, such as RB = 330k, beta = 200",
    "model": "exact (default), board or device",
    "show": "values (default) or names: with or without voltages and currents",
    "caption": "words under the figure",
}


def read_case(fence: Fence, weaver: Weaver) -> Case:
    """The case that a ``circuit`` block states.

    Raises
    ------
    LessonError
        If the block states no circuit, or more than one.
    SheetError
        If a sheet file has a fault.
    """
    sources = [key for key in ("file", "arrangement") if key in fence.options]
    sources += ["sheet"] if fence.body else []
    if len(sources) != 1:
        what = "two circuits" if sources else "no circuit"
        raise fence.source.fault_at(
            f"This block states {what}. Give one of: a sheet, 'file:' or 'arrangement:'.",
            fence.line,
            fence.name,
        )
    circuit = _circuit(fence, sources[0])
    model = fence.choice("model", MODELS)
    case = Case(fence.get("name") or circuit.title, circuit, model, fence.line)
    if split_settings(fence.get("change")):
        changed = weaver.cases.changed(case, fence.get("change"), fence.at("change"))
        case = Case(case.name, changed, model, fence.line)
    return case


def _circuit(fence: Fence, kind: str) -> Circuit:
    try:
        if kind == "file":
            circuit = load_sheet(fence.source.file(fence.get("file"), fence.at("file")))
        elif kind == "arrangement":
            circuit = arrangement(fence.get("arrangement")).circuit
        else:
            circuit = _inline_sheet(fence)
        check(circuit)
    except (LessonError, SheetError):
        raise
    except SteadypointError as fault:
        wanted = fence.get(kind) if kind != "sheet" else fence.name
        raise fence.source.fault_at(str(fault), fence.at(kind), wanted) from fault
    return circuit


def _inline_sheet(fence: Fence) -> Circuit:
    """A sheet inside the lesson; its faults are told with their place in the lesson."""
    try:
        return read_sheet(fence.body, source=fence.source.name)
    except SheetError as fault:
        line = fence.line + fault.line
        text = fence.source.lines[line - 1] if line <= len(fence.source.lines) else ""
        indent = max(text.find(fault.text.strip()), 0) - max(
            len(fault.text) - len(fault.text.lstrip()), 0
        )
        raise fence.source.fault(
            fault.sentence, line, fault.column + max(indent, 0), fault.length
        ) from fault


@register(
    "circuit", "A circuit: schematic, operating point, level and values.", OPTIONS, body="sheet"
)
def circuit(fence: Fence, weaver: Weaver) -> Sequence[Block]:
    """Figure of a circuit with its point."""
    case = weaver.cases.stated_at(fence.line)
    point = weaver.cases.point(case.circuit, case.model, fence.line)
    with_values = fence.choice("show", ("values", "names")) == "values"
    words = fence.get("caption") or case.circuit.title or "The circuit"
    caption = weaver.words(words, fence.at("caption"))
    weaver.note(case, "as drawn", point)
    return [circuit_figure(weaver, case, point, caption, with_values=with_values)]
