"""Text to words: prose, plain formulas and TeX give the same words, each with its place."""

from __future__ import annotations

import re
from typing import Final, NamedTuple


class Word(NamedTuple):
    """A word, figure, operator or punctuation mark.

    Attributes
    ----------
    text : str
        As it is to be read; operators and letters in one form.
    start, end : int
        Characters of the text that it stands for.
    """

    text: str
    start: int
    end: int


_PIECES: Final = re.compile(
    r"""
    (?P<hidden><!--.*?-->|^[ ]*(?:```|~~~).*?(?:^[ ]*(?:```|~~~)[ ]*$|\Z)|\A---\n.*?\n---\n)
  | (?P<heading>^\#+[ ][^\n]*)
  | (?P<rule>^[ ]*\|?[ :|-]*--[ :|-]*$)
  | (?P<bullet>^[ ]*(?:[*+-]|\d+[.)])[ ])
  | (?P<gap>\n[ \t]*\n)
  | (?P<bar>(?<!\|)\|(?!\|))
  | (?P<fraction>\\[dtc]?frac(?![A-Za-z]))
  | (?P<symbol>(?:\\(?:beta|alpha|mathrm\{[A-Za-z]\})|(?<![A-Za-z0-9\\])[A-Za-zβα])\s*_\s*
       (?:\{(?:[^{}]|\{[^{}]*\})*\}|\\mathrm\{[^{}]*\}|[A-Za-z0-9]+(?:_[A-Za-z]+)?)
       |(?<![A-Za-z])h_?FE(?![A-Za-z]))
  | (?P<letters>(?<![A-Za-z0-9.])\d+[kKMR]\d+(?![A-Za-z0-9]))
  | (?P<number>\d{1,3}(?:,\d{3})+(?:\.\d+)?(?!\d)|\d+\{,\}\d+|\d+(?:\.\d+)?|(?<![\w.])\.\d+)
  | (?P<command>\\[A-Za-z]+|\\[^A-Za-z\s])
  | (?P<word>[A-Za-zµμΩΩβαéöü°][A-Za-z0-9éöüΩΩ]*(?:['’][a-z]+)*)
  | (?P<sign>\|\||\*\*|<=|>=|>>|<<|=>|->|[-−–+*/×·÷=≈≃≅~^²∥≫≪<>≥≤%()\[\]{}.,;:?!→⇒])
    """,
    re.VERBOSE | re.DOTALL | re.MULTILINE,
)
_COMMANDS: Final = {
    **dict.fromkeys(("cdot", "times", "ast"), "×"),
    **dict.fromkeys(("approx", "simeq", "cong", "sim"), "≈"),
    **dict.fromkeys(("parallel", "|"), "∥"),
    **dict.fromkeys(("ge", "geq", "geqslant"), "≥"),
    **dict.fromkeys(("le", "leq", "leqslant"), "≤"),
    **dict.fromkeys(("Rightarrow", "implies", "to", "rightarrow", "Longrightarrow"), "so"),
    **{name: name for name in ("beta", "alpha", "percent", "kilo", "milli", "micro", "mega")},
    **{name: name for name in ("ohm", "volt", "ampere", "watt", "sqrt", "ln", "exp")},
    "div": "/",
    "gg": "≫",
    "ll": "≪",
    "gt": ">",
    "lt": "<",
    "Omega": "Ω",
    "mu": "µ",
    "%": "%",
    "neq": "not",
}
_SIGNS: Final = {
    "−": "-",
    "–": "-",
    "*": "×",
    "·": "×",
    "÷": "/",
    "||": "∥",
    "≃": "≈",
    "≅": "≈",
    "~": "≈",
    "<=": "≤",
    ">=": "≥",
    ">>": "≫",
    "<<": "≪",
    "[": "(",
    "]": ")",
    "=>": "so",
    "->": "so",
    "→": "so",
    "⇒": "so",
}
_CONTRACTED: Final = re.compile(
    r"(?i)(that|it|this|what|here|there|which|base|emitter|collector)['’]s|(we|you)['’]re"
)


class _Lexer:
    """Walks through the pieces; braces remember what they close."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.words: list[Word] = []
        self.braces: list[str] = []
        self.expected = ""
        self.square = ""

    def put(self, text: str, start: int, end: int) -> None:
        self.words.append(Word(text, start, end))

    def run(self) -> list[Word]:
        for match in _PIECES.finditer(self.text):
            kind = match.lastgroup or ""
            start, end = match.span()
            getattr(self, f"_{kind}")(match[0], start, end)
        return self.words

    def _hidden(self, text: str, start: int, end: int) -> None:
        self.put(".", end, end)

    _heading = _rule = _bullet = _gap = _hidden

    def _bar(self, text: str, start: int, end: int) -> None:
        """A table cell: two cells of a row read as subject and value."""
        line = self.text[self.text.rfind("\n", 0, start) + 1 : start]
        inside = line.count("|") == 1 and line.lstrip().startswith("|")
        self.put("=" if inside else ".", start, end)

    def _fraction(self, text: str, start: int, end: int) -> None:
        self.expected = "above"

    def _symbol(self, text: str, start: int, end: int) -> None:
        self.expected = ""
        plain = re.sub(r"\\(?:mathrm|text|mathit|mathsf)|[\\{}\s,]", "", text)
        base, _, sub = plain.partition("_")
        self.put(f"{base}_{sub}" if sub else "h_FE", start, end)

    def _letters(self, text: str, start: int, end: int) -> None:
        letter = re.sub(r"\d", "", text)
        self.put(text.replace(letter, "."), start, end)
        self.put("ohm" if letter == "R" else letter, start, end)

    def _number(self, text: str, start: int, end: int) -> None:
        self.put(text.replace("{,}", ".").replace(",", ""), start, end)

    def _command(self, text: str, start: int, end: int) -> None:
        name = text[1:]
        if name in _COMMANDS:
            self.put(_COMMANDS[name], start, end)
        elif name.isalpha():
            self.expected = "silent"

    def _word(self, text: str, start: int, end: int) -> None:
        self.expected = ""
        text = text.translate({0x3BC: "µ", 0x2126: "Ω", 0x2019: "'"})
        short = _CONTRACTED.fullmatch(text)
        if short:
            head = short[1] or short[2]
            self.put(head, start, start + len(head))
            self.put("is" if short[1] else "are", start + len(head), end)
        else:
            self.put(text, start, end)

    def _sign(self, text: str, start: int, end: int) -> None:
        if text == "{":
            self._open(start, end)
        elif text == "}":
            self._close(start, end)
        elif text == "²":
            self.put("^", start, end)
            self.put("2", start, end)
        elif text in ("*", "**", "-", "–") and not self._is_operator(text, start, end):
            return
        else:
            self.put(_SIGNS.get(text, text), start, end)

    def _open(self, start: int, end: int) -> None:
        role = self.expected or "silent"
        self.expected = ""
        if role in ("above", "below"):
            self.put("(", start, end)
            self.put("(", start, end) if role == "above" else None
        self.braces.append(role)

    def _close(self, start: int, end: int) -> None:
        role = self.braces.pop() if self.braces else "silent"
        if role == "above":
            self.put(")", start, end)
            self.put("/", start, end)
            self.expected = "below"
        elif role == "below":
            self.put(")", start, end)
            self.put(")", start, end)

    def _is_operator(self, text: str, start: int, end: int) -> bool:
        """Whether a star or dash is no emphasis, hyphen or dash of prose."""
        before, after = self.text[start - 1 : start], self.text[end : end + 1]
        if text == "**":
            return False
        if text == "*":
            loose = before.isspace() == after.isspace()
            return loose or before.isdigit() or after.isdigit()
        if before.isspace() and after.isspace():
            return text == "-" or self.text.rfind("$", 0, start) > self.text.rfind("\n", 0, start)
        word_before = before.isalpha() and self.text[max(0, start - 2) : start].islower()
        return not (word_before or (after.isalpha() and after.islower()))


def words(text: str) -> list[Word]:
    """Words of a text in order.

    Parameters
    ----------
    text : str
        Spoken text, Markdown, plain or TeX formulas.

    Returns
    -------
    list of Word
    """
    return _Lexer(text).run()
