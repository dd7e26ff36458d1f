"""Run the console examples of the documentation; write their output and pictures anew.

A page's examples run in order in one empty folder. A fence with a file name, such as
``` ```circuit recorder.circuit ```, puts that file there first; a line ``...`` in an output stands
for lines left out and is kept. ``make examples`` rewrites every page; the tests only compare.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
FENCE = re.compile(r"^(`{3,})([^\n`]*)\n(.*?)^\1[ ]*$", re.MULTILINE | re.DOTALL)
PICTURES = Path("docs") / "pictures"


@dataclass(frozen=True, slots=True)
class Example:
    """One command of a page with what the page shows and what it printed now."""

    command: str
    shown: str
    printed: str

    @property
    def holds(self) -> bool:
        """Whether the page shows what was printed."""
        lines = [re.escape(line) + "\n" for line in self.shown.splitlines()]
        pattern = "".join(lines).replace(re.escape("...") + "\n", "(?:.*\n)*?")
        return re.fullmatch(pattern, self.printed) is not None


def pages() -> list[Path]:
    """Pages of the documentation, the README first."""
    return [*sorted(ROOT.glob("*.md"), reverse=True), *sorted((ROOT / "docs").rglob("*.md"))]


def run_page(page: Path, folder: Path) -> list[Example]:
    """Run the console examples of a page in a folder."""
    (folder / PICTURES).mkdir(parents=True, exist_ok=True)
    done = []
    for _, info, body in FENCE.findall(page.read_text(encoding="utf-8")):
        kind, *names = info.split() or [""]
        if names and kind != "console":
            (folder / names[0]).write_text(body, encoding="utf-8")
        if kind == "console":
            done += [
                Example(command, shown, _run(command, folder)) for command, shown in _steps(body)
            ]
    return done


def _steps(body: str) -> Iterator[tuple[str, str]]:
    for part in re.split(r"^\$ ", body, flags=re.MULTILINE)[1:]:
        command, _, shown = part.partition("\n")
        yield command, shown


def _run(command: str, folder: Path) -> str:
    scripts = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    done = subprocess.run(  # noqa: S603  commands of our own pages
        ["/bin/sh", "-c", command],
        cwd=folder,
        env={**os.environ, "PATH": scripts, "NO_COLOR": "1"},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        check=False,
    )
    text = done.stdout.decode("utf-8")
    return "".join(line.rstrip() + "\n" for line in text.splitlines())


def refresh(page: Path) -> None:
    """Write the output that the examples print now into the page, and their pictures."""
    with tempfile.TemporaryDirectory() as place:
        done = iter(run_page(page, Path(place)))

        def body(match: re.Match[str]) -> str:
            if match[2].split()[:1] != ["console"]:
                return match[0]
            fresh = []
            for command, shown in _steps(match[3]):
                example = next(done)
                kept = shown if "...\n" in shown else example.printed
                fresh.append(f"$ {command}\n{kept}")
            return f"{match[1]}{match[2]}\n{''.join(fresh)}{match[1]}"

        text = page.read_text(encoding="utf-8")
        page.write_text(FENCE.sub(body, text), encoding="utf-8")
        for picture in (Path(place) / PICTURES).iterdir():
            (ROOT / PICTURES / picture.name).write_bytes(picture.read_bytes())


if __name__ == "__main__":
    for one in pages():
        refresh(one)
