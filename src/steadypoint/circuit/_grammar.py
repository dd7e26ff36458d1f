"""The shape of a line: the grammar file applied, and its faults told in a sentence."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Final

from steadypoint.circuit._trade import NOT_YET
from steadypoint.errors import did_you_mean

if TYPE_CHECKING:
    from lark import Lark, Token, Tree, UnexpectedToken

BEGINNINGS: Final = (
    "A line begins with 'from', with a name and '=', or with 'title:'; a remark begins with '#'."
)
_LINE_WORDS: Final = ("from", "title:", "temperature")


@dataclass(frozen=True, slots=True)
class Word:
    """A word of a line and its place.

    Parameters
    ----------
    text : str
        The word.
    column : int
        Place of its first character, counted from 1.
    end : int
        Place after its last character.
    """

    text: str
    column: int
    end: int

    @property
    def lower(self) -> str:
        """The word without regard to capitals."""
        return self.text.lower()


@dataclass(frozen=True, slots=True)
class Title:
    """``title: ...``"""

    text: str
    word: Word


@dataclass(frozen=True, slots=True)
class Declaration:
    """``NAME = item, item``"""

    name: Word
    items: tuple[tuple[Word, ...], ...]


@dataclass(frozen=True, slots=True)
class Connection:
    """``from place through part, part to place``"""

    first: tuple[Word, ...]
    parts: tuple[tuple[Word, ...], ...]
    second: tuple[Word, ...]


@dataclass(frozen=True, slots=True)
class Hint:
    """``place RB above``"""

    words: tuple[Word, ...]


Statement = Title | Hint | Declaration | Connection


class Fault(Exception):  # noqa: N818  the word of the trade; never leaves the reader
    """A fault at some words of a line; the reader turns it into a located error."""

    def __init__(self, sentence: str, words: Sequence[Word], line: int = 0) -> None:
        self.sentence = sentence
        self.line = line
        self.column = words[0].column
        self.length = max(1, words[-1].end - words[0].column)
        super().__init__(sentence)


@cache
def _parser() -> Lark:
    # lark takes a tenth of a second to load; whoever reads no sheet does not wait for it.
    from importlib.resources import files

    from lark import Lark

    text = files("steadypoint.circuit").joinpath("sheet.lark").read_text("utf-8")
    return Lark(text, start="line", parser="lalr", lexer="basic", maybe_placeholders=False)


def parse_line(line: str) -> Statement | None:
    """Statement of one line; None for a blank line or a remark.

    Raises
    ------
    Fault
        If the line has no known shape.
    """
    if not line.strip():
        return None
    from lark import UnexpectedToken

    try:
        tree = _parser().parse(line)
    except UnexpectedToken as error:
        raise _shape_fault(line, error) from None
    return _statement(tree.children[0]) if tree.children else None  # type: ignore[arg-type]


def _statement(tree: Tree[Token]) -> Statement:
    if tree.data == "title":
        token = tree.children[0]
        text = " ".join(str(token).partition(":")[2].split())
        return Title(text, _word(token))  # type: ignore[arg-type]
    if tree.data == "hint":
        return Hint(_words(tree)[1:])
    groups = tuple(_words(child) for child in tree.children if not isinstance(child, str))
    if tree.data == "declaration":
        return Declaration(_word(tree.children[0]), groups)  # type: ignore[arg-type]
    return Connection(groups[0], groups[1:-1], groups[-1])


def _words(tree: Tree[Token]) -> tuple[Word, ...]:
    return tuple(_word(token) for token in tree.children)  # type: ignore[arg-type]


def _word(token: Token) -> Word:
    column = token.column or 1
    return Word(str(token), column, column + len(token))


def _tokens(line: str) -> Iterator[tuple[str, Word]]:
    for token in _parser().lex(line):
        yield token.type, _word(token)


def _shape_fault(line: str, error: UnexpectedToken) -> Fault:
    """Tell what is wrong with the shape of a line, from the words up to the stumbling one."""
    tokens = list(_tokens(line))
    kinds = [kind for kind, _ in tokens]
    words = [word for _, word in tokens]
    if error.token.type == "$END":
        at = len(tokens)
    else:
        at = next(i for i, w in enumerate(words) if w.column == error.token.column)
    end = Word("", words[-1].end, words[-1].end + 1)
    here = words[at] if at < len(words) else end
    if kinds[0] == "FROM":
        return _connection_fault(kinds, words, at, here)
    if kinds[0] == "WORD":
        return _declaration_fault(kinds, words, at, here)
    if kinds[0] in ("THROUGH", "TO"):
        return Fault(
            f"'{words[0].text}' cannot begin a line. Write the whole connection in one line: "
            "from VCC through RC 3k3 to Q1 collector.",
            [words[0]],
        )
    if kinds[0] == "PLACE":
        return _hint_fault(words, at, here)
    if kinds[0] == "TITLE":
        return Fault("A title fills its whole line. Write the rest in a line of its own.", [here])
    return Fault(f"A line cannot begin with '{words[0].text}'. {BEGINNINGS}", [words[0]])


def _hint_fault(words: Sequence[Word], at: int, here: Word) -> Fault:
    if at < len(words) and here.text == ",":
        return Fault("A line gives one part its place. Write a line for each.", [here])
    if at < len(words) and here.text == "=":
        return Fault("'place' is a word of the sheet; a part needs another name.", [words[0]])
    return Fault(
        "After 'place' stand a part and where it goes: place RB above, place C1 left of Q1.",
        [here if at < len(words) else words[-1]],
    )


def _declaration_fault(kinds: Sequence[str], words: Sequence[Word], at: int, here: Word) -> Fault:
    first = words[0]
    if at > 1:
        if kinds[at - 1] in ("EQUALS", "COMMA") and at >= len(words):
            return Fault(
                f"Something must follow '{words[at - 1].text}', for instance "
                f"{first.text} = 9 V or {first.text} = npn, beta 150.",
                [words[at - 1]],
            )
        if kinds[at] == "COMMA":
            return Fault("Nothing stands before this comma. Leave one comma out.", [here])
        return Fault(
            f"'{here.text}' cannot stand here. A connection has a line of its own that begins with "
            "'from'.",
            [here],
        )
    lower = first.lower.rstrip(":")
    if lower == "title":
        return Fault("A title needs a colon: title: Field recorder, microphone stage.", [first])
    if lower in NOT_YET:
        return Fault(f"{NOT_YET[lower]} are not yet known. Leave the line out.", [first])
    if "THROUGH" in kinds or "TO" in kinds:
        hint = did_you_mean(first.text, ["from"]) or " A connection begins with 'from'."
        return Fault(f"A line cannot begin with '{first.text}'.{hint}", [first])
    hint = did_you_mean(first.text, _LINE_WORDS)
    if not hint and first.text[0].isalpha():
        return _missing_equals(kinds, words)
    return Fault(f"A line cannot begin with '{first.text}'.{hint or ' ' + BEGINNINGS}", [first])


def _missing_equals(kinds: Sequence[str], words: Sequence[Word]) -> Fault:
    """A name that no ``=`` follows."""
    first = words[0]
    if len(words) == 1:
        return Fault(
            f"The line does not say what '{first.text}' is. Write {first.text} = 9 V for a supply, "
            f"{first.text} = npn for a transistor.",
            words,
        )
    if "EQUALS" in kinds:
        before = words[: kinds.index("EQUALS")]
        spelled = " ".join(word.text for word in before)
        return Fault(f"'{spelled}' cannot be a name. A name is one word before '='.", before)
    return Fault(
        f"After '{first.text}' stands an equals sign ({first.text} = 9 V, {first.text} = npn); a "
        "connection begins with 'from'.",
        [first],
    )


def _connection_fault(kinds: Sequence[str], words: Sequence[Word], at: int, here: Word) -> Fault:
    before, after = kinds[at - 1], kinds[at] if at < len(kinds) else "END"
    last = words[at - 1]
    if before == "FROM":
        return Fault("After 'from' the place is missing, for instance 'from VCC'.", [last])
    if before == "TO" and after != "TO":
        return Fault("After 'to' the place is missing, for instance 'to Q1 collector'.", [last])
    if before in ("THROUGH", "COMMA"):
        return Fault(
            f"After '{last.text}' a part is missing, for instance 'RC 3k3'.",
            [here] if after == "COMMA" else [last],
        )
    if "TO" in kinds[:at]:
        return _after_the_end(kinds, after, here)
    if after == "END":
        return Fault("The line does not say where it ends. Add 'to' and a place.", [here])
    if after == "THROUGH":
        return Fault("'through' stands twice. Part the parts by commas: R1 1k, D1.", [here])
    if after == "COMMA":
        return Fault(
            "A connection begins at one place. Write 'through' before the parts, or a line for "
            "each place.",
            [here],
        )
    return Fault(f"'{here.text}' cannot stand here. {BEGINNINGS}", [here])


def _after_the_end(kinds: Sequence[str], after: str, here: Word) -> Fault:
    if after == "THROUGH":
        return Fault(
            "The parts stand between the two places: from VCC through RC 3k3 to Q1 collector.",
            [here],
        )
    if after in ("COMMA", "TO"):
        return Fault("A connection ends at one place. Write a line for each further place.", [here])
    return Fault(
        f"'{here.text}' cannot stand after the last place. Write a new line for it.", [here]
    )
