"""Tables and paragraphs on the screen: styled on a terminal, plain text anywhere else."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass, field

SPACES = str.maketrans(
    dict.fromkeys("\N{NARROW NO-BREAK SPACE}\N{NO-BREAK SPACE}\N{THIN SPACE}", " ")
)


@dataclass(slots=True)
class Report:
    """What a command tells: a heading, tables, and sentences.

    Parameters
    ----------
    blocks : list
        Text paragraphs and tables in their order.
    """

    blocks: list[Block] = field(default_factory=list)

    def title(self, text: str, note: str = "") -> None:
        """Add the heading with a line under it."""
        self.blocks.append(Words(text, "bold"))
        if note:
            self.blocks.append(Words(note, "dim", joined=True))

    def say(self, text: str, style: str = "", *, joined: bool = False) -> None:
        """Add a sentence; a joined one has no empty line before it."""
        self.blocks.append(Words(text, style, joined=joined))

    def table(
        self, heads: Sequence[str], rows: Sequence[Sequence[str]], numeric: Sequence[int] = ()
    ) -> None:
        """Add a table; columns listed in ``numeric`` are set flush right."""
        if rows:
            self.blocks.append(Rows(tuple(heads), tuple(map(tuple, rows)), frozenset(numeric)))

    def print(self) -> None:
        """Write everything to standard output."""
        sys.stdout.write(_render(self.blocks))


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph."""

    text: str
    style: str = ""
    joined: bool = False


@dataclass(frozen=True, slots=True)
class Rows:
    """A table."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numeric: frozenset[int]


Block = Words | Rows


def plain_space(text: str) -> str:
    """Ordinary spaces for thin ones, so that people can search what a terminal shows."""
    return text.translate(SPACES)


def _render(blocks: Sequence[Block]) -> str:
    terminal = sys.stdout.isatty()
    draw = _on_terminal if terminal else _plain
    parts: list[str] = []
    for index, block in enumerate(blocks):
        if index and not (isinstance(block, Words) and block.joined):
            parts.append("\n")
        parts.append(draw(block))
    return "".join(parts)


def _plain(block: Block) -> str:
    if isinstance(block, Words):
        return plain_space(block.text) + "\n"
    table = [block.heads, *block.rows]
    table = [tuple(plain_space(cell) for cell in row) for row in table]
    widths = [max(len(row[i]) for row in table) for i in range(len(block.heads))]
    lines = []
    for row in table:
        cells = [
            cell.rjust(width) if i in block.numeric else cell.ljust(width)
            for i, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append("  ".join(cells).rstrip() + "\n")
    return "".join(lines)


def _on_terminal(block: Block) -> str:
    from rich import box
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    console = Console(file=sys.stdout, highlight=False)
    with console.capture() as capture:
        if isinstance(block, Words):
            console.print(Text(plain_space(block.text), style=block.style))
        else:
            table = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 1), show_edge=False)
            for i, head in enumerate(block.heads):
                right = i in block.numeric
                table.add_column(Text(head), justify="right" if right else "left")
            for row in block.rows:
                table.add_row(*(Text(plain_space(cell)) for cell in row))
            console.print(table)
    return capture.get()
