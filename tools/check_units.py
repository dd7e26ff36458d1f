"""Spelling of the units in everything that is committed.

Prose (Markdown, docstrings, comments) is held to the SI Brochure, 9th ed., chapter 5: symbols and
prefixes in their right case, a space between number and unit, no degree sign before K. Other source
text is held to the spellings that are wrong wherever they stand. Code blocks, code spans, doctests,
circuit sheets and the data of tests are inputs and are left alone, as is a line with the words
``units: allow``.

    python tools/check_units.py              every committed text
    python tools/check_units.py README.md    these files or folders only

Prints one line per fault, ``file:line: what stands there: what to write``; exit 1 if there is any.
"""

from __future__ import annotations

import argparse
import ast
import io
import re
import subprocess
import sys
import tokenize
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).resolve().parents[1]
ALLOW: Final = "units: allow"
SUFFIXES: Final = frozenset({".md", ".py", ".pyi", ".toml", ".txt"})
LEFT_OUT: Final = frozenset({".git", ".venv", "__pycache__", "build", "dist", "demo-output"})

_NUMBER: Final = r"(?<!U\+)(?<![\w.,/#-])\d+(?:[.,]\d+)?"


@dataclass(frozen=True, slots=True)
class Rule:
    """A spelling that is wrong, and what to write instead."""

    pattern: re.Pattern[str]
    advice: str
    prose_only: bool = False


RULES: Final = (
    Rule(re.compile("\u2126"), "write Ω (U+03A9), not the ohm sign U+2126"),
    Rule(re.compile("\u212a"), "write K, not the kelvin sign U+212A"),
    Rule(
        re.compile(r"\u03bc(?=(?:F|A|V|H|W|S|s|Ω)(?![\w^_]))"),
        "write the micro sign µ (U+00B5), not the Greek letter U+03BC",
    ),
    Rule(re.compile(r"(?<![A-Za-z])K(?:[Oo]hms?|Ω|[Hh]z)(?!\w)"), "kilo is a small k: kΩ, kHz"),
    Rule(re.compile(r"\d[ \u202f]?K[VAWFS](?!\w)"), "kilo is a small k: kV, kW"),
    Rule(re.compile(r"(?<![A-Za-z])[kMmu][Oo]hms?(?!\w)"), "write kΩ, MΩ or mΩ", prose_only=True),
    Rule(
        re.compile(
            r"(?<![A-Za-z])[mµukM](?:Amps?|Volts?|Watts?|Farads?|Henrys?|amps?|volts?)(?!\w)"
        ),
        "a prefix goes with a symbol: mA, mV, µF",
    ),
    Rule(re.compile(r"(?:°|º) ?K(?![\w/])|degrees? [Kk]elvin"), "the kelvin has no degree: 298 K"),
    Rule(re.compile(r"º ?C(?!\w)"), "write the degree sign U+00B0: °C"),
    Rule(re.compile(r"\d[ \u202f]?(?:[kMG]?HZ|[kMG]?hz|mhz)(?!\w)"), "write Hz, kHz or MHz"),
    Rule(
        re.compile(
            rf"{_NUMBER}[ \u202f]?(?:Volts?|Amps?|Amperes?|Watts?|Ohms?|Farads?|Hertz)(?!\w)"
        ),
        "names of units are small: volt, ampere, ohm; or write the symbol",
    ),
    Rule(
        re.compile(r"(?<=[a-z,] )(?:Volts?|Amperes?|Watts?|Ohms|Farads?)(?![\w'’])"),
        "names of units are small: volt, ampere, ohm",
        prose_only=True,
    ),
    Rule(re.compile(rf"{_NUMBER}[ \u202f]?u(?:F|A|V|H|W|S|s)(?!\w)"), "write µ", prose_only=True),
    Rule(re.compile(rf"{_NUMBER}[ \u202f]?(?:mfd|MFD|mF[dD])(?!\w)"), "write µF"),
    Rule(
        re.compile(rf"{_NUMBER}(?:[fpnµumkMG]?(?:V|A|W|F|H|Hz|Ω|S)|m?K|°C|%)(?![\w^_])"),
        "put a space between number and unit",
        prose_only=True,
    ),
)

_FENCE: Final = re.compile(r"^ {0,3}(`{3,}|~{3,})")
_SPAN: Final = re.compile(r"(`+)(?:(?!\1).)+?\1(?!`)|:[a-z]+:`[^`]*`")
_ADDRESS: Final = re.compile(r"(?:https?://|doi:)\S+|\]\([^)]*\)|<!--.*?-->")


def main(arguments: list[str] | None = None) -> int:
    """Check files; print the faults; return the exit code."""
    parser = argparse.ArgumentParser(
        description="Spelling of the units in everything that is committed.",
        epilog="Example: python tools/check_units.py README.md docs",
    )
    parser.add_argument("paths", nargs="*", type=Path, help="files or folders; default: all")
    given: list[Path] = parser.parse_args(arguments).paths
    faults = [fault for path in files(given) for fault in check_file(path)]
    for fault in faults:
        sys.stdout.write(f"{fault}\n")
    return 1 if faults else 0


def files(given: list[Path]) -> list[Path]:
    """The text files under some paths, or all that are committed or about to be."""
    if given:
        found = [f for p in given for f in (p.rglob("*") if p.is_dir() else [p])]
    else:
        command = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
        try:
            names = subprocess.run(command, cwd=ROOT, capture_output=True, check=True).stdout  # noqa: S603
            found = [ROOT / n for n in names.decode().split("\0") if n]
        except (OSError, subprocess.CalledProcessError):  # an unpacked archive
            found = list(ROOT.rglob("*"))
    return sorted(
        p for p in found if p.suffix in SUFFIXES and not LEFT_OUT & set(p.parts) and p.is_file()
    )


def check_file(path: Path) -> Iterator[str]:
    """Faults of one file."""
    try:
        text = path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return
    absolute = path.resolve()
    name = absolute.relative_to(ROOT).as_posix() if absolute.is_relative_to(ROOT) else str(path)
    data_of_tests = name.startswith("tests/")
    for number, what, advice in check_text(text, path.suffix, inputs=data_of_tests):
        yield f"{name}:{number}: '{what}': {advice}"


def check_text(text: str, suffix: str, *, inputs: bool = False) -> Iterator[tuple[int, str, str]]:
    """Faults of a text.

    Parameters
    ----------
    text : str
        Content of a file.
    suffix : str
        Its kind, for instance ``.md``.
    inputs : bool, default False
        True when text outside prose is input (tests) and is left alone.

    Yields
    ------
    (int, str, str)
        Line, what stands there, what to write.
    """
    lines = text.splitlines()
    prose = markdown_prose(lines) if suffix in (".md", ".txt") else {}
    if suffix in (".py", ".pyi"):
        try:
            prose = python_prose(text)
        except (SyntaxError, tokenize.TokenError):  # the linter reports it
            return
    for number, line in enumerate(lines, 1):
        if ALLOW in line:
            continue
        shown = prose.get(number)
        if shown is None and (inputs or suffix == ".md"):
            continue
        for rule in RULES:
            if shown is None and rule.prose_only:
                continue
            for match in rule.pattern.finditer(line if shown is None else shown):
                yield number, match[0], rule.advice


def markdown_prose(lines: list[str]) -> dict[int, str]:
    """Lines of a Markdown text that are prose, by number, without code spans and addresses."""
    prose: dict[int, str] = {}
    fence = ""
    for number, line in enumerate(lines, 1):
        mark = _FENCE.match(line)
        if fence:
            if mark and mark[1].startswith(fence) and not line.strip(" `~"):
                fence = ""
        elif mark:
            fence = mark[1]
        else:
            prose[number] = without_code(line)
    return prose


def python_prose(text: str) -> dict[int, str]:
    """Lines of comments and docstrings, by number, without code spans and doctests."""
    prose: dict[int, str] = {}
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type == tokenize.COMMENT:
            prose[token.start[0]] = without_code(token.string)
    lines = text.splitlines()
    for first, last in docstrings(ast.parse(text)):
        example = False
        for number in range(first, last + 1):
            line = lines[number - 1]
            # A doctest runs from its prompt to the next empty line.
            example = line.lstrip().startswith(">>>") or (example and bool(line.strip()))
            if not example:
                prose[number] = without_code(line)
    return prose


def docstrings(tree: ast.Module) -> Iterator[tuple[int, int]]:
    """First and last line of each docstring."""
    kinds = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
    for node in ast.walk(tree):
        if isinstance(node, kinds) and ast.get_docstring(node, clean=False) is not None:
            yield node.body[0].lineno, node.body[0].end_lineno or node.body[0].lineno


def without_code(line: str) -> str:
    """A line with its code spans and addresses taken out."""
    return _ADDRESS.sub("]", _SPAN.sub("`", line))


if __name__ == "__main__":
    sys.exit(main())
