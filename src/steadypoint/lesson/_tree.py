"""The document tree: what a lesson consists of between its text and its outputs.

A printer knows these few nodes, never the blocks they are woven from. Numbers are computed and
rounded, letters are still symbols.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeAlias

from steadypoint.derive import Line, Step
from steadypoint.lesson._tree_figure import Drawing, Picture, PointCard, Reading
from steadypoint.lesson._tree_inline import (
    Amount,
    Code,
    Emphasis,
    Formula,
    Inline,
    Inlines,
    Letter,
    LineBreak,
    Link,
    PartLabel,
    Reference,
    Strong,
    Target,
    Text,
    Together,
    plain,
)

if TYPE_CHECKING:
    from steadypoint.circuit import Circuit
    from steadypoint.lesson._cases import Case

__all__ = [
    "Amount",
    "Answers",
    "Aside",
    "Assumed",
    "Block",
    "Change",
    "Code",
    "Comparison",
    "Document",
    "Drawing",
    "Emphasis",
    "Equation",
    "Exercise",
    "Figure",
    "Formula",
    "Heading",
    "Inline",
    "Inlines",
    "Items",
    "Letter",
    "LineBreak",
    "Link",
    "Listing",
    "Paragraph",
    "PartLabel",
    "Picture",
    "PointCard",
    "Quotation",
    "Reading",
    "Reference",
    "Reveal",
    "Rule",
    "SpeakerNote",
    "Steps",
    "Strong",
    "Table",
    "Target",
    "Text",
    "Together",
    "plain",
]


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
    case : Case or None
        The circuit that it shows, if it shows one.
    """

    content: Sequence[Drawing | Picture | PointCard]
    caption: Inlines
    anchor: str
    number: int | None
    role: str = "picture"
    case: Case | None = None


@dataclass(frozen=True, slots=True)
class Steps:
    """Numbered steps of a working of a circuit, ``start`` being the number of the first."""

    steps: Sequence[Step]
    start: int = 1
    label: str = "Working"
    circuit: Circuit | None = None


@dataclass(frozen=True, slots=True)
class Equation:
    """One line of a working, set apart with its number."""

    line: Line
    number: int
    anchor: str


@dataclass(frozen=True, slots=True)
class Reveal:
    """What opens on demand on the page, under a label; printed openly."""

    label: Inlines
    content: Sequence[Block]


@dataclass(frozen=True, slots=True)
class SpeakerNote:
    """What only the speaker sees."""

    content: Sequence[Block]


@dataclass(frozen=True, slots=True)
class Assumed:
    """The change under which a section stands, said right below its heading."""

    changes: Sequence[Change]


@dataclass(frozen=True, slots=True)
class Change:
    """What was changed: symbol, before, after."""

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
    | Equation
    | Reveal
    | SpeakerNote
    | Assumed
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
