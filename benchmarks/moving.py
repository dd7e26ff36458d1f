"""Time of a moving picture: 90 frames of 1280 by 720, drawn and written as numbered PNGs.

Run: python benchmarks/moving.py
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from steadypoint.circuit import arrangement


def main() -> None:
    """Print the wall time; other work on the machine (the load) makes it longer."""
    with tempfile.TemporaryDirectory() as folder:
        sheet = Path(folder) / "stage.circuit"
        sheet.write_text(arrangement("voltage divider").sheet, encoding="utf-8")
        words = ["draw", str(sheet), "--moving", "beta=50..300", "--width", "1280"]
        load = os.getloadavg()[0]
        start = time.perf_counter()
        subprocess.run(  # noqa: S603  our own command
            [sys.executable, "-m", "steadypoint", *words, "-o", str(Path(folder) / "drift")],
            check=True,
            stdout=subprocess.DEVNULL,
        )
        wall = time.perf_counter() - start
    sys.stdout.write(
        f"90 frames, 1280x720: {wall:.1f} s on {os.cpu_count()} processors "
        f"(load before: {load:.1f})\n"
    )


if __name__ == "__main__":
    main()
