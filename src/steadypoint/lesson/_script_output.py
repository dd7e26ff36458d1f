"""The output *script*: what the speaker says, as text and as timed captions."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from steadypoint.lesson._answers import arranged
from steadypoint.lesson._outputs import BuildOptions, register_output
from steadypoint.lesson._script import Saying, sayings
from steadypoint.lesson._tree import Document, plain

PACE: Final = 150.0
"""Words per minute of a speaker (common practice, no source). [1/min]"""

_PAUSES: Final = {"title": 1.5, "heading": 1.5, "step": 1.0, "figure": 1.0}  # [s]
_PAUSE: Final = 0.6  # after anything else [s]
_LEAST: Final = 1.0  # shortest caption [s]
_WIDE: Final = 74  # characters of a caption, two lines of 37
_LINE: Final = 37


def lesson_script(document: Document, *, answers: str = "apart") -> str:
    """The lesson as text to be read out.

    Parameters
    ----------
    document : Document
        The lesson.
    answers : {"apart", "with", "without"}
        Where the answers stand.

    Returns
    -------
    str
        A paragraph for everything that is said in one go; notes for the speaker in square
        brackets.
    """
    said = sayings(arranged(document, answers))
    paragraphs = [f"[{s.words}]" if s.kind == "note" else s.words for s in said]
    return "\n\n".join(paragraphs) + "\n"


def lesson_captions(document: Document, *, answers: str = "apart") -> str:
    """The same as timed captions.

    Parameters
    ----------
    document : Document
        The lesson.
    answers : {"apart", "with", "without"}
        Where the answers stand.

    Returns
    -------
    str
        WebVTT, at 150 words per minute with pauses; notes for the speaker are left out.

    References
    ----------
    WebVTT: The Web Video Text Tracks Format, W3C Candidate Recommendation, 2019.
    """
    cues, time = [], 0.0
    for one in sayings(arranged(document, answers)):
        if one.kind == "note":
            continue
        for words in _pieces(one.words):
            end = time + max(_LEAST, 60.0 * len(words.split()) / PACE)
            cues.append(f"{_stamp(time)} --> {_stamp(end)}\n{_two_lines(words)}\n")
            time = end
        time += _PAUSES.get(one.kind, _PAUSE)
    title = plain(document.title).replace("-->", "→")
    return "\n".join([f"WEBVTT - {title}\n", *cues])


def _pieces(words: str) -> Iterator[str]:
    """Captions of at most two lines, cut at the end of a sentence or clause where one is near."""
    piece: list[str] = []
    for word in words.split():
        if piece and len(" ".join([*piece, word])) > _WIDE:
            cut = _cut(piece)
            yield " ".join(piece[:cut])
            piece = piece[cut:]
        piece.append(word)
        if re.search(r"[.?!]$", word) and len(" ".join(piece)) > _LINE:
            yield " ".join(piece)
            piece = []
    if piece:
        yield " ".join(piece)


def _cut(piece: Sequence[str]) -> int:
    ends = [k for k, word in enumerate(piece, 1) if re.search(r"[.,:;?!]$", word)]
    near = [k for k in ends if len(" ".join(piece[:k])) > _LINE // 2]
    return near[-1] if near else len(piece)


def _two_lines(words: str) -> str:
    words = words.replace("&", "&amp;").replace("<", "&lt;").replace("-->", "→")
    if len(words) <= _LINE:
        return words
    blanks = [m.start() for m in re.finditer(" ", words)]
    middle = min(blanks, key=lambda at: abs(at - len(words) / 2), default=0)
    return f"{words[:middle]}\n{words[middle + 1 :]}" if middle else words


def _stamp(seconds: float) -> str:
    ms = round(1000 * seconds)
    return f"{ms // 3_600_000:02d}:{ms // 60_000 % 60:02d}:{ms // 1000 % 60:02d}.{ms % 1000:03d}"


@register_output("script", "-script.txt", "what the speaker says, as text and as timed captions")
def script(document: Document, options: BuildOptions) -> Mapping[str, bytes]:
    """The script's files."""
    answers = options.answers or "apart"
    return {
        "-script.txt": lesson_script(document, answers=answers).encode("utf-8"),
        "-script.vtt": lesson_captions(document, answers=answers).encode("utf-8"),
    }


__all__ = ["PACE", "Saying", "lesson_captions", "lesson_script"]
