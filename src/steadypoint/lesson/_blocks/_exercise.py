"""The block ``exercise``: a question on a circuit, its key with full working."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from steadypoint.derive import Derivation, Step
from steadypoint.errors import UnknownNameError
from steadypoint.lesson._blocks._registry import register
from steadypoint.lesson._blocks._working import working_of
from steadypoint.lesson._cases import Case
from steadypoint.lesson._names import equals, find
from steadypoint.lesson._options import Fence
from steadypoint.lesson._show import sentence_list
from steadypoint.lesson._stages import region_word, stages
from steadypoint.lesson._tree import Block, Exercise, Inline, Inlines, Paragraph, Steps, Text
from steadypoint.solve import OperatingPoint

if TYPE_CHECKING:
    from steadypoint.lesson._weave import Weaver

OPTIONS = {
    "ask": "quantities that the student should give, such as I_C, V_CE, region",
    "name": "what text calls it: {{exercise first}}",
    "of": "name of the circuit; the one above by default",
    "change": "values that differ, such as RB = 330k, beta = 80",
    "rung": "exact (default) or board",
    "marks": "marks for the whole question",
}


@register(
    "exercise",
    "A question on a circuit; its key with full working is computed.",
    OPTIONS,
    body="text",
)
def exercise(fence: Fence, weaver: Weaver) -> Sequence[Block]:
    """A question and its key."""
    if not fence.body:
        raise fence.source.fault_at(
            "An exercise needs a question. Write it under the options.", fence.line, fence.name
        )
    case = weaver.case_of(fence)
    changed = weaver.cases.changed(case, fence.get("change"), fence.at("change"))
    rung = fence.choice("rung", ("exact", "board"))
    point = weaver.cases.point(changed, rung, fence.line)
    asked, answers = _asked(fence, point)
    derivation = working_of(fence, weaver, changed)
    number = weaver.next_exercise()
    key: list[Block] = [Paragraph([*sentence_list(answers), Text(".")])]
    key.append(Steps(_answering(derivation), 1, f"Working of exercise {number}", changed))
    anchor = weaver.anchor(f"exercise {number}")
    names = [fence.get("name")]
    weaver.cases.references.define("exercise", names, number, anchor, fence.at("name"))
    # What the question says of values is said of the exercise's own circuit.
    with weaver.cases.inside(Case(case.name, changed, rung, fence.line)):
        question = weaver.blocks(fence.body, fence.line)
    return [Exercise(number, question, sentence_list(asked), key, anchor, fence.get("marks"))]


def _answering(derivation: Derivation) -> Sequence[Step]:
    """The steps up to the check of the region; what follows discusses and was not asked."""
    checks = [i for i, step in enumerate(derivation) if step.heading.startswith("Check")]
    return derivation[: checks[-1] + 1] if checks else tuple(derivation)


def _asked(fence: Fence, point: OperatingPoint) -> tuple[list[Inlines], list[Inlines]]:
    names = [name.strip() for name in fence.get("ask").split(",") if name.strip()]
    if not names:
        raise fence.source.fault_at(
            "An exercise asks for something. Add, for instance, 'ask: I_C, V_CE'.",
            fence.at("ask"),
            fence.name,
        )
    asked: list[Inlines] = []
    answers: list[Inlines] = []
    for name in names:
        if name.split(".")[-1] == "region":
            asked.append([Text("the region of operation")])
            answers.append(_region(point, name))
            continue
        try:
            found = find(point, name)
        except UnknownNameError as fault:
            raise fence.source.fault_at(str(fault), fence.at("ask"), name) from fault
        asked.append([found.letter])
        answers.append([equals(found.letter, found.amount(3))])
    return asked, answers


def _region(point: OperatingPoint, name: str) -> list[Inline]:
    owner = name.rpartition(".")[0] or next(iter(stages(point)), "")
    transistor = stages(point).get(owner)
    word = region_word(transistor) if transistor else "without transistor"
    return [Text(f"the transistor is {word}")]
