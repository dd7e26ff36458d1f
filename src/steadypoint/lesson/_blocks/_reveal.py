"""The block ``reveal``: what is kept back until it is asked for."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from steadypoint.lesson._blocks._registry import register
from steadypoint.lesson._options import Fence
from steadypoint.lesson._tree import Block, Reveal

if TYPE_CHECKING:
    from steadypoint.lesson._weave import Weaver

OPTIONS = {"label": "what stands there before it opens, such as a question; 'Show' by default"}


@register(
    "reveal",
    "Text that opens on the page, has a slide of its own, and is printed in the handout.",
    OPTIONS,
    body="text",
)
def reveal(fence: Fence, weaver: Weaver) -> Sequence[Block]:
    """Text behind a label."""
    if not fence.body:
        raise fence.source.fault_at(
            "Nothing is revealed here. Write the text below the options.", fence.line, fence.name
        )
    label = weaver.words(fence.get("label") or "Show", fence.at("label"))
    return [Reveal(label, weaver.blocks(fence.body, fence.line))]
