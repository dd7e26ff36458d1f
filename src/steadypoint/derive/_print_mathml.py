"""MathML Core: letters italic, subscripts upright, figures with ``data-v``, a real minus.

Hooks for what is interactive: ``data-sym`` on a letter names its symbol, ``data-v`` on a figure
the symbol it stands for, ``data-given`` marks a figure stated in the circuit, ``data-part`` the
name of a part in running text.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from typing import Final

from steadypoint.derive._expr import Expr, Fraction, Number, PartName, Symbol
from steadypoint.derive._figures import figure, letters
from steadypoint.derive._printer import Printer
from steadypoint.derive._step import Line, Prose

INVISIBLE_TIMES: Final = "\u2062"
MATHML: Final = 'xmlns="http://www.w3.org/1998/Math/MathML"'


class MathmlPrinter(Printer):
    """Presentation MathML without a style sheet of its own."""

    def symbol(self, expr: Symbol) -> str:
        name = letters(expr.name)
        hook = f' data-sym="{escape(expr.name)}"'
        if not name.sub:
            return f"<mi{hook}>{escape(name.base)}</mi>"
        sub = f'<mi mathvariant="normal">{escape(name.sub)}</mi>'
        return f"<msub{hook}><mi>{escape(name.base)}</mi>{sub}</msub>"

    def part(self, expr: PartName) -> str:
        name = letters(expr.name)
        base = f'<mi mathvariant="normal">{escape(name.base)}</mi>'
        hook = f' data-part="{escape(expr.name)}"'
        if not name.sub:
            return f"<mrow{hook}>{base}</mrow>"
        return f'<msub{hook}>{base}<mi mathvariant="normal">{escape(name.sub)}</mi></msub>'

    def number(self, expr: Number) -> str:
        fig = figure(expr)
        hook = f' data-v="{escape(expr.symbol)}"' if expr.symbol else ""
        if hook and expr.given:
            hook += ' data-given=""'
        digits = fig.digits.lstrip("−")
        tail = ""
        if "×" in digits:
            digits, _, exponent = digits.partition(" × 10^")
            power = exponent.replace("-", "−")
            tail = f"<mo>×</mo><msup><mn>10</mn><mn>{power}</mn></msup>"
        sign = '<mo form="prefix">−</mo>' if fig.negative else ""
        unit = ""
        if fig.unit:
            unit = f'<mspace width="0.167em"/><mi mathvariant="normal">{escape(fig.unit)}</mi>'
        return f'<mrow class="n">{sign}<mn{hook}>{digits}</mn>{tail}{unit}</mrow>'

    def fraction(self, expr: Fraction) -> str:
        return f"<mfrac>{self._row(expr.over)}{self._row(expr.under)}</mfrac>"

    def _row(self, expr: Expr) -> str:
        return f"<mrow>{self.show(expr)}</mrow>"

    def parallel(self, branches: list[str]) -> str:
        bar = '<mo lspace="0.3em" rspace="0.3em" stretchy="false">∥</mo>'
        return f"<mrow>{bar.join(branches)}</mrow>"

    def power(self, base: str, exponent: int) -> str:
        power = f"{exponent}".replace("-", "−")  # in the figure alone: names hold hyphens
        return f"<msup><mrow>{base}</mrow><mn>{power}</mn></msup>"

    def function(self, name: str, argument: str) -> str:
        if name == "abs":
            return f"<mrow><mo>|</mo>{argument}<mo>|</mo></mrow>"
        bracketed = self.brackets(argument)
        return f'<mrow><mi mathvariant="normal">{name}</mi><mo>\u2061</mo>{bracketed}</mrow>'

    def relation(self, sides: list[str], sign: str) -> str:
        return f"<mo>{escape(sign)}</mo>".join(sides)

    def brackets(self, text: str) -> str:
        stretch = "" if "<mfrac" in text else ' stretchy="false"'
        return f"<mrow><mo{stretch}>(</mo>{text}<mo{stretch}>)</mo></mrow>"

    def row(self, pieces: list[str]) -> str:
        return f"<mrow>{''.join(pieces)}</mrow>"

    def plus(self) -> str:
        return "<mo>+</mo>"

    def minus(self, *, prefix: bool = False) -> str:
        return '<mo form="prefix">−</mo>' if prefix else "<mo>−</mo>"

    def times(self, *, visible: bool) -> str:
        return "<mo>×</mo>" if visible else f"<mo>{INVISIBLE_TIMES}</mo>"

    def line(self, line: Line) -> str:
        return self.block((line,))

    def block(self, lines: Iterable[Line]) -> str:
        """Lines one under the other, aligned at their signs of relation."""
        rows = "".join(row for line in lines for row in self._rows(line))
        table = f'<mtable columnalign="right left" columnspacing="0em">{rows}</mtable>'
        return f'<math {MATHML} display="block">{table}</math>'

    def _rows(self, line: Line) -> list[str]:
        again = "≈" if line.sign == "≈" else "="
        rows = [self._table_row(self.show(line.left), self._side(line.sign, line.right))]
        tail = ""
        if line.numbers is not None:
            tail += self._side(again, line.numbers)
        if line.shown_result is not None:
            tail += f'<mrow class="res">{self._side(again, line.shown_result)}</mrow>'
        if tail:
            rows.append(self._table_row("", tail, "num"))
        return rows

    def _side(self, sign: str, expr: Expr) -> str:
        return f'<mo form="infix">{escape(sign)}</mo>{self.show(expr)}'

    @staticmethod
    def _table_row(left: str, right: str, name: str = "sym") -> str:
        start = '<mtd style="text-align:right;padding-right:0">'
        end = '<mtd style="text-align:left;padding-left:0">'
        shown = f'<mstyle displaystyle="true">{right}</mstyle>'
        return f'<mtr class="{name}">{start}{left}</mtd>{end}{shown}</mtd></mtr>'

    def prose(self, prose: Prose) -> str:
        return "".join(self._piece(p) for p in prose)

    def _piece(self, piece: str | Expr) -> str:
        if isinstance(piece, str):
            return escape(piece, quote=False)
        if isinstance(piece, PartName):
            name = letters(piece.name)
            sub = f"<sub>{escape(name.sub)}</sub>" if name.sub else ""
            hook = escape(piece.name)
            return f'<span class="ref" data-part="{hook}">{escape(name.base)}{sub}</span>'
        return self.inline(piece)

    def inline(self, expr: Expr) -> str:
        """An expression as an inline ``math`` element."""
        return f"<math {MATHML}><mrow>{self.show(expr)}</mrow></math>"


_PRINTER = MathmlPrinter()


def to_mathml(what: Expr | Line | Prose | str) -> str:
    """An expression, a line or prose as MathML.

    An expression comes as an inline ``math`` element, a line as a block one (a table of two
    columns, aligned at the sign of relation), prose as HTML text with inline ``math`` elements.

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
    >>> "<mi>V</mi>" in to_mathml(Symbol("V_BE"))
    True
    """
    if isinstance(what, str | tuple | Line):
        return _PRINTER.any(what)
    return _PRINTER.inline(what)


def block_mathml(lines: Iterable[Line]) -> str:
    """Several lines as one block of MathML, aligned at their signs of relation.

    Parameters
    ----------
    lines : iterable of Line
        The lines.

    Returns
    -------
    str
    """
    return _PRINTER.block(lines)
