"""The working: a circuit's operating point derived as a lecturer would on the board.

``derive(circuit, rung)`` gives a ``Derivation``, a sequence of ``Step``. What to render of a step,
in this order: ``heading`` (str), ``sentence`` (prose), ``lines`` (each a ``Line``), ``remark``
(prose), ``approximation`` (an ``Approximation`` or None). Prose is a tuple of strings and
expressions. Any expression, line or prose goes through one of the printers

    to_text     Unicode text
    to_latex    LaTeX (an expression bare, a line as ``aligned``, prose with ``$...$``)
    to_mathml   MathML (an expression inline, a line as block, prose as HTML with inline MathML)
    to_spoken   words, for a screen reader or to be read out
    to_sympy    SymPy (expressions only; needs the extra ``sympy``)
    to_typst    Typst (an expression bare, a line as block equation, prose as markup)

``Step.loop`` lists the parts the step goes round, for lighting the drawing; ``Step.rests_on`` the
earlier steps it uses; ``Step.result`` its symbol, value and unit. A derivation prints itself whole:
``text()``, ``markdown()``, ``latex()``, ``typst()``, ``spoken()``, ``html()``, ``mathml()``,
``to_dict()``, as equations ``sympy()``; ``find("V_CE")`` keeps the steps that lead there.
"""

from steadypoint.derive._derive import derive
from steadypoint.derive._document import percent, price, with_symbols
from steadypoint.derive._expr import (
    Expr,
    Fraction,
    Function,
    Number,
    Parallel,
    PartName,
    Power,
    Product,
    Relation,
    Sum,
    Symbol,
    evaluate,
)
from steadypoint.derive._print_latex import to_latex
from steadypoint.derive._print_mathml import block_mathml, to_mathml
from steadypoint.derive._print_spoken import spoken_amount, to_spoken
from steadypoint.derive._print_text import to_text
from steadypoint.derive._print_typst import to_typst
from steadypoint.derive._rounding import round_as_on_board
from steadypoint.derive._stability import StabilityForms, stability_forms
from steadypoint.derive._step import Approximation, Derivation, Line, Prose, Result, Step
from steadypoint.derive._to_sympy import to_sympy
from steadypoint.derive._wanted import resistor_for

__all__ = [
    "Approximation",
    "Derivation",
    "Expr",
    "Fraction",
    "Function",
    "Line",
    "Number",
    "Parallel",
    "PartName",
    "Power",
    "Product",
    "Prose",
    "Relation",
    "Result",
    "StabilityForms",
    "Step",
    "Sum",
    "Symbol",
    "block_mathml",
    "derive",
    "evaluate",
    "percent",
    "price",
    "resistor_for",
    "round_as_on_board",
    "spoken_amount",
    "stability_forms",
    "to_latex",
    "to_mathml",
    "to_spoken",
    "to_sympy",
    "to_text",
    "to_typst",
    "with_symbols",
]
