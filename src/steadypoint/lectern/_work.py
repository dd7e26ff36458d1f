"""A working process of the lectern: frames of JSON in on standard input, frames out on standard
output. It ends when its input does."""

from __future__ import annotations

import contextlib
import json
import os
import struct
import sys
from typing import IO, Any, Final

LENGTH: Final = struct.Struct(">I")
_MEMORY: Final = 3 << 30  # address space of a working process [bytes]


def read_frame(stream: IO[bytes]) -> dict[str, Any] | None:
    """One message, or None at the end."""
    head = stream.read(LENGTH.size)
    if len(head) < LENGTH.size:
        return None
    body = stream.read(LENGTH.unpack(head)[0])
    found: dict[str, Any] = json.loads(body)
    return found


def write_frame(stream: IO[bytes], message: dict[str, Any]) -> None:
    """Send one message."""
    body = json.dumps(message, ensure_ascii=False).encode("utf-8", "replace")
    stream.write(LENGTH.pack(len(body)) + body)
    stream.flush()


def main() -> None:
    """Answer requests until the input ends."""
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))
    # Whatever a library prints must not get between the frames.
    out = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    from steadypoint.lectern._respond import respond

    while (request := read_frame(sys.stdin.buffer)) is not None:
        try:
            answer = respond(request)
        except Exception as fault:
            sys.stderr.write(f"{type(fault).__name__}: {fault}\n")
            answer = {"refused": _OURS}
        write_frame(out, answer)


_OURS: Final = (
    "This is a fault of Steadypoint, not of yours. Undo the last step and go on from there."
)
