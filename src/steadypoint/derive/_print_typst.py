"""Typst: ``I_"B" = (V_"CC" - V_"BE") / R_"B"``."""

from __future__ import annotations

from typing import Final

from steadypoint.derive._expr import Expr, Fraction, Number, PartName, Symbol
from steadypoint.derive._figures import figure, letters
from steadypoint.derive._printer import Printer
from steadypoint.derive._step import Line, Prose

_BASES: Final = {"β": "beta", "α": "alpha"}
_SIGNS: Final = {"≈": "approx", "→": "arrow.r", "≪": "<<", "≫": ">>", "≥": ">=", "≤": "<="}
_SPECIAL: Final = str.maketrans({c: "\\" + c for c in r"\#$*_`<>@[]~/"})


class TypstPrinter(Printer):
    """Mathematics in Typst's own notation; prose as markup."""

    def symbol(self, expr: Symbol) -> str:
        name = letters(expr.name)
        base = _BASES.get(name.base, name.base if len(name.base) == 1 else f'"{name.base}"')
        return f'{base}_"{name.sub}"' if name.sub else base

    def part(self, expr: PartName) -> str:
        name = letters(expr.name)
        return f'upright("{name.base}")' + (f'_"{name.sub}"' if name.sub else "")

    def number(self, expr: Number) -> str:
        fig = figure(expr)
        digits = fig.digits.replace("−", "-")
        if "×" in digits:
            mantissa, _, exponent = digits.partition(" × 10^")
            digits = f"{mantissa} times 10^({exponent})"
        return f'{digits} thin upright("{fig.unit}")' if fig.unit else digits

    def fraction(self, expr: Fraction) -> str:
        return f"frac({self.show(expr.over)}, {self.show(expr.under)})"

    def parallel(self, branches: list[str]) -> str:
        return " parallel ".join(branches)

    def power(self, base: str, exponent: int) -> str:
        return f"{base}^({exponent})"

    def function(self, name: str, argument: str) -> str:
        return f"abs({argument})" if name == "abs" else f"{name}({argument})"

    def relation(self, sides: list[str], sign: str) -> str:
        return f" {_SIGNS.get(sign, sign)} ".join(sides)

    def brackets(self, text: str) -> str:
        return f"({text})"

    def plus(self) -> str:
        return " + "

    def minus(self, *, prefix: bool = False) -> str:
        return "-" if prefix else " - "

    def times(self, *, visible: bool) -> str:
        return " times " if visible else " thin "

    def line(self, line: Line) -> str:
        sign = _SIGNS.get(line.sign, line.sign)
        again = "approx" if line.sign == "≈" else "="
        text = f"{self.show(line.left)} &{sign} {self.show(line.right)}"
        tail = ""
        if line.numbers is not None:
            tail += f" {again} {self.show(line.numbers)}"
        if line.shown_result is not None:
            tail += f" {again} {self.show(line.shown_result)}"
        rows = f"{text} \\\n  &{tail.strip()}" if tail else text
        return f"$ {rows} $"

    def prose(self, prose: Prose) -> str:
        return "".join(
            p.translate(_SPECIAL) if isinstance(p, str) else f"${self.show(p)}$" for p in prose
        )


_PRINTER = TypstPrinter()


def to_typst(what: Expr | Line | Prose | str) -> str:
    """An expression, a line or prose as Typst.

    Expressions come bare, lines as a block equation ``$ ... $``, prose as markup.

    Parameters
    ----------
    what : Expr, Line, tuple of str and Expr, or str
        What to show.

    Returns
    -------
    str

    Examples
    --------
    >>> from steadypoint.derive import Symbol
    >>> to_typst(Symbol("V_BE"))
    'V_"BE"'
    """
    return _PRINTER.any(what)
