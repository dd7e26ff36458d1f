"""The real lectern in a real browser."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

CHROMIUM = shutil.which("chromium")
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """Address of a lectern over a folder, started as the command does."""
    command = [sys.executable, "-m", "steadypoint", "lectern", str(folder), "--port", "0"]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONUNBUFFERED": "1"}
    ) as process:
        assert process.stdout is not None
        try:
            found = re.search(r"http://\S+", process.stdout.readline())
            assert found is not None
            yield found[0]
        finally:
            process.terminate()
            process.wait()


@contextmanager
def browser() -> Iterator[Any]:
    """Debian's Chromium."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        found = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        try:
            yield found
        finally:
            found.close()
