"""Impossible wishes: which conditions contradict each other, and what can be had instead."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

from steadypoint.choose._hand_model import HandModel
from steadypoint.choose._problem import Condition, Problem
from steadypoint.choose._search import Search
from steadypoint.choose._wish import Wish, problem_of
from steadypoint.values import format_quantity

_SECONDS: Final = 5.0


def conflict_of(wish: Wish, model: HandModel) -> tuple[tuple[str, ...], str]:
    """The smallest set of conditions that cannot hold together, and the nearest wish to be had.

    Parameters
    ----------
    wish : Wish
        A wish that no set of values meets.
    model : HandModel
        The circuit's.

    Returns
    -------
    tuple of (tuple of str, str)
        Names of the conditions, none of which can be spared from the contradiction; a sentence on
        what can be had, or an empty one.

    Notes
    -----
    Conditions are left out one by one; one without which the rest can still not be met is not
    needed for the contradiction (deletion filter: J. W. Chinneck, Feasibility and Infeasibility in
    Optimization, 2008, 6.2).
    """
    whole = problem_of(wish, model)
    names = list(dict.fromkeys(c.name for c in whole.conditions))
    needed = list(names)
    for name in names:
        trial = [n for n in needed if n != name]
        if not _can_be_met(whole, trial):
            needed = trial
    return tuple(needed), _remedy(wish, model, needed)


def _can_be_met(problem: Problem, names: list[str]) -> bool:
    kept: list[Condition] = [c for c in problem.conditions if c.name in names]
    return bool(Search(_with(problem, kept), 1, seconds=_SECONDS).run().sets)


def _with(problem: Problem, conditions: list[Condition]) -> Problem:
    return Problem(
        problem.model,
        problem.lattices,
        problem.tolerances,
        problem.betas,
        problem.drives,
        problem.quantity,
        problem.target,
        conditions,
    )


def _remedy(wish: Wish, model: HandModel, needed: list[str]) -> str:
    """The nearest wish: relax what is in the conflict, one at a time, the distance of I_C first."""
    from steadypoint.choose._choice import rounded_up

    if wish.within is not None and any(n.startswith("I_C within") for n in needed):
        found = Search(problem_of(replace(wish, within=None), model), 1, seconds=_SECONDS).run()
        if found.sets:
            return (
                f"This arrangement cannot hold I_C within ±{100 * wish.within:.3g} % here; "
                f"±{rounded_up(found.sets[0].J)} % is its best."
            )
    if any(n.startswith("input resistance") for n in needed):
        ohms = _largest_input(wish, model)
        if ohms is not None:
            return (
                f"With an input resistance of {format_quantity(ohms, 'Ω', 2)} values can be found."
            )
    if wish.room and any("swing" in n for n in needed):
        least = _largest(wish, model)
        if least is not None:
            return f"With a swing of {format_quantity(least, 'V', 2)} values can be found."
    narrow = _narrowest(wish, model)
    if narrow is not None:
        return (
            f"With beta {narrow[0]:.3g} to {narrow[1]:.3g} values can be found: select the "
            f"transistors, or take an arrangement that depends less on beta."
        )
    return ""


def _largest(wish: Wish, model: HandModel) -> float | None:
    """Largest swing, in twentieths of what was wished, for which values exist. [V]"""
    low, high = 0, 20
    if not _exists(replace(wish, swing=0.0), model):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        if _exists(replace(wish, swing=wish.room * middle / 20.0), model):
            low = middle
        else:
            high = middle
    return wish.room * low / 20.0 if low else None


def _largest_input(wish: Wish, model: HandModel) -> float | None:
    """Largest input resistance, by factors of 2 ** 0.25 below the wished one. [Ω]"""
    low, high = 0, 33
    while high - low > 1:
        middle = (low + high) // 2
        ohms = wish.input_resistance * 2.0 ** (-(33 - middle) / 4.0)
        if _exists(replace(wish, input_resistance=ohms), model):
            low = middle
        else:
            high = middle
    if not low:
        return None
    ohms = wish.input_resistance * 2.0 ** (-(33 - low) / 4.0)
    step = float(10.0 ** (math.floor(math.log10(ohms)) - 1))
    return float(math.floor(ohms / step) * step)


def _narrowest(wish: Wish, model: HandModel) -> tuple[float, float] | None:
    """Widest range of beta about its geometric mean for which values exist."""
    low, high = wish.beta
    middle, half = math.sqrt(low * high), math.log(high / low) / 2.0
    for share in (0.75, 0.5, 0.25, 0.1):
        span = (middle * math.exp(-half * share), middle * math.exp(half * share))
        if _exists(replace(wish, beta=span), model):
            return span
    return None


def _exists(wish: Wish, model: HandModel) -> bool:
    return bool(Search(problem_of(wish, model), 1, seconds=_SECONDS).run().sets)
