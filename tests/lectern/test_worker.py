"""Working processes: they answer, are cancelled in time, and come back."""

from __future__ import annotations

import os
import signal
import time

from steadypoint.lectern._worker import Worker


def test_answers_is_cancelled_and_comes_back(sheet: str):
    worker = Worker(30.0)
    try:
        found = worker.call({"do": "view", "sheet": sheet, "area": "drawing"})
        assert "<svg" in found["parts"]["stage"]
        assert worker.ready
        worker.seconds = 0.0  # no computation is as quick as this
        begun = time.monotonic()
        assert (
            "stopped" in worker.call({"do": "view", "sheet": sheet, "area": "working"})["refused"]
        )
        assert time.monotonic() - begun < 5.0
        worker.seconds = 30.0
        assert "parts" in worker.call({"do": "view", "sheet": sheet, "area": "drawing"})
    finally:
        worker.close()


def test_an_ended_process_is_started_anew(sheet: str):
    worker = Worker(30.0)
    try:
        worker.call({"do": "arrangements"})
        assert worker._process is not None
        os.kill(worker._process.pid, signal.SIGKILL)
        worker._process.wait()
        assert "names" in worker.call({"do": "arrangements"})
    finally:
        worker.close()
