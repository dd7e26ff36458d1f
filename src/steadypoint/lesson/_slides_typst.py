"""Slides as typst markup: one page each, 16:9."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from steadypoint.derive import Step
from steadypoint.lesson._inline import set_symbols
from steadypoint.lesson._slides import Slide
from steadypoint.lesson._tree import (
    Block,
    Comparison,
    Drawing,
    Exercise,
    Figure,
    Letter,
    PartLabel,
    Picture,
    PointCard,
    Table,
    plain,
)
from steadypoint.lesson._typst import Handout, equation, language_arguments
from steadypoint.lesson._typst_inline import inlines, value
from steadypoint.publish import printable_svg, style_text, theme_colours, typst_string

if TYPE_CHECKING:
    from steadypoint.draw import Scene

_BEFORE_LINES = 2


@dataclass(slots=True)
class SlideSet(Handout):
    """Markup of slides; blocks on them are written as in the handout, with other styles.

    Parameters
    ----------
    theme : str
        ``projector``, ``light`` or ``dark``.
    """

    theme: str = "projector"
    room: int = 26

    def presentation(self, slides: Sequence[Slide]) -> str:
        """The whole set in typst's markup."""
        count = len(slides)
        pages = (self._slide(slide, n, count) for n, slide in enumerate(slides, 1))
        return "\n".join((self._opening(), *pages))

    def _opening(self) -> str:
        document = self.document
        colours = theme_colours(self.theme).items()
        tone = ", ".join(f'"{name}": rgb("{code}")' for name, code in colours)
        return (
            f"#let tone = ({tone})\n{style_text('words.typ')}\n{style_text('slides.typ')}\n"
            f"#show: slides.with(title: {typst_string(plain(document.title))}, "
            f"author: {typst_string(document.author)}, {language_arguments(document.language)})\n"
        )

    def _slide(self, slide: Slide, number: int, count: int) -> str:
        title = "none" if slide.kind in ("title", "section") else f"[{inlines(slide.title)}]"
        return f"#slide({number}, {count}, {title}, [{self._inside(slide)}])"

    def _inside(self, slide: Slide) -> str:
        match slide.kind:
            case "title":
                d = self.document
                facts = " · ".join(f for f in (d.author, d.course, d.date) if f)
                return f"#opening([{inlines(d.title)}], {typst_string(facts)})"
            case "section":
                return f"#section([{inlines(slide.title)}])"
            case "figure":
                return self._figure_slide(slide)
            case "step":
                return self._step_slide(slide)
            case "comparison":
                return "\n".join(self._compared(b) for b in slide.content)
            case "exercise":
                return self._question(slide)
            case "reveal":
                return f"#whole(revealed([{inlines(slide.caption)}])[{self._text(slide)}])"
            case _:
                return f"#whole[{self._text(slide)}]"

    def _text(self, slide: Slide) -> str:
        return self._blocks([b for b in slide.content if not isinstance(b, PointCard)])

    def _compared(self, one: Block | PointCard) -> str:
        if not isinstance(one, Comparison):
            return ""
        charts = [b for b in one.content if isinstance(b, Figure)]
        rest = [b for b in one.content if not isinstance(b, Figure)]
        bar = self._change_bar(one)
        drawn = charts[0].content[0] if charts else None
        scene = drawn.projected if isinstance(drawn, Drawing) else None
        if scene is None:
            return f"#whole[{bar}{self._blocks(rest)}]"
        words = self._blocks([b for b in rest if not isinstance(b, Table)])
        table = self._blocks([b for b in rest if isinstance(b, Table)])
        return f"#compared([{bar}], [{words}], [{table}], {self._scene(scene)})"

    def _figure_slide(self, slide: Slide) -> str:
        cards = [card for card in slide.content if isinstance(card, PointCard)]
        left = self._scene(slide.drawing) if slide.drawing else self._photo(slide.picture)
        if not cards:
            number = f"#text(weight: 600)[Figure {slide.number}.] " if slide.number else ""
            return f"#shown({left}, [{number}{inlines(slide.caption)}])"
        points = ", ".join(f"[{self._point(card)}]" for card in cards)
        return f"#halves({left}, points({points}), (), share: 1.5fr)"

    def _photo(self, picture: Picture | None) -> str:
        if picture is None:
            return "[]"
        name = self._keep(picture.data, "png" if picture.kind == "image/png" else "jpg")
        return f"picture({name}, {typst_string(picture.alt)})"

    def _scene(self, scene: Scene) -> str:
        name = self._keep(printable_svg(self._svg(scene)), "svg")
        return f"picture({name}, {typst_string(f'{scene.title}. {scene.description}')})"

    def _svg(self, scene: Scene) -> str:
        theme = "page" if self.theme == "light" else self.theme
        return scene.svg(theme, standalone=True)

    def _step_slide(self, slide: Slide) -> str:
        if slide.step is None:
            return ""
        heading, body = self._step_parts(slide.step)
        before = self._ghost(slide) if slide.before else "none"
        step = f"step({slide.place}, [{heading}], {before})[\n{body}\n]"
        if slide.drawing is None:
            return f"#{step}"
        kept = "".join(f"([{_name(n)}], [{value(v)}])," for n, v in slide.found)
        return f"#halves({self._scene(slide.drawing)}, {step}, ({kept}))"

    def _ghost(self, slide: Slide) -> str:
        before = slide.before or Step("")
        heading = inlines(list(set_symbols(before.heading, {})))
        lines = [replace(one, numbers=None, result=None) for one in before.lines]
        body = "\n".join(equation(one, self.room) for one in lines[:_BEFORE_LINES])
        return f"ghost({slide.place - 1}, [{heading}])[{body}]"

    def _question(self, slide: Slide) -> str:
        out = []
        for one in slide.content:
            if isinstance(one, Exercise):
                question = self._blocks(one.question)
                asked = f"{typst_string(one.marks)}, [{inlines(one.asked)}]"
                out.append(f"#whole(question({asked})[{question}])")
        return "\n".join(out)

    def _shown(self, part: Drawing | Picture | PointCard) -> str:
        if isinstance(part, Drawing):
            scene = part.projected or part.scene
            svg = self._svg(scene) if scene else part.paper
            name = self._keep(printable_svg(svg), "svg")
            return f"#drawing({name}, {part.paper_width:.1f}, {typst_string(part.alt)})"
        return Handout._shown(self, part)

    def _level(self, card: PointCard) -> bytes:
        scene = card.level.projected or card.level.scene
        return printable_svg(self._svg(scene) if scene else card.level.paper)

    def _figure(self, one: Figure) -> str:
        body = "\n".join(self._shown(part) for part in one.content)
        words = " ".join(p.alt for p in one.content if isinstance(p, Drawing | Picture))
        number = one.number if one.number is not None else "none"
        return f"#fig({number}, [{inlines(one.caption)}], {typst_string(words)})[\n{body}\n]"


def _name(name: Letter | PartLabel) -> str:
    return inlines([name])
