"""The page: one self-contained HTML file."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import Final

from steadypoint.publish._atomic import write_atomic
from steadypoint.publish._fonts import font_css
from steadypoint.publish._tokens import style_text, tokens_css

BRAND: Final = (
    '<svg class="brandmark" viewBox="0 0 40 20" aria-hidden="true" focusable="false">'
    '<rect x="1.2" y="2" width="37.6" height="16" rx="4"/><path d="M14 3v14M26 3v14"/>'
    '<circle cx="20" cy="10" r="4.2"/></svg>'
)
_ICON: Final = (
    "data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 40 40'%3E"
    "%3Crect x='1.5' y='11.5' width='37' height='17' rx='5' fill='none' stroke='%230a635b' "
    "stroke-width='3'/%3E%3Ccircle cx='20' cy='20' r='4.5' fill='%230a635b'/%3E%3C/svg%3E"
)


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the contents.

    Parameters
    ----------
    anchor : str
        Identifier of the heading on the page.
    label : str
        Its text as HTML.
    """

    anchor: str
    label: str


@dataclass(frozen=True, slots=True)
class Page:
    """What a page consists of.

    Parameters
    ----------
    title : str
        Title as plain text.
    body : str
        Content of ``main`` as HTML.
    head : str
        Content of the page's header as HTML: at least the first heading.
    contents : sequence of Entry
        Headings for the list of contents.
    language : str
        Language tag (BCP 47).
    author, description : str
        For the page's metadata; plain text.
    style : str
        Style rules that the content brings, for instance those of its figures.
    """

    title: str
    body: str
    head: str
    contents: Sequence[Entry] = ()
    language: str = "en"
    author: str = ""
    description: str = ""
    style: str = ""


def page_html(page: Page) -> str:
    """The whole HTML text of a page; it asks for nothing outside itself.

    Parameters
    ----------
    page : Page
        Its parts.

    Returns
    -------
    str
        HTML (living standard), style and fonts inside.
    """
    shown = f"{page.head}{page.body}{page.title}" + "".join(e.label for e in page.contents)
    style = _tight("\n".join((tokens_css(), style_text("page.css"), page.style)))
    meta = "".join(
        f'<meta name="{name}" content="{escape(text)}">\n'
        for name, text in (("author", page.author), ("description", page.description))
        if text
    )
    return (
        f'<!DOCTYPE html>\n<html lang="{escape(page.language)}">\n<head>\n'
        '<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(page.title)}</title>\n{meta}"
        '<meta name="generator" content="Steadypoint">\n'
        f'<link rel="icon" href="{_ICON}">\n'
        f"<style>\n{font_css(shown)}\n{style}\n</style>\n</head>\n<body>\n"
        '<a class="skip" href="#lesson">Skip to the lesson</a>\n'
        f'<header class="head">{page.head}</header>\n'
        f'<div class="sheet">\n{_contents(page.contents)}'
        f'<main id="lesson" tabindex="-1">\n{page.body}\n</main>\n</div>\n'
        f'<footer class="foot"><p>{BRAND} Every figure and number here was computed from the '
        "circuit by Steadypoint.</p></footer>\n</body>\n</html>\n"
    )


def write_page(path: str | Path, page: Page) -> Path:
    """Write a page as one file.

    Parameters
    ----------
    path : str or pathlib.Path
        The file.
    page : Page
        Its parts.

    Returns
    -------
    pathlib.Path
        The path that was written.

    Raises
    ------
    OutputError
        If the file cannot be written.
    """
    return write_atomic(path, page_html(page).encode("utf-8"))


def _contents(entries: Sequence[Entry]) -> str:
    if not entries:
        return ""
    items = "".join(f'<li><a href="#{escape(e.anchor)}">{e.label}</a></li>\n' for e in entries)
    return (
        '<nav class="contents" aria-labelledby="contents-title">'
        '<h2 id="contents-title">In this lesson</h2>\n'
        f"<ol>\n{items}</ol></nav>\n"
    )


def _tight(css: str) -> str:
    """Style rules without comments and indents."""
    css = re.sub(r"/\*.*?\*/", "", css, flags=re.DOTALL)
    return "\n".join(line.strip() for line in css.splitlines() if line.strip())
