"""How long a course of forty lessons takes: built for the first time, then with one lesson changed.

Copies of the lessons of examples/course, each with other values, in a folder of their own. The
bar for the first build is 60 s on two processors. Run ``python benchmarks/course.py [LESSONS]``.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path

EXAMPLES = Path(__file__).parents[1] / "examples" / "course"


def write_course(folder: Path, count: int) -> None:
    """Copies of the example lessons with another gain each."""
    sources = sorted(EXAMPLES.glob("0*.md"))
    lines = ["# Forty lessons", ""]
    for k in range(count):
        source = sources[k % len(sources)]
        text = re.sub(r"beta 1(\d0)\n", rf"beta {1 + k % 9}\1\n", source.read_text())
        name = f"{k + 1:02d}{source.name[2:]}"
        (folder / name).write_text(text, encoding="utf-8")
        lines.append(f"{k + 1}. [{source.stem[3:]} {k + 1}]({name})")
    (folder / "course.md").write_text("\n".join([*lines, ""]), encoding="utf-8")


def build(folder: Path) -> float:
    """Time of one build by the command line. [s]"""
    start = time.perf_counter()
    subprocess.run(  # noqa: S603  our own command
        [sys.executable, "-m", "steadypoint", "course", "build", str(folder)],
        check=True,
        stdout=subprocess.DEVNULL,
    )
    return time.perf_counter() - start


def main() -> None:
    """Measure and print."""
    count = int(sys.argv[1]) if sys.argv[1:] else 40
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_course(folder, count)
        load = os.getloadavg()[0]
        first = build(folder)
        lesson = next(folder.glob("01*.md"))
        lesson.write_text(lesson.read_text().replace("kalimba", "thumb piano"), encoding="utf-8")
        again = build(folder)
    print(
        f"{count} lessons: {first:.1f} s, with one changed {again:.1f} s on {os.cpu_count()} "
        f"processors (load before: {load:.1f})"
    )


if __name__ == "__main__":
    main()
