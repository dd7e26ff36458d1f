"""The output *handout*: a tagged PDF for print."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from steadypoint.lesson._answers import arranged
from steadypoint.lesson._outputs import BuildOptions, register_output
from steadypoint.lesson._tree import Document
from steadypoint.lesson._typst import Handout
from steadypoint.publish import compile_typst

STANDARDS: Final = ("ua-1", "a-2a")
"""What the handout holds: PDF/UA-1 (ISO 14289-1) and PDF/A-2a (ISO 19005-2)."""


def lesson_pdf(document: Document, *, answers: str = "apart") -> bytes:
    """The handout of a lesson: a tagged PDF for everybody and for archives (PDF/UA-1, PDF/A-2a).

    Parameters
    ----------
    document : Document
        The lesson.
    answers : {"apart", "with", "without"}
        Where the answers stand; apart means on their own pages at the end.

    Returns
    -------
    bytes
        The PDF. The same lesson gives the same bytes.

    Raises
    ------
    OutputError
        If the document cannot be set.
    """
    handout = Handout(arranged(document, answers))
    markup = handout.markup()
    return compile_typst(markup, handout.pictures, standard=STANDARDS)


@register_output("handout", ".pdf", "tagged PDF for print, answers on pages of their own")
def handout(document: Document, options: BuildOptions) -> Mapping[str, bytes]:
    """The handout's file."""
    return {".pdf": lesson_pdf(document, answers=options.answers or "apart")}
