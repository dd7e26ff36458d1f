"""Running text as HTML."""

from __future__ import annotations

from html import escape

from steadypoint.derive import to_mathml
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


def inlines(content: Inlines) -> str:
    """Inlines as HTML; everything from outside is escaped."""
    return "".join(_one(item) for item in content)


def _one(item: Inline) -> str:
    match item:
        case Text():
            return escape(item.text, quote=False)
        case Emphasis():
            return f"<em>{inlines(item.content)}</em>"
        case Strong():
            return f"<strong>{inlines(item.content)}</strong>"
        case Code():
            return f"<code>{escape(item.text, quote=False)}</code>"
        case Link():
            return f'<a href="{escape(item.address)}">{inlines(item.content)}</a>'
        case LineBreak():
            return "<br>"
        case Letter():
            return _letter(item)
        case PartLabel():
            return f'<span class="ref">{escape(item.base)}{_sub(item.sub)}</span>'
        case Amount():
            return value(item)
        case Together():
            return f'<span class="nb">{inlines(item.content)}</span>'
        case Formula():
            return str(to_mathml(item.expr))
        case Reference():
            words = escape(item.target.words).replace(" ", "\u00a0")
            return f'<a href="#{item.target.anchor}">{words}</a>'


def _letter(item: Letter) -> str:
    base = f"<mi>{escape(item.base)}</mi>"
    if not item.sub:
        return f'<math class="q">{base}</math>'
    sub = f'<mi mathvariant="normal">{escape(item.sub)}</mi>'
    return f'<math class="q"><msub>{base}{sub}</msub></math>'


def _sub(sub: str) -> str:
    return f"<sub>{escape(sub)}</sub>" if sub else ""


def value(amount: Amount) -> str:
    """A computed amount: number, narrow no-break space, unit in a lighter tone."""
    number = escape(amount.number)
    if not amount.unit:
        return f'<span class="v">{number}</span>'
    return f'<span class="v">{number}\u202f<span class="u">{escape(amount.unit)}</span></span>'
