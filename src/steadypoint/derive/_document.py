"""The whole working in each notation."""

from __future__ import annotations

import re
from dataclasses import replace
from html import escape
from typing import TYPE_CHECKING, Any

from steadypoint.derive._expr import Expr, Symbol
from steadypoint.derive._print_latex import latex_rows, to_latex
from steadypoint.derive._print_mathml import block_mathml, to_mathml
from steadypoint.derive._print_text import to_text
from steadypoint.derive._print_typst import to_typst

if TYPE_CHECKING:
    from steadypoint.derive._step import Approximation, Derivation, Line, Prose, Step


def text_document(derivation: Derivation) -> str:
    """Plain text, steps numbered."""
    out: list[str] = []
    for place, step in enumerate(derivation, 1):
        out.append(f"{place}. {step.heading}")
        if step.sentence:
            out.append(_indent(to_text(step.sentence), 3))
        out += [_indent(to_text(line), 6) for line in step.lines]
        if step.remark:
            out.append(_indent(to_text(step.remark), 3))
        if step.approximation is not None:
            out.append(_indent(price(step.approximation), 3))
        out.append("")
    return "\n".join(out).rstrip() + "\n"


def price(approximation: Approximation) -> str:
    """Condition of a shortcut, whether it is met, and what it costs, in words.

    Parameters
    ----------
    approximation : Approximation
        The shortcut.

    Returns
    -------
    str
    """
    a = approximation
    met = "met" if a.holds else "not met"
    return (
        f"Condition: {a.condition} ({met}). By itself it changes I_C by {percent(a.error_I_C)} "
        f"and the collector–emitter voltage by {percent(a.error_V_CE)}."
    )


def percent(value: float) -> str:
    """A signed percentage in two digits, with a true minus.

    Parameters
    ----------
    value : float
        The percentage. [%]

    Returns
    -------
    str

    Examples
    --------
    >>> percent(-0.66), percent(0.0)
    ('−0.66\\xa0%', '0\\xa0%')
    """
    if abs(value) < 0.005:
        return "0\u00a0%"
    digits = f"{value:+.2g}"
    if "e" in digits:
        digits = f"{value:+.0f}"
    return digits.replace("-", "−") + "\u00a0%"


_SYMBOL = re.compile(r"\b([VIRT]_[A-Za-z0-9,]*[A-Za-z0-9])|(β)")


def with_symbols(text: str) -> Prose:
    """Plain words with their letter symbols as expressions, for headings and prices.

    Parameters
    ----------
    text : str
        Words with symbols as the text printer writes them.

    Returns
    -------
    tuple of str and Expr

    Examples
    --------
    >>> with_symbols("Solve for I_B")
    ('Solve for ', Symbol(name='I_B'))
    """
    out: list[str | Expr] = []
    at = 0
    for found in _SYMBOL.finditer(text):
        out.append(text[at : found.start()])
        name = found[0].replace("TH", "thev").replace(",", "_")
        out.append(Symbol("beta" if found[2] else name))
        at = found.end()
    out.append(text[at:])
    return tuple(piece for piece in out if piece != "")


def _indent(text: str, by: int) -> str:
    return "\n".join(" " * by + row for row in text.split("\n"))


def markdown_document(derivation: Derivation) -> str:
    """CommonMark; mathematics in LaTeX between dollar signs."""
    out: list[str] = []
    for place, step in enumerate(derivation, 1):
        out.append(f"### {place}. {_markdown_prose(with_symbols(step.heading))}")
        if step.sentence:
            out.append(_markdown_prose(step.sentence))
        out += [f"$$\n{to_latex(line)}\n$$" for line in step.lines]
        if step.remark:
            out.append(_markdown_prose(step.remark))
        if step.approximation is not None:
            out.append(_markdown_prose(with_symbols(price(step.approximation))))
    return "\n\n".join(out) + "\n"


def _markdown_prose(prose: tuple[Any, ...]) -> str:
    return "".join(
        p.replace("_", "\\_").replace("*", "\\*") if isinstance(p, str) else f"${to_latex(p)}$"
        for p in prose
    )


def latex_document(derivation: Derivation) -> str:
    """An ``enumerate`` of the steps, for a document that loads amsmath."""
    out = [r"\begin{enumerate}"]
    for step in derivation:
        out.append(rf"\item \textbf{{{to_latex(with_symbols(step.heading))}}}")
        if step.sentence:
            out.append(to_latex(step.sentence))
        if step.lines:
            rows = " \\\\\n".join(latex_rows(line) for line in step.lines)
            out.append(f"\\begin{{align*}}\n{rows}\n\\end{{align*}}")
        if step.remark:
            out.append(to_latex(step.remark))
        if step.approximation is not None:
            out.append(to_latex(with_symbols(price(step.approximation))))
    out.append(r"\end{enumerate}")
    return "\n".join(out) + "\n"


def typst_document(derivation: Derivation) -> str:
    """An enumeration in Typst."""
    out: list[str] = []
    for step in derivation:
        body = [f"*{to_typst(with_symbols(step.heading))}*"]
        if step.sentence:
            body.append(to_typst(step.sentence))
        body += [to_typst(line) for line in step.lines]
        if step.remark:
            body.append(to_typst(step.remark))
        if step.approximation is not None:
            body.append(to_typst(with_symbols(price(step.approximation))))
        out.append("+ " + "\n\n".join(body).replace("\n", "\n  "))
    return "\n\n".join(out) + "\n"


def html_document(derivation: Derivation) -> str:
    """An ordered list of steps; each ``li`` names the parts to light in ``data-lit``."""
    return f'<ol class="steps">{"".join(_html_step(step) for step in derivation)}</ol>'


def _html_step(step: Step) -> str:
    lit = escape(" ".join(step.loop))
    body = [f"<h3>{to_mathml(with_symbols(step.heading))}</h3>"]
    if step.sentence:
        body.append(f"<p>{to_mathml(step.sentence)}</p>")
    if step.lines:
        body.append(f'<div class="eq">{block_mathml(step.lines)}</div>')
    if step.remark:
        body.append(f"<p>{to_mathml(step.remark)}</p>")
    if step.approximation is not None:
        words = to_mathml(with_symbols(price(step.approximation)))
        body.append(f'<p class="price">{words}</p>')
    return f'<li class="step" data-lit="{lit}">{"".join(body)}</li>'


def plain_data(derivation: Derivation) -> list[dict[str, Any]]:
    """Plain data for JSON."""
    return [_plain_step(step) for step in derivation]


def _aligned(lines: list[Line]) -> str:
    r"""Lines as one ``aligned``, or an empty text when there are none."""
    rows = " \\\\ ".join(latex_rows(line).replace(r" \\ &", " ") for line in lines)
    return rf"\begin{{aligned}} {rows} \end{{aligned}}" if rows else ""


def _plain_step(step: Step) -> dict[str, Any]:
    result = step.result
    shortcut = step.approximation
    letters = [replace(line, numbers=None, result=None) for line in step.lines]
    figures = [
        replace(line, right=line.numbers or line.result, numbers=None, result=line.result)
        for line in step.lines
        if line.result is not None
    ]
    return {
        "heading": step.heading,
        "sentence": to_text(step.sentence),
        "latex": _aligned(letters),
        "numbers": _aligned(figures),
        "result": None
        if result is None
        else {"symbol": result.symbol, "value": result.value, "unit": result.unit},
        "reason": step.reason,
        "rests_on": list(step.rests_on),
        "remark": to_text(step.remark),
        "loop": list(step.loop),
        "approximation": None
        if shortcut is None
        else {
            "name": shortcut.name,
            "condition": shortcut.condition,
            "holds": shortcut.holds,
            "met": shortcut.met,
            "error_I_C": shortcut.error_I_C,
            "error_V_CE": shortcut.error_V_CE,
        },
    }
