"""Monte Carlo: many copies of a circuit drawn, solved, counted."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.circuit import Circuit
from steadypoint.errors import QuantityError
from steadypoint.solve import ManyPoints, solve_many
from steadypoint.solve._many import CHUNK
from steadypoint.solve._many_points import REGIONS
from steadypoint.spread._columns import Column, column, usual_columns
from steadypoint.spread._sampling import Sampler
from steadypoint.spread._variation import Variation
from steadypoint.values import format_quantity

FloatArray = NDArray[np.float64]

_MOST: Final = 20_000_000
_SHARES: Final = (0.025, 0.5, 0.975)


@dataclass(frozen=True, slots=True)
class Yield:
    """Share of copies within a window.

    Parameters
    ----------
    quantity : str
        What the window is for.
    low, high : float
        Window in SI units.
    inside, n : int
        Copies within it, and all copies; one without an operating point is outside. [-]
    level : float
        Confidence level of the interval. [-]
    interval : tuple of float
        Interval that holds the true share at that level (Wilson's score interval). [-]
    """

    quantity: str
    low: float
    high: float
    inside: int
    n: int
    level: float
    interval: tuple[float, float]

    @property
    def share(self) -> float:
        """Share found. [-]"""
        return self.inside / self.n


@dataclass(frozen=True, slots=True)
class QuantitySpread:
    """How one quantity is spread.

    Parameters
    ----------
    column : Column
        The quantity.
    values : ndarray, shape (n,)
        One for each copy; NaN where a copy has no operating point. [SI]
    mean, deviation : float
        Mean and standard deviation of the copies with a point. [SI]
    low, median, high : float
        Values below which 2.5 %, 50 % and 97.5 % of them lie. [SI]
    """

    column: Column
    values: FloatArray
    mean: float
    deviation: float
    low: float
    median: float
    high: float

    @property
    def sentence(self) -> str:
        """The spread in words."""
        figures = [format_quantity(v, self.column.unit) for v in (self.low, self.high, self.median)]
        return (
            f"{self.column.name} of 95 % of the copies lies between {figures[0]} and "
            f"{figures[1]}; the median is {figures[2]}."
        )


@dataclass(frozen=True, slots=True)
class MonteCarlo:
    """What many copies of a circuit do.

    Parameters
    ----------
    circuit : Circuit
        The nominal circuit.
    variations : tuple of Variation
        What varied.
    n, seed : int
        Copies solved, and key of the random streams. [-]
    quantities : mapping of str to QuantitySpread
        By the name of the quantity.
    yields : tuple of Yield
        One for each window.
    regions : mapping of str to mapping of str to float
        Share of the copies in each region, by transistor. [-]
    without_point : int
        Copies without an operating point. [-]
    complete : bool
        False when the run was stopped before its end.
    """

    circuit: Circuit
    variations: tuple[Variation, ...]
    n: int
    seed: int
    quantities: Mapping[str, QuantitySpread]
    yields: tuple[Yield, ...]
    regions: Mapping[str, Mapping[str, float]]
    without_point: int
    complete: bool


def monte_carlo(
    circuit: Circuit,
    variations: Sequence[Variation],
    n: int = 100_000,
    *,
    seed: int = 0,
    quantities: Sequence[str] = (),
    windows: Mapping[str, tuple[float, float]] | None = None,
    level: float = 0.95,
    executor: Executor | None = None,
    progress: Callable[[int, int | None], object] | None = None,
    fast: bool | None = None,
    chunk: int = CHUNK,
) -> MonteCarlo:
    """Draw copies of a circuit and solve each on the device rung.

    Parameters
    ----------
    circuit : Circuit
        The nominal circuit.
    variations : sequence of Variation
        What varies.
    n : int, default 100000
        Copies. [-]
    seed : int, default 0
        Key of the random streams; the same seed gives the same copies. [-]
    quantities : sequence of str, optional
        What is kept; without it output current and output voltage of every transistor.
    windows : mapping of str to (float, float), optional
        Wanted windows by quantity, in SI units; the share within each is counted.
    level : float, default 0.95
        Confidence level of the shares' intervals. [-]
    executor : concurrent.futures.Executor, optional
        Solves chunks side by side; without one, threads do so where there are several chunks. The
        numbers are the same bit for bit whatever solves them.
    progress : callable, optional
        Called as ``progress(done, total)`` after each chunk.
    fast : bool, optional
        As for :func:`steadypoint.solve.solve_many`.
    chunk : int, default 65536
        Copies solved at a time. [-]

    Returns
    -------
    MonteCarlo

    Raises
    ------
    QuantityError
        If nothing varies, or n, level or a window is out of reason.
    UnknownNameError
        If the circuit has no such quantity.

    Examples
    --------
    >>> from steadypoint.circuit import arrangement
    >>> circuit = arrangement("voltage divider").circuit
    >>> from steadypoint.spread import read_variation
    >>> copies = monte_carlo(circuit, [read_variation(circuit, "beta 100..400")], 2000)
    >>> copies.without_point
    0
    """
    _check(variations, n, level)
    wanted = [column(circuit, name) for name in quantities] or list(usual_columns(circuit))
    limits = {column(circuit, name).name: window for name, window in (windows or {}).items()}
    for name, (low, high) in limits.items():
        if not low < high:
            raise QuantityError(f"The window of {name} is no range. Write the lower limit first.")
    wanted += [c for c in (column(circuit, q) for q in limits) if c not in wanted]
    with _workers(executor, n, chunk) as workers:
        points = solve_many(
            circuit,
            Sampler(tuple(variations)),
            n,
            seed=seed,
            chunk=chunk,
            executor=workers,
            progress=progress,
            fast=fast,
        )
    spreads = {c.name: _spread(c, points) for c in wanted}
    yields = tuple(_yield(spreads[name], window, level) for name, window in limits.items())
    return MonteCarlo(
        circuit,
        tuple(variations),
        len(points),
        seed,
        spreads,
        yields,
        _regions(points),
        int((~points.converged).sum()),
        points.complete,
    )


@contextmanager
def _workers(executor: Executor | None, n: int, chunk: int) -> Iterator[Executor | None]:
    """The caller's executor, else threads where there are chunks enough."""
    cores = os.cpu_count() or 1
    if executor is not None or cores == 1 or n <= 2 * chunk:
        yield executor
        return
    with ThreadPoolExecutor(min(cores, 8)) as threads:
        yield threads


def _check(variations: Sequence[Variation], n: int, level: float) -> None:
    if not variations:
        raise QuantityError(
            "Nothing varies. State tolerances on the sheet (RB 620k ±5%) or name a variation, "
            "such as beta 100..400."
        )
    names = [v.setting for v in variations]
    for name in names:
        if names.count(name) > 1:
            raise QuantityError(f"{name} varies twice. State it once.")
    if not 4 <= n <= _MOST:
        raise QuantityError(f"{n:,} copies cannot be kept. Ask for 4 to {_MOST:,}.")
    if not 0.5 <= level < 1.0:
        raise QuantityError(f"A confidence level of {level:g} says little. Use 0.95, say.")


def _spread(wanted: Column, points: ManyPoints) -> QuantitySpread:
    values = wanted.of(points)
    kept = values[np.isfinite(values)]
    if not len(kept):
        none = math.nan
        return QuantitySpread(wanted, values, none, none, none, none, none)
    low, median, high = (float(v) for v in np.quantile(kept, _SHARES))
    deviation = float(kept.std(ddof=1)) if len(kept) > 1 else 0.0
    return QuantitySpread(wanted, values, float(kept.mean()), deviation, low, median, high)


def _yield(spread: QuantitySpread, window: tuple[float, float], level: float) -> Yield:
    low, high = window
    inside = int(((spread.values >= low) & (spread.values <= high)).sum())
    n = len(spread.values)
    interval = share_interval(inside, n, level)
    return Yield(spread.column.name, low, high, inside, n, level, interval)


def share_interval(inside: int, n: int, level: float = 0.95) -> tuple[float, float]:
    """Interval for a true share after counting (Wilson's score interval).

    Parameters
    ----------
    inside, n : int
        Counted cases, and all. [-]
    level : float, default 0.95
        Confidence level. [-]

    Returns
    -------
    tuple of float
        Lower and upper limit. [-]

    Raises
    ------
    QuantityError
        If there are no cases, or more inside than there are.

    References
    ----------
    E. B. Wilson, "Probable inference, the law of succession, and statistical inference", Journal of
    the American Statistical Association 22 (1927) 209-212.

    Examples
    --------
    >>> [round(limit, 4) for limit in share_interval(0, 10)]
    [0.0, 0.2775]
    """
    from scipy.special import ndtri

    if n < 1 or not 0 <= inside <= n:
        raise QuantityError(f"{inside} of {n} is no share. Count at least one case.")
    z = float(ndtri(0.5 + 0.5 * level))
    share = inside / n
    middle = (share + z * z / (2 * n)) / (1 + z * z / n)
    half = z * math.sqrt(share * (1 - share) / n + z * z / (4 * n * n)) / (1 + z * z / n)
    low = 0.0 if inside == 0 else max(0.0, middle - half)
    high = 1.0 if inside == n else min(1.0, middle + half)
    return low, high


def _regions(points: ManyPoints) -> dict[str, dict[str, float]]:
    """Share of the copies in each region, by transistor."""
    codes = {name: c.region for name, c in points.transistors.items()}
    codes |= {name: c.region for name, c in points.fets.items()}
    return {name: _region_shares(own) for name, own in codes.items()}


def _region_shares(codes: NDArray[np.uint8]) -> dict[str, float]:
    n = max(1, len(codes))
    counts = {region.value: int((codes == k).sum()) for k, region in enumerate(REGIONS)}
    return {name: count / n for name, count in counts.items() if count}
