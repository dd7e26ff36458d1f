"""Fixtures for tests of the command line."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from command_runs import RECORDER, Outcome, Run

from steadypoint.cli import main


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command in this process."""

    def call(*words: str | os.PathLike[str]) -> Outcome:
        capsys.readouterr()
        code = main([os.fspath(word) for word in words])
        said = capsys.readouterr()
        return Outcome(code, said.out, said.err)

    return call


@pytest.fixture
def process() -> Run:
    """Run the real command in a process of its own."""

    def call(
        *words: str | os.PathLike[str], stdin: bytes = b"", env: dict[str, str] | None = None
    ) -> Outcome:
        done = subprocess.run(
            [Path(sys.executable).parent / "steadypoint", *words],
            input=stdin,
            capture_output=True,
            env={**os.environ, **(env or {})},
            check=False,
        )
        return Outcome(done.returncode, done.stdout.decode("utf-8"), done.stderr.decode("utf-8"))

    return call


@pytest.fixture
def recorder(tmp_path: Path) -> Path:
    """Sheet of a collector-feedback stage."""
    path = tmp_path / "recorder.circuit"
    path.write_text(RECORDER, encoding="utf-8")
    return path
