"""The handout: typst text to a tagged PDF."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from steadypoint.errors import OutputError
from steadypoint.publish._atomic import write_atomic
from steadypoint.publish._fonts import MATH_FAMILY, TEXT_FAMILY, font_folders

PDF_STANDARD: Final = "ua-1"
_SPECIAL: Final = re.compile(r"([\\`*_#$@<>\[\]~=+\-/\"'{}()&^|!:;.])")


def typst_text(text: str) -> str:
    """Plain text as typst markup that shows exactly this text.

    Parameters
    ----------
    text : str
        Text from outside.

    Returns
    -------
    str
        Markup in which nothing is read as a command.

    Examples
    --------
    >>> typst_text("#let [x] = 1")
    '\\\\#let \\\\[x\\\\] \\\\= 1'
    """
    kept = _without_controls(text)
    # A line that starts with a digit and a point would begin a numbered list: points are escaped.
    return _SPECIAL.sub(r"\\\1", kept)


def typst_string(text: str) -> str:
    """Plain text as a quoted typst string.

    Parameters
    ----------
    text : str
        Text from outside.

    Returns
    -------
    str
        The string with its quotes.

    Examples
    --------
    >>> typst_string('say "so"')
    '"say \\\\"so\\\\""'
    """
    kept = _without_controls(text)
    return '"' + kept.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'


def _without_controls(text: str) -> str:
    return "".join(c for c in text if c == "\n" or unicodedata.category(c) not in ("Cc", "Cs"))


def compile_typst(
    markup: str,
    pictures: Mapping[str, bytes] | None = None,
    *,
    output: str = "pdf",
    standard: str | Sequence[str] | None = PDF_STANDARD,
) -> bytes:
    """Compile typst markup with the fonts of the house and nothing else.

    Parameters
    ----------
    markup : str
        The document.
    pictures : mapping of str to bytes, optional
        Files that the document names.
    output : str, default "pdf"
        ``pdf``, ``svg`` or ``png``.
    standard : str, sequence of str, or None
        PDF standards to hold; PDF/UA-1 (ISO 14289-1) unless stated otherwise. Those for archives
        need a document with a date.

    Returns
    -------
    bytes
        The document. The same input gives the same bytes: its date is fixed.

    Raises
    ------
    OutputError
        If the document cannot be set.
    """
    import typst

    compiler: Any = typst.compile  # the stub does not know that several files may be given
    sources = {"main.typ": markup.encode("utf-8"), **(pictures or {})}
    held = [standard] if isinstance(standard, str) else list(standard or ())
    wanted = {"pdf_standards": held} if output == "pdf" and held else {}
    try:
        made = compiler(
            sources,
            font_paths=list(font_folders()),
            ignore_system_fonts=True,
            format=output,
            timestamp=0,
            **wanted,
        )
    except typst.TypstError as fault:
        raise OutputError(f"The document could not be set: {fault.message}.") from fault
    return bytes(made)


def write_pdf(path: str | Path, markup: str, pictures: Mapping[str, bytes] | None = None) -> Path:
    """Compile typst markup and write the PDF.

    Parameters
    ----------
    path : str or pathlib.Path
        The file.
    markup : str
        The document.
    pictures : mapping of str to bytes, optional
        Files that the document names.

    Returns
    -------
    pathlib.Path
        The path that was written.

    Raises
    ------
    OutputError
        If the document cannot be set or the file cannot be written.
    """
    return write_atomic(path, compile_typst(markup, pictures))


def printable_svg(svg: str) -> bytes:
    """A standalone SVG with the family names under which the printing fonts are installed.

    Parameters
    ----------
    svg : str
        The drawing.

    Returns
    -------
    bytes
        The drawing in UTF-8.
    """
    named = svg.replace("Steady Text", TEXT_FAMILY).replace("Steady Math", MATH_FAMILY)
    return named.encode("utf-8")
