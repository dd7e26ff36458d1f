"""What is made small after the worst distance, among the sets that give away little of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.choose._problem import MIDDLE, Problem
from steadypoint.choose._search import Found, Outcome, Search
from steadypoint.choose._start import values_at
from steadypoint.choose._wish import Wish, problem_of
from steadypoint.errors import CircuitError

FloatArray = NDArray[np.float64]

_MANY: Final = 200

Prefer = Callable[[FloatArray], FloatArray]


def with_next(
    wish: Wish, problem: Problem, best: Outcome, sets: int, seconds: float, prefer: Prefer
) -> tuple[Problem, Outcome]:
    """The best sets by the next goal.

    Parameters
    ----------
    wish : Wish
        What is wanted; ``then`` names the goal.
    problem : Problem
        The same as mathematics.
    best : Outcome
        Best sets by the worst distance.
    sets : int
        Sets to give. [-]
    seconds : float
        Time limit. [s]
    prefer : callable
        As for the search.

    Returns
    -------
    tuple of (Problem, Outcome)
        The problem whose places the sets are of, and the sets with their worst distances.
    """
    if not wish.then or not best.sets:
        return problem, best
    limit = best.sets[0].J * (1.0 + wish.slack)
    if wish.then == "supply current":
        return _least_current(wish, problem, limit, sets, seconds, prefer)
    many = Search(problem, _MANY, prefer=prefer, seconds=seconds).run()
    near = [f for f in many.sets if limit >= f.J]
    order = sorted(near, key=lambda f: (_cost(wish, problem, f), f.J))[:sets]
    whole = many.optimal and len(near) < _MANY
    return problem, replace(many, sets=tuple(order), optimal=whole, bound=best.sets[0].J)


def _cost(wish: Wish, problem: Problem, found: Found) -> float:
    x = values_at(problem, np.array(found.places)[:, None])
    if wish.then == "different values":
        return float(len({float(f"{v:.6g}") for v in x[:, 0]}))
    N, D = problem.at_corner(0, MIDDLE)
    for value in x[:, 0]:
        N, D = N[0::2] + N[1::2] * value, D[0::2] + D[1::2] * value
    return abs(float(N[0] / D[0]) / problem.target - 1.0)


def _least_current(
    wish: Wish, problem: Problem, limit: float, sets: int, seconds: float, prefer: Prefer
) -> tuple[Problem, Outcome]:
    """Least greatest supply current with the distance held to a limit: a search of its own."""
    rails = [v.name for v in problem.model.net.voltages if v.value > 0.0 and v.end < 0]
    if not rails:
        raise CircuitError("There is no positive rail whose current could be made small.")
    held = problem_of(replace(wish, within=limit), problem.model)
    lean = Problem(
        held.model,
        held.lattices,
        held.tolerances,
        held.betas,
        held.drives,
        {f"I({name})": -1.0 for name in rails},
        wish.collector_current,
        held.conditions,
        two_sided=False,
    )
    outcome = Search(lean, sets, prefer=prefer, seconds=seconds).run()
    found = []
    for one in outcome.sets:
        x = values_at(lean, np.array(one.places)[:, None])
        same = np.array([x[lean.names.index(n), 0] for n in held.names])[:, None]
        found.append(Found(float(held.extremes(same).J[0]), one.places))
    return lean, replace(outcome, sets=tuple(found))
