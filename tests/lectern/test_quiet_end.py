"""Ending the lectern while something is computed tells nobody of it; real faults are told."""

from __future__ import annotations

import asyncio
import logging

import pytest

from steadypoint.lectern._serve import Quiet


def record(message: str, fault: BaseException | None = None) -> logging.LogRecord:
    info = (type(fault), fault, None) if fault is not None else None
    return logging.LogRecord("uvicorn.error", logging.ERROR, "", 0, message, (), info)


@pytest.mark.parametrize(
    ("one", "told"),
    [
        (record("Cancel 2 running task(s), timeout graceful shutdown exceeded"), False),
        (record("Exception in ASGI application", asyncio.CancelledError()), False),
        (record("Exception in ASGI application", ValueError("wrong")), True),
        (record("Anything else"), True),
    ],
)
def test_only_given_up_answers_are_kept_quiet(one: logging.LogRecord, told: bool) -> None:
    assert Quiet().filter(one) is told
