"""One chunk of value sets: lanes first, the single solver for what they leave."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from steadypoint.circuit import GROUND, Circuit
from steadypoint.errors import CircuitError, ConvergenceError, SolveError, SteadypointError
from steadypoint.solve._device import solve_device
from steadypoint.solve._lane_plan import Lanes, lanes_of
from steadypoint.solve._lanes import Found, outputs, solve_lanes
from steadypoint.solve._many_fets import fet_columns
from steadypoint.solve._many_points import (
    MOST_REASONS,
    REGIONS,
    FetColumns,
    ManyPoints,
    Outcome,
    TransistorColumns,
    empty_columns,
)
from steadypoint.solve._many_settings import (
    TEMPERATURE,
    Figures,
    ValueSets,
    circuit_of,
    out_of_reason,
    stated_circuit,
    targets,
)
from steadypoint.solve._network import has_simple_laws, network
from steadypoint.solve._pieces import FORCED_VOLTAGE
from steadypoint.solve._point import Model
from steadypoint.solve._solution import Result
from steadypoint.solve._solve import solve
from steadypoint.solve._tableau import FloatArray

Sampler = Callable[[np.random.Generator, int], ValueSets]
"""Draws value sets: takes a random generator and how many, gives settings with arrays."""

_CODES = {
    Result.FOUND: Outcome.FOUND,
    Result.SEVERAL: Outcome.SEVERAL,
    Result.NO_SOLUTION: Outcome.NO_SOLUTION,
    Result.NOT_SETTLED: Outcome.NOT_SETTLED,
}


@dataclass(frozen=True, slots=True)
class Job:
    """A chunk to solve; everything in it can be sent to another process.

    Parameters
    ----------
    circuit : Circuit
        The nominal circuit.
    temperature : float
        Junction temperature where no setting varies it. [K]
    start, n : int
        Position of the first set and how many. [-]
    values : mapping or callable
        Arrays by setting, or a sampler.
    seed : int
        Key of the random streams.
    chunk : int
        Counter of the chunk's own stream.
    fast : bool
        Whether compiled lanes go first.
    """

    circuit: Circuit
    temperature: float
    start: int
    n: int
    values: Any
    seed: int
    chunk: int
    fast: bool = False


def stream_of(seed: int, chunk: int) -> np.random.Generator:
    """Random generator of one chunk: a counter-based stream keyed by seed and chunk.

    Parameters
    ----------
    seed : int
        Key of the run.
    chunk : int
        Number of the chunk.

    Returns
    -------
    numpy.random.Generator

    References
    ----------
    Salmon, Moraes, Dror, Shaw, "Parallel random numbers: as easy as 1, 2, 3", SC11, 2011
    (Philox; cited from memory).
    """
    return np.random.Generator(np.random.Philox(key=np.array([seed, chunk], dtype=np.uint64)))


def solve_chunk(job: Job) -> ManyPoints:
    """Solve one chunk."""
    values = job.values
    if callable(values):
        values = values(stream_of(job.seed, job.chunk), job.n)
    columns = checked_values(job.circuit, values)
    n = job.n if not columns else len(next(iter(columns.values())))
    if n != job.n:
        raise CircuitError(f"The sampler was asked for {job.n} values and gave {n}.")
    bad = out_of_reason(job.circuit, columns, n)
    if bad.any():
        columns = _with_nominal(job, columns, bad)
    lanes = _prepared(stated_circuit(job.circuit, columns), job.temperature)
    points = _from_lanes(job, lanes, columns, n) if lanes is not None else _empty(job, n)
    points.outcome[bad] = Outcome.OUT_OF_REASON
    _alone(job, points, columns)
    _without_point(points)
    return points


def checked_values(circuit: Circuit, values: ValueSets) -> dict[str, FloatArray]:
    """Columns of equal length, of settings that the circuit has.

    Raises
    ------
    UnknownNameError
        If the circuit has nothing of this name.
    CircuitError
        If columns are no numbers, or of different lengths.
    """
    if not hasattr(values, "items"):
        raise CircuitError("Value sets are a mapping of setting names to arrays of numbers.")
    columns: dict[str, FloatArray] = {}
    for name, given in values.items():
        targets(circuit, name)
        try:
            column = np.asarray(given, dtype=np.float64)
        except (TypeError, ValueError):
            raise CircuitError(
                f"The values of {name} are no numbers. Give SI values without units."
            ) from None
        columns[name] = column.reshape(1) if column.ndim == 0 else column
        if columns[name].ndim != 1:
            raise CircuitError(f"The values of {name} form no single column of numbers.")
    lengths = {len(c) for c in columns.values()} - {1}
    if len(lengths) > 1:
        told = ", ".join(f"{name} {len(c)}" for name, c in columns.items())
        raise CircuitError(f"Every setting needs as many values as the others; here are {told}.")
    n = lengths.pop() if lengths else 1
    return {k: np.broadcast_to(c, (n,)) if len(c) != n else c for k, c in columns.items()}


def _with_nominal(
    job: Job, columns: dict[str, FloatArray], bad: NDArray[np.bool_]
) -> dict[str, FloatArray]:
    """Columns with values of a good set in the place of bad ones, which are not solved."""
    good = np.flatnonzero(~bad)
    if not len(good):
        return {}
    return {name: np.where(bad, c[good[0]], c) for name, c in columns.items()}


@lru_cache(maxsize=16)
def _prepared(circuit: Circuit, temperature: float) -> Lanes | None:
    """Lanes of a circuit.

    None when its nominal values have no point to start from, or a part follows a law that lanes do
    not know: the single solver then does all sets.
    """
    net = network(circuit, temperature)
    if not has_simple_laws(net):
        return None
    solution = solve(circuit, Model.DEVICE, temperature=temperature)
    try:
        found = solve_device(net, temperature)
        return lanes_of(net, found.laws, found.trial, several=solution.result is Result.SEVERAL)
    except (ConvergenceError, np.linalg.LinAlgError):
        return None


def _from_lanes(job: Job, lanes: Lanes, columns: dict[str, FloatArray], n: int) -> ManyPoints:
    figures = Figures(lanes.net, columns, job.temperature)
    found = solve_lanes(lanes, figures, n, fast=job.fast)
    return _points(job, lanes, found)


def _points(job: Job, lanes: Lanes, found: Found) -> ManyPoints:
    I_C, I_B, region = outputs(lanes, found)
    x = found.x
    names = (*lanes.net.names, GROUND)
    nodes = {name: x[row] for name, row in zip(names, lanes.nodes, strict=True)}
    transistors = {
        t.name: TransistorColumns(I_C[k], I_B[k], x[c] - x[e], x[b] - x[e], region[k])
        for k, (t, (c, b, e, _)) in enumerate(zip(lanes.net.bipolars, lanes.bipolars, strict=True))
    }
    lost = found.steps < 0
    if not (x.max(initial=0.0) <= FORCED_VOLTAGE and x.min(initial=0.0) >= -FORCED_VOLTAGE):
        lost |= np.abs(x[list(lanes.nodes)]).max(axis=0) > FORCED_VOLTAGE
    outcome = np.where(lost, Outcome.NOT_SETTLED, Outcome.FOUND).astype(np.uint8)
    return ManyPoints(
        job.circuit,
        job.start,
        {name: nodes[name] for name in job.circuit.nodes},
        transistors,
        outcome,
        np.maximum(found.steps, 0),
        {},
        fets=fet_columns(lanes, found.P, x),
    )


def _empty(job: Job, n: int) -> ManyPoints:
    """Room for a chunk that the single solver does alone."""
    return ManyPoints(
        job.circuit,
        job.start,
        {name: np.zeros(n) for name in job.circuit.nodes},
        {t.name: empty_columns(TransistorColumns, n) for t in job.circuit.transistors},
        np.full(n, Outcome.NOT_SETTLED, dtype=np.uint8),
        np.zeros(n, dtype=np.int32),
        {},
        fets={f.name: empty_columns(FetColumns, n) for f in job.circuit.fets},
    )


def _alone(job: Job, points: ManyPoints, columns: dict[str, FloatArray]) -> None:
    """Give what the lanes left to the single solver with its fallbacks."""
    reasons = points.reasons
    assert isinstance(reasons, dict)  # noqa: S101  ours until it is handed out
    for at in np.flatnonzero(points.outcome >= Outcome.NO_SOLUTION).tolist():
        if points.outcome[at] == Outcome.OUT_OF_REASON:
            sentence = Outcome.OUT_OF_REASON.sentence
        else:
            sentence = _one(job, points, columns, at)
        if sentence and len(reasons) < MOST_REASONS:
            reasons[job.start + at] = sentence


def _one(job: Job, points: ManyPoints, columns: dict[str, FloatArray], at: int) -> str:
    values = {name: float(c[at]) for name, c in columns.items()}
    T = values.pop(TEMPERATURE, job.temperature)
    try:
        solution = solve(circuit_of(job.circuit, values), Model.DEVICE, temperature=T)
    except SolveError as error:
        return str(error)
    except SteadypointError as error:
        points.outcome[at] = Outcome.OUT_OF_REASON
        return str(error)
    points.outcome[at] = _CODES[solution.result]
    point = solution.value
    if point is None:
        return str(solution.error or solution.result.value)
    for name, voltage in point.nodes.items():
        points.nodes[name][at] = voltage
    for name, t in (*point.transistors.items(), *point.fets.items()):
        own: TransistorColumns | FetColumns
        own = points.transistors[name] if name in points.transistors else points.fets[name]
        for field in fields(own):
            figure = getattr(t, field.name)
            getattr(own, field.name)[at] = REGIONS.index(figure) if figure in REGIONS else figure
    points.steps[at] = point.steps
    return ""


def _without_point(points: ManyPoints) -> None:
    """Leave no number where there is no point."""
    lost = ~points.converged
    if not lost.any():
        return
    for name, column in points.nodes.items():
        if name != GROUND:
            column[lost] = np.nan
    columns: list[TransistorColumns | FetColumns]
    columns = [*points.transistors.values(), *points.fets.values()]
    for t in columns:
        for field in fields(t):
            getattr(t, field.name)[lost] = 255 if field.name == "region" else np.nan
