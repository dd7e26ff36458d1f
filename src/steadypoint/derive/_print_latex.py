r"""LaTeX: ``I_{\mathrm{B}} = \frac{V_{\mathrm{CC}} - V_{\mathrm{BE}}}{R_{\mathrm{B}}}``."""

from __future__ import annotations

from typing import Final

from steadypoint.derive._expr import Expr, Fraction, Number, PartName, Symbol
from steadypoint.derive._figures import figure, letters
from steadypoint.derive._printer import Printer
from steadypoint.derive._step import Line, Prose

_BASES: Final = {"β": r"\beta", "α": r"\alpha"}
_SIGNS: Final = {"≈": r"\approx", "→": r"\to", "≪": r"\ll", "≫": r"\gg", "≥": r"\ge", "≤": r"\le"}
_SPECIAL: Final = str.maketrans(
    {
        "\\": r"\textbackslash{}",
        "{": r"\{",
        "}": r"\}",
        "_": r"\_",
        "%": r"\%",
        "&": r"\&",
        "#": r"\#",
        "$": r"\$",
        "^": r"\textasciicircum{}",
        "~": r"\textasciitilde{}",
        "≈": r"$\approx$",
        "→": r"$\to$",
        "↑": r"$\uparrow$",
        "↓": r"$\downarrow$",
        "≪": r"$\ll$",
        "β": r"$\beta$",
        "−": r"$-$",
        "\u00a0": "~",
    }
)


class LatexPrinter(Printer):
    """Mathematics for ``amsmath``; prose with the mathematics between dollar signs."""

    def symbol(self, expr: Symbol) -> str:
        name = letters(expr.name)
        base = _BASES.get(name.base, name.base)
        if len(name.base) > 1:
            base = rf"\mathrm{{{base}}}"
        return rf"{base}_{{\mathrm{{{name.sub}}}}}" if name.sub else base

    def part(self, expr: PartName) -> str:
        name = letters(expr.name)
        sub = rf"_{{\mathrm{{{name.sub}}}}}" if name.sub else ""
        return rf"\mathrm{{{name.base}}}{sub}"

    def number(self, expr: Number) -> str:
        fig = figure(expr)
        digits = fig.digits.replace("−", "-")
        if "×" in digits:
            mantissa, _, exponent = digits.partition(" × 10^")
            digits = rf"{mantissa} \times 10^{{{exponent}}}"
        unit = fig.unit.replace("Ω", r"\Omega").replace("µ", r"\mu ").replace("μ", r"\mu ")
        return rf"{digits}\,\mathrm{{{unit}}}" if unit else digits

    def fraction(self, expr: Fraction) -> str:
        return rf"\frac{{{self.show(expr.over)}}}{{{self.show(expr.under)}}}"

    def parallel(self, branches: list[str]) -> str:
        return r" \parallel ".join(branches)

    def power(self, base: str, exponent: int) -> str:
        return f"{base}^{{{exponent}}}"

    def function(self, name: str, argument: str) -> str:
        if name == "abs":
            return rf"\left|{argument}\right|"
        return rf"\{name}\left({argument}\right)"

    def relation(self, sides: list[str], sign: str) -> str:
        return f" {_SIGNS.get(sign, sign)} ".join(sides)

    def brackets(self, text: str) -> str:
        return rf"\left({text}\right)" if r"\frac" in text else f"({text})"

    def plus(self) -> str:
        return " + "

    def minus(self, *, prefix: bool = False) -> str:
        return "-" if prefix else " - "

    def times(self, *, visible: bool) -> str:
        return r" \times " if visible else r"\, "

    def line(self, line: Line) -> str:
        return rf"\begin{{aligned}} {self.rows(line)} \end{{aligned}}"

    def rows(self, line: Line) -> str:
        """The rows of a line, aligned at the sign of relation."""
        sign = _SIGNS.get(line.sign, line.sign)
        text = f"{self.show(line.left)} &{sign} {self.show(line.right)}"
        again = r"\approx" if line.sign == "≈" else "="
        tail = ""
        if line.numbers is not None:
            tail += f" {again} {self.show(line.numbers)}"
        if line.shown_result is not None:
            tail += f" {again} {self.show(line.shown_result)}"
        return rf"{text} \\ &{tail.strip()}" if tail else text

    def prose(self, prose: Prose) -> str:
        return "".join(
            p.translate(_SPECIAL) if isinstance(p, str) else f"${self.show(p)}$" for p in prose
        )


_PRINTER = LatexPrinter()


def to_latex(what: Expr | Line | Prose | str) -> str:
    r"""An expression, a line or prose as LaTeX.

    Expressions come bare, lines as ``aligned``, prose with its mathematics between dollar signs.

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
    >>> to_latex(Symbol("V_BE"))
    'V_{\\mathrm{BE}}'
    """
    return _PRINTER.any(what)


def latex_rows(line: Line) -> str:
    """The rows of a line for an ``align`` environment."""
    return _PRINTER.rows(line)
