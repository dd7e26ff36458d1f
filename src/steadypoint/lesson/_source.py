"""The text of a lesson, and faults with their place in it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path

from steadypoint.errors import LessonError, TextFileError


@dataclass(frozen=True)
class Source:
    """A lesson's text.

    Parameters
    ----------
    name : str
        How faults call it.
    text : str
        All of it.
    folder : pathlib.Path or None
        Folder that it may read files from; None when there is none.
    """

    name: str
    text: str
    folder: Path | None = None
    lines: tuple[str, ...] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "lines", tuple(self.text.split("\n")))

    def fault(self, sentence: str, line: int, column: int = 1, length: int = 1) -> LessonError:
        """A fault at a place; line and column count from 1."""
        text = self.lines[line - 1] if 0 < line <= len(self.lines) else ""
        return LessonError(
            sentence, source=self.name, line=line, column=column, length=length, text=text
        )

    def fault_at(self, sentence: str, line: int, wanted: str) -> LessonError:
        """A fault at the first place of some words in a line, or at its start."""
        text = self.lines[line - 1] if 0 < line <= len(self.lines) else ""
        column = text.find(wanted) + 1
        return self.fault(sentence, line, column or 1, len(wanted) if column else 1)

    def file(self, wanted: str, line: int) -> Path:
        """A file of the lesson's folder.

        Raises
        ------
        LessonError
            If the path leaves the folder, or nothing is there.
        """
        if self.folder is None:
            raise self.fault_at(
                "This lesson has no folder, so it cannot name a file. Write the sheet inline.",
                line,
                wanted,
            )
        root = self.folder.resolve()
        path = (root / wanted).resolve() if "\0" not in wanted else root.parent
        if not path.is_relative_to(root):
            raise self.fault_at(
                f"'{wanted}' lies outside the lesson's folder. Put the file beside the lesson.",
                line,
                wanted,
            )
        if not path.is_file():
            near = nearest(path.name, _names(path.parent))
            hint = f" Did you mean '{near}'?" if near else " Put the file beside the lesson."
            raise self.fault_at(f"There is no file '{wanted}' here.{hint}", line, wanted)
        return path


def _names(folder: Path) -> list[str]:
    try:
        return [entry.name for entry in folder.iterdir()]
    except OSError:
        return []


def read_source(path: str | Path) -> Source:
    """Read the text of a lesson.

    Raises
    ------
    TextFileError
        If there is no such file, it is a folder, it may not be read, or it is not text in UTF-8.
    """
    file = Path(path)
    try:
        data = file.read_bytes()
    except FileNotFoundError:
        raise TextFileError(f"There is no lesson {file}. Check the name.") from None
    except IsADirectoryError:
        raise TextFileError(f"{file} is a folder. Name the lesson's file in it.") from None
    except OSError as fault:
        why = (fault.strerror or "unknown fault").lower()
        raise TextFileError(f"The lesson {file} cannot be read: {why}.") from None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        raise TextFileError(
            f"The lesson {file} is not text in UTF-8 (byte {fault.start + 1}). "
            "Save it as UTF-8, then try again."
        ) from None
    if "\0" in text:
        raise TextFileError(f"The lesson {file} is not a text file.")
    return Source(file.name, newlines(text), file.parent)


def newlines(text: str) -> str:
    """The text with every kind of line end as a line feed."""
    return text.replace("\r\n", "\n").replace("\r", "\n")


def nearest(word: str, known: Iterable[str]) -> str:
    """The known name that is most like a word, or an empty text."""
    names = list(known)
    folded = {name.casefold(): name for name in names}
    if word.casefold() in folded:
        return folded[word.casefold()]
    found = get_close_matches(word.casefold(), folded, n=1, cutoff=0.55)
    return folded[found[0]] if found else ""


def suggestion(word: str, known: Iterable[str], otherwise: str = "") -> str:
    """The second sentence of a fault about a name: the nearest one, or all of them."""
    names = list(known)
    near = nearest(word, names)
    if near:
        return f" Did you mean '{near}'?"
    return otherwise or (f" There are: {', '.join(names)}." if names else "")
