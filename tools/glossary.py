"""Write the glossary's terms from the tables of docs/nomenclature.md.

python tools/glossary.py [--check]
"""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
SOURCE = ROOT / "docs" / "nomenclature.md"
TARGET = ROOT / "src" / "steadypoint" / "lesson" / "nomenclature.json"


def terms() -> str:
    """Symbol to meaning and unit, as JSON text."""
    found: dict[str, list[str]] = {}
    _, _, tables = SOURCE.read_text(encoding="utf-8").partition("## Symbols")
    for line in tables.splitlines():
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if len(cells) == 4 and cells[0].startswith("`"):
            for symbol in re.findall(r"`([^`]+)`", cells[0]):
                found.setdefault(symbol, [cells[1], "" if cells[2] == "-" else cells[2]])
    return json.dumps(found, ensure_ascii=False, indent=0) + "\n"


def main() -> None:
    """Write the file, or tell whether it is stale."""
    if sys.argv[1:] == ["--check"]:
        sys.exit(TARGET.read_text(encoding="utf-8") != terms())
    TARGET.write_text(terms(), encoding="utf-8")


if __name__ == "__main__":
    main()
