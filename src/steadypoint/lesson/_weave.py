"""From the text of a lesson to its document tree."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Final

from markdown_it import MarkdownIt
from markdown_it.rules_inline import StateInline
from markdown_it.tree import SyntaxTreeNode

from steadypoint.lesson._blocks import BLOCKS
from steadypoint.lesson._blocks._circuit import read_case
from steadypoint.lesson._cases import Case, Cases
from steadypoint.lesson._inline import Inliner
from steadypoint.lesson._options import Fence, read_fence
from steadypoint.lesson._scopes import read_scopes
from steadypoint.lesson._source import Source, suggestion
from steadypoint.lesson._stages import is_fet, stage_value, stages
from steadypoint.lesson._tree import (
    Aside,
    Assumed,
    Block,
    Document,
    Figure,
    Heading,
    Inlines,
    Items,
    Listing,
    Paragraph,
    Picture,
    Quotation,
    Rule,
    Strong,
    Table,
    Text,
    plain,
)
from steadypoint.solve import OperatingPoint

_LISTINGS: Final = ("", "text")
_FACTS: Final = ("author", "course", "date", "language")
_FACT: Final = re.compile(r"([A-Za-z ]+):\s+(.+)", re.DOTALL)
_LANGUAGE: Final = re.compile(r"[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*\Z")
_ASIDES: Final = {"note": "note", "remember": "note", "caution": "caution", "warning": "caution"}
_PICTURES: Final = {".png": "image/png", ".jpg": "image/jpeg", ".jpeg": "image/jpeg"}


def _braces(state: StateInline, silent: bool) -> bool:
    """Inline rule of markdown-it: what stands between double braces is a computed value."""
    if not state.src.startswith("{{", state.pos):
        return False
    end = state.src.find("}}", state.pos)
    newline = state.src.find("\n", state.pos)
    closed = end > 0 and (newline < 0 or end < newline)
    if not silent:
        token = state.push("computed", "", 0)
        token.content = state.src[state.pos + 2 : end] if closed else ""
        token.meta = {"closed": closed}
    state.pos = end + 2 if closed else state.pos + 2
    return True


@cache
def markdown() -> MarkdownIt:
    """The reader of Markdown with tables and computed values."""
    reader = MarkdownIt("commonmark", {"html": False, "typographer": True})
    reader.enable(["table", "replacements", "smartquotes"])
    reader.disable(["html_block", "html_inline"])
    reader.inline.ruler.before("emphasis", "computed", _braces)
    return reader


@dataclass(slots=True)
class Weaver:
    """What the blocks of a lesson share while it is woven.

    Parameters
    ----------
    source : Source
        The lesson's text.
    """

    source: Source
    cases: Cases = field(init=False)
    summary: list[dict[str, Any]] = field(default_factory=list)
    _anchors: set[str] = field(default_factory=set)
    _figures: int = 0
    _equations: int = 0
    _assumed: Mapping[int, Assumed] = field(default_factory=dict)
    _exercises: int = 0

    def __post_init__(self) -> None:
        self.cases = Cases(self.source)

    def new_figure(self, *names: str, line: int) -> tuple[int, str]:
        """Number and anchor for a new figure, which text may call by these names."""
        self._figures += 1
        anchor = self.anchor(f"figure {self._figures}")
        self.cases.references.define("figure", names, self._figures, anchor, line)
        return self._figures, anchor

    def next_equation(self) -> int:
        """Number for a new equation."""
        self._equations += 1
        return self._equations

    def next_exercise(self) -> int:
        """Number for a new exercise."""
        self._exercises += 1
        return self._exercises

    def anchor(self, words: str) -> str:
        """An identifier made of some words that nothing else in the document has."""
        folded = unicodedata.normalize("NFKD", words).encode("ascii", "ignore").decode()
        stem = re.sub(r"[^a-z0-9]+", "-", folded.casefold()).strip("-") or "part"
        stem = stem if stem[0].isalpha() else f"s-{stem}"
        name, count = stem, 1
        while name in self._anchors:
            count += 1
            name = f"{stem}-{count}"
        self._anchors.add(name)
        return name

    def case_of(self, fence: Fence) -> Case:
        """The case that a block means: that of its option ``of``, or the one above it."""
        if fence.get("of"):
            return self.cases.called(fence.get("of"), fence.at("of"))
        return self.cases.at(fence.line)

    def note(self, case: Case, state: str, point: OperatingPoint) -> None:
        """Keep the points of the lesson for the summary of the build."""
        for name, stage in stages(point).items():
            current, voltage = ("I_D", "V_DS") if is_fet(stage) else ("I_C", "V_CE")
            self.summary.append(
                {
                    "circuit": case.name,
                    "state": state,
                    "transistor": name,
                    current: stage_value(stage, current),
                    voltage: abs(stage_value(stage, voltage)),
                    "P": stage.P,
                    "region": stage.region.value,
                }
            )

    def document(self) -> Document:
        """The whole lesson.

        Raises
        ------
        LessonError
            If something in it is not understood.
        """
        self._anchors |= {"lesson", "contents-title", "answers"}
        root = SyntaxTreeNode(markdown().parse(self.source.text))
        self._collect(root)
        self._assumed = read_scopes(root.children, self)
        title, facts, rest = self._opening(list(root.children))
        blocks = [b for node in rest for b in self._block(node, 0)]
        self.cases.references.check()
        summary, cases = tuple(self.summary), tuple(self.cases.cases)
        return Document(title, blocks, **facts, summary=summary, cases=cases)

    def blocks(self, text: str, line: int) -> Sequence[Block]:
        """Blocks of Markdown inside a fence whose opening stands in this line."""
        root = SyntaxTreeNode(markdown().parse(text))
        return [b for node in root.children for b in self._block(node, line)]

    def words(self, text: str, line: int) -> Inlines:
        """One line of words from an option, with its computed values."""
        root = SyntaxTreeNode(markdown().parseInline(text))
        inliner = Inliner(self.cases, (line - 1, line))
        return [i for child in root.children for i in inliner.read(child.children)]

    # ------------------------------------------------------------------ cases first
    def _collect(self, root: SyntaxTreeNode) -> None:
        """Circuits first: text may speak of a circuit that is drawn further down."""
        for node in root.walk():
            if node.type == "fence" and _name(node) == "circuit":
                self.cases.add(read_case(self._fence(node, 0), self))

    def _fence(self, node: SyntaxTreeNode, offset: int) -> Fence:
        name, line = _name(node), _line(node) + offset
        kind = BLOCKS.get(name)
        if kind is None:
            names = sorted(BLOCKS)
            hint = suggestion(name, names) + " A plain listing is called 'text'."
            raise self.source.fault_at(f"There is no block '{name}'.{hint}", line, name)
        return read_fence(
            self.source, name, line, node.content, tuple(kind.options), body=kind.body
        )

    # ------------------------------------------------------------------ title and facts
    def _opening(
        self, nodes: list[SyntaxTreeNode]
    ) -> tuple[Inlines, dict[str, str], list[SyntaxTreeNode]]:
        if not nodes or nodes[0].type != "heading" or nodes[0].tag != "h1":
            line = _line(nodes[0]) if nodes else 1
            raise self.source.fault(
                "A lesson begins with its title. Write '# Title' in the first line.", line
            )
        title = self._inlines(nodes[0], 0)
        if not plain(title).strip():
            raise self.source.fault("The title is empty. Write '# Title' in the first line.", 1)
        facts = self._facts(nodes[1]) if len(nodes) > 1 else {}
        return title, facts, nodes[2:] if facts else nodes[1:]

    def _facts(self, node: SyntaxTreeNode) -> dict[str, str]:
        if node.type != "bullet_list":
            return {}
        items = [" ".join(i.content for i in n.walk() if i.type == "inline") for n in node.children]
        found = [_FACT.match(item) for item in items]
        if not any(f and f[1].casefold() in _FACTS for f in found):
            return {}
        facts: dict[str, str] = {}
        for item, match, child in zip(items, found, node.children, strict=True):
            key = match[1].casefold() if match else item
            if match is None or key not in _FACTS:
                sentence = f"A lesson states its author, course, date or language, not '{key}'."
                hint = suggestion(key, _FACTS, " ")
                raise self.source.fault_at(f"{sentence}{hint}".rstrip(), _line(child), key)
            facts[key] = match[2].strip()
        self._check_language(facts.get("language", "en"), node)
        return facts

    def _check_language(self, language: str, node: SyntaxTreeNode) -> None:
        if not _LANGUAGE.match(language):
            raise self.source.fault_at(
                f"'{language}' is no language tag. Write, for instance, en or de-AT.",
                _line(node),
                language,
            )

    # ------------------------------------------------------------------ blocks
    def _block(self, node: SyntaxTreeNode, offset: int) -> Sequence[Block]:
        match node.type:
            case "heading":
                return [self._heading(node, offset)]
            case "paragraph":
                return [self._paragraph(node, offset)]
            case "bullet_list" if not offset and _line(node) in self._assumed:
                return [self._assumed[_line(node)]]
            case "bullet_list" | "ordered_list":
                return [self._list(node, offset)]
            case "blockquote":
                return [self._quotation(node, offset)]
            case "fence" if _name(node) not in _LISTINGS:
                fence = self._fence(node, offset)
                return BLOCKS[fence.name].read(fence, self)
            case "fence" | "code_block":
                return [Listing(node.content.rstrip("\n"))]
            case "table":
                return [self._table(node, offset)]
            case _:
                return [Rule()]

    def _heading(self, node: SyntaxTreeNode, offset: int) -> Heading:
        content = self._inlines(node, offset)
        level = int(node.tag[1])
        if level == 1:
            raise self.source.fault(
                "A lesson has one title. Write '##' for the headings inside it.",
                _line(node) + offset,
            )
        return Heading(level, content, self.anchor(plain(content)))

    def _paragraph(self, node: SyntaxTreeNode, offset: int) -> Block:
        inline = node.children[0]
        children = inline.children
        if len(children) == 1 and children[0].type == "image":
            return self._picture(children[0], _line(node) + offset)
        return Paragraph(self._inlines(node, offset))

    def _picture(self, image: SyntaxTreeNode, line: int) -> Figure:
        address, alt = str(image.attrs.get("src", "")), image.content
        if not alt.strip():
            raise self.source.fault_at(
                "A picture needs words for those who cannot see it: ![the words](file).",
                line,
                address,
            )
        file = self.source.file(address, line)
        kind = _PICTURES.get(file.suffix.casefold())
        if kind is None:
            known = ", ".join(_PICTURES)
            raise self.source.fault_at(
                f"'{address}' is no picture that a lesson can carry. Use one of {known}.",
                line,
                address,
            )
        number, anchor = self.new_figure(address, line=line)
        picture = Picture(file.read_bytes(), kind, alt)
        caption = [Text(str(image.attrs.get("title", "") or alt))]
        return Figure([picture], caption, anchor, number)

    def _list(self, node: SyntaxTreeNode, offset: int) -> Items:
        items = [
            [b for n in item.children for b in self._block(n, offset)] for item in node.children
        ]
        start = int(node.attrs.get("start", 1)) if node.type == "ordered_list" else None
        tight = all(
            n.hidden for item in node.children for n in item.children if n.type == "paragraph"
        )
        return Items(items, start, tight)

    def _quotation(self, node: SyntaxTreeNode, offset: int) -> Block:
        content = [b for n in node.children for b in self._block(n, offset)]
        first = content[0] if content else None
        if isinstance(first, Paragraph) and first.content and isinstance(first.content[0], Strong):
            word = plain(first.content[0].content).strip(" .:").casefold()
            if word in _ASIDES:
                return Aside(_ASIDES[word], content)
        return Quotation(content)

    def _table(self, node: SyntaxTreeNode, offset: int) -> Table:
        rows = [row for part in node.children for row in part.children]
        cells = [[self._inlines(c, offset, row) for c in row.children] for row in rows]
        align = [_align(cell) for cell in rows[0].children]
        return Table(cells[0], cells[1:], align)

    def _inlines(
        self, node: SyntaxTreeNode, offset: int, place: SyntaxTreeNode | None = None
    ) -> Inlines:
        span = (place or node).map or (0, 1)
        inliner = Inliner(self.cases, (span[0] + offset, span[1] + offset))
        return [i for child in node.children for i in inliner.read(child.children)]


def _name(node: SyntaxTreeNode) -> str:
    return " ".join(node.info.split())


def _line(node: SyntaxTreeNode) -> int:
    return (node.map[0] if node.map else 0) + 1


def _align(cell: SyntaxTreeNode) -> str:
    style = str(cell.attrs.get("style", ""))
    return next((side for side in ("right", "center") if side in style), "left")
