"""Running text: words, symbols that are set as symbols, computed values."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

from markdown_it.tree import SyntaxTreeNode

from steadypoint.lesson._cases import Cases
from steadypoint.lesson._names import letter, part_label
from steadypoint.lesson._tree import (
    Code,
    Emphasis,
    Inline,
    Letter,
    LineBreak,
    Link,
    PartLabel,
    Strong,
    Text,
)
from steadypoint.lesson._values import Place, computed

_SCHEME: Final = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:")
_WORD: Final = re.compile(r"β(?:_\w+)?|[A-Za-z][A-Za-z0-9]*(?:_[A-Za-z0-9]+)*")
_SYMBOL: Final = re.compile(r"[VIPRGCvirgcp]_[A-Za-z][A-Za-z0-9]{0,4}(_[a-z0-9]{1,4})?\Z")


@dataclass(slots=True)
class Inliner:
    """Reads the inline content of one block.

    Parameters
    ----------
    cases : Cases
        The circuits of the lesson.
    span : tuple of int
        First line and line after the last of the block, from 0.
    """

    cases: Cases
    span: tuple[int, int]
    _line: int = field(init=False)
    _column: int = 0

    def __post_init__(self) -> None:
        self._line = self.span[0]

    def read(self, nodes: Sequence[SyntaxTreeNode]) -> Sequence[Inline]:
        """The inlines of some nodes."""
        return [inline for node in nodes for inline in self._one(node)]

    def _one(self, node: SyntaxTreeNode) -> Sequence[Inline]:
        match node.type:
            case "text":
                return list(set_symbols(node.content, self._parts()))
            case "softbreak":
                return [Text(" ")]
            case "hardbreak":
                return [LineBreak()]
            case "em":
                return [Emphasis(self.read(node.children))]
            case "strong":
                return [Strong(self.read(node.children))]
            case "code_inline":
                return [Code(node.content)]
            case "link":
                return [Link(self._address(node), self.read(node.children))]
            case "computed":
                return self._computed(node)
            case "image":
                address = str(node.attrs.get("src", ""))
                raise self._fault_near("A picture stands in a paragraph of its own.", address)
            case _:
                return [Text(node.content)]

    def _parts(self) -> dict[str, bool]:
        """Names of the parts of all circuits; True for supplies."""
        return {
            part.name: part.kind.value == "supply"
            for case in self.cases.cases
            for part in case.circuit.parts
        }

    def _computed(self, node: SyntaxTreeNode) -> Sequence[Inline]:
        raw = node.content
        closed = bool(node.meta.get("closed"))
        place = self._place("{{" + raw + "}}" if closed else "{{")
        if not closed:
            sentence = "These braces are not closed in their line. Write {{I_C}}."
            raise self.cases.source.fault(sentence, place.line, place.column - 2, 2)
        return computed(self.cases, raw, place)

    def _place(self, words: str) -> Place:
        """Where some words stand, searched from the place found last."""
        lines = self.cases.source.lines
        for number in range(self._line, min(self.span[1], len(lines))):
            start = self._column if number == self._line else 0
            column = lines[number].find(words, start)
            if column >= 0:
                self._line, self._column = number, column + len(words)
                return Place(number + 1, column + 3)
        return Place(self.span[0] + 1, 1)

    def _address(self, node: SyntaxTreeNode) -> str:
        address = str(node.attrs.get("href", ""))
        scheme = _SCHEME.match(address)
        if scheme and scheme[0].casefold() not in ("http:", "https:"):
            raise self._fault_near(
                f"A link goes to http, https or a file beside the lesson, not '{scheme[0]}'.",
                address,
            )
        if address.startswith(("//", "\\")) or "\\" in address:
            raise self._fault_near("A link outside begins with https://.", address)
        return address

    def _fault_near(self, sentence: str, words: str) -> Exception:
        source = self.cases.source
        for number in range(self.span[0], min(self.span[1], len(source.lines))):
            column = source.lines[number].find(words)
            if column >= 0:
                return source.fault(sentence, number + 1, column + 1, len(words))
        return source.fault(sentence, self.span[0] + 1)


def set_symbols(text: str, parts: dict[str, bool]) -> Iterator[Inline]:
    """Words with the letter symbols and the names of parts among them set as such.

    Parameters
    ----------
    text : str
        Words of the lesson.
    parts : dict of str to bool
        Names of parts; True when the name is that of a supply and set like a quantity.
    """
    done = 0
    for match in _WORD.finditer(text):
        found = _symbol(match[0], parts)
        if found is None:
            continue
        if match.start() > done:
            yield Text(text[done : match.start()])
        yield found
        done = match.end()
    if done < len(text):
        yield Text(text[done:])


def _symbol(word: str, parts: dict[str, bool]) -> Letter | PartLabel | None:
    if word in parts:
        return letter(word) if parts[word] else part_label(word)
    if word[0] == "β":
        return letter("beta" + word[1:])
    return letter(word) if _SYMBOL.match(word) else None
