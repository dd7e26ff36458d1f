"""The document tree: what a lesson consists of between its text and its outputs.

Blocks of the lesson are woven from these few nodes, so a printer knows the nodes and never the
blocks. Numbers are already computed and rounded, letters are still symbols, drawings are SVG.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeAlias

from steadypoint.derive import Step

if TYPE_CHECKING:
    from steadypoint.lesson._cases import Case


@dataclass(frozen=True, slots=True)
class Text:
    """Plain words."""

    text: str


@dataclass(frozen=True, slots=True)
class Emphasis:
    """Stressed words."""

    content: Sequence[Inline]


@dataclass(frozen=True, slots=True)
class Strong:
    """Strongly stressed words."""

    content: Sequence[Inline]


@dataclass(frozen=True, slots=True)
class Code:
    """Words shown as typed."""

    text: str


@dataclass(frozen=True, slots=True)
class Link:
    """A link; the address is relative or begins with http, https or a hash."""

    address: str
    content: Sequence[Inline]


@dataclass(frozen=True, slots=True)
class LineBreak:
    """A forced new line."""


@dataclass(frozen=True, slots=True)
class Letter:
    """A letter symbol such as V_CE: base in italics, subscript upright."""

    base: str
    sub: str = ""


@dataclass(frozen=True, slots=True)
class PartLabel:
    """The name of a part such as R_C: all upright."""

    base: str
    sub: str = ""


@dataclass(frozen=True, slots=True)
class Amount:
    """A computed number with its unit, already rounded."""

    number: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Together:
    """Inlines that stay on one line."""

    content: Sequence[Inline]


@dataclass(frozen=True, slots=True)
class Formula:
    """An expression of the working; printed by the printers of ``steadypoint.derive``."""

    expr: Any


Inline: TypeAlias = (
    Text
    | Emphasis
    | Strong
    | Code
    | Link
    | LineBreak
    | Letter
    | PartLabel
    | Amount
    | Together
    | Formula
)
Inlines: TypeAlias = Sequence[Inline]


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; ``anchor`` is unique in the document."""

    level: int
    content: Inlines
    anchor: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph."""

    content: Inlines


@dataclass(frozen=True, slots=True)
class Items:
    """A list; numbered from ``start``, or with bullets when that is None."""

    items: Sequence[Sequence[Block]]
    start: int | None = None
    tight: bool = True


@dataclass(frozen=True, slots=True)
class Quotation:
    """A quotation."""

    content: Sequence[Block]


@dataclass(frozen=True, slots=True)
class Listing:
    """Lines shown as typed."""

    text: str
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Rule:
    """A break between two thoughts."""


@dataclass(frozen=True, slots=True)
class Table:
    """A table.

    Parameters
    ----------
    head : sequence of inlines
        Cells of the head row.
    rows : sequence of sequence of inlines
        Cells of the body.
    align : sequence of str
        ``left``, ``right`` or ``center`` for each column.
    caption : inlines
        What the table shows; may be empty.
    row_heads : bool
        Whether the first cell names its row.
    """

    head: Sequence[Inlines]
    rows: Sequence[Sequence[Inlines]]
    align: Sequence[str]
    caption: Inlines = ()
    row_heads: bool = False


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing in its forms, with its text alternative.

    Parameters
    ----------
    page : str
        SVG whose colours follow the page's theme.
    paper : str
        Standalone SVG for print.
    alt : str
        What it shows, in words.
    width, paper_width : float
        Natural widths on page and paper. [px]
    narrow : str
        SVG for narrow screens, where the whole drawing would become too small to read; empty when
        it fits.
    narrow_note : str
        What is left out there.
    least, narrow_least : float
        Widths under which names would become too small; the page lets the drawing scroll instead.
        0 when the drawing may shrink. [px]
    """

    page: str
    paper: str
    alt: str
    width: float
    paper_width: float
    narrow: str = ""
    narrow_note: str = ""
    least: float = 0.0
    narrow_least: float = 0.0


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture file of the lesson's folder."""

    data: bytes
    kind: str
    alt: str


@dataclass(frozen=True, slots=True)
class Reading:
    """One value of the point, with the value before when something changed."""

    letter: Letter
    meaning: str
    amount: Amount
    was: Amount | None = None


@dataclass(frozen=True, slots=True)
class PointCard:
    """Where a transistor's point stands: region, level tube, values, cautions."""

    region: str
    meaning: str
    level: Drawing
    readings: Sequence[Reading]
    notes: Sequence[str] = ()
    was_region: str = ""


@dataclass(frozen=True, slots=True)
class Figure:
    """A numbered figure.

    Parameters
    ----------
    content : sequence of Drawing, Picture or PointCard
        What it shows.
    caption : inlines
        Its caption.
    anchor : str
        Unique identifier.
    number : int or None
        Its number; None inside answers.
    role : str
        ``plate`` for the drawing of a case, which stands beside the text on wide pages, ``spread``
        when it is too wide for that, ``chart`` or ``picture``.
    """

    content: Sequence[Drawing | Picture | PointCard]
    caption: Inlines
    anchor: str
    number: int | None
    role: str = "picture"
    case: Case | None = None


@dataclass(frozen=True, slots=True)
class Steps:
    """Numbered steps of a working, ``start`` being the number of the first."""

    steps: Sequence[Step]
    start: int = 1
    label: str = "Working"


@dataclass(frozen=True, slots=True)
class Change:
    """What was changed: symbol, value before, value after."""

    letter: Letter | PartLabel
    was: Amount
    now: Amount


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two points side by side: the changes, their effects, and what shows them."""

    changes: Sequence[Change]
    effects: Sequence[tuple[Letter | PartLabel, Amount]]
    content: Sequence[Block]
    anchor: str


@dataclass(frozen=True, slots=True)
class Aside:
    """A remark set apart; ``kind`` is ``note`` or ``caution``."""

    kind: str
    content: Sequence[Block]


@dataclass(frozen=True, slots=True)
class Exercise:
    """A question with its key.

    Parameters
    ----------
    number : int
        Its number in the lesson.
    question : sequence of Block
        The question.
    asked : inlines
        What the student should give.
    key : sequence of Block
        Answer with full working.
    anchor : str
        Unique identifier.
    marks : str
        Marks as written, or empty.
    answer : {"folded", "open", "held back"}
        Whether the key stands below the question.
    """

    number: int
    question: Sequence[Block]
    asked: Inlines
    key: Sequence[Block]
    anchor: str
    marks: str = ""
    answer: str = "folded"


@dataclass(frozen=True, slots=True)
class Answers:
    """The keys of all exercises together, at the end."""

    exercises: Sequence[Exercise]


Block: TypeAlias = (
    Heading
    | Paragraph
    | Items
    | Quotation
    | Listing
    | Rule
    | Table
    | Figure
    | Steps
    | Comparison
    | Aside
    | Exercise
    | Answers
)


@dataclass(frozen=True, slots=True)
class Document:
    """A whole lesson.

    Parameters
    ----------
    title : inlines
        Its title.
    blocks : sequence of Block
        Everything after the title.
    author, course, date, language : str
        As the lesson states them.
    summary : sequence of dict
        Every point of the lesson, SI units.
    cases : sequence of Case
        The circuits of the lesson in their order.
    """

    title: Inlines
    blocks: Sequence[Block]
    author: str = ""
    course: str = ""
    date: str = ""
    language: str = "en"
    summary: Sequence[dict[str, Any]] = field(default_factory=tuple)
    cases: Sequence[Case] = ()


def plain(content: Inlines) -> str:
    """The words of inlines without their look, for titles and names."""
    return "".join(_plain_one(item) for item in content)


def _plain_one(item: Inline) -> str:
    match item:
        case Text() | Code():
            return item.text
        case Emphasis() | Strong() | Link() | Together():
            return plain(item.content)
        case Letter() | PartLabel():
            return f"{item.base}{item.sub}"
        case Amount():
            return f"{item.number}\u202f{item.unit}" if item.unit else item.number
        case LineBreak():
            return " "
        case Formula():
            from steadypoint.derive import to_text

            return str(to_text(item.expr))
