"""The folder of the lecturer: plain files, read and written whole, never outside of it."""

from __future__ import annotations

import hashlib
import os
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from steadypoint.errors import OutputError, TextFileError, UnknownNameError, did_you_mean

KINDS: Final = {".circuit": "circuit", ".md": "lesson", ".srt": "captions", ".vtt": "captions"}
"""What the lectern reads and writes, by the ending of the name."""

_LARGEST: Final = 1_000_000  # characters of a file that the lectern opens
_NAME: Final = re.compile(r"[^\x00-\x1f/\\:*?\"<>|.][^\x00-\x1f/\\:*?\"<>|]{0,100}")


@dataclass(frozen=True, slots=True)
class Text:
    """A file as it was read.

    Parameters
    ----------
    name : str
        Name in the folder.
    text : str
        Its text.
    version : str
        Mark of exactly this content; another content has another mark.
    """

    name: str
    text: str
    version: str


class Folder:
    """Files of one folder, without the folders in it.

    Parameters
    ----------
    path : path-like
        The folder; it must exist.

    Raises
    ------
    OutputError
        If there is no such folder.
    """

    def __init__(self, path: str | os.PathLike[str]) -> None:
        self.path = Path(path).resolve()
        if not self.path.is_dir():
            raise OutputError(f"{path} is no folder. Name the folder that holds your circuits.")

    def names(self, kind: str = "circuit") -> tuple[str, ...]:
        """Names of the files of a kind, in order.

        Parameters
        ----------
        kind : {"circuit", "lesson", "captions"}
            Which files.
        """
        found = (
            entry.name
            for entry in os.scandir(self.path)
            if KINDS.get(Path(entry.name).suffix) == kind
            and _NAME.fullmatch(entry.name)
            and self._inside(entry.name)
        )
        return tuple(sorted(found, key=str.casefold))

    def _inside(self, name: str) -> bool:
        target = (self.path / name).resolve()
        return target.parent == self.path and target.is_file()

    def _place(self, name: str) -> Path:
        if not _NAME.fullmatch(name) or Path(name).suffix not in KINDS:
            endings = ", ".join(KINDS)
            raise UnknownNameError(
                f"'{name[:60]}' is no file of this folder. Write a plain name that ends in one of "
                f"{endings}."
            )
        place = self.path / name
        if place.exists() and not self._inside(name):
            raise UnknownNameError(f"'{name}' leads out of the folder. Put the file itself here.")
        return place

    def read(self, name: str) -> Text:
        """Text of a file.

        Raises
        ------
        UnknownNameError
            If the folder has no such file; the nearest name is suggested.
        TextFileError
            If it is no text, or too large.
        """
        place = self._place(name)
        try:
            data = place.read_bytes()
        except FileNotFoundError as fault:
            names = [n for kind in set(KINDS.values()) for n in self.names(kind)]
            near = did_you_mean(name, names)
            raise UnknownNameError(f"The folder has no file '{name}'.{near}") from fault
        except OSError as fault:
            raise TextFileError(f"'{name}' cannot be read: {fault.strerror}.") from fault
        if len(data) > _LARGEST:
            raise TextFileError(f"'{name}' is larger than {_LARGEST:,} bytes. Split it.")
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError as fault:
            raise TextFileError(f"'{name}' is no text in UTF-8. Save it as UTF-8.") from fault
        return Text(name, text.replace("\r\n", "\n"), _version(data))

    def version(self, name: str) -> str:
        """Mark of the present content, empty when there is no such file."""
        try:
            return _version(self._place(name).read_bytes())
        except OSError:
            return ""

    def write(self, name: str, text: str, version: str) -> str:
        """Write a file whole, unless somebody else wrote it meanwhile.

        Parameters
        ----------
        name : str
            Name in the folder.
        text : str
            All of its text.
        version : str
            Mark of the content that the writer knew; empty for a new file.

        Returns
        -------
        str
            Mark of the new content.

        Raises
        ------
        ChangedOutsideError
            If the file has another content than the writer knew; nothing is written.
        OutputError
            If it cannot be written.
        """
        from steadypoint.publish import write_atomic

        place = self._place(name)
        if self.version(name) != version:
            raise ChangedOutsideError(
                f"'{name}' was changed outside of the lectern. Take that file, or keep this one."
            )
        data = text.encode("utf-8")
        write_atomic(place, data)
        return _version(data)


class ChangedOutsideError(OutputError):
    """A file has another content than the one that was read."""


def _version(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:20]
