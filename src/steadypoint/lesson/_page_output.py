"""The output *page*: one self-contained HTML file."""

from __future__ import annotations

from collections.abc import Mapping

from steadypoint.lesson._answers import arranged
from steadypoint.lesson._html import lesson_page
from steadypoint.lesson._outputs import BuildOptions, register_output
from steadypoint.lesson._tree import Document
from steadypoint.publish import page_html


def lesson_html(document: Document, *, answers: str = "folded") -> str:
    """The page of a lesson: one self-contained HTML text.

    Parameters
    ----------
    document : Document
        The lesson.
    answers : {"folded", "with", "without", "apart"}
        Where the answers stand.

    Returns
    -------
    str
        HTML (living standard).
    """
    return page_html(lesson_page(arranged(document, answers)))


@register_output("page", ".html", "one HTML file that needs nothing outside itself")
def page(document: Document, options: BuildOptions) -> Mapping[str, bytes]:
    """The page's file."""
    return {".html": lesson_html(document, answers=options.answers or "folded").encode("utf-8")}
