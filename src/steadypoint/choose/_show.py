"""A choice as a notebook shows it."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from steadypoint.values import letter_code

if TYPE_CHECKING:
    from steadypoint.choose._choice import Choice


def _lines(answer: Choice) -> tuple[tuple[str, ...], ...]:
    names = list(answer.sets[0].values)
    rows = [
        (*(letter_code(one.values[n]) for n in names), f"±{100 * one.worst_spread:.3g} %")
        for one in answer.sets
    ]
    return ((*names, "I_C within"), *rows)


def _words(answer: Choice) -> tuple[str, ...]:
    if answer.sets:
        return (answer.sets[0].why, answer.beside_the_rule, *answer.warnings)
    conflict = "; ".join(answer.conflict)
    return (f"No values can meet this wish: {conflict}.", answer.remedy)


def plain(answer: Choice) -> str:
    """The sets in lines, and why the first is good."""
    rows = ["  ".join(row) for row in _lines(answer)] if answer.sets else []
    return "\n".join([*rows, *filter(None, _words(answer))])


def table(answer: Choice) -> str:
    """HTML: the sets, and why the first is good."""
    words = "".join(f"<p>{escape(text)}</p>" for text in _words(answer) if text)
    if not answer.sets:
        return words
    head, *rows = _lines(answer)
    heads = "".join(f'<th scope="col">{escape(cell)}</th>' for cell in head)
    body = "".join(
        f"<tr>{''.join(f'<td>{escape(cell)}</td>' for cell in row)}</tr>" for row in rows
    )
    return f"<table><thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table>{words}"
