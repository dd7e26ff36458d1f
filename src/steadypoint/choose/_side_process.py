"""A second process that shrinks half of the boxes of a long search.

Threads do not help here: each step is a short operation on arrays, and they spend the time won on
waiting for each other.
"""

from __future__ import annotations

import os
import pickle  # only between a search and the process it started
import subprocess
import sys
import threading
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import NDArray

from steadypoint.choose._bounds import Bounds
from steadypoint.choose._problem import Problem
from steadypoint.choose._shrink import Shrunk, keep_memory, shrink

IntArray = NDArray[np.int64]

_COMMAND = "from steadypoint.choose._side_process import serve; serve()"


class SideProcess:
    """A process that shrinks boxes; of no use until it is ``ready``.

    Parameters
    ----------
    problem : Problem
        What is sought.

    Notes
    -----
    It is started as a program of its own, so a script needs no guard around its main part. Where
    none can be started it never becomes ready, and the search goes on alone.
    """

    def __init__(self, problem: Problem) -> None:
        self.ready = False
        self._known = -1
        self._process: subprocess.Popen[bytes] | None = None
        if not sys.executable or (os.cpu_count() or 1) < 2:
            return
        try:
            self._process = subprocess.Popen(  # noqa: S603  our own interpreter, fixed words
                [sys.executable, "-c", _COMMAND],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
            )
        except OSError:
            return
        threading.Thread(target=self._greet, args=(problem,), daemon=True).start()

    def _greet(self, problem: Problem) -> None:
        try:
            self._send(problem)
            self.ready = self._receive() == "ready"
        except (OSError, EOFError, ValueError, pickle.PickleError):
            self.ready = False

    def ask(self, bounds: Bounds, first: IntArray, last: IntArray, limit: float) -> bool:
        """Hand boxes over; False when nobody is there to take them."""
        corners = list(bounds.corners) if len(bounds.corners) != self._known else None
        try:
            self._send((corners, first, last, limit))
        except (OSError, ValueError):
            self.ready = False
            return False
        self._known = len(bounds.corners)
        return True

    def answer(self) -> Shrunk | None:
        """The boxes that are left of those handed over; None when the process is gone."""
        try:
            found: Shrunk = self._receive()
        except (OSError, EOFError, ValueError, pickle.PickleError):
            self.ready = False
            return None
        return found

    def close(self) -> None:
        """End the process."""
        self.ready = False
        if self._process is not None:
            self._process.kill()
            self._process.communicate()
            self._process = None

    def _send(self, message: object) -> None:
        assert self._process is not None  # noqa: S101  only reached when it was started
        assert self._process.stdin is not None  # noqa: S101  it is a pipe
        pickle.dump(message, self._process.stdin, protocol=5)
        self._process.stdin.flush()

    def _receive(self) -> Any:
        assert self._process is not None  # noqa: S101  only reached when it was started
        return _load(self._process.stdout)


def _load(stream: Any) -> Any:
    return pickle.load(stream)  # noqa: S301  what our own process wrote


def serve() -> None:
    """Take a problem, then boxes, until the input ends."""
    source, sink = sys.stdin.buffer, sys.stdout.buffer
    keep_memory()
    bounds = Bounds(_load(source))
    _reply(sink, "ready")
    while True:
        try:
            corners, first, last, limit = _load(source)
        except EOFError:
            return
        if corners is not None:
            bounds.corners = dict.fromkeys(corners)
            bounds.build()
        _reply(sink, shrink(bounds, first, last, limit))


def _reply(sink: BinaryIO, message: object) -> None:
    pickle.dump(message, sink, protocol=5)
    sink.flush()
