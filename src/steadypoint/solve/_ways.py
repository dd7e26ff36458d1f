"""Ways to a point of the device rung where Newton's method alone does not settle."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Final

import numpy as np

from steadypoint.solve._network import Branch, Network
from steadypoint.solve._newton import Laws, Trial, cold, laws_of, newton, scaled
from steadypoint.solve._plan import Plan, plan_of

BULK: Final = 0.5
"""Resistance that stands in every emitter where the stepping of bulk resistances begins. [Ω]"""

NO_BULK: Final = 1e-6
"""Resistance below which it is left out: far below the slope of a junction at 1 kA. [Ω]"""


_DRAWS: Final = 24
_DRAWN_STEPS: Final = 200
_HIGHEST: Final = 0.6
"""Junction voltage above which no drawn start lies. [V]"""


def _rest(plan: Plan, laws: Laws) -> Trial:
    """The point without supplies: everything at zero."""
    v = [-float(o) for o in laws.offset]  # at the ends of channels the offset is zero
    return Trial(np.zeros(plan.R.shape[0]), np.zeros(len(plan.floating)), v)


def step_sources(plan: Plan, laws: Laws) -> Trial:
    """Raise all sources from zero, with steps as long as Newton's method stays quick."""
    at, share, stride, steps = _rest(plan, laws), 0.0, 0.05, 0
    while steps < 4000:
        goal = min(1.0, share + stride)
        trial = newton(plan, scaled(laws, goal), at, most=40)
        steps += trial.steps
        if trial.settled:
            share, at = goal, trial
            if share >= 1.0:
                return replace(trial, steps=steps)
            stride *= 2.0 if trial.steps < 12 else 1.3
        else:
            stride *= 0.25
            if stride < 1e-7:
                return replace(trial, steps=steps)
    return replace(at, settled=False, steps=steps)


def step_conductance(plan: Plan, laws: Laws, net: Network) -> Trial:
    """Hold every node to ground by a conductance and take that away in steps."""
    guess = cold(plan, laws, net)
    at, extra, factor, steps, begun = guess, 1.0, 10.0, 0, False
    while steps < 8000:
        at.V[:] = 0.0
        trial = newton(plan, laws, at, extra=extra, most=40)
        steps += trial.steps
        if trial.settled:
            begun, good = True, extra
            if extra < 1e-16:
                last = newton(plan, laws, trial, most=60)
                return replace(last, steps=steps + last.steps)
            factor = min(factor * 1.5, 100.0)
            at, extra = trial, good / factor
        elif not begun:
            extra *= 100.0
            at = cold(plan, laws, net)
            if extra > 1e9:
                return replace(trial, steps=steps)
        else:
            factor = math.sqrt(factor)
            if factor < 1.0001:
                return replace(trial, steps=steps)
            extra = good / factor
    return replace(at, settled=False, steps=steps)


def settle(plan: Plan, laws: Laws) -> Trial:
    """Let every node creep from zero, tied to its last voltage by a shrinking conductance."""
    at, extra, steps = _rest(plan, laws), 1e-2, 0
    trial = at
    while steps < 6000:
        trial = newton(plan, laws, at, extra=extra, most=15)
        steps += trial.steps
        if trial.settled:
            at = trial
            extra *= 0.4 if trial.steps < 6 else 0.8
            if extra < 1e-17:
                last = newton(plan, laws, trial, most=60)
                return replace(last, steps=steps + last.steps)
        else:
            extra *= 8.0
            if extra > 1e12:
                break
    return replace(trial, settled=False, steps=steps)


def step_bulk(
    plan: Plan, laws: Laws, net: Network, temperature: float, junctions: Mapping[str, float] | None
) -> Trial:
    """Give every emitter a resistance, as each has one, and take that away in steps.

    Two transistors that hold each other on across a supply meet nothing that limits their current
    but the end of the exponential at 1 kA; Newton's method would have to find that from afar.
    """
    bulky = with_bulk(net, BULK)
    wide, own = plan_of(bulky), laws_of(bulky, temperature, junctions)
    at = newton(wide, own, cold(wide, own, bulky))
    if not at.settled:
        at = replace(step_sources(wide, own), steps=at.steps)
    R, factor, steps = BULK, 2.0, at.steps
    while at.settled and factor > 1.001:
        if R < NO_BULK:
            last = newton(plan, laws, Trial(np.zeros(plan.R.shape[0]), at.hanging, at.v))
            return replace(last, steps=steps + last.steps)
        own = laws_of(with_bulk(net, R / factor), temperature, junctions)
        trial = newton(wide, own, at)
        steps += trial.steps
        if trial.settled:
            at, R, factor = trial, R / factor, min(factor * 1.5, 4.0)
        else:
            factor = math.sqrt(factor)
    return replace(at, settled=False, steps=steps)


def with_bulk(net: Network, R: float) -> Network:
    """Network with a resistance between every bipolar transistor's emitter and its node."""
    first = len(net.names)
    inner = range(first, first + len(net.bipolars))
    bulk = [
        Branch(f"bulk of {q.name}", q.emitter, node, R)
        for q, node in zip(net.bipolars, inner, strict=True)
    ]
    return replace(
        net,
        names=(*net.names, *(b.name for b in bulk)),
        resistors=(*net.resistors, *bulk),
        bipolars=tuple(
            replace(q, emitter=node) for q, node in zip(net.bipolars, inner, strict=True)
        ),
    )


def draw_starts(plan: Plan, laws: Laws) -> Trial:
    """Newton's method from node voltages drawn between the sources, always the same.

    Parameters
    ----------
    plan : Plan
        Structure of the network.
    laws : Laws
        Its values.

    Returns
    -------
    Trial
        The first that settles, else the last; its steps are those of all.
    """
    rng = np.random.default_rng(0)
    count, steps = plan.R.shape[0], 0
    reach = float(np.abs(laws.voltages).max(initial=1.0))
    exponential = len(laws.I_S)
    trial = Trial(np.zeros(count), np.zeros(len(plan.floating)), [], 0, False, -1)
    for _ in range(_DRAWS):
        V = rng.uniform(-0.1 * reach, 1.1 * reach, count) * np.where(rng.random(count) < 0.9, 1, -1)
        V[-1] = 0.0
        across = (V[plan.plus] - V[plan.minus] - laws.offset).tolist()
        v = [min(x, _HIGHEST) if j < exponential else x for j, x in enumerate(across)]
        # Only the junction voltages start from the drawn nodes; the nodes themselves from nothing.
        start = Trial(np.zeros(count), np.zeros(len(plan.floating)), v)
        trial = newton(plan, laws, start, most=_DRAWN_STEPS)
        steps += trial.steps
        if trial.settled:
            break
    return replace(trial, steps=steps)
