"""What tests of the command line share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

RECORDER = """\
title: Field recorder, microphone stage

VCC = 9 V
Q1 = npn, beta 150
from VCC through RC 3k3 to Q1 collector
from Q1 collector through RB 470k to Q1 base
from Q1 emitter through RE 560 to ground
from IN through C1 10u to Q1 base
"""


@dataclass(frozen=True)
class Outcome:
    """What a command did."""

    code: int
    out: str
    err: str


Run = Callable[..., Outcome]


def assert_one_sentence(said: Outcome, *needles: str) -> None:
    """The command failed with exit code 1 and told why, without a traceback."""
    assert said.code == 1, said
    assert said.out == ""
    assert "Traceback" not in said.err
    assert said.err.endswith((".\n", "?\n")), said.err
    assert len(said.err.strip().splitlines()) <= 4, said.err
    for needle in needles:
        assert needle in said.err, f"{needle!r} is not in {said.err!r}"
