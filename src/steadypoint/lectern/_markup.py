"""Small pieces of HTML: symbols, quantities, sentences. Everything from outside is escaped here."""

from __future__ import annotations

import re
from html import escape
from typing import Final

from steadypoint.values import shown, split_symbol

_STYLE: Final = re.compile(r"<style>.*?</style>", re.DOTALL)
_SYMBOL: Final = re.compile(r"\b([VIRPgrhβ]_[A-Za-z0-9]+(?:_[a-z]+)?)\b")
_UNITS: Final = {
    "A": "amps",
    "V": "volts",
    "W": "watts",
    "Ω": "ohms",
    "F": "farads",
    "H": "henries",
    "%": "percent",
}
_PREFIXES: Final = {"p": "pico", "n": "nano", "µ": "micro", "m": "milli", "k": "kilo", "M": "mega"}


def symbol(name: str) -> str:
    """A letter symbol as it is set."""
    return f'<span class="nm">{split_symbol(name).html}</span>'


def designator(name: str) -> str:
    """The name of a part, upright with its subscript."""
    parts = split_symbol(name)
    sub = f"<sub>{escape(parts.sub)}</sub>" if parts.sub else ""
    return f'<span class="ref">{escape(parts.base)}{sub}</span>'


def words(text: str) -> str:
    """A sentence with its letter symbols set."""
    pieces = _SYMBOL.split(text)
    return "".join(symbol(p) if i % 2 else escape(p) for i, p in enumerate(pieces))


def quantity(value: float, unit: str, digits: int | None = 3) -> str:
    """A figure with a lighter unit."""
    parts = shown(value, unit, digits)
    tail = f'<span class="u">{escape(parts.unit)}</span>' if parts.unit else ""
    return f'<span class="nb">{escape(parts.number)}{tail}</span>'


def spoken(value: float, unit: str, digits: int = 3) -> str:
    """A quantity in words for the live region: ``1.27 milliamps``."""
    parts = shown(value, unit, digits)
    number = parts.number.replace("\u2212", "minus ")
    if not parts.unit or not parts.unit.endswith(unit):
        return f"{number} {parts.unit}".strip()
    prefix = parts.unit.removesuffix(unit)
    return f"{number} {_PREFIXES.get(prefix, prefix)}{_UNITS.get(unit, unit)}"


def figure(svg: str, *, name: str = "") -> str:
    """A drawing for the page: its style rules are in the style sheet of the lectern already."""
    svg = _STYLE.sub("", svg)
    return svg.replace('class="steady-figure', f'class="{name} steady-figure', 1) if name else svg


def mathml(text: str) -> str:
    """Mathematics without style attributes, which the content policy refuses."""
    text = text.replace(' style="text-align:right;padding-right:0"', ' class="left"')
    text = text.replace(' style="text-align:left;padding-left:0"', ' class="right"')
    # A product is set with a thin gap, as on the board; browsers give invisible times none.
    return text.replace("<mo>\u2062</mo>", '<mo lspace="0.07em" rspace="0.07em">\u2062</mo>')


def radios(legend: str, name: str, options: dict[str, str], chosen: str) -> str:
    """A row of radio buttons that reads as one choice."""
    rows = "".join(
        f'<label><input type="radio" name="{name}" value="{escape(value)}"'
        f"{' checked' if value == chosen else ''}><span>{escape(label)}</span></label>"
        for value, label in options.items()
    )
    return f'<fieldset class="pick"><legend class="vh">{escape(legend)}</legend>{rows}</fieldset>'


def head(title: str, controls: str = "") -> str:
    """The heading of an area with its controls."""
    name = f'<h2 id="areaname" tabindex="-1">{escape(title)}</h2>'
    return f'<div class="areahead">{name}{controls}</div>'


def empty(big: str, small: str, button: str = "") -> str:
    """What stands where there is nothing to show: what is missing and one thing to do."""
    return f'<div class="empty"><p class="big">{words(big)}</p><p>{words(small)}</p>{button}</div>'


def fault_block(sentence: str) -> str:
    """A fault in one sentence, with its line where it has one."""
    rows = sentence.split("\n")
    if len(rows) < 3:
        return f'<p class="faultline">{words(sentence)}</p>'
    code = "\n".join(escape(row) for row in rows[1:-1])
    return (
        f'<p class="faulthead">{escape(rows[0])}</p><pre>{code}</pre>'
        f'<p class="faultline">{words(rows[-1])}</p>'
    )
