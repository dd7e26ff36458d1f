"""The slides of a lesson: what each shows, whatever they are printed as.

Figures, steps, tables, lists, remarks and questions make slides; running text is what the speaker
says and becomes the notes of the slide it follows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Final

from steadypoint import draw
from steadypoint.circuit import Circuit, Kind
from steadypoint.derive import Step
from steadypoint.errors import SteadypointError
from steadypoint.lesson._names import letter
from steadypoint.lesson._tree import (
    Amount,
    Answers,
    Aside,
    Assumed,
    Block,
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
    Reveal,
    Rule,
    SpeakerNote,
    Steps,
    Table,
    Text,
)
from steadypoint.solve import operating_point
from steadypoint.values import shown

LETTERING: Final = 1.25
_KEPT: Final = 4
# How much of what is listed one slide holds, in lines.
_ROOM: Final = 10


@dataclass(slots=True)
class Slide:
    """One slide.

    Parameters
    ----------
    kind : str
        ``title``, ``section``, ``figure``, ``step``, ``text``, ``comparison``, ``exercise`` or
        ``reveal``.
    title : inlines
        The heading that it stands under.
    content : sequence of Block
        What it shows; of a figure slide the parts beside the drawing.
    drawing : Scene, optional
        The drawing on its left, or alone.
    step : Step, optional
        The step of a working, with its ``place`` in it, the step ``before`` as a ghost, and what
        was ``found`` up to it.
    picture : Picture, optional
        A picture file instead of a drawing.
    caption : inlines
        Words of the figure, or the label of what is revealed.
    notes : list of Block
        What the speaker says.
    """

    kind: str
    title: Inlines
    content: Sequence[Block | PointCard] = ()
    drawing: draw.Scene | None = None
    step: Step | None = None
    place: int = 0
    before: Step | None = None
    found: Sequence[tuple[Letter, Amount]] = ()
    picture: Picture | None = None
    caption: Inlines = ()
    number: int | None = None
    notes: list[Block] = field(default_factory=list)


@dataclass(slots=True)
class Deck:
    """Makes the slides of a document.

    Parameters
    ----------
    document : Document
        The lesson, its answers arranged.
    key_steps : bool, default True
        Answers with the steps of their working.
    """

    document: Document
    key_steps: bool = True
    slides: list[Slide] = field(default_factory=list)
    _title: Inlines = ()
    _section: Inlines = ()

    def made(self) -> Sequence[Slide]:
        """All slides in their order."""
        self._title = self._section = self.document.title
        self.slides = [Slide("title", self.document.title)]
        for block in self.document.blocks:
            self._add(block)
        return [s for s in self.slides if not _idle(s)]

    def _add(self, block: Block) -> None:
        match block:
            case Heading():
                self._heading(block)
            case Figure():
                self._figure(block)
            case Steps():
                self._steps(block)
            case Comparison():
                self._show("comparison", [block])
            case Exercise():
                self._exercise(block)
            case Answers():
                self._answers(block)
            case Reveal():
                self._show("reveal", block.content)
                self.slides[-1].caption = block.label
            case Items() | Aside() | Table() | Equation() | Listing() | Assumed() | Quotation():
                self._text(block)
            case Paragraph():
                self.slides[-1].notes.append(block)
            case SpeakerNote():
                self.slides[-1].notes.extend(block.content)
            case Rule():
                pass

    def _show(self, kind: str, content: Sequence[Block]) -> None:
        self.slides.append(Slide(kind, self._title, content))

    def _heading(self, block: Heading) -> None:
        self._title = block.content
        if block.level == 2:
            self._section = block.content
        self.slides.append(Slide("section", block.content))

    def _text(self, block: Block) -> None:
        last = self.slides[-1]
        joins = last.kind in ("text", "section") and not last.drawing
        room = sum(_weight(b) for b in last.content) + _weight(block) <= _ROOM
        if joins and room:
            last.content = [*last.content, block]
            last.kind = "text"
        else:
            self._show("text", [block])

    def _figure(self, block: Figure) -> None:
        drawn = next((p for p in block.content if isinstance(p, Drawing)), None)
        slide = Slide("figure", self._title, caption=block.caption, number=block.number)
        slide.picture = next((p for p in block.content if isinstance(p, Picture)), None)
        cards = [p for p in block.content if isinstance(p, PointCard)]
        if block.case is not None:
            point = operating_point(block.case.circuit, block.case.model) if cards else None
            slide.drawing = draw.schematic(block.case.circuit, point, lettering=LETTERING)
        elif drawn is not None:
            slide.drawing = drawn.projected or drawn.scene
        slide.content = cards
        self._append(slide)

    def _append(self, slide: Slide) -> None:
        """Put a slide in the place of a heading that has nothing else to show."""
        last = self.slides[-1]
        if last.kind == "section" and not last.content:
            slide.notes = [*last.notes, *slide.notes]
            self.slides[-1] = slide
        else:
            self.slides.append(slide)

    def _steps(self, block: Steps) -> None:
        draws = cache(_plain_drawing)
        found: dict[Letter, Amount] = {}
        for place, step in enumerate(block.steps):
            slide = Slide("step", self._title, step=step, place=block.start + place)
            slide.before = block.steps[place - 1] if place else None
            slide.found = list(found.items())[-_KEPT:]
            if block.circuit is not None:
                around = "loop" in step.heading.casefold()
                slide.drawing = draws(block.circuit, step.loop, around)
            self._append(slide)
            for line in step.lines:
                found.update(_found(line))
            if step.result is not None:
                figures = shown(step.result.value, step.result.unit, 3)
                found[letter(step.result.symbol)] = Amount(figures.number, figures.unit)

    def _exercise(self, block: Exercise) -> None:
        self._title = [Text(f"Exercise {block.number}")]
        self._show("exercise", [block])
        if block.answer == "open":
            self._key(block)
        self._title = self._section

    def _answers(self, block: Answers) -> None:
        for exercise in block.exercises:
            self._key(exercise)

    def _key(self, block: Exercise) -> None:
        self._title = [Text(f"Exercise {block.number}, answer")]
        self._show("text", [b for b in block.key if not isinstance(b, Steps)])
        for steps in block.key:
            if isinstance(steps, Steps) and self.key_steps:
                self._steps(steps)


def _found(line: object) -> dict[Letter, Amount]:
    from steadypoint.derive import Line, Number, Symbol

    if not isinstance(line, Line) or not isinstance(line.left, Symbol):
        return {}
    if not isinstance(line.result, Number):
        return {}
    figures = shown(line.result.value, line.result.unit, line.result.digits)
    return {letter(line.left.name): Amount(figures.number, figures.unit)}


def _plain_drawing(circuit: Circuit, parts: tuple[str, ...], around: bool) -> draw.Scene | None:
    """The circuit with the parts of a step lit; where it speaks of capacitors, these pale."""
    names = {part.name for part in circuit.parts}
    lit = [name for name in parts if name in names]
    loop = draw.loop_of(circuit, lit) if around else ()
    signals = any(circuit.part(name).kind is Kind.CAPACITOR for name in lit)
    try:
        return draw.schematic(
            circuit,
            lit=() if signals else lit,
            loop=loop,
            signal_parts=signals,
            faded=signals,
            lettering=LETTERING,
        )
    except SteadypointError:
        return None


def _weight(block: object) -> int:
    """About how many lines of a slide something takes."""
    match block:
        case Items():
            return sum(1 + len(item) for item in block.items)
        case Table():
            return 2 + len(block.rows)
        case Aside() | Quotation():
            return 3 + 2 * len(block.content)
        case Listing():
            return 1 + block.text.count("\n")
        case _:
            return 3


def _idle(slide: Slide) -> bool:
    return slide.kind == "text" and not slide.content
