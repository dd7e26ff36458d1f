"""Where the answers of a lesson's exercises stand: with each, without, or apart at the end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from steadypoint.errors import UnknownNameError
from steadypoint.lesson._outputs import ANSWERS
from steadypoint.lesson._tree import Answers, Block, Document, Exercise


def arranged(document: Document, answers: str) -> Document:
    """A document with its answers shown in one way.

    Parameters
    ----------
    document : Document
        The lesson.
    answers : {"folded", "with", "without", "apart"}
        ``folded`` leaves each answer to be opened at its exercise where an output can do that.

    Raises
    ------
    UnknownNameError
        If ``answers`` is none of these.
    """
    if answers == "folded":
        return document
    if answers not in ANSWERS:
        raise UnknownNameError(
            f"Answers are shown {', '.join(ANSWERS[:-1])} or {ANSWERS[-1]}, not '{answers}'."
        )
    state = "open" if answers == "with" else "held back"
    blocks: list[Block] = [
        replace(b, answer=state) if isinstance(b, Exercise) else b for b in document.blocks
    ]
    keys = exercises(document.blocks)
    if answers == "apart" and keys:
        blocks.append(Answers(keys))
    return replace(document, blocks=blocks)


def exercises(blocks: Sequence[Block]) -> list[Exercise]:
    """The exercises among some blocks."""
    return [b for b in blocks if isinstance(b, Exercise)]
