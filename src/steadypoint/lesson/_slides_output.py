"""The output *slides*: a PDF, 16:9, and one HTML file to present from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from steadypoint.errors import UnknownNameError
from steadypoint.lesson._answers import arranged
from steadypoint.lesson._outputs import BuildOptions, register_output
from steadypoint.lesson._slides import Deck, Slide
from steadypoint.lesson._slides_html import Presentation
from steadypoint.lesson._slides_typst import SlideSet
from steadypoint.lesson._tree import Document
from steadypoint.publish import compile_typst

THEMES = ("projector", "light", "dark")


def slides_pdf(document: Document, *, answers: str = "", theme: str = "projector") -> bytes:
    """The slides of a lesson: a tagged PDF, 16:9, one step of the working a page.

    Parameters
    ----------
    document : Document
        The lesson.
    answers : {"", "with", "without", "apart"}
        Whether answers follow their exercise with their working, are left out, or stand at the
        end. By default a slide with the answer alone follows each exercise.
    theme : {"projector", "light", "dark"}
        Colours and strokes.

    Returns
    -------
    bytes
        The PDF. The same lesson gives the same bytes.

    Raises
    ------
    UnknownNameError
        If there is no such theme.
    OutputError
        If the document cannot be set.
    """
    shown, made = _deck(document, answers, theme)
    slides = SlideSet(shown, theme=theme)
    markup = slides.presentation(made)
    return compile_typst(markup, slides.pictures)


def slides_html(document: Document, *, answers: str = "", theme: str = "projector") -> str:
    """The slides of a lesson as one HTML file, presented full screen by keyboard.

    Parameters
    ----------
    document : Document
        The lesson.
    answers : {"", "with", "without", "apart"}
        As in `slides_pdf`.
    theme : {"projector", "light", "dark"}
        The theme that it opens with.

    Returns
    -------
    str
        HTML (living standard) with fonts, styles and script inside.

    Raises
    ------
    UnknownNameError
        If there is no such theme.
    """
    shown, made = _deck(document, answers, theme)
    return Presentation(shown, made, theme).html()


def _deck(document: Document, answers: str, theme: str) -> tuple[Document, Sequence[Slide]]:
    if theme not in THEMES:
        raise UnknownNameError(f"Slides have the theme {', '.join(THEMES)}, not '{theme}'.")
    shown = arranged(document, answers or "with")
    return shown, Deck(shown, key_steps=bool(answers)).made()


@register_output("slides", "-slides.pdf", "PDF for the projector, one step of the working a page")
def slides(document: Document, options: BuildOptions) -> Mapping[str, bytes]:
    """The slides' files."""
    pdf = slides_pdf(document, answers=options.answers, theme=options.theme)
    html = slides_html(document, answers=options.answers, theme=options.theme)
    return {"-slides.pdf": pdf, "-slides.html": html.encode("utf-8")}
