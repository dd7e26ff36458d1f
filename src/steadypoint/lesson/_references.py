"""Cross-references of a lesson: numbered figures, equations and exercises by their names."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from steadypoint.lesson._source import Source, suggestion
from steadypoint.lesson._tree import Target

KINDS: Final = ("figure", "equation", "exercise")
_REFERENCE: Final = re.compile(rf"({'|'.join(KINDS)})\s+(\S.*)\Z", re.IGNORECASE)
_WORDS: Final = {"figure": "Figure {}", "equation": "equation ({})", "exercise": "Exercise {}"}


@dataclass(frozen=True, slots=True)
class _Mention:
    """Where a name is spoken of: the words, their line and column."""

    words: str
    line: int
    column: int


@dataclass(slots=True)
class References:
    """Everything of a lesson that has a number, by kind and name.

    Parameters
    ----------
    source : Source
        The lesson's text.
    """

    source: Source
    _targets: dict[tuple[str, str], Target] = field(default_factory=dict)
    _mentions: dict[tuple[str, str], _Mention] = field(default_factory=dict)
    _names: dict[tuple[str, str], str] = field(default_factory=dict)

    def define(self, kind: str, names: Sequence[str], number: int, anchor: str, line: int) -> None:
        """Give a numbered thing its names; text before and after it may speak of it.

        Raises
        ------
        LessonError
            If the first name was given twice.
        """
        for place, name in enumerate(n for n in dict.fromkeys(names) if n):
            key = (kind, name.casefold())
            if key in self._names:
                if place:
                    continue
                raise self.source.fault_at(
                    f"Two {kind}s are called '{name}'. Give each a name of its own.", line, name
                )
            self._names[key] = name
            target = self._targets.setdefault(key, Target())
            target.words, target.anchor = _WORDS[kind].format(number), anchor

    def mention(self, raw: str, line: int, column: int) -> Target | None:
        """What ``figure divider`` and its like speak of; None when the words are no reference."""
        found = _REFERENCE.match(raw.strip())
        if found is None:
            return None
        key = (found[1].casefold(), found[2].strip().casefold())
        self._mentions.setdefault(
            key, _Mention(found[2].strip(), line, column + raw.find(found[2]))
        )
        return self._targets.setdefault(key, Target())

    def check(self) -> None:
        """Hold that everything spoken of is there.

        Raises
        ------
        LessonError
            At the first name that nothing has.
        """
        for (kind, name), at in self._mentions.items():
            if (kind, name) in self._names:
                continue
            known = [n for (k, _), n in self._names.items() if k == kind]
            otherwise = "" if known else " Give one a 'name:' first."
            raise self.source.fault(
                f"No {kind} is called '{at.words}'.{suggestion(at.words, known, otherwise)}",
                at.line,
                at.column,
                len(at.words),
            )
