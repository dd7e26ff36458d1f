"""The document tree as HTML."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterator, Sequence
from html import escape
from typing import Final

from steadypoint.derive import Line, Step, price, to_mathml
from steadypoint.lesson._html_inline import inlines, value
from steadypoint.lesson._inline import set_symbols
from steadypoint.lesson._tree import (
    Answers,
    Aside,
    Assumed,
    Block,
    Change,
    Comparison,
    Document,
    Drawing,
    Equation,
    Exercise,
    Figure,
    Heading,
    Inlines,
    Items,
    Letter,
    Listing,
    Paragraph,
    Picture,
    PointCard,
    Quotation,
    Reading,
    Reveal,
    Rule,
    SpeakerNote,
    Steps,
    Table,
    plain,
)
from steadypoint.publish import BRAND, Entry, Page
from steadypoint.values import split_symbol

_STYLE: Final = re.compile(r"<style>(.*?)</style>", re.DOTALL)
# Drawings that need more than this keep their whole form on wide screens only. [px]
_MIDDLE: Final = 457.0
# The region as a shape between the two walls of the level: never by colour alone.
_GLYPHS: Final = {
    "active": '<circle class="g-full" cx="21.5" cy="12" r="6"/>',
    "saturation": '<path class="g-full" d="M4 5.5a6.5 6.5 0 0 1 0 13z"/>',
    "cutoff": '<path class="g-open" d="M39 5.5a6.5 6.5 0 0 0 0 13"/>',
    "reverse": '<path class="g-open" d="M27 6.5 17 12l10 5.5"/>',
}


def lesson_page(document: Document) -> Page:
    """A document as the page that ``steadypoint.publish`` writes.

    Parameters
    ----------
    document : Document
        The lesson.

    Returns
    -------
    Page
        Title, header, contents and body.
    """
    facts = [f for f in (document.author, document.course, document.date) if f]
    line = f'<p class="by">{escape(" · ".join(facts))}</p>' if facts else ""
    head = (
        f'<p class="brand">{BRAND}<span>Steadypoint</span></p>'
        f"<h1>{inlines(document.title)}</h1>{line}"
    )
    contents = [
        Entry(b.anchor, inlines(b.content))
        for b in document.blocks
        if isinstance(b, Heading) and b.level == 2
    ]
    if any(isinstance(b, Answers) for b in document.blocks):
        contents.append(Entry("answers", "Answers"))
    body = "\n".join(_section(blocks) for blocks in _sections(document.blocks))
    # A product is set with a thin gap, as on the board; browsers give invisible times none.
    body = body.replace("<mo>\u2062</mo>", '<mo lspace="0.07em" rspace="0.07em">\u2062</mo>')
    # The figures' style rules are the same in all of them: the page states them once.
    style = "\n".join(dict.fromkeys(_STYLE.findall(body)))
    first = next((b for b in document.blocks if isinstance(b, Paragraph)), None)
    return Page(
        title=plain(document.title),
        body=_STYLE.sub("", body),
        head=head,
        contents=contents if len(contents) > 1 else (),
        language=document.language,
        author=document.author,
        description=plain(first.content) if first else "",
        style=style,
    )


def _sections(content: Sequence[Block]) -> Iterator[Sequence[Block]]:
    """Blocks in groups that each begin with a heading of the second level."""
    group: list[Block] = []
    for block in content:
        begins = isinstance(block, Answers) or (isinstance(block, Heading) and block.level == 2)
        if begins and group:
            yield group
            group = []
        group.append(block)
    if group:
        yield group


def _cases(content: Sequence[Block]) -> Iterator[Sequence[Block]]:
    """Blocks in groups that each hold one plate at most."""
    group: list[Block] = []
    for block in content:
        if _is_plate(block) and any(_is_plate(b) for b in group):
            yield group
            group = []
        group.append(block)
    yield group


def _is_plate(block: Block) -> bool:
    return isinstance(block, Figure) and block.role in ("plate", "spread")


def _section(content: Sequence[Block]) -> str:
    first = content[0]
    name = ' class="opening"'
    if isinstance(first, Heading):
        name = f' aria-labelledby="{first.anchor}"'
    elif isinstance(first, Answers):
        name = ' aria-labelledby="answers"'
    return f"<section{name}>\n{''.join(_case(group) for group in _cases(content))}</section>"


def _case(content: Sequence[Block]) -> str:
    inner = "\n".join(block(b) for b in content)
    if any(isinstance(b, Figure) and b.role == "plate" for b in content):
        return f'<div class="case" style="--rows:{len(content)}">\n{inner}\n</div>\n'
    return f'<div class="plain">\n{inner}\n</div>\n'


def blocks(content: Sequence[Block]) -> str:
    """Blocks one after the other."""
    return "\n".join(block(b) for b in content)


def block(one: Block) -> str:
    """A block as HTML."""
    match one:
        case Heading():
            return f'<h{one.level} id="{one.anchor}">{inlines(one.content)}</h{one.level}>'
        case Paragraph():
            return f"<p>{inlines(one.content)}</p>"
        case Items():
            return _items(one)
        case Quotation():
            return f"<blockquote>{blocks(one.content)}</blockquote>"
        case Listing():
            return f"<pre><code>{escape(one.text)}</code></pre>"
        case Rule():
            return "<hr>"
        case Table():
            return _table(one)
        case Figure():
            return _figure(one)
        case Steps():
            return _steps(one)
        case Comparison():
            return _comparison(one)
        case Aside():
            return f'<div class="aside {one.kind}" role="note">{blocks(one.content)}</div>'
        case Exercise():
            return _exercise(one)
        case Answers():
            return _answers(one)
        case Equation():
            return _equation(one)
        case Reveal():
            return (
                f'<details class="reveal"><summary><span>{inlines(one.label)}</span></summary>\n'
                f"{blocks(one.content)}</details>"
            )
        case SpeakerNote():
            return ""
        case Assumed():
            return f'<p class="assumed">In this section {_changes(one.changes)}.</p>'


def _items(one: Items) -> str:
    tag = "ul" if one.start is None else "ol"
    start = f' start="{one.start}"' if one.start not in (None, 1) else ""
    rows = []
    for item in one.items:
        first = item[0] if item else None
        if one.tight and isinstance(first, Paragraph):
            rows.append(f"<li>{inlines(first.content)}{blocks(item[1:])}</li>")
        else:
            rows.append(f"<li>{blocks(item)}</li>")
    return f"<{tag}{start}>\n{''.join(rows)}\n</{tag}>"


def _named(cell: Inlines) -> str:
    """The name of a head that is a formula, for readers who hear it."""
    letters = [item for item in cell if isinstance(item, Letter)]
    if len(letters) != len(cell) or not letters:
        return ""
    name = "_".join(filter(None, (letters[0].base, letters[0].sub)))
    return f' aria-label="{escape(split_symbol(name).spoken)}"'


def _table(one: Table) -> str:
    caption = f"<caption>{inlines(one.caption)}</caption>" if one.caption else ""
    sides = [f' class="{side}"' if side != "left" else "" for side in one.align]
    head = "".join(
        f'<th scope="col"{side}>{inlines(cell)}</th>'
        for cell, side in zip(one.head, sides, strict=True)
    )
    rows = []
    for row in one.rows:
        cells = []
        for place, (cell, side) in enumerate(zip(row, sides, strict=False)):
            named = one.row_heads and place == 0
            start, end = (f'th scope="row"{_named(cell)}', "th") if named else ("td", "td")
            cells.append(f"<{start}{side}>{inlines(cell)}</{end}>")
        rows.append(f"<tr>{''.join(cells)}</tr>")
    return (
        f'<div class="tablebox"><table>{caption}<thead><tr>{head}</tr></thead>'
        f"<tbody>{''.join(rows)}</tbody></table></div>"
    )


def _figure(one: Figure) -> str:
    cards = [part for part in one.content if isinstance(part, PointCard)]
    parts = "".join(_shown(part) for part in one.content if part not in cards)
    points = "".join(point(card) for card in cards)
    parts += f'<div class="points">{points}</div>' if len(cards) > 1 else points
    number = f"<b>Figure {one.number}.</b> " if one.number is not None else ""
    return (
        f'<figure class="{one.role}" id="{one.anchor}">\n{parts}\n'
        f"<figcaption>{number}{inlines(one.caption)}</figcaption>\n</figure>"
    )


def _shown(part: Drawing | Picture | PointCard) -> str:
    match part:
        case Drawing():
            return _drawing(part)
        case Picture():
            return picture(part)
        case PointCard():
            return point(part)


def picture(part: Picture) -> str:
    """A picture file as an image."""
    code = base64.b64encode(part.data).decode("ascii")
    return f'<img src="data:{part.kind};base64,{code}" alt="{escape(part.alt)}">'


def _drawing(part: Drawing) -> str:
    # Drawings may grow a little to fill their place, never so far that their lettering shouts.
    limit = f' style="max-width:{part.width * 1.12:.0f}px;--least:{part.least:.0f}px"'
    if not part.narrow:
        return f'<div class="drawing"{limit}>{part.page}</div>'
    size = "whole" if part.least <= _MIDDLE else "whole large"
    least = f' style="--least:{part.narrow_least:.0f}px"'
    note = f"<p>{escape(part.narrow_note)}</p>" if part.narrow_note else ""
    return (
        f'<div class="drawing {size}"{limit}>{part.page}</div>'
        f'<div class="drawing narrow"{least}>{part.narrow}{note}</div>'
    )


def point(card: PointCard) -> str:
    """Where a transistor's point stands: region, level, values."""
    glyph = (
        '<svg class="glyph" viewBox="0 0 43 24" aria-hidden="true" focusable="false">'
        f'<path class="g-wall" d="M4 4v16M39 4v16"/>{_GLYPHS[card.meaning]}</svg>'
    )
    was = f' <span class="was">was {card.was_region.lower()}</span>' if card.was_region else ""
    readings = "".join(_reading(r) for r in card.readings)
    notes = "".join(f'<p class="remark">{escape(n)}</p>' for n in card.notes)
    return (
        f'<div class="point"><p class="state">{glyph}<span class="word">{escape(card.region)}'
        f"</span>{was}</p>{_drawing(card.level)}"
        f'<dl class="reads">{readings}</dl>{notes}</div>'
    )


def _reading(one: Reading) -> str:
    was = f'<dd class="was">was {value(one.was)}</dd>' if one.was else ""
    return (
        f'<div><dt>{inlines([one.letter])}<span class="vh"> {escape(one.meaning)}</span></dt>'
        f"<dd>{value(one.amount)}</dd>{was}</div>"
    )


def _steps(one: Steps) -> str:
    rows = "".join(_step(step, place) for place, step in enumerate(one.steps, one.start))
    start = f' start="{one.start}"' if one.start != 1 else ""
    return f'<ol class="steps"{start} aria-label="{escape(one.label)}">\n{rows}</ol>'


def _step(step: Step, place: int) -> str:
    lit = escape(" ".join(step.loop))
    return f'<li class="step" data-lit="{lit}">{step_body(step, place)}</li>\n'


def step_body(step: Step, place: int) -> str:
    """Heading, sentence, lines and remark of a step."""
    heading = inlines(symbols(step.heading))
    body = [f'<p class="stephead"><span class="no">{place}</span>{heading}</p>']
    if step.sentence:
        body.append(f"<p>{to_mathml(step.sentence)}</p>")
    body += [line(one) for one in step.lines]
    if step.remark:
        body.append(f"<p>{to_mathml(step.remark)}</p>")
    if step.approximation is not None:
        words = inlines(symbols(price(step.approximation)))
        body.append(f'<p class="price">{words}</p>')
    return "".join(body)


def symbols(text: str) -> Inlines:
    """Words of a sentence with its letter symbols set."""
    return list(set_symbols(text, {}))


def line(one: Line) -> str:
    """A line of the working."""
    return f'<div class="eq">{to_mathml(one)}</div>'


def _equation(one: Equation) -> str:
    return (
        f'<div class="eq numbered" id="{one.anchor}">{to_mathml(one.line)}'
        f'<span class="no">({one.number})</span></div>'
    )


def _changes(changes: Sequence[Change]) -> str:
    return ", ".join(
        f"{inlines([c.letter])} <s>{value(c.was)}</s> "
        f'<span aria-hidden="true">→</span><span class="vh">to</span> <b>{value(c.now)}</b>'
        for c in changes
    )


def _comparison(one: Comparison) -> str:
    return (
        f'<div class="comparison" id="{one.anchor}" role="group" '
        f'aria-labelledby="{one.anchor}-what">{change_bar(one)}\n{blocks(one.content)}</div>'
    )


def change_bar(one: Comparison) -> str:
    """What changed, and what followed."""
    changes = _changes(one.changes)
    effects = "".join(
        f"<li>{inlines([letter])} {value(amount)}</li>" for letter, amount in one.effects
    )
    return (
        f'<div class="change"><p class="what" id="{one.anchor}-what">{changes}</p>'
        f'<ul class="so">{effects}</ul></div>'
    )


def _exercise(one: Exercise) -> str:
    marks = f'<span class="marks">{escape(one.marks)} marks</span>' if one.marks else ""
    return (
        f'<div class="exercise" id="{one.anchor}" role="group" '
        f'aria-labelledby="{one.anchor}-title"><p class="exhead">'
        f'<b id="{one.anchor}-title">Exercise {one.number}</b>{marks}</p>\n'
        f'{blocks(one.question)}<p class="asked">Give {inlines(one.asked)}.</p>\n{_key(one)}</div>'
    )


def _key(one: Exercise) -> str:
    if one.answer == "held back":
        return ""
    state = " open" if one.answer == "open" else ""
    return f"<details{state}><summary>Answer and working</summary>\n{blocks(one.key)}</details>"


def _answers(one: Answers) -> str:
    keys = "".join(
        f'<h3><a href="#{e.anchor}">Exercise {e.number}</a></h3>\n{blocks(e.key)}\n'
        for e in one.exercises
    )
    return f'<h2 id="answers">Answers</h2>\n{keys}'
