"""The public verbs for operating points in bulk."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping
from concurrent.futures import Executor, Future
from dataclasses import replace
from typing import Any, Final

from steadypoint.circuit import Circuit
from steadypoint.errors import CircuitError
from steadypoint.solve._lane_fast import installed
from steadypoint.solve._many_chunk import Job, checked_values, solve_chunk
from steadypoint.solve._many_points import ManyPoints, joined_points
from steadypoint.solve._network import network
from steadypoint.solve._solve import _temperature
from steadypoint.solve._structure import refuse_stuck_currents

CHUNK: Final = 65_536
"""Value sets in a chunk. [-]"""

AHEAD: Final = 32
"""Chunks handed out ahead to an executor that does not tell its workers. [-]"""

WORTHWHILE: Final = 1_000_000
"""Value sets from which on compiling pays. [-]"""

Progress = Callable[[int, int | None], object]


def solve_many(
    circuit: Circuit,
    values: Any,
    n: int | None = None,
    *,
    seed: int = 0,
    temperature: float | None = None,
    chunk: int = CHUNK,
    executor: Executor | None = None,
    progress: Progress | None = None,
    fast: bool | None = None,
) -> ManyPoints:
    """Operating points of one circuit for many value sets, on the device rung.

    Parameters
    ----------
    circuit : Circuit
        The nominal circuit.
    values : mapping, iterable of mappings, or callable
        A mapping of setting names (``"RB"``, ``"Q1.beta"``, ``"beta"``, ``"VCC"``,
        ``"temperature"``) to arrays of shape (n,), one value per set in SI units; or an iterable of
        such mappings; or a sampler ``(rng, n) -> mapping`` that draws n sets from a
        ``numpy.random.Generator``.
    n : int, optional
        Sets to draw; for a sampler only. [-]
    seed : int, default 0
        Key of the random streams of a sampler. [-]
    temperature : float, optional
        Junction temperature where no setting varies it; without it that of the sheet, else 25 °C.
        [K]
    chunk : int, default 65536
        Sets solved at a time. Each chunk of a sampler has a random stream of its own, so the
        numbers depend on ``seed`` and ``chunk`` and on nothing else. [-]
    executor : concurrent.futures.Executor, optional
        Solves chunks side by side; a Dask cluster's is ``client.get_executor()``. The numbers are
        bit for bit those without one.
    progress : callable, optional
        Called as ``progress(done, total)`` after each chunk; total is None when it is not known.
    fast : bool, optional
        Whether compiled lanes go first; without it from a million sets on, where the extra
        ``steadypoint[fast]`` is installed. The numbers agree within the acceptance of a point.

    Returns
    -------
    ManyPoints
        All points as arrays. Stopped by Ctrl-C it holds what is done, with ``complete`` False.

    Raises
    ------
    UnknownNameError
        If the circuit has nothing with a setting's name; the nearest is suggested.
    CircuitError
        If the circuit is faulty, or columns are no numbers or of unequal length.
    NoSolutionError
        If a current source drives into nodes without a path for direct current.

    See Also
    --------
    stream_many : the same chunk by chunk, with bounded memory.

    Examples
    --------
    >>> import numpy as np
    >>> from steadypoint.circuit import arrangement
    >>> circuit = arrangement("voltage divider").circuit
    >>> points = solve_many(circuit, {"Q1.beta": np.linspace(100.0, 300.0, 1000)})
    >>> points.summary()
    '1,000 of 1,000 value sets have an operating point.'
    >>> spread = np.ptp(points.transistors["Q1"].I_C) / points.transistors["Q1"].I_C.mean()
    >>> bool(spread < 0.1)
    True
    """
    chunks: list[ManyPoints] = []
    complete = True
    stream = _stream(circuit, values, n, seed, temperature, chunk, executor, fast)
    done, total = 0, _total(values, n)
    try:
        for points in stream:
            chunks.append(points)
            done += len(points)
            if progress is not None:
                progress(done, total)
    except KeyboardInterrupt:
        complete = False
    finally:
        stream.close()
    return joined_points(circuit, chunks, complete=complete)


def stream_many(
    circuit: Circuit,
    values: Any,
    n: int | None = None,
    *,
    seed: int = 0,
    temperature: float | None = None,
    chunk: int = CHUNK,
    executor: Executor | None = None,
    fast: bool | None = None,
) -> Iterator[ManyPoints]:
    """Operating points of one circuit for many value sets, chunk by chunk with bounded memory.

    Parameters
    ----------
    circuit : Circuit
        The nominal circuit.
    values : mapping, iterable of mappings, or callable
        As for :func:`solve_many`.
    n : int, optional
        Sets to draw; for a sampler only. [-]
    seed : int, default 0
        Key of the random streams of a sampler. [-]
    temperature : float, optional
        Junction temperature where no setting varies it. [K]
    chunk : int, default 65536
        Sets solved at a time. [-]
    executor : concurrent.futures.Executor, optional
        Solves chunks side by side; they still come in order.
    fast : bool, optional
        Whether compiled lanes go first, as for :func:`solve_many`.

    Yields
    ------
    ManyPoints
        One chunk; ``start`` is the position of its first set.

    Raises
    ------
    UnknownNameError
        If the circuit has nothing with a setting's name.
    CircuitError
        If the circuit is faulty, or columns are no numbers or of unequal length.
    NoSolutionError
        If a current source drives into nodes without a path for direct current.

    Examples
    --------
    >>> from steadypoint.circuit import arrangement
    >>> def drawn(rng, n):
    ...     return {"Q1.beta": rng.uniform(100.0, 300.0, n)}
    >>> circuit = arrangement("base bias").circuit
    >>> sum(len(c) for c in stream_many(circuit, drawn, 10_000, chunk=4096))
    10000
    """
    yield from _stream(circuit, values, n, seed, temperature, chunk, executor, fast)


def _stream(
    circuit: Circuit,
    values: Any,
    n: int | None,
    seed: int,
    temperature: float | None,
    chunk: int,
    executor: Executor | None,
    fast: bool | None,
) -> Generator[ManyPoints, None, None]:
    refuse_stuck_currents(network(circuit))  # before anything is drawn
    T = _temperature(circuit, temperature)
    if chunk < 1:
        raise CircuitError("A chunk holds at least one value set. Leave chunk out for its default.")
    if not 0 <= seed < 2**64:
        raise CircuitError("A seed is a whole number from 0 to 2^64 - 1.")
    quick = _fast(fast, _total(values, n))
    jobs = (replace(j, fast=quick) for j in _jobs(circuit, values, n, seed, T, chunk))
    if executor is None:
        return (solve_chunk(job) for job in jobs)
    return _spread(jobs, executor)


def _fast(wish: bool | None, total: int | None) -> bool:
    """Whether compiled lanes go first."""
    if wish and not installed():
        raise CircuitError(
            "Compiled lanes are not installed. Install steadypoint[fast] or leave fast out."
        )
    return installed() and (total or 0) >= WORTHWHILE if wish is None else wish


def _total(values: Any, n: int | None) -> int | None:
    if callable(values):
        return n
    if isinstance(values, Mapping):
        return max((len(v) for v in values.values() if hasattr(v, "__len__")), default=1)
    return None


def _jobs(
    circuit: Circuit, values: Any, n: int | None, seed: int, T: float, chunk: int
) -> Iterator[Job]:
    """Chunks of what was given, in order."""
    if callable(values):
        if n is None or n < 0:
            raise CircuitError("A sampler needs to know how many value sets to draw. State n.")
        for number, start in enumerate(range(0, n, chunk)):
            yield Job(circuit, T, start, min(chunk, n - start), values, seed, number)
        return
    if n is not None:
        raise CircuitError("n is for a sampler; columns of values tell it by their length.")
    if not isinstance(values, Iterable):
        raise CircuitError(
            "Value sets are a mapping of setting names to arrays, an iterable of such mappings, "
            "or a sampler (rng, n)."
        )
    start = number = 0
    for given in [values] if isinstance(values, Mapping) else values:
        columns = checked_values(circuit, given)
        size = len(next(iter(columns.values()))) if columns else 1
        for at in range(0, size, chunk):
            part = {name: c[at : at + chunk] for name, c in columns.items()}
            yield Job(circuit, T, start + at, min(chunk, size - at), part, seed, number)
            number += 1
        start += size


def _spread(jobs: Iterable[Job], executor: Executor) -> Generator[ManyPoints, None, None]:
    """Chunks from an executor, in order, with a bounded number on their way."""
    workers = getattr(executor, "_max_workers", None)
    ahead = 2 * workers if isinstance(workers, int) else AHEAD
    waiting: deque[Future[ManyPoints]] = deque()
    try:
        for job in jobs:
            waiting.append(executor.submit(solve_chunk, job))
            if len(waiting) >= ahead:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()
    finally:
        for future in waiting:
            future.cancel()
