"""HTML of our own pages as well-formed XML, for readers of electronic books."""

from __future__ import annotations

from html import escape
from html.parser import HTMLParser
from typing import Final

_VOID: Final = frozenset({"br", "hr", "img", "input", "meta", "link", "wbr", "col"})
_SPACES: Final = {
    "svg": "http://www.w3.org/2000/svg",
    "math": "http://www.w3.org/1998/Math/MathML",
}


class _Writer(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.out: list[str] = []
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._start(tag, attrs, closed=tag in _VOID)
        if tag not in _VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._start(tag, attrs, closed=True)

    def _start(self, tag: str, attrs: list[tuple[str, str | None]], *, closed: bool) -> None:
        given = {name: name if value is None else value for name, value in attrs}
        if tag in _SPACES:
            given.setdefault("xmlns", _SPACES[tag])
        text = "".join(f' {_case(name)}="{escape(value)}"' for name, value in given.items())
        self.out.append(f"<{tag}{text}{'/' if closed else ''}>")

    def handle_endtag(self, tag: str) -> None:
        if tag in _VOID or tag not in self.open:
            return
        while self.open:
            last = self.open.pop()
            self.out.append(f"</{last}>")
            if last == tag:
                return

    def handle_data(self, data: str) -> None:
        self.out.append(escape(data, quote=False))


_CASED: Final = {"viewbox": "viewBox", "preserveaspectratio": "preserveAspectRatio"}


def _case(name: str) -> str:
    """Attributes of SVG keep their capitals, which the parser of HTML makes small."""
    return _CASED.get(name, name)


def to_xhtml(markup: str) -> str:
    """A fragment of HTML as XML.

    Parameters
    ----------
    markup : str
        As our own printers write it.

    Returns
    -------
    str
        The same elements, every one closed, every attribute with its value.

    Examples
    --------
    >>> to_xhtml("<p>a<br>b &amp; <details open>c</details></p>")
    '<p>a<br/>b &amp; <details open="open">c</details></p>'
    """
    writer = _Writer()
    writer.feed(markup)
    writer.close()
    while writer.open:
        writer.out.append(f"</{writer.open.pop()}>")
    return "".join(writer.out)
