"""Entry of the command line: streams, exit codes, and faults told in a sentence."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Sequence
from typing import Final, TextIO

OK: Final = 0
FAULT: Final = 1
USAGE: Final = 2
INTERRUPTED: Final = 130  # 128 + SIGINT, as shells count
CLOSED_PIPE: Final = 141  # 128 + SIGPIPE


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    arguments : sequence of str or None, default None
        Words after ``steadypoint``; those of the process by default.

    Returns
    -------
    int
        Exit code: 0 done, 1 a fault told on standard error, 2 wrong usage, 130 interrupted. [-]

    Examples
    --------
    >>> main(["--version"])  # doctest: +ELLIPSIS
    steadypoint ...
    0
    """
    prepare_streams()
    try:
        code = _run(arguments)
        sys.stdout.flush()
    except BrokenPipeError:
        _silence_stdout()
        return CLOSED_PIPE
    except KeyboardInterrupt:
        return INTERRUPTED
    except OSError as error:  # standard output itself: a full disk behind a redirection
        _silence_stdout()
        _say(sentence_of(error))
        return FAULT
    return code


def _run(arguments: Sequence[str] | None) -> int:
    import typer

    from steadypoint.cli._app import app
    from steadypoint.errors import SteadypointError

    try:
        code = app(
            args=None if arguments is None else list(arguments),
            prog_name="steadypoint",
            standalone_mode=False,
        )
    except SteadypointError as error:
        _say(str(error))
        return FAULT
    except typer.TyperException as error:
        show = getattr(error, "show", None)
        if show is not None:
            show(file=sys.stderr)
        else:
            _say(error.format_message())
        return error.exit_code
    except typer.Abort:
        return INTERRUPTED
    except SystemExit:  # typer leaves so, and only so, when the reader of the output went away
        raise BrokenPipeError from None
    except OSError as error:
        _say(sentence_of(error))
        return FAULT
    except RecursionError:
        _say("The input is nested too deeply to be read. Write it in fewer levels.")
        return FAULT
    return code if isinstance(code, int) else OK


def prepare_streams() -> None:
    """Write UTF-8 whatever the locale says, and never fail on a character."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(encoding="utf-8", errors="backslashreplace")


def sentence_of(error: OSError) -> str:
    """What the operating system refused, in words, and what to do instead."""
    name = f"'{os.fsdecode(error.filename)}'" if error.filename else "The output"
    match error.errno:
        case errno.ENOSPC | errno.EDQUOT:
            return f"{name}: the disk is full. Free some space and run the command again."
        case errno.EACCES | errno.EPERM | errno.EROFS:
            return f"{name}: permission denied. Choose a place you may read and write."
        case errno.ENOENT:
            return f"{name}: there is no such file or folder. Check the spelling of the path."
        case errno.EISDIR:
            return f"{name} is a folder. Name a file."
        case errno.ENOTDIR | errno.EEXIST:
            return f"{name}: a file stands where a folder is needed. Choose another place."
        case errno.ENAMETOOLONG:
            return f"{name}: the name is too long. Choose a shorter one."
        case _:
            reason = error.strerror or type(error).__name__
            return f"{name}: the system refused with '{reason}'. Choose another place or try again."


def _say(sentence: str) -> None:
    _write(sys.stderr, f"{sentence}\n")


def _write(stream: TextIO, text: str) -> None:
    try:
        stream.write(text)
        stream.flush()
    except OSError:
        return


def _silence_stdout() -> None:
    # The interpreter flushes standard output once more at exit; give it a place that takes it.
    try:
        sink = os.open(os.devnull, os.O_WRONLY)
        os.dup2(sink, sys.stdout.fileno())
    except (OSError, ValueError):
        return
