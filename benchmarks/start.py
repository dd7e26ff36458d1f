"""How long the command line takes to start: ``steadypoint --help`` and a whole ``point``.

Prints the median of ten runs each. The bar for the help is 0.25 s. Run it with
``.venv/bin/python benchmarks/start.py``.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

RUNS = 10
BAR = 0.25  # seconds that the help may take


def seconds(*arguments: str) -> float:
    """Median wall time of a command. [s]"""
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        subprocess.run(  # noqa: S603  our own command
            [sys.executable, "-m", "steadypoint", *arguments], check=True, capture_output=True
        )
        times.append(time.perf_counter() - start)
    return median(times)


def main() -> int:
    """Measure and print; 1 when the help is over its bar."""
    helped = seconds("--help")
    print(f"steadypoint --help    {helped:.3f} s  (bar {BAR} s)")
    with tempfile.TemporaryDirectory() as folder:
        sheet = Path(folder) / "stage.circuit"
        text = subprocess.run(
            [sys.executable, "-m", "steadypoint", "arrangements", "voltage divider"],
            check=True,
            capture_output=True,
        ).stdout
        sheet.write_bytes(text)
        for model in ("board", "exact", "device"):
            taken = seconds("point", str(sheet), "--model", model)
            print(f"steadypoint point --model {model:6s}  {taken:.3f} s")
    return int(helped > BAR)


if __name__ == "__main__":
    sys.exit(main())
