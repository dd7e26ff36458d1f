"""Choosing values: the best sets, what proves them, what real devices make of them, and why."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.choose._next import with_next
from steadypoint.choose._problem import Problem
from steadypoint.choose._rule_of_thumb import RuleOfThumb, rule_of_thumb
from steadypoint.choose._search import Outcome, Search
from steadypoint.choose._wish import Wish, problem_of
from steadypoint.circuit import Circuit, apply_setting
from steadypoint.solve import OperatingPoint, operating_point, solve_many
from steadypoint.values import format_quantity, letter_code

FloatArray = NDArray[np.float64]

_MOST_CORNERS: Final = 512
_EDGE_WORDS: Final = "stands at the end of its range: a condition may be missing"


@dataclass(frozen=True, slots=True)
class ChosenSet:
    """One set of standard values.

    Parameters
    ----------
    values : mapping of str to float
        Resistances by name. [Ω]
    circuit : Circuit
        The circuit with these values.
    point : OperatingPoint
        Its operating point on the device rung at the middle of the wish.
    worst_spread : float
        Greatest relative distance of I_C from the wish over all corners on the hand rung, exact.
        [-]
    device_spread : float
        The same with real devices at the corners of tolerances, beta and temperature; NaN where a
        corner has no point. [-]
    why : str
        Why it is good, in a sentence.
    """

    values: Mapping[str, float]
    circuit: Circuit
    point: OperatingPoint
    worst_spread: float
    device_spread: float
    why: str


@dataclass(frozen=True, slots=True)
class Certificate:
    """What is proved about a choice.

    Parameters
    ----------
    optimal : bool
        True when no set outside the answer is better than its last.
    bound : float
        Every other set has at least this distance. [-]
    gap : float
        How far the best found stands above what is proved; zero when optimal. [-]
    boxes : int
        Boxes of values that were judged. [-]
    combinations : float
        Sets there are. [-]
    seconds : float
        Time of the search. [s]
    """

    optimal: bool
    bound: float
    gap: float
    boxes: int
    combinations: float
    seconds: float


@dataclass(frozen=True, slots=True)
class Choice:
    """Answer to a wish.

    Parameters
    ----------
    wish : Wish
        What was wanted.
    sets : tuple of ChosenSet
        Best sets, best first with real devices; empty when the wish cannot be met.
    certificate : Certificate
        What is proved, on the hand rung.
    conflict : tuple of str
        Conditions that cannot hold together, none of them to spare; empty when there are sets.
    remedy : str
        The nearest wish that can be had, or empty.
    warnings : tuple of str
        What a reader should know.
    usual : RuleOfThumb or None
        What the rule of thumb gives instead, where there is one.
    """

    wish: Wish
    sets: tuple[ChosenSet, ...]
    certificate: Certificate
    conflict: tuple[str, ...] = ()
    remedy: str = ""
    warnings: tuple[str, ...] = ()
    usual: RuleOfThumb | None = None

    def _repr_mimebundle_(self, **_: object) -> dict[str, str]:
        from steadypoint.choose._show import plain, table

        return {"text/plain": plain(self), "text/html": table(self)}

    @property
    def beside_the_rule(self) -> str:
        """How far the rule of thumb is from the best, in a sentence; empty without a rule."""
        if self.usual is None or not self.sets:
            return ""
        best = min(s.worst_spread for s in self.sets)
        listed = ", ".join(f"{n} {letter_code(v)}" for n, v in self.usual.values.items())
        tail = "" if self.usual.meets else ", and not all conditions hold"
        return (
            f"The rule of thumb ({self.usual.words}) gives {listed}: "
            f"±{rounded_up(self.usual.spread)} %, {self.usual.spread / best:.2g} times as far as "
            f"the best{tail}."
        )


Progress = Callable[[int, float, float], object]


def choose(
    wish: Wish, sets: int = 5, *, seconds: float = 30.0, progress: Progress | None = None
) -> Choice:
    """The best sets of standard values for a wish.

    Parameters
    ----------
    wish : Wish
        What is wanted.
    sets : int, default 5
        Sets to give. [-]
    seconds : float, default 30
        Time limit of the search; after it the best so far comes with an honest gap. [s]
    progress : callable, optional
        Told ``(boxes, best, bound)`` after each round.

    Returns
    -------
    Choice
        Proved best on the hand rung, then put in order by real devices.

    Raises
    ------
    CircuitError
        If nothing can be proved for such a circuit.
    QuantityError
        If a figure of the wish is out of reason.

    Notes
    -----
    Branch and bound over boxes of standard values. On the hand rung every voltage and current is a
    quotient of polynomials that are affine in each resistance and each beta, so that its extremes
    over tolerances lie at corners, and a box whose corners all miss a condition holds nothing.

    Examples
    --------
    >>> from steadypoint.circuit import arrangement
    >>> answer = choose(Wish(arrangement("voltage divider").circuit, 1e-3), 1)
    >>> answer.certificate.optimal
    True
    """
    problem = problem_of(wish)
    outcome = Search(
        problem, max(sets, 1), prefer=_preference(wish, problem), seconds=seconds, progress=progress
    ).run()
    first = problem
    if wish.then and outcome.sets:
        prefer = _preference(wish, problem)
        problem, outcome = with_next(wish, problem, outcome, max(sets, 1), seconds, prefer)
    certificate = _certificate(problem, outcome)
    if not outcome.sets:
        from steadypoint.choose._conflict import conflict_of

        names, remedy = conflict_of(wish, problem.model)
        return Choice(wish, (), certificate, names, remedy)
    chosen = [_chosen(wish, problem, found.J, found.places) for found in outcome.sets]
    if not wish.then:
        chosen.sort(key=lambda s: math.inf if math.isnan(s.device_spread) else s.device_spread)
    usual = rule_of_thumb(wish, first)
    warnings = _warnings(problem, outcome)
    return Choice(wish, tuple(chosen), certificate, warnings=warnings, usual=usual)


def _certificate(problem: Problem, outcome: Outcome) -> Certificate:
    best = outcome.sets[0].J if outcome.sets else math.inf
    gap = 0.0 if outcome.optimal else max(0.0, best - outcome.bound)
    combinations = math.prod(float(len(v)) for v in problem.values)
    return Certificate(
        outcome.optimal, outcome.bound, gap, outcome.boxes, combinations, outcome.seconds
    )


def _preference(wish: Wish, problem: Problem) -> Callable[[FloatArray], FloatArray]:
    """Values that I_C does not feel: V_CE near the wish, else in the middle of what is allowed."""
    centre = [np.log(v[[0, -1]]).mean() for v in problem.values]

    def cost(x: FloatArray) -> FloatArray:
        found = problem.extremes(x)
        room = found.low[1:]
        scale = np.array([c.scale for c in problem.conditions])[:, None]
        least = (room / scale).min(axis=0) if len(room) else np.zeros(x.shape[1])
        away = np.abs(np.log(x) - np.array(centre)[:, None]).sum(axis=0)
        return np.asarray(-least + 1e-6 * away)

    return cost


def _chosen(wish: Wish, problem: Problem, J: float, places: tuple[int, ...]) -> ChosenSet:
    values = {
        name: float(lattice[i])
        for name, lattice, i in zip(problem.names, problem.values, places, strict=True)
    }
    circuit = with_values(wish.circuit, values)
    middle = math.sqrt(wish.beta[0] * wish.beta[1])
    centred = apply_setting(circuit, f"beta={middle:.6g}")
    point = operating_point(centred, "device", temperature=sum(wish.temperature) / 2.0)
    order = sorted(values, key=lambda name: list(problem.model.resistors).index(name))
    return ChosenSet(
        {name: values[name] for name in order},
        circuit,
        point,
        J,
        device_spread(wish, circuit),
        _why(wish, problem, values, J, point),
    )


def with_values(circuit: Circuit, values: Mapping[str, float]) -> Circuit:
    """A circuit with other resistances.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    values : mapping of str to float
        Resistances by name. [Ω]

    Returns
    -------
    Circuit
    """
    for name, ohms in values.items():
        circuit = apply_setting(circuit, f"{name}={_plain(ohms)}")
    return circuit


def _plain(ohms: float) -> str:
    for factor, letter in ((1e6, "M"), (1e3, "k"), (1.0, "R")):
        if ohms >= factor:
            return f"{ohms / factor:.6g}{letter}" if letter != "R" else f"{ohms:.6g}"
    return f"{ohms:.6g}"


def device_spread(wish: Wish, circuit: Circuit) -> float:
    """Greatest relative distance of I_C from the wish with real devices at the corners. [-]

    Parameters
    ----------
    wish : Wish
        What is wanted.
    circuit : Circuit
        The circuit with its values.

    Returns
    -------
    float
        NaN where a corner has no operating point.
    """
    from steadypoint.circuit import Kind

    t = wish.resistor_tolerance
    spans: dict[str, tuple[float, float]] = {}
    for part in circuit.parts:
        if part.value is None:
            continue
        value = part.value.value
        room = t if part.kind is Kind.RESISTOR else wish.supply_tolerance
        if part.kind in (Kind.RESISTOR, Kind.SUPPLY) and room:
            spans[part.name] = (value * (1.0 - room), value * (1.0 + room))
    spans["beta"] = wish.beta
    spans["temperature"] = wish.temperature
    corners = np.array(list(itertools.islice(itertools.product(*spans.values()), _MOST_CORNERS)))
    points = solve_many(circuit, dict(zip(spans, corners.T, strict=True)))
    if not points.converged.all():
        return math.nan
    current = np.abs(points.transistors[wish.transistor].I_C)
    return float(np.abs(current / wish.collector_current - 1.0).max())


def _why(
    wish: Wish, problem: Problem, values: Mapping[str, float], J: float, point: OperatingPoint
) -> str:
    q = point.transistors[wish.transistor]
    low, high = wish.beta
    cold, hot = (T - 273.15 for T in wish.temperature)
    wanted = format_quantity(wish.collector_current, "A")
    parts = [
        f"I_C stays within ±{rounded_up(J)} % of {wanted} for "
        f"beta {low:g} to {high:g}, {cold:.0f} °C to {hot:.0f} °C and resistors of "
        f"±{100 * wish.resistor_tolerance:g} %"
    ]
    emitter = wish.circuit.part(wish.transistor).nodes[2]
    if emitter != "ground" and emitter in point.nodes:
        parts.append(f"V_E is {format_quantity(abs(point.nodes[emitter]), 'V', 2)}")
    parts.append(f"V_CE is {format_quantity(abs(q.V_CE), 'V', 2)}")
    return "; ".join(parts) + "."


def rounded_up(share: float) -> str:
    """A share in per cent, rounded up to two digits so that it holds."""
    percent = 100.0 * share
    if percent <= 0.0:
        return "0"
    step = 10.0 ** (math.floor(math.log10(percent)) - 1)
    return f"{math.ceil(percent / step - 1e-9) * step:g}"


def _warnings(problem: Problem, outcome: Outcome) -> tuple[str, ...]:
    best = outcome.sets[0]
    found = []
    for name, lattice, i in zip(problem.names, problem.values, best.places, strict=True):
        if len(lattice) > 2 and i in (0, len(lattice) - 1):
            found.append(f"{name} = {format_quantity(float(lattice[i]), 'Ω')} {_EDGE_WORDS}.")
    if not outcome.optimal:
        found.append("The search was stopped by its time limit; a better set may exist.")
    return tuple(found)


def front_of(
    wish: Wish, steps: int = 8, *, seconds: float = 10.0
) -> tuple[tuple[float, ChosenSet], ...]:
    """Best sets against the supply current they may take.

    Parameters
    ----------
    wish : Wish
        What is wanted.
    steps : int, default 8
        Limits of the supply current to try, from 1.02 times the collector current upwards. [-]
    seconds : float, default 10
        Time limit of each search. [s]

    Returns
    -------
    tuple of (float, ChosenSet)
        Limit of the supply current with the best set under it; only limits that improve. [A]
    """
    start = 1.02 * wish.collector_current
    limits = np.geomspace(start, max(wish.supply_limit, 1.05 * start), steps)
    found: list[tuple[float, ChosenSet]] = []
    for limit in limits:
        answer = choose(replace(wish, most_supply_current=float(limit)), 1, seconds=seconds)
        if answer.sets:
            best = answer.sets[0]
            if not found or best.worst_spread < found[-1][1].worst_spread - 1e-12:
                found.append((float(limit), best))
    return tuple(found)
