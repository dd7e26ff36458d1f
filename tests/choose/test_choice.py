"""Answers to wishes: proofs replayed and broken, real devices, conflicts, published designs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from steadypoint.choose import Wish, choose, front_of
from steadypoint.choose._record import Record
from steadypoint.choose._search import Search
from steadypoint.choose._verify import Exact, Replay, verified
from steadypoint.choose._wish import problem_of
from steadypoint.circuit import apply_setting, arrangement
from steadypoint.errors import CircuitError, QuantityError, UnknownNameError
from steadypoint.solve import operating_point
from steadypoint.values import is_in_series

DIVIDER = arrangement("voltage divider").circuit


@pytest.fixture(scope="module")
def answer():
    return choose(Wish(DIVIDER, 1e-3), 4)


def test_values_are_of_the_series(answer):
    """IEC 60063."""
    for one in answer.sets:
        assert all(is_in_series(v, "E24") for v in one.values.values())


def test_proof_holds_when_replayed_with_fractions(answer):
    assert verified(answer.wish, answer)["valid"]


@pytest.mark.parametrize("kind", ["shrink", "split", "point"])
def test_a_broken_record_is_found_out(answer, kind):
    """One step left out, or a box shrunk too far, and the replay fails."""
    problem = problem_of(answer.wish)
    record = Record()
    search = Search(problem, 4, record=record)
    outcome = search.run()
    replay = Replay(Exact(problem), list(search.bounds.corners), [f.places for f in outcome.sets])
    assert replay.run(record)[0]
    events = list(record.events)
    best = outcome.sets[0].places[: problem.relevant]
    at = next(
        i
        for i, e in enumerate(events)
        if e.kind == kind and (kind != "point" or e.box[0][: problem.relevant] == best)
    )
    if kind == "shrink":
        first = events[at].box[0]
        events[at] = replace(events[at], after=(first, first), empty=False)
    else:
        del events[at]
    assert not replay.run(Record(events))[0]


def test_a_worse_list_is_found_out(answer):
    """The record does not prove that the second-best set is the best."""
    problem = problem_of(answer.wish)
    record = Record()
    search = Search(problem, 1, record=record)
    outcome = search.run()
    worse = Search(problem, 30).run().sets[-1]
    exact = Exact(problem)
    corners = list(search.bounds.corners)
    assert Replay(exact, corners, [outcome.sets[0].places]).run(record)[0]
    forged = Replay(exact, corners, [worse.places])
    # the true optimum is a point of the record that the forged list leaves out
    assert not forged.run(record)[0]


def test_hand_distance_covers_the_exact_rung_at_random_copies(answer):
    """No copy drawn within the limits lies further off than the proved distance."""
    best = min(answer.sets, key=lambda s: s.worst_spread)
    rng = np.random.default_rng(3)
    for _ in range(60):
        circuit = best.circuit
        for name, ohms in best.values.items():
            circuit = apply_setting(circuit, f"{name}={ohms * rng.uniform(0.95, 1.05):.8g}")
        V_BE = 0.7 - 2e-3 * rng.uniform(-25.0, 25.0)
        circuit = apply_setting(circuit, f"beta={rng.uniform(100, 400):.6g}")
        circuit = apply_setting(circuit, f"V_BE={V_BE:.6g}")
        I_C = operating_point(circuit, "exact").transistors["Q1"].I_C
        assert abs(I_C / 1e-3 - 1) <= best.worst_spread * (1 + 1e-9)


def test_real_devices_agree_with_the_hand_rung(answer):
    for one in answer.sets:
        assert one.device_spread == pytest.approx(one.worst_spread, rel=0.05)


def test_impossible_wish_names_the_contradiction_and_the_nearest_wish():
    circuit = arrangement("collector feedback").circuit
    wish = Wish(circuit, 1e-3, beta=(50.0, 300.0), within=0.1)
    answer = choose(wish)
    assert not answer.sets
    assert answer.certificate.optimal
    assert any("within ±10 %" in name for name in answer.conflict)
    best = float(answer.remedy.split("±")[2].split()[0]) / 100.0
    assert choose(replace(wish, within=best)).sets
    assert not choose(replace(wish, within=0.95 * best)).sets


def test_no_condition_of_a_conflict_can_be_spared():
    from steadypoint.choose._conflict import _with

    wish = Wish(arrangement("base bias").circuit, 1e-3)
    answer = choose(wish)
    problem = problem_of(wish)
    assert answer.conflict
    for left_out in answer.conflict:
        kept = [c for c in problem.conditions if c.name in answer.conflict and c.name != left_out]
        assert Search(_with(problem, kept), 1).run().sets


def test_more_supply_current_buys_less_spread():
    front = front_of(Wish(DIVIDER, 1e-3), 5)
    limits, spreads = zip(*((limit, one.worst_spread) for limit, one in front), strict=True)
    assert len(front) >= 3
    assert list(limits) == sorted(limits)
    assert list(spreads) == sorted(spreads, reverse=True)


def test_wanted_collector_voltage_is_met_within_a_tenth():
    answer = choose(Wish(DIVIDER, 1e-3, V_CE=4.0), 2)
    for one in answer.sets:
        middle = apply_setting(one.circuit, "beta=200")
        V_CE = operating_point(middle, "exact").transistors["Q1"].V_CE
        assert pytest.approx(4.0, rel=0.11) == V_CE


def test_stock_values_only():
    stock = [1e3, 2.2e3, 4.7e3, 10e3, 22e3, 47e3]
    answer = choose(Wish(DIVIDER, 1e-3, stock=stock, tolerance=0.05, swing=1.0), 3)
    assert answer.sets
    assert all(v in stock for one in answer.sets for v in one.values.values())


@pytest.mark.parametrize(
    ("change", "fault", "sentence"),
    [
        ({"collector_current": -1.0}, QuantityError, "out of reason"),
        ({"beta": (400.0, 100.0)}, QuantityError, "no range of gains"),
        ({"temperature": (0.0, 300.0)}, QuantityError, "temperature range"),
        ({"tolerance": 2.0}, QuantityError, "out of reason"),
        ({"within": 0.0}, QuantityError, "more than 0 %"),
        ({"transistor": "Q9"}, UnknownNameError, "Q9"),
        ({"free": ("RX",)}, UnknownNameError, "RX"),
        ({"stock": (-5.0,)}, QuantityError, "positive resistance"),
    ],
)
def test_refusals(change, fault, sentence):
    with pytest.raises(fault, match=sentence):
        choose(replace(Wish(DIVIDER, 1e-3), **change))


def test_gain_needs_a_collector_resistor():
    follower = arrangement("emitter follower").circuit
    with pytest.raises(CircuitError, match="neither gain nor swing"):
        choose(Wish(follower, 1e-3, gain=10.0))


@pytest.mark.parametrize("then", ["supply current", "different values", "distance"])
def test_next_goal_costs_no_more_than_the_slack(answer, then):
    best = min(s.worst_spread for s in answer.sets)
    found = choose(Wish(DIVIDER, 1e-3, then=then, slack=0.3), 3)
    assert found.certificate.optimal
    for one in found.sets:
        assert one.worst_spread <= best * 1.3 * (1 + 1e-9)


def test_least_supply_current_is_that_of_brute_force():
    """Every set of a coarse series, judged at every corner, then the least current within 30 %."""
    wish = Wish(DIVIDER, 1e-3, series="E6", tolerance=0.05, swing=1.0)
    problem = problem_of(wish)
    lattices = [v[(v >= 1e3) & (v <= 5e5)] for v in problem.values]
    grid = np.array(np.meshgrid(*lattices, indexing="ij")).reshape(len(lattices), -1)
    found = problem.extremes(grid)
    J = np.where(found.feasible, found.J, np.inf)
    near = J.min() * 1.3 >= J
    limit = next(i for i, c in enumerate(problem.conditions) if "supply current" in c.name) + 1
    most = wish.supply_limit - found.low[limit]
    least = choose(replace(wish, then="supply current", slack=0.3), 1).sets[0]
    x = np.array([least.values[n] for n in problem.names])[:, None]
    again = problem.extremes(x)
    assert wish.supply_limit - again.low[limit, 0] == pytest.approx(most[near].min(), rel=1e-9)


def test_unknown_goal_gets_the_nearest():
    with pytest.raises(QuantityError, match="supply current"):
        choose(Wish(DIVIDER, 1e-3, then="suply current"))
