"""What the speaker says: a lesson as spoken sentences, from its document tree."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from steadypoint.derive import Step, Symbol, price, spoken_amount, to_spoken
from steadypoint.lesson._tree import (
    Amount,
    Answers,
    Aside,
    Assumed,
    Block,
    Change,
    Comparison,
    Document,
    Emphasis,
    Equation,
    Exercise,
    Figure,
    Formula,
    Heading,
    Inline,
    Inlines,
    Items,
    Letter,
    Link,
    Listing,
    Paragraph,
    PartLabel,
    PointCard,
    Quotation,
    Reference,
    Reveal,
    SpeakerNote,
    Steps,
    Strong,
    Table,
    Together,
    plain,
)
from steadypoint.values import read_quantity, shown

_AMOUNT: Final = re.compile(r"([+−]?\d+(?:\.\d+)?)[\u202f ]([nµmkM]?(?:A|V|W|Ω)|%|°C|K)(?![\w/])")
_CODE: Final = re.compile(r"\b\d+[RKM]\d*\b")


@dataclass(frozen=True, slots=True)
class Saying:
    """Something that is said in one go.

    Parameters
    ----------
    words : str
        One or more sentences.
    kind : str
        ``title``, ``heading``, ``text``, ``step``, ``figure`` or ``note``; a note is for the
        speaker alone.
    """

    words: str
    kind: str = "text"


def sayings(document: Document) -> Sequence[Saying]:
    """A lesson as it is spoken.

    Parameters
    ----------
    document : Document
        The lesson.

    Returns
    -------
    sequence of Saying
        Listings and tables are named, not read out; of a figure its caption and its point are said.
    """
    said = [Saying(_ended(_spoken(document.title)), "title")]
    for block in document.blocks:
        said += _block(block)
    return tuple(s for s in said if s.words)


def _block(block: Block) -> Iterator[Saying]:
    match block:
        case Heading():
            yield Saying(_ended(_spoken(block.content)), "heading")
        case Paragraph():
            yield Saying(_ended(_spoken(block.content)))
        case Items():
            for item in block.items:
                yield from _blocks(item)
        case Quotation() | Aside():
            yield from _blocks(block.content)
        case Steps():
            for place, step in enumerate(block.steps, block.start):
                yield Saying(_step(place, step), "step")
        case Equation():
            yield Saying(to_spoken(block.line), "step")
        case Assumed():
            yield Saying(f"From here on {_changes(block.changes)}.")
        case Figure():
            yield from _figure(block)
        case Comparison():
            yield from _blocks(block.content)
        case Table() if block.caption:
            yield Saying(f"The table shows this. {_ended(_spoken(block.caption))}", "figure")
        case SpeakerNote():
            yield from (Saying(s.words, "note") for s in _blocks(block.content))
        case Reveal():
            yield Saying(_ended(_spoken(block.label)))
            yield from _blocks(block.content)
        case Exercise():
            yield from _exercise(block)
        case Answers():
            for exercise in block.exercises:
                yield Saying(f"The answer to exercise {spoken_amount(str(exercise.number))}.")
                yield from _blocks(exercise.key)
        case Listing() | _:
            return


def _blocks(content: Sequence[Block]) -> Iterator[Saying]:
    for block in content:
        yield from _block(block)


def _figure(figure: Figure) -> Iterator[Saying]:
    number = f"Figure {spoken_amount(str(figure.number))}. " if figure.number else ""
    yield Saying(f"{number}{_ended(_spoken(figure.caption))}".strip(), "figure")
    for card in figure.content:
        if isinstance(card, PointCard):
            values = [
                f"{r.meaning} {spoken_amount(r.amount.number, r.amount.unit)}"
                for r in card.readings
            ]
            yield Saying(_ended(f"{card.region}: {_listed(values)}"), "figure")


def _exercise(exercise: Exercise) -> Iterator[Saying]:
    yield Saying(f"Exercise {spoken_amount(str(exercise.number))}.", "heading")
    yield from _blocks(exercise.question)
    yield Saying(f"Find {_spoken(exercise.asked)}.")
    if exercise.answer == "open":
        yield from _blocks(exercise.key)


def _step(place: int, step: Step) -> str:
    said = [f"Step {spoken_amount(str(place))}.", _ended(to_spoken(step.heading))]
    said += [to_spoken(step.sentence)] if step.sentence else []
    said += [to_spoken(line) for line in step.lines]
    said += [to_spoken(step.remark)] if step.remark else []
    said += [to_spoken(price(step.approximation))] if step.approximation is not None else []
    return " ".join(s[0].upper() + s[1:] for s in said if s)


def _changes(changes: Sequence[Change]) -> str:
    return _listed([f"{_one(c.letter)} equals {_one(c.now)}" for c in changes])


def _listed(items: Sequence[str]) -> str:
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"


def _spoken(content: Inlines) -> str:
    return " ".join("".join(_one(item) for item in content).split())


def _one(item: Inline) -> str:
    match item:
        case Letter():
            return to_spoken(Symbol(f"{item.base}_{item.sub}" if item.sub else item.base))
        case PartLabel():
            return to_spoken(Symbol(item.base + item.sub))
        case Amount():
            return spoken_amount(item.number.lstrip("±"), item.unit)
        case Formula():
            return to_spoken(item.expr)
        case Emphasis() | Strong() | Together() | Link():
            return "".join(_one(each) for each in item.content)
        case Reference():
            kind, _, number = plain([item]).rpartition(" ")
            return f"{kind} {spoken_amount(number)}" if number.isdigit() else plain([item])
        case _:
            text = _amounts(plain([item]).replace("\u00a0", " ").replace("=", "equals"))
            kept = to_spoken(text) if text.strip() else text
            # Blanks at the ends keep words apart.
            lead, end = text[:1].isspace(), text[-1:].isspace()
            return f"{' ' * lead}{kept}{' ' * end}"


def _amounts(text: str) -> str:
    """Words with their amounts and letter codes spoken."""
    text = re.sub(r"(?<=\d),(?=\d{3})", "", text)
    text = _AMOUNT.sub(lambda found: spoken_amount(found[1], found[2]), text)
    text = _CODE.sub(lambda found: spoken_amount(*shown(_ohms(found[0]), "Ω", None)), text)
    return text.replace("±", "plus or minus ").replace("°C", "degrees Celsius")


def _ohms(code: str) -> float:
    return read_quantity(code, "Ω").value


def _ended(words: str) -> str:
    words = words.strip()
    if not words:
        return ""
    words = words[0].upper() + words[1:]
    return words if words.endswith((".", "?", "!", ":")) else f"{words}."
