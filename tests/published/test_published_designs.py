"""Part values that published examples choose for a wanted operating point.

The solver is turned round: a root finder looks for the values at which its operating point is the
wanted one. It starts from round decades, never from the answer.
"""

from __future__ import annotations

import math
from functools import cache
from itertools import product

import numpy as np
import pytest
from scipy.optimize import root
from worked_examples import (
    HAIR,
    Case,
    Item,
    circuit_of,
    compare,
    items,
    solve,
    value_of,
    with_settings,
)

from steadypoint.circuit import Circuit, Kind
from steadypoint.errors import SteadypointError
from steadypoint.solve import thevenin

ITEMS = items("designs.toml")
FULL = [i for i in ITEMS if "full_solution" in i.data]


def misses(case: Case, circuit: Circuit, *, full: bool) -> list[float]:
    """Distance from each goal, by logarithm where it can be (I_C is exponential in V_BE)."""

    def distance(value: float, wanted: float) -> float:
        ratio = value / wanted
        return math.log(ratio) if ratio > 0 else ratio - 1.0

    found = []
    for goal in case.data["goals"]:
        wanted = goal["value"]
        symbol, at, node = goal["quantity"].partition(" at ")
        if at:
            bias = thevenin(circuit, node, without=[q.name for q in circuit.transistors])
            found.append(distance(getattr(bias, symbol), wanted))
            continue
        point = solve(case, circuit, full=full)
        if "times" in goal:
            wanted *= value_of(point, goal["times"])
        found.append(distance(value_of(point, symbol), wanted))
    return found


@cache
def chosen(case: Case, *, full: bool = False) -> Circuit:
    """Circuit of a case with its unknown values found."""
    circuit = circuit_of(case)
    names = case.data["find"]

    def at(logs: np.ndarray) -> Circuit:
        return with_settings(circuit, dict(zip(names, map(math.exp, logs), strict=True)))

    def distance(logs: np.ndarray) -> list[float]:
        return misses(case, at(logs), full=full)

    decades = [
        (10.0,) if circuit.part(n).kind is Kind.SUPPLY else (1e5, 1e4, 1e3, 1e6, 1e2) for n in names
    ]
    for start in product(*decades):
        try:
            found = root(distance, np.log(start), tol=1e-13)
        except (SteadypointError, OverflowError):
            continue
        if np.abs(found.fun).max() < HAIR:
            return at(found.x)
    raise AssertionError(f"No values found for {case}.")


def result_of(item: Item, *, full: bool = False) -> float:
    circuit = chosen(item.case, full=full)
    name = item.data["quantity"]
    if "." in name:
        return float(value_of(solve(item.case, circuit, full=full), name))
    value = circuit.part(name).value
    assert value is not None
    return value.value


@pytest.mark.parametrize("item", ITEMS, ids=str)
def test_chosen_value(item: Item) -> None:
    compare(result_of(item), item)


# Not printed: the value that reaches the goal without the source's assumption, by an independent
# calculation made when the examples were collected.
@pytest.mark.parametrize("item", FULL, ids=str)
def test_value_without_the_assumption(item: Item) -> None:
    assert result_of(item, full=True) == pytest.approx(item.data["full_solution"], rel=1e-8)


def test_number_of_published_designs() -> None:
    assert len(ITEMS) == 35
