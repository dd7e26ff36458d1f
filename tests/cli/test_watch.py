"""``steadypoint lesson build --watch``: built, and built anew after a change."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

LESSON = "# One\n\nNothing but words of the {}.\n"


def until(wanted: str, file: Path, process: subprocess.Popen[str]) -> None:
    end = time.monotonic() + 60.0
    while time.monotonic() < end:
        if file.is_file() and wanted in file.read_text(encoding="utf-8"):
            return
        assert process.poll() is None
        time.sleep(0.05)
    raise AssertionError(f"{wanted} never came")


@pytest.mark.skipif(sys.platform == "win32", reason="signals of another kind")
def test_a_change_is_built_and_a_fault_leaves_the_page(tmp_path: Path) -> None:
    lesson, page = tmp_path / "one.md", tmp_path / "out" / "one.html"
    lesson.write_text(LESSON.format("kalimba"), encoding="utf-8")
    words = ["lesson", "build", "one.md", "--to", "page", "--into", "out", "--watch"]
    with subprocess.Popen(
        [sys.executable, "-m", "steadypoint", *words],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    ) as process:
        try:
            until("kalimba", page, process)
            assert process.stdout is not None
            while "Watching" not in process.stdout.readline():
                pass
            time.sleep(0.5)  # the watch begins right after its sentence
            lesson.write_text(LESSON.format("{{I_C}}"), encoding="utf-8")
            time.sleep(1.0)
            assert "kalimba" in page.read_text(encoding="utf-8")
            lesson.write_text(LESSON.format("hydrophone"), encoding="utf-8")
            until("hydrophone", page, process)
        finally:
            process.send_signal(signal.SIGINT)
            out, err = process.communicate(timeout=30)
    assert "Built anew in" in out
    assert "one.md, line 3" in err
    assert "Traceback" not in err
