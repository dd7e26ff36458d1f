"""The inside of a fenced block: options line by line, then a body."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from steadypoint.lesson._source import Source, suggestion

_OPTION: Final = re.compile(r"^\s*([A-Za-z][A-Za-z ]*?)\s*:\s*(.*?)\s*$")


@dataclass(frozen=True, slots=True)
class Option:
    """One option: what it says and the line it stands in."""

    text: str
    line: int


@dataclass(frozen=True, slots=True)
class Fence:
    """A fenced block as read.

    Parameters
    ----------
    name : str
        Name of the block.
    line : int
        Line of its opening fence, from 1.
    options : mapping of str to Option
        Its options.
    body : str
        What follows the options. Body lines keep their place: as many empty lines stand before
        them as option lines went.
    """

    source: Source
    name: str
    line: int
    options: Mapping[str, Option] = field(default_factory=dict)
    body: str = ""

    def get(self, key: str, default: str = "") -> str:
        """Text of an option."""
        option = self.options.get(key)
        return option.text if option else default

    def at(self, key: str) -> int:
        """Line of an option, or of the fence."""
        option = self.options.get(key)
        return option.line if option else self.line

    def choice(self, key: str, known: tuple[str, ...]) -> str:
        """Text of an option that knows few words; the first of them when it is not there.

        Raises
        ------
        LessonError
            If the option says something else.
        """
        text = self.get(key, known[0]).casefold()
        if text in known:
            return text
        words = ", ".join(known[:-1]) + f" or {known[-1]}" if len(known) > 1 else known[0]
        raise self.source.fault_at(
            f"'{key}' is {words}, not '{self.get(key)}'.", self.at(key), self.get(key)
        )


def read_fence(
    source: Source, name: str, line: int, content: str, known: tuple[str, ...], *, body: str
) -> Fence:
    """Options and body of a fenced block.

    Parameters
    ----------
    source : Source
        The lesson.
    name : str
        Name of the block.
    line : int
        Line of the opening fence, from 1.
    content : str
        What stands between the fences.
    known : tuple of str
        Options that the block understands.
    body : str
        ``none`` when the block has no body, ``text`` for words, ``sheet`` for a circuit sheet.

    Raises
    ------
    LessonError
        If an option is unknown or given twice.
    """
    options: dict[str, Option] = {}
    lines = content.split("\n")
    taken = 0
    for offset, text in enumerate(lines):
        at = line + 1 + offset
        found = _OPTION.match(text)
        key = found[1].casefold() if found else ""
        if found and key in known and not (body == "sheet" and key == "title"):
            if key in options:
                raise source.fault_at(f"'{key}' stands here twice. Keep one.", at, found[1])
            options[key] = Option(found[2], at)
        elif not text.strip() and body != "text":
            pass
        elif body == "none" or (found and _meant(key, known, body)):
            raise _unknown(source, name, at, text, known)
        else:
            break
        taken = offset + 1
    rest = "\n".join([""] * taken + lines[taken:])
    return Fence(source, name, line, options, rest if rest.strip() else "")


def _meant(key: str, known: tuple[str, ...], body: str) -> bool:
    from difflib import get_close_matches

    if body == "sheet" and key in ("title", "temperature"):
        return False
    return bool(get_close_matches(key, known, n=1, cutoff=0.75))


def _unknown(
    source: Source,
    name: str,
    line: int,
    text: str,
    known: tuple[str, ...],
) -> Exception:
    found = _OPTION.match(text)
    if found:
        hint = suggestion(found[1], known)
        return source.fault_at(f"'{name}' has no option '{found[1]}'.{hint}", line, found[1])
    example = f"{known[0]}: ..."
    return source.fault_at(
        f"'{name}' takes one option a line, such as '{example}'.", line, text.strip()
    )
