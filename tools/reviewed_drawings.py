"""The structures of the reviewed drawings of all arrangements.

Without arguments it shows what has changed since the last review; look at these drawings, then
write the new structures with ``python tools/reviewed_drawings.py --write``. A test compares.
"""

from __future__ import annotations

import difflib
import sys
from pathlib import Path

from steadypoint import arrangements, operating_point, schematic

ROOT = Path(__file__).resolve().parents[1]
FILE = ROOT / "tests" / "draw" / "reviewed_drawings.txt"
sys.path.insert(0, str(ROOT / "tests" / "draw"))
from draw_reading import parse  # noqa: E402  the reader of the tests
from structure import structure  # noqa: E402  the reader of the tests

OPENING = """\
Structures of the drawings of all arrangements as they were looked at and found good.
Written by tools/reviewed_drawings.py; columns run from left to right, a column from top to bottom.
"""


def text() -> str:
    """All structures."""
    blocks = [OPENING]
    for one in arrangements():
        root = parse(schematic(one.circuit, operating_point(one.circuit)).svg())
        blocks.append(f"= {one.name}\n{structure(root)}\n")
    return "\n".join(blocks)


def main() -> None:
    """Show the difference or write."""
    new = text()
    if "--write" in sys.argv[1:]:
        FILE.write_text(new, encoding="utf-8")
        return
    old = FILE.read_text(encoding="utf-8") if FILE.exists() else ""
    sys.stdout.writelines(
        difflib.unified_diff(
            old.splitlines(keepends=True), new.splitlines(keepends=True), "reviewed", "now"
        )
    )


if __name__ == "__main__":
    main()
