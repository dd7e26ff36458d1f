"""The block ``note for the speaker``: words that only the speaker sees."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from steadypoint.lesson._blocks._registry import register
from steadypoint.lesson._options import Fence
from steadypoint.lesson._tree import Block, SpeakerNote

if TYPE_CHECKING:
    from steadypoint.lesson._weave import Weaver


@register(
    "note for the speaker", "Words for the script and the speaker's view only.", {}, body="text"
)
def speaker_note(fence: Fence, weaver: Weaver) -> Sequence[Block]:
    """A note that page, handout and student page leave out."""
    if not fence.body:
        raise fence.source.fault_at(
            "This note is empty. Write its words between the fences.", fence.line, fence.name
        )
    return [SpeakerNote(weaver.blocks(fence.body, fence.line))]
