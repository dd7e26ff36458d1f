"""Text files from outside, with one sentence for each way they can fail."""

from __future__ import annotations

import os
from os import PathLike
from pathlib import Path
from stat import S_ISDIR, S_ISFIFO, S_ISREG
from typing import Final

from steadypoint.errors import TextFileError

LARGEST: Final = 2_000_000  # bytes; a sheet has a few hundred, a long lesson some ten thousand


def read_text_file(path: str | PathLike[str], what: str = "a text file") -> str:
    """Read a text file in UTF-8.

    Parameters
    ----------
    path : path-like
        The file.
    what : str, default "a text file"
        What is expected, for the sentences.

    Returns
    -------
    str
        The text, without byte order mark.

    Raises
    ------
    TextFileError
        If the file is missing, a directory, forbidden, empty, too large or not text in UTF-8.
    """
    shown = os.fspath(path)
    if "\0" in shown or not shown:
        raise TextFileError(f"{shown!r} cannot be the name of a file. Name {what}.")
    try:
        data = _bytes(Path(shown), what)
    except FileNotFoundError:
        raise TextFileError(f"There is no file '{shown}'.{_neighbour(Path(shown))}") from None
    except PermissionError:
        raise TextFileError(f"'{shown}' may not be read. Ask for permission to read it.") from None
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise TextFileError(f"'{shown}' cannot be read: {reason}.") from None
    return _decoded(data, shown, what)


def _bytes(path: Path, what: str) -> bytes:
    status = path.stat()
    if S_ISDIR(status.st_mode):
        raise TextFileError(f"'{path}' is a directory. Name {what} in it.")
    if not (S_ISREG(status.st_mode) or S_ISFIFO(status.st_mode)):
        raise TextFileError(f"'{path}' is not a plain file. Name {what}.")
    with path.open("rb") as file:
        data = file.read(LARGEST + 1)
    if len(data) > LARGEST:
        raise TextFileError(
            f"'{path}' is too large for {what}. Name one of at most {LARGEST / 1e6:.0f} MB."
        )
    return data


def _decoded(data: bytes, shown: str, what: str) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise TextFileError(f"'{shown}' is text in UTF-16. Save it in UTF-8.")
    if b"\0" in data:
        raise TextFileError(f"'{shown}' is not text. Name {what}.")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise TextFileError(
            f"'{shown}' is not text in UTF-8 (line {line}). Save it in UTF-8."
        ) from None
    if not text.strip():
        raise TextFileError(f"'{shown}' is empty. Name {what} with something in it.")
    return text


def _neighbour(path: Path) -> str:
    from difflib import get_close_matches

    try:
        names = [entry.name for entry in path.parent.iterdir()]
    except OSError:
        return " Check the path."
    near = get_close_matches(path.name, names, n=1, cutoff=0.75)
    return f" Did you mean '{path.parent / near[0]}'?" if near else " Check the path."
