"""The document tree as typst markup for the handout."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from steadypoint.derive import Line, Step, price, to_text, to_typst
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
    Items,
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
from steadypoint.lesson._typst_inline import inlines, prose, value
from steadypoint.publish import printable_svg, style_text, theme_colours, typst_string

_EXTENSIONS = {"image/png": "png", "image/jpeg": "jpg"}


@dataclass(slots=True)
class Handout:
    """The handout of a document: its markup, and the pictures that the markup names.

    Parameters
    ----------
    document : Document
        The lesson.
    room : int
        Signs of figures that stand on one line with their result.
    """

    document: Document
    pictures: dict[str, bytes] = field(default_factory=dict)
    room: int = 90

    def markup(self) -> str:
        """The whole document in typst's markup."""
        body = self._blocks(self.document.blocks)
        return "\n".join((self._opening(), body))

    def _opening(self) -> str:
        document = self.document
        colours = ", ".join(
            f'"{name}": rgb("{code}")' for name, code in theme_colours("print").items()
        )
        facts = [f for f in (document.author, document.course, document.date) if f]
        return (
            f"#let tone = ({colours})\n{style_text('words.typ')}\n{style_text('handout.typ')}\n"
            f"#show: handout.with(title: {typst_string(plain(document.title))}, "
            f"title-shown: [{inlines(document.title)}], "
            f"author: {typst_string(document.author)}, "
            f"facts: {typst_string(' · '.join(facts))}, "
            f"{language_arguments(document.language)})\n"
        )

    def _answers(self, one: Answers) -> str:
        keys = "\n".join(f"#answer({e.number})[{self._blocks(e.key)}]" for e in one.exercises)
        return f"#answers[\n{keys}\n]\n"

    def _blocks(self, content: Sequence[Block]) -> str:
        return "\n\n".join(self._block(one) for one in content)

    def _block(self, one: Block) -> str:
        match one:
            case Heading():
                return f"#heading(level: {one.level - 1})[{inlines(one.content)}]"
            case Paragraph():
                return f"#par[{inlines(one.content)}]"
            case Items():
                return self._items(one)
            case Quotation():
                return f"#quote(block: true)[{self._blocks(one.content)}]"
            case Listing():
                return f"#raw(block: true, {typst_string(one.text)})"
            case Rule():
                return "#thought-break()"
            case Table():
                return self._table(one)
            case Figure():
                return self._figure(one)
            case Steps():
                return self._steps(one)
            case Comparison():
                return self._comparison(one)
            case Aside():
                return f"#aside({typst_string(one.kind)})[{self._blocks(one.content)}]"
            case Exercise():
                return self._exercise(one)
            case Answers():
                return self._answers(one)
            case Equation():
                anchor = typst_string(one.anchor)
                return f"#numbered({one.number}, {anchor})[{equation(one.line)}]"
            case Reveal():
                return f"#reveal[{inlines(one.label)}][{self._blocks(one.content)}]"
            case SpeakerNote():
                return ""
            case Assumed():
                return f"#assumed(({_changes(one.changes)},))"

    def _items(self, one: Items) -> str:
        rows = ", ".join(f"[{self._blocks(item)}]" for item in one.items)
        tight = str(one.tight).lower()
        if one.start is None:
            return f"#list(tight: {tight}, {rows})"
        return f"#enum(tight: {tight}, start: {one.start}, {rows})"

    def _table(self, one: Table) -> str:
        align = ", ".join(one.align)
        head = ", ".join(f"[{inlines(cell)}]" for cell in one.head)
        width = len(one.head)
        cells = []
        for row in one.rows:
            cells += [f"[{inlines(cell)}]" for cell in row]
            cells += ["[]"] * (width - len(row))
        caption = f"[{inlines(one.caption)}]" if one.caption else "none"
        rows = ",\n  ".join(cells)
        return f"#datatable(({align},), ({head},), {caption},\n  {rows},\n)"

    def _figure(self, one: Figure) -> str:
        parts = [self._shown(part) for part in one.content]
        number = one.number if one.number is not None else "none"
        words = " ".join(p.alt for p in one.content if isinstance(p, Drawing | Picture))
        body = "\n".join(parts)
        if one.role in ("plate", "spread"):
            body = "#plate(" + ", ".join(f"[{part}]" for part in parts) + ")"
        call = f"#fig({number}, [{inlines(one.caption)}], {typst_string(words)})"
        return f"{call}[\n{body}\n] #label({typst_string(one.anchor)})"

    def _shown(self, part: Drawing | Picture | PointCard) -> str:
        match part:
            case Drawing():
                name = self._keep(printable_svg(part.paper), "svg")
                words = typst_string(part.alt)
                return f"#drawing({name}, {part.paper_width:.1f}, {words})"
            case Picture():
                name = self._keep(part.data, _EXTENSIONS[part.kind])
                return f"#photo({name}, {typst_string(part.alt)})"
            case PointCard():
                return self._point(part)

    def _keep(self, data: bytes, extension: str) -> str:
        name = f"picture-{len(self.pictures) + 1}.{extension}"
        self.pictures[name] = data
        return typst_string(name)

    def _point(self, card: PointCard) -> str:
        level = self._keep(self._level(card), "svg")
        readings = ", ".join(self._reading(r) for r in card.readings)
        notes = ", ".join(typst_string(note) for note in card.notes)
        return (
            f"#point({typst_string(card.region)}, {typst_string(card.meaning)}, {level}, "
            f"{typst_string(card.level.alt)}, ({readings},), ({notes}{',' if notes else ''}))"
        )

    def _level(self, card: PointCard) -> bytes:
        return printable_svg(card.level.paper)

    @staticmethod
    def _reading(one: Reading) -> str:
        was = value(one.was) if one.was else ""
        return f"([{inlines([one.letter])}], [{value(one.amount)}], [{was}])"

    def _steps(self, one: Steps) -> str:
        rows = "\n".join(self._step(s, n) for n, s in enumerate(one.steps, one.start))
        return f"#steps[\n{rows}\n]"

    def _step(self, step: Step, place: int) -> str:
        heading, inner = self._step_parts(step)
        return f"#step({place}, [{heading}])[\n{inner}\n]"

    def _step_parts(self, step: Step) -> tuple[str, str]:
        """Heading and body of a step."""
        body = []
        if step.sentence:
            body.append(f"#par[{prose(step.sentence)}]")
        body += [equation(line, self.room) for line in step.lines]
        if step.remark:
            body.append(f"#par[{prose(step.remark)}]")
        if step.approximation is not None:
            words = inlines(list(set_symbols(price(step.approximation), {})))
            body.append(f"#price[{words}]")
        return inlines(list(set_symbols(step.heading, {}))), "\n".join(body)

    def _comparison(self, one: Comparison) -> str:
        bar = self._change_bar(one)
        if [type(b) for b in one.content] == [Paragraph, Table, Figure]:
            words, table, chart = (self._block(b) for b in one.content)
            return f"{bar}{words}\n#beside[{table}][{chart}]"
        return f"{bar}{self._blocks(one.content)}"

    @staticmethod
    def _change_bar(one: Comparison) -> str:
        changes = _changes(one.changes)
        effects = ", ".join(f"[{inlines([name])} {value(size)}]" for name, size in one.effects)
        return f"#change-bar(({changes},), ({effects}{',' if effects else ''}))\n"

    def _exercise(self, one: Exercise) -> str:
        asked = inlines(one.asked)
        key = "none" if one.answer == "held back" else f"[{self._blocks(one.key)}]"
        return (
            f"#exercise({one.number}, {typst_string(one.marks)}, [{asked}], {key})"
            f"[{self._blocks(one.question)}] #label({typst_string(one.anchor)})"
        )


def language_arguments(language: str) -> str:
    """Language and region of a document as arguments of its style."""
    tag, _, region = language.partition("-")
    more = f", region: {typst_string(region)}" if len(region) == 2 else ""
    return f"lang: {typst_string(tag)}{more}"


def _changes(changes: Sequence[Change]) -> str:
    return ", ".join(
        f"([{inlines([c.letter])}], [{value(c.was)}], [{value(c.now)}])" for c in changes
    )


def equation(line: Line, room: int = 90) -> str:
    """A line of the working: letters, under them numbers and the result in its tone."""
    sign = {"≈": "approx", "→": "arrow.r"}.get(line.sign, "=")
    again = "approx" if line.sign == "≈" else "="
    maths = f"{to_typst(line.left)} &{sign} {to_typst(line.right)}"
    tail = ""
    if line.numbers is not None:
        tail += f" {again} {to_typst(line.numbers)}"
    if line.result is not None and line.numbers != line.result:
        if line.numbers is not None and len(str(to_text(line.numbers))) > room:
            tail += " \\\n &"
        tail += f" {again} #found(${to_typst(line.result)}$)"
    if tail:
        maths += f" \\\n &{tail.strip()}"
    return f"#board({typst_string(str(to_text(line)))}, $ {maths} $)"
