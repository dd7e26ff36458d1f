"""The second process of a long search: it changes nothing but the time."""

from __future__ import annotations

import time

import numpy as np
import pytest

from steadypoint.choose import _search, _side_process
from steadypoint.choose._hand_model import hand_model
from steadypoint.choose._problem import Condition, Drive, Problem
from steadypoint.choose._search import Outcome, Search
from steadypoint.circuit import arrangement
from steadypoint.values import series


@pytest.fixture
def problem() -> Problem:
    circuit = arrangement("voltage divider").circuit
    model = hand_model(circuit)
    step = np.array(series("E12"))
    lattices = {
        name: np.array([m * start * 10.0**d for d in range(2) for m in step])
        for name, start in (("R1", 1e4), ("R2", 1e3), ("RC", 1e3), ("RE", 1e2))
    }
    V_CE = {"V(Q1.collector)": 1.0, "V(Q1.emitter)": -1.0, "": -2.0}
    return Problem(
        model,
        lattices,
        dict.fromkeys(lattices, 0.05),
        {"Q1": (80.0, 300.0)},
        [Drive("VCC", 12.0, 12.0, {"VCC": 1.0}), Drive("V_BE", 0.6, 0.7, {"V_BE(Q1)": 1.0})],
        {"I_C(Q1)": 1.0},
        1e-3,
        [Condition("V_CE", V_CE)],
    )


def wait_until_ready(side: _side_process.SideProcess) -> None:
    end = time.monotonic() + 60.0
    while not side.ready and time.monotonic() < end:
        time.sleep(0.01)
    assert side.ready


def outcome(search: Search) -> tuple[object, ...]:
    found: Outcome = search._run()
    return found.sets, found.bound, found.boxes, found.optimal, found.corners


def test_boxes_come_back_as_if_they_had_stayed(
    problem: Problem, monkeypatch: pytest.MonkeyPatch
) -> None:
    alone = outcome(Search(problem, 5))
    monkeypatch.setattr(_search, "_MANY", 2)
    search = Search(problem, 5)
    search._side = side = _side_process.SideProcess(problem)
    asked = []
    ask = side.ask
    monkeypatch.setattr(side, "ask", lambda *given: asked.append(ask(*given)) or asked[-1])
    wait_until_ready(side)
    assert outcome(search) == alone
    assert asked
    assert all(asked)
    side.close()
    assert not side.ready


def test_search_goes_on_when_the_process_is_gone(
    problem: Problem, monkeypatch: pytest.MonkeyPatch
) -> None:
    alone = outcome(Search(problem, 5))
    monkeypatch.setattr(_search, "_MANY", 2)
    search = Search(problem, 5)
    search._side = side = _side_process.SideProcess(problem)
    wait_until_ready(side)
    assert side._process is not None
    side._process.kill()
    assert outcome(search) == alone
    assert not side.ready
    side.close()


def test_search_goes_on_where_no_process_starts(
    problem: Problem, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(_side_process.sys, "executable", "")
    monkeypatch.setattr(_search, "_LONG", 0)
    assert Search(problem, 5).run().optimal
