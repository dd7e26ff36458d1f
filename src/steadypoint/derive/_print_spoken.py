"""Spoken text: what a screen reader says, and what the lecturer can read out."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from steadypoint.derive._document import price, with_symbols
from steadypoint.derive._expr import Expr, Fraction, Number, PartName, Symbol
from steadypoint.derive._figures import figure
from steadypoint.derive._numerals import figure_in_words, unit_in_words, whole_in_words
from steadypoint.derive._printer import PRODUCT, Printer
from steadypoint.derive._step import Line, Prose
from steadypoint.values import split_symbol

if TYPE_CHECKING:
    from steadypoint.derive._step import Derivation, Step

_SIGNS: Final = {
    "=": "equals",
    "≈": "is about",
    "<": "is less than",
    ">": "is greater than",
    "≪": "is much less than",
    "→": "tends to",
}

# What running text holds besides words; the longer signs first.
_IN_PROSE: Final = (
    (" → ", ", so "),
    ("↑", "rises"),
    ("↓", "falls"),
    ("≈", " is about "),
    ("≪", " is much less than "),
    (" = ", " equals "),
    (" < ", " is less than "),
    (" > ", " is greater than "),
    (" × ", " times "),
    (" + ", " plus "),
    (" − ", " minus "),
    ("∥", "in parallel with"),
    ("%", " percent"),
    ("–", " to "),
    ("Ω", "ohms"),
)
_FIGURE: Final = re.compile(r"(?<![\w.])[+−]?\d+(?:\.\d+)?(?![\w])")
_PAIR: Final = re.compile(r"(base|collector|emitter)–(base|collector|emitter)")
_DESIGNATOR: Final = re.compile(r"\b(?:[A-Z]{2,3}\d*|[A-Z]\d+)\b")

# IEC 60747-1 names of the quantities; only where the symbol is the whole of a left side.
_FULL: Final = (
    (re.compile(r"I_B\d*"), "base current"),
    (re.compile(r"I_C\d*"), "collector current"),
    (re.compile(r"I_E\d*"), "emitter current"),
    (re.compile(r"V_CE\d*"), "collector–emitter voltage"),
    (re.compile(r"V_EC\d*"), "emitter–collector voltage"),
    (re.compile(r"V_B\d*"), "base voltage"),
    (re.compile(r"V_C\d*"), "collector voltage"),
    (re.compile(r"V_E\d*"), "emitter voltage"),
    (re.compile(r"V_thev\w*"), "Thévenin voltage"),
    (re.compile(r"R_thev\w*"), "Thévenin resistance"),
)


def _letters(name: str) -> str:
    words = split_symbol(name).spoken.split()
    return " ".join(whole_in_words(int(w)) if w.isdigit() else w for w in words)


class SpokenPrinter(Printer):
    """English words only; brackets are announced where the ear would need them."""

    fraction_level = PRODUCT

    def symbol(self, expr: Symbol) -> str:
        return _letters(expr.name)

    def part(self, expr: PartName) -> str:
        return _letters(expr.name)

    def number(self, expr: Number) -> str:
        fig = figure(expr)
        words = figure_in_words(fig.digits)
        return f"{words} {unit_in_words(fig.unit, fig.digits)}" if fig.unit else words

    def fraction(self, expr: Fraction) -> str:
        over, under = self._long(expr.over), self._long(expr.under)
        if not over and not under:
            return f"{self.show(expr.over)} over {self.show(expr.under)}"
        return f"the fraction, {self.show(expr.over)}, over, {self.show(expr.under)}, end fraction"

    def _long(self, expr: Expr) -> bool:
        return not isinstance(expr, Symbol | Number)

    def parallel(self, branches: list[str]) -> str:
        return " in parallel with ".join(branches)

    def power(self, base: str, exponent: int) -> str:
        return base + (
            " squared" if exponent == 2 else f" to the power {figure_in_words(f'{exponent}')}"
        )

    def function(self, name: str, argument: str) -> str:
        called = {"abs": "the magnitude of", "ln": "the natural logarithm of"}
        return f"{called.get(name, 'the exponential of')} {argument}"

    def relation(self, sides: list[str], sign: str) -> str:
        return f" {_SIGNS.get(sign, sign)} ".join(sides)

    def brackets(self, text: str) -> str:
        return f"the quantity {text}, end quantity,"

    def plus(self) -> str:
        return " plus "

    def minus(self, *, prefix: bool = False) -> str:
        return "minus " if prefix else " minus "

    def times(self, *, visible: bool) -> str:
        return " times "

    def line(self, line: Line) -> str:
        left = self.show(line.left)
        named = self._named(line.left)
        text = f"{named}{left}{',' if named else ''} {_SIGNS.get(line.sign, line.sign)} "
        text += "zero" if line.right == Number(0.0) else self.show(line.right)
        if line.numbers is not None:
            text += f". In figures: {self.show(line.numbers)}"
        if line.shown_result is not None:
            text += f". That is {self.show(line.shown_result)}"
        return tidy(text) + "."

    def _named(self, left: Expr) -> str:
        if isinstance(left, Symbol):
            for pattern, words in _FULL:
                if pattern.fullmatch(left.name):
                    return f"The {spoken_words(words)}, "
        return ""

    def prose(self, prose: Prose) -> str:
        pieces = [p for q in prose for p in (with_symbols(q) if isinstance(q, str) else (q,))]
        return tidy(
            "".join(spoken_words(p) if isinstance(p, str) else self.show(p) for p in pieces)
        )


def spoken_words(text: str) -> str:
    """Running text with its signs, figures and designators in words."""
    text = _PAIR.sub(r"\1-\2", text)
    text = _FIGURE.sub(lambda found: figure_in_words(found[0]), text)
    for sign, words in _IN_PROSE:
        text = text.replace(sign, words)
    return _DESIGNATOR.sub(lambda found: _letters(found[0]), text)


def tidy(text: str) -> str:
    """One blank between words, none before a comma, no doubled commas."""
    text = re.sub(r"\s+", " ", text.replace("\u202f", " ").replace("\u00a0", " "))
    text = re.sub(r" +([,.;:])", r"\1", text)
    text = re.sub(r",+(?=[,.;:])", "", text)
    return text.strip()


_PRINTER = SpokenPrinter()


def to_spoken(what: Expr | Line | Prose | str) -> str:
    """An expression, a line or prose in words, for a screen reader or a script.

    Parameters
    ----------
    what : Expr, Line, tuple of str and Expr, or str
        What to say.

    Returns
    -------
    str

    Examples
    --------
    >>> from steadypoint.derive import Fraction, Number, Sum, Symbol
    >>> to_spoken(Number(14.8e-6, "A"))
    'fourteen point eight microamperes'
    >>> to_spoken(Fraction(Sum(((1, Symbol("VCC")), (-1, Symbol("V_BE")))), Symbol("RB")))
    'the fraction, V C C minus V B E, over, R B, end fraction'
    """
    return tidy(_PRINTER.any(what))


def spoken_amount(number: str, unit: str = "") -> str:
    """A written number and its unit in words.

    Parameters
    ----------
    number : str
        As it is shown, such as ``−1.54``.
    unit : str
        With its prefix, such as ``mA``; empty for a pure number.

    Returns
    -------
    str

    Examples
    --------
    >>> spoken_amount("−1.54", "V")
    'minus one point five four volts'
    """
    words = figure_in_words(number)
    return f"{words} {unit_in_words(unit, number)}" if unit else words


def spoken_document(derivation: Derivation) -> str:
    """The whole working in words, a paragraph for each step."""
    return "\n\n".join(_step(place, step) for place, step in enumerate(derivation, 1)) + "\n"


def _step(place: int, step: Step) -> str:
    said = [f"Step {whole_in_words(place)}. {to_spoken(step.heading).rstrip('?.')}."]
    if step.sentence:
        said.append(to_spoken(step.sentence))
    said += [to_spoken(line) for line in step.lines]
    if step.remark:
        said.append(to_spoken(step.remark))
    if step.approximation is not None:
        said.append(to_spoken(price(step.approximation)))
    return " ".join(s[0].upper() + s[1:] for s in said if s)
