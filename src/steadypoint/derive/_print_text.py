"""Plain text: ``I_B = (V_CC − V_BE)/R_B``."""

from __future__ import annotations

from steadypoint.derive._expr import Expr, Fraction, Number, PartName, Symbol
from steadypoint.derive._figures import figure, letters
from steadypoint.derive._printer import POWER, PRODUCT, Printer
from steadypoint.derive._step import Line, Prose

NO_BREAK = "\u202f"


class TextPrinter(Printer):
    """Unicode text on one line."""

    fraction_level = PRODUCT

    def symbol(self, expr: Symbol) -> str:
        name = letters(expr.name)
        return f"{name.base}_{name.sub}" if name.sub else name.base

    def part(self, expr: PartName) -> str:
        return expr.name

    def number(self, expr: Number) -> str:
        fig = figure(expr)
        return f"{fig.digits}{NO_BREAK}{fig.unit}" if fig.unit else fig.digits

    def fraction(self, expr: Fraction) -> str:
        return f"{self.show(expr.over, PRODUCT)}/{self.show(expr.under, POWER)}"

    def parallel(self, branches: list[str]) -> str:
        return " ∥ ".join(branches)

    def power(self, base: str, exponent: int) -> str:
        return base + "".join("⁰¹²³⁴⁵⁶⁷⁸⁹"[int(c)] if c != "-" else "⁻" for c in str(exponent))

    def function(self, name: str, argument: str) -> str:
        return f"|{argument}|" if name == "abs" else f"{name}({argument})"

    def relation(self, sides: list[str], sign: str) -> str:
        return f" {sign} ".join(sides)

    def brackets(self, text: str) -> str:
        return f"({text})"

    def plus(self) -> str:
        return " + "

    def minus(self, *, prefix: bool = False) -> str:
        return "−" if prefix else " − "

    def times(self, *, visible: bool) -> str:
        return " × " if visible else " "

    def line(self, line: Line) -> str:
        left = self.show(line.left)
        text = f"{left} {line.sign} {self.show(line.right)}"
        sign = "≈" if line.sign == "≈" else "="
        pad = " " * len(left)
        tail = ""
        if line.numbers is not None:
            tail += f" {sign} {self.show(line.numbers)}"
        if line.shown_result is not None:
            tail += f" {sign} {self.show(line.shown_result)}"
        return f"{text}\n{pad}{tail}" if tail else text

    def prose(self, prose: Prose) -> str:
        return "".join(p if isinstance(p, str) else self.show(p) for p in prose)


_PRINTER = TextPrinter()


def to_text(what: Expr | Line | Prose | str) -> str:
    """An expression, a line or prose as plain text.

    Parameters
    ----------
    what : Expr, Line, tuple of str and Expr, or str
        What to show.

    Returns
    -------
    str

    Examples
    --------
    >>> from steadypoint.derive import Fraction, Sum, Symbol
    >>> to_text(Fraction(Sum(((1, Symbol("VCC")), (-1, Symbol("V_BE")))), Symbol("RB")))
    '(V_CC − V_BE)/R_B'
    """
    return _PRINTER.any(what)
