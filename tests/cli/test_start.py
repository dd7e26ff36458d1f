"""Start and end of the command: speed, version, exit codes, streams."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from command_runs import RECORDER, Run

import steadypoint

COMMAND = [sys.executable, "-m", "steadypoint"]


def test_version(run: Run):
    assert run("--version").out == f"steadypoint {steadypoint.__version__}\n"


def test_help_of_every_command_exits_0(run: Run):
    for words in (
        [],
        ["point"],
        ["work"],
        ["draw"],
        ["arrangements"],
        ["lesson", "build"],
        ["demo"],
    ):
        said = run(*words, "--help")
        assert said.code == 0
        assert "Usage: steadypoint" in said.out
        assert run(*words, "-h").out == said.out


@pytest.mark.parametrize(
    "words",
    [
        ["pont"],
        ["point"],
        ["point", "a.circuit", "--colour"],
        ["point", "a.circuit", "--model", "guess"],
        ["draw", "a.circuit"],
        ["work", "a.circuit", "--format", "word"],
        ["lesson"],
        ["lesson", "build"],
        [],
    ],
)
def test_wrong_usage_exits_2_and_tells_the_usage(run: Run, words: list[str]):
    said = run(*words)
    assert said.code == 2
    assert "Usage: steadypoint" in said.err + said.out
    assert "Traceback" not in said.err


def test_misspelt_command_is_suggested(run: Run):
    assert "Did you mean 'point'?" in run("pont").err


def test_help_is_quick_and_loads_no_heavy_library():
    script = (
        "import sys\n"
        "from steadypoint.cli import main\n"
        "code = main(['--help'])\n"
        "heavy = {'numpy', 'scipy', 'lark', 'typst', 'rich', 'sympy', 'fontTools', 'ziamath'}\n"
        "sys.stderr.write(' '.join(sorted(heavy & set(sys.modules))))\n"
        "sys.exit(code)\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, check=True)
    assert done.stderr == b""
    times = []
    for _ in range(3):
        start = time.perf_counter()
        subprocess.run([*COMMAND, "--help"], capture_output=True, check=True)
        times.append(time.perf_counter() - start)
    # The bar is 0.25 s (benchmarks/start.py); loaded machines of a test run get slack.
    assert min(times) < 0.6


def test_import_of_the_package_is_quick():
    script = "import steadypoint, sys; sys.exit('numpy' in sys.modules or 'lark' in sys.modules)"
    subprocess.run([sys.executable, "-c", script], check=True)


def test_output_is_utf_8_whatever_the_locale(process: Run, recorder: Path):
    plain = {"LC_ALL": "C", "LANG": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
    for encoding in ("", "ascii", "latin-1"):
        env = plain | ({"PYTHONIOENCODING": encoding} if encoding else {})
        said = process("point", recorder, env=env)
        assert said.code == 0, said.err
        assert "kΩ" in said.out


def test_output_has_no_colour_codes_when_piped(process: Run, recorder: Path):
    assert "\x1b" not in process("point", recorder, env={"TERM": "xterm-256color"}).out


def test_interrupt_exits_130_quietly():
    for patience in (1.5, 5.0, 15.0):  # a busy machine may take long to start it
        with subprocess.Popen(
            [*COMMAND, "point", "-"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        ) as child:
            assert child.stdin is not None
            time.sleep(patience)  # it now waits for standard input
            child.send_signal(signal.SIGINT)
            out, err = child.communicate(timeout=30)
        if child.returncode != -signal.SIGINT:
            break
    assert child.returncode == 130
    assert out == err == b""


def test_closed_pipe_is_quiet():
    read, write = os.pipe()
    os.close(read)
    done = subprocess.run(
        [*COMMAND, "point", "-"],
        input=RECORDER.encode(),
        stdout=write,
        stderr=subprocess.PIPE,
        check=False,
    )
    os.close(write)
    assert done.stderr == b""
    assert done.returncode == 141


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_full_disk_behind_a_redirection_is_told():
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [*COMMAND, "point", "-"],
            input=RECORDER.encode(),
            stdout=full,
            stderr=subprocess.PIPE,
            check=False,
        )
    assert done.returncode == 1
    assert done.stderr.decode().count("\n") == 1
    assert "disk is full" in done.stderr.decode()


@pytest.mark.parametrize(
    ("number", "needle"),
    [
        (errno.ENOSPC, "disk is full"),
        (errno.EACCES, "permission denied"),
        (errno.ENOENT, "no such file"),
        (errno.EISDIR, "is a folder"),
        (errno.EIO, "Input/output error"),
    ],
)
def test_any_refusal_of_the_system_is_a_sentence(
    run: Run, monkeypatch: pytest.MonkeyPatch, number: int, needle: str
):
    def refuse(*_: object, **__: object) -> None:
        raise OSError(number, os.strerror(number), "stage.circuit")

    monkeypatch.setattr("steadypoint.cli._point.show_point", refuse)
    said = run("point", "stage.circuit")
    assert said.code == 1
    assert needle in said.err
    assert "stage.circuit" in said.err
