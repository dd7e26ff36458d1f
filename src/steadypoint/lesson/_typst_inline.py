"""Running text as typst markup."""

from __future__ import annotations

from typing import Any, Final

from steadypoint.derive import to_text, to_typst
from steadypoint.lesson._tree import (
    Amount,
    Code,
    Emphasis,
    Formula,
    Inline,
    Inlines,
    Letter,
    LineBreak,
    Link,
    PartLabel,
    Reference,
    Strong,
    Text,
    Together,
)
from steadypoint.publish import typst_string, typst_text

# Letters with which a function name would be misread stay strings.
_GREEK: Final = {"β": "beta", "α": "alpha", "Δ": "Delta"}


def inlines(content: Inlines) -> str:
    """Inlines as typst markup; everything from outside is escaped."""
    return "".join(_one(item) for item in content)


def _one(item: Inline) -> str:
    match item:
        case Text():
            return typst_text(item.text)
        case Emphasis():
            return f"#emph[{inlines(item.content)}]"
        case Strong():
            return f"#strong[{inlines(item.content)}]"
        case Code():
            return f"#raw({typst_string(item.text)})"
        case Link():
            return _link(item)
        case LineBreak():
            return "#linebreak()"
        case Letter():
            return f"#q({typst_string(item.base)}, {typst_string(item.sub)})"
        case PartLabel():
            return f"#ref-part({typst_string(item.base)}, {typst_string(item.sub)})"
        case Amount():
            return value(item)
        case Together():
            return f"#box[{inlines(item.content)}]"
        case Formula():
            return formula(item.expr)
        case Reference():
            words = typst_text(item.target.words.replace(" ", "\u00a0"))
            return f"#link(label({typst_string(item.target.anchor)}))[{words}]"


def _link(item: Link) -> str:
    words = inlines(item.content)
    # Only addresses outside can be followed on paper or screen; anchors and files beside the
    # lesson are words in the handout.
    if item.address.startswith(("http://", "https://")):
        return f"#link({typst_string(item.address)})[{words}]"
    return words


def value(amount: Amount) -> str:
    """A computed amount: number, narrow no-break space, unit."""
    return f"#amount({typst_string(amount.number)}, {typst_string(amount.unit)})"


def formula(expr: Any) -> str:
    """An expression of the working inside text, with its words for a screen reader."""
    return f"#maths({typst_string(str(to_text(expr)))}, ${to_typst(expr)}$)"


def prose(pieces: Any) -> str:
    """Prose of the working: words and expressions."""
    return "".join(typst_text(p) if isinstance(p, str) else formula(p) for p in pieces)
