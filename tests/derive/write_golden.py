"""Write the golden texts anew; read every difference before it is committed.

Run ``python tests/derive/write_golden.py``. A sheet ``NAME.RUNG.circuit`` gives ``NAME.RUNG.txt``.
"""

from __future__ import annotations

from pathlib import Path

from steadypoint.circuit import load_sheet
from steadypoint.derive import derive

FOLDER = Path(__file__).parent / "golden"


def golden_text(sheet: Path) -> str:
    """The working of a sheet on the rung that its name states."""
    rung = sheet.name.split(".")[1]
    return derive(load_sheet(sheet), rung).text()


if __name__ == "__main__":
    for path in sorted(FOLDER.glob("*.circuit")):
        path.with_suffix(".txt").write_text(golden_text(path), encoding="utf-8")
