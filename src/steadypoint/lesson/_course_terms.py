"""What a course's glossary and search page are made of: symbols used, sections with their words."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Final

from steadypoint.derive import Symbol
from steadypoint.lesson._tree import Document, Letter
from steadypoint.publish import Page
from steadypoint.values import split_symbol

# Fields that hold circuits and drawings, not what the reader reads.
_SILENT: Final = frozenset({"case", "cases", "circuit", "scene", "projected", "summary", "svg"})


@dataclass(frozen=True, slots=True)
class Section:
    """A stretch of a lesson under one heading.

    Parameters
    ----------
    anchor : str
        Where it begins on the page; empty for the lesson's head.
    heading : str
        Its heading.
    words : str
        What it says, as plain text.
    """

    anchor: str
    heading: str
    words: str


@cache
def terms() -> Mapping[str, tuple[str, str]]:
    """Meaning and unit of every symbol of the nomenclature."""
    text = files("steadypoint.lesson").joinpath("nomenclature.json").read_text(encoding="utf-8")
    return {name: (meaning, unit) for name, (meaning, unit) in json.loads(text).items()}


@cache
def _by_letters() -> Mapping[tuple[str, str], str]:
    found: dict[tuple[str, str], str] = {}
    for name in terms():
        parts = split_symbol(name)
        found.setdefault((parts.base, parts.sub), name)
    return found


def symbols_of_document(document: Document) -> Sequence[str]:
    """Symbols of the nomenclature that a lesson uses, in the order in which they come.

    A numbered symbol, such as I_C1 of the first transistor, counts as the plain one.
    """
    found: dict[str, None] = {}
    for base, sub in _letters(document):
        name = _by_letters().get((base, sub)) or _by_letters().get((base, re.sub(r"\d+$", "", sub)))
        if name is not None:
            found[name] = None
    return tuple(found)


def _letters(node: Any) -> Iterator[tuple[str, str]]:
    if isinstance(node, Letter):
        yield node.base, node.sub
    elif isinstance(node, Symbol):
        parts = split_symbol(node.name)
        yield parts.base, parts.sub
    elif isinstance(node, (list, tuple)):
        for each in node:
            yield from _letters(each)
    elif is_dataclass(node) and not isinstance(node, type):
        for field in fields(node):
            if field.name not in _SILENT:
                yield from _letters(getattr(node, field.name))


def sections_of_page(page: Page) -> Sequence[Section]:
    """The page's sections with their words, for the search."""
    pieces = re.split(r'(?=<h[23] id="[^"]+">)', page.body)
    found = []
    for piece in pieces:
        head = re.match(r'<h[23] id="([^"]+)">(.*?)</h[23]>', piece, re.DOTALL)
        anchor, heading = (head[1], _plain(head[2])) if head else ("", page.title)
        words = _plain(piece[head.end() :] if head else piece)
        if words or heading:
            found.append(Section(anchor, heading, words))
    return tuple(found)


def _plain(markup: str) -> str:
    text = re.sub(r"<(svg|math|style|script)\b.*?</\1>", " ", markup, flags=re.DOTALL)
    text = re.sub(r"</?(a|b|code|em|i|span|strong|sub|sup)\b[^>]*>", "", text)
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", text)).split())
