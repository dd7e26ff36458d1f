"""Slides as one HTML file to present from, full screen, by keyboard."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import replace as changed
from html import escape
from typing import Final

from steadypoint.derive import Step
from steadypoint.draw import Scene
from steadypoint.lesson import _html
from steadypoint.lesson._html_inline import inlines, value
from steadypoint.lesson._slides import Slide
from steadypoint.lesson._tree import (
    Block,
    Comparison,
    Document,
    Drawing,
    Exercise,
    Figure,
    PointCard,
    plain,
)
from steadypoint.publish import BRAND, font_css, style_text, tokens_css

_STYLE: Final = re.compile(r"<style>(.*?)</style>", re.DOTALL)
# Numbers appear after letters: nothing is said before its line.
_LATER: Final = re.compile(r'<mtr class="num">')
_BEFORE_LINES: Final = 2


@dataclass(frozen=True, slots=True)
class Presentation:
    """The slides of a document as HTML.

    Parameters
    ----------
    document : Document
        The lesson.
    slides : sequence of Slide
        Its slides.
    theme : str
        ``projector``, ``light`` or ``dark``; the presenter may change it.
    """

    document: Document
    slides: Sequence[Slide]
    theme: str = "projector"

    def html(self) -> str:
        """The whole file; it asks for nothing outside itself."""
        main = "\n".join(self._slide(s, n) for n, s in enumerate(self.slides, 1))
        main = main.replace("<mo>\u2062</mo>", '<mo lspace="0.07em" rspace="0.07em">\u2062</mo>')
        styles = "\n".join(dict.fromkeys(_STYLE.findall(main)))
        main = _STYLE.sub("", main)
        title = escape(plain(self.document.title))
        sheet = "\n".join((tokens_css(), style_text("page.css"), style_text("slides.css"), styles))
        script = style_text("slides.js")
        return (
            f'<!DOCTYPE html>\n<html lang="{escape(self.document.language)}" '
            f'data-theme="{self.theme}">\n<head>\n<meta charset="utf-8">\n'
            '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
            f'<title>{title}, slides</title>\n<meta name="generator" content="Steadypoint">\n'
            f"<style>\n{font_css(main + title)}\n{sheet}\n</style>\n</head>\n"
            f'<body class="talk">\n<main>\n{main}\n</main>\n{self._bar()}'
            f'<script type="module">\n{script}</script>\n</body>\n</html>\n'
        )

    def _bar(self) -> str:
        ticks = "".join(
            f'<li><button type="button" aria-label="Slide {n}: {_name(s)}"></button></li>'
            for n, s in enumerate(self.slides, 1)
        )
        buttons = (
            ("back", "Back", ""),
            ("next", "Next", ' class="next"'),
            ("cover", "Cover", ' aria-pressed="false"'),
            ("notes", "Notes", ' aria-pressed="false"'),
            ("theme", f"Theme: {self.theme}", ""),
            ("leave", "Leave", ""),
        )
        row = "".join(
            f'<button type="button" id="{key}"{more}>{words}</button>'
            for key, words, more in buttons
        )
        return (
            '<nav class="bar" aria-label="Slides"><span class="where" id="where"></span>'
            f'<ol>{ticks}</ol>{row}</nav>\n<p class="vh" id="said" aria-live="polite"></p>\n'
            '<button type="button" class="cover" id="uncover">Covered. Press any key to go on.'
            '</button>\n<button type="button" class="leave" id="enter">Present</button>\n'
        )

    def _slide(self, slide: Slide, number: int) -> str:
        notes = _html.blocks(slide.notes)
        notes = f'<aside class="notes" aria-label="Notes">{notes}</aside>' if notes else ""
        return (
            f'<section class="slide {slide.kind}" aria-label="Slide {number}">\n'
            f"{self._inside(slide, number)}\n{notes}</section>"
        )

    def _inside(self, slide: Slide, number: int) -> str:
        title = f'<h2 tabindex="-1"><span>{inlines(slide.title)}</span>{BRAND}</h2>'
        match slide.kind:
            case "title":
                return self._opening()
            case "section":
                return title
            case "figure":
                return title + _figure(slide, number)
            case "step":
                return title + _step_slide(slide, number)
            case "comparison":
                return title + "".join(_compared(b, number) for b in slide.content)
            case "exercise":
                return title + "".join(_question(b) for b in slide.content)
            case "reveal":
                label = f'<p class="reveal-label">{inlines(slide.caption)}</p>'
                later = f'<div class="later">{_text(slide)}</div>'
                return f'{title}<div class="fit words">{label}{later}</div>'
            case _:
                return f'{title}<div class="fit words">{_text(slide)}</div>'

    def _opening(self) -> str:
        d = self.document
        facts = " · ".join(f for f in (d.author, d.course, d.date) if f)
        line = f'<p class="by">{escape(facts)}</p>' if facts else ""
        return (
            f'<div><p class="brand">{BRAND}<span>Steadypoint</span></p>'
            f'<h1 tabindex="-1">{inlines(d.title)}</h1>{line}</div>'
        )


def _name(slide: Slide) -> str:
    words = slide.step.heading if slide.step else plain(slide.title)
    return escape(words)


def _text(slide: Slide) -> str:
    return _html.blocks([b for b in slide.content if not isinstance(b, PointCard)])


def _stage(scene: Scene | None, number: int) -> str:
    svg = scene.svg("page", prefix=f"slide-{number}") if scene else ""
    return f'<div class="stage">{svg}</div>'


def _figure(slide: Slide, number: int) -> str:
    cards = [card for card in slide.content if isinstance(card, PointCard)]
    left = _stage(slide.drawing, number)
    if slide.picture is not None:
        left = f'<div class="stage">{_html.picture(slide.picture)}</div>'
    if cards:
        points = "".join(_html.point(_alone(card)) for card in cards)
        return f'<div class="halves figure">{left}<div class="fit side">{points}</div></div>'
    named = f"<b>Figure {slide.number}.</b> " if slide.number else ""
    return f"{left}<p><figcaption>{named}{inlines(slide.caption)}</figcaption></p>"


def _alone(card: PointCard) -> PointCard:
    """A card whose level has one form: a slide never becomes narrow."""
    level = card.level
    svg = level.projected.svg("page", prefix="level") if level.projected else level.page
    return changed(card, level=Drawing(svg, level.paper, level.alt, 900.0, level.paper_width))


def _step_slide(slide: Slide, number: int) -> str:
    if slide.step is None:
        return ""
    inner = _LATER.sub('<mtr class="num later">', _html.step_body(slide.step, slide.place))
    ghost = _ghost(slide.before, slide.place - 1) if slide.before else ""
    said = f'<div class="fit">{ghost}<div class="step">{inner}</div></div>'
    if slide.drawing is None:
        return said
    rows = "".join(f"<li>{inlines([n])} <b>{value(v)}</b></li>" for n, v in slide.found)
    found = f'<ul class="found" aria-label="Found so far">{rows}</ul>' if rows else ""
    stage = _stage(slide.drawing, number)
    return f'<div class="halves">{stage}<div class="side">{said}{found}</div></div>'


def _ghost(before: Step, place: int) -> str:
    lines = [changed(one, numbers=None, result=None) for one in before.lines[:_BEFORE_LINES]]
    heading = inlines(_html.symbols(before.heading))
    body = "".join(_html.line(one) for one in lines)
    return f'<div class="ghost" aria-hidden="true"><p>{place} {heading}</p>{body}</div>'


def _compared(one: Block | PointCard, number: int) -> str:
    if not isinstance(one, Comparison):
        return ""
    charts = [b for b in one.content if isinstance(b, Figure)]
    drawn = charts[0].content[0] if charts else None
    rest = _html.blocks([b for b in one.content if not isinstance(b, Figure)])
    bar = _html.change_bar(one)
    if not isinstance(drawn, Drawing):
        return f'<div class="fit words">{bar}{rest}</div>'
    stage = _stage(drawn.projected, number)
    halves = f'<div class="halves"><div class="fit">{rest}</div>{stage}</div>'
    return f'<div class="compared">{bar}{halves}</div>'


def _question(one: Block | PointCard) -> str:
    if not isinstance(one, Exercise):
        return ""
    marks = f'<p class="price">{escape(one.marks)} marks</p>' if one.marks else ""
    return (
        f'<div class="fit words">{_html.blocks(one.question)}'
        f'<p class="asked">Give {inlines(one.asked)}.</p>{marks}</div>'
    )
