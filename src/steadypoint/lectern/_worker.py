"""Working processes, so that a computation can be cancelled and the page stays alive."""

from __future__ import annotations

import contextlib
import os
import select
import subprocess
import sys
import threading
import time
from collections.abc import Mapping
from typing import Any, Final, Protocol

from steadypoint.lectern._work import LENGTH, read_frame, write_frame

QUICK_SECONDS: Final = 10.0
"""What a key press may cost before it is cancelled. [s]"""
SLOW_SECONDS: Final = 40.0
"""What a comparison, a choice or a lesson may cost before it is cancelled. [s]"""

_CANCELLED: Final = (
    "This takes longer than {seconds:g} s, so the work was stopped. Take parts away, or use the "
    "command line."
)
_ENDED: Final = "The work on this ended early, perhaps for want of memory. Undo the last step."


class Work(Protocol):
    """Who works out what a page asks."""

    @property
    def ready(self) -> bool:
        """Whether an answer will come at once."""

    def call(self, request: Mapping[str, Any]) -> dict[str, Any]:
        """Work out one request."""

    def close(self) -> None:
        """End."""


class Inline:
    """Works in this process: for tests, and where processes cannot be started."""

    ready = True

    def call(self, request: Mapping[str, Any]) -> dict[str, Any]:
        """Work out one request."""
        from steadypoint.lectern._respond import respond

        return respond(request)

    def close(self) -> None:
        """Nothing to end."""


class Worker:
    """A working process, started anew when it was cancelled or ended.

    Parameters
    ----------
    seconds : float
        What one request may cost. [s]
    """

    def __init__(self, seconds: float) -> None:
        self.seconds = seconds
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._answered = False

    @property
    def ready(self) -> bool:
        """Whether it has answered once and is idle."""
        return self._answered and not self._lock.locked()

    def start(self) -> None:
        """Start the process, unless it runs."""
        if self._process is not None and self._process.poll() is None:
            return
        self._kill()
        self._answered = False
        self._process = subprocess.Popen(
            [sys.executable, "-c", "from steadypoint.lectern._work import main; main()"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env={**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"},
        )

    def call(self, request: Mapping[str, Any]) -> dict[str, Any]:
        """Work out one request.

        Parameters
        ----------
        request : mapping
            See ``respond``.

        Returns
        -------
        dict
            The answer, or ``refused`` with a sentence when it took too long.
        """
        with self._lock:
            for attempt in range(2):
                self.start()
                try:
                    answer = self._asked(dict(request))
                except OSError:  # the process ended between two requests
                    answer = None
                if answer is not None:
                    self._answered = True
                    return answer
                self._kill()
                if attempt == 0 and request.get("do") != "warm":
                    continue
            return {"refused": _ENDED}

    def _asked(self, request: dict[str, Any]) -> dict[str, Any] | None:
        process = self._process
        if process is None or process.stdin is None or process.stdout is None:
            return None
        deadline = time.monotonic() + self.seconds
        write_frame(process.stdin, request)
        left = deadline - time.monotonic()
        heard, _, _ = select.select([process.stdout], [], [], max(left, 0.0))
        if not heard:
            self._kill()
            return {"refused": _CANCELLED.format(seconds=self.seconds)}
        return read_frame(process.stdout)

    def _kill(self) -> None:
        if self._process is None:
            return
        self._process.kill()
        for stream in (self._process.stdin, self._process.stdout):
            if stream is not None:
                with contextlib.suppress(OSError):
                    stream.close()
        self._process.wait()
        self._process = None

    def close(self) -> None:
        """End the process."""
        with self._lock:
            self._kill()


__all__ = ["LENGTH", "QUICK_SECONDS", "SLOW_SECONDS", "Inline", "Work", "Worker"]
