"""Running text in the document tree: words, symbols, computed values, references."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias


@dataclass(frozen=True, slots=True)
class Text:
    """Plain words."""

    text: str


@dataclass(frozen=True, slots=True)
class Emphasis:
    """Stressed words."""

    content: Sequence[Inline]


@dataclass(frozen=True, slots=True)
class Strong:
    """Strongly stressed words."""

    content: Sequence[Inline]


@dataclass(frozen=True, slots=True)
class Code:
    """Words shown as typed."""

    text: str


@dataclass(frozen=True, slots=True)
class Link:
    """A link; the address is relative or begins with http, https or a hash."""

    address: str
    content: Sequence[Inline]


@dataclass(frozen=True, slots=True)
class LineBreak:
    """A forced new line."""


@dataclass(frozen=True, slots=True)
class Letter:
    """A letter symbol such as V_CE: base in italics, subscript upright."""

    base: str
    sub: str = ""


@dataclass(frozen=True, slots=True)
class PartLabel:
    """The name of a part such as R_C: all upright."""

    base: str
    sub: str = ""


@dataclass(frozen=True, slots=True)
class Amount:
    """A computed number with its unit, already rounded."""

    number: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Together:
    """Inlines that stay on one line."""

    content: Sequence[Inline]


@dataclass(frozen=True, slots=True)
class Formula:
    """An expression of the working; printed by the printers of ``steadypoint.derive``."""

    expr: Any


@dataclass(slots=True)
class Target:
    """What a cross-reference leads to; filled when the lesson is woven that far."""

    words: str = ""
    anchor: str = ""


@dataclass(frozen=True, slots=True)
class Reference:
    """A cross-reference: the number of a figure, equation or exercise."""

    target: Target


Inline: TypeAlias = (
    Text
    | Emphasis
    | Strong
    | Code
    | Link
    | LineBreak
    | Letter
    | PartLabel
    | Amount
    | Together
    | Formula
    | Reference
)
Inlines: TypeAlias = Sequence[Inline]


def plain(content: Inlines) -> str:
    """The words of inlines without their look, for titles and names."""
    return "".join(_plain_one(item) for item in content)


def _plain_one(item: Inline) -> str:
    match item:
        case Text() | Code():
            return item.text
        case Emphasis() | Strong() | Link() | Together():
            return plain(item.content)
        case Letter() | PartLabel():
            return f"{item.base}{item.sub}"
        case Amount():
            return f"{item.number}\u202f{item.unit}" if item.unit else item.number
        case Reference():
            return item.target.words
        case LineBreak():
            return " "
        case Formula():
            from steadypoint.derive import to_text

            return str(to_text(item.expr))
