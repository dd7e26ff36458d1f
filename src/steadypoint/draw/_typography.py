"""How symbols and quantities are set: italic letter, upright subscript, thin space, unit."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from steadypoint.circuit import Kind, Part
from steadypoint.draw._scene import Span
from steadypoint.values import Quantity, shown, split_symbol

NAME: Final = 14.0
SUB: Final = 10.5
MATH: Final = 15.4
SMALL: Final = 13.0
_THIN: Final = "\u202f"
_ITALIC: Final = {"h": "ℎ", "β": "𝛽", "α": "𝛼", "π": "𝜋", "η": "𝜂", "Δ": "𝛥"}


def italic(letter: str) -> str:
    """The letter of the mathematical italic alphabet (Unicode, block U+1D400)."""
    if letter in _ITALIC:
        return _ITALIC[letter]
    if "A" <= letter <= "Z":
        return chr(0x1D434 + ord(letter) - ord("A"))
    if "a" <= letter <= "z":
        return chr(0x1D44E + ord(letter) - ord("a"))
    return letter


def quantity_symbol(symbol: str, scale: float = 1.0) -> tuple[Span, ...]:
    """A quantity: ``V_CE`` as italic V with lowered upright CE."""
    parts = split_symbol(symbol)
    spans = [Span("".join(italic(c) for c in parts.base), "math", MATH * scale)]
    if parts.sub:
        spans.append(Span(parts.sub, size=SUB * scale, drop=4.0 * scale))
    return tuple(spans)


def designator(name: str) -> tuple[Span, ...]:
    """A reference designator: upright, ``RC`` with lowered C."""
    parts = split_symbol(name)
    spans = [Span(parts.base, size=NAME)]
    if parts.sub:
        spans.append(Span(parts.sub, size=SUB, drop=4.0))
    return tuple(spans)


def number(
    value: float, unit: str, digits: int = 3, *, gap: float = 0.0, size: float = NAME
) -> tuple[Span, ...]:
    """Number and unit with the prefix that reads best."""
    text = shown(value, unit, digits)
    spans = [Span(text.number, size=size, weight="num", gap=gap)]
    if text.unit:
        spans.append(Span(_THIN + text.unit, size=size))
    return tuple(spans)


def round_number(value: float, unit: str, digits: int = 3, *, gap: float = 0.0) -> tuple[Span, ...]:
    """Number and unit without zeros that say nothing, for round values and given ones."""
    figures, unit = trimmed(Quantity(value, unit, digits))
    return (Span(figures, weight="num", gap=gap), Span(_THIN + unit))


def plain_number(value: float, unit: str, digits: int = 3, *, trim: bool = False) -> str:
    """Number and unit as one plain text."""
    figures, unit_ = shown(value, unit, digits)
    if trim:
        figures, unit_ = trimmed(Quantity(value, unit, digits))
    return f"{figures}{_THIN}{unit_}" if unit_ else figures


def trimmed(quantity: Quantity) -> tuple[str, str]:
    """Number and unit of a given value, without zeros that say nothing (3.90 kΩ is 3.9 kΩ)."""
    text = shown(quantity.value, quantity.unit, max(3, quantity.digits or 3))
    figures = text.number
    if "." in figures:
        figures = figures.rstrip("0").rstrip(".")
    return figures, text.unit


def given(quantity: Quantity, *, as_written: bool = False, gap: float = 0.0) -> tuple[Span, ...]:
    """A given value: with its unit, or as its author wrote it."""
    if as_written and quantity.written:
        return (Span(quantity.written, weight="num", gap=gap),)
    figures, unit = trimmed(quantity)
    spans = [Span(figures, weight="num", gap=gap)]
    if unit:
        spans.append(Span(_THIN + unit))
    return tuple(spans)


def value_line(part: Part, *, as_written: bool = False) -> tuple[Span, ...]:
    """Second line of a part's label: its value, its type, beta, or what opens a channel."""
    if part.kind.is_fet:
        return _channel_line(part)
    if part.kind.is_transistor:
        if part.type_name:
            return (Span(part.type_name, weight="num"),)
        for symbol, quantity in part.options:
            if symbol == "beta":
                return (*quantity_symbol("beta"), *given(quantity, gap=5.0))
        return ()
    if part.value is not None:
        return given(part.value, as_written=as_written)
    text = part.type_name or part.colour
    return (Span(text, weight="num"),) if text else ()


_OPENS: Final = ("I_DSS", "K", "V_GS_off", "V_GS_th")


def _channel_line(part: Part) -> tuple[Span, ...]:
    if part.type_name:
        return (Span(part.type_name, weight="num"),)
    stated = dict(part.options)
    for symbol in _OPENS:
        if symbol in stated:
            return (*quantity_symbol(symbol), *given(stated[symbol], gap=5.0))
    return ()


def larger(line: tuple[Span, ...], k: float) -> tuple[Span, ...]:
    """A line in another size, the gap before a region's glyph left as it is."""
    if k == 1.0:
        return line
    return tuple(replace(s, size=s.size * k, drop=s.drop * k) for s in line)


def spoken_value(part: Part) -> str:
    """The value in plain text, for descriptions."""
    if part.kind.is_fet:
        stated = [(s, " ".join(trimmed(q))) for s, q in part.options if s in _OPENS]
        return ", ".join([*([part.type_name] if part.type_name else []), *map(" ".join, stated)])
    if part.kind.is_transistor:
        beta = dict(part.options).get("beta")
        words = part.type_name or ""
        if beta is not None:
            figures = trimmed(beta)[0]
            words = f"{words}, β = {figures}" if words else f"β = {figures}"
        return words
    if part.value is None:
        return part.type_name
    figures, unit = trimmed(part.value)
    return f"{figures} {unit}".strip()


def part_word(part: Part) -> str:
    """The word for a part in a sentence: ``resistor``, ``NTC thermistor``, ``red LED``."""
    if "LED" in part.traits:
        return f"{part.colour} LED".strip()
    sort = next((t for t in ("NTC", "PTC") if t in part.traits), "")
    return f"{sort} thermistor" if sort else kind_word(part.kind)


def kind_word(kind: Kind) -> str:
    """The word for a kind in a sentence."""
    if kind.is_bipolar:
        return f"{kind.value} transistor"
    return {Kind.ZENER: "zener diode"}.get(kind, kind.value)
