"""The ``exact`` rung: constant drops, β + 1 kept, and a proved region for every junction.

The search starts with every transistor active and every diode blocking, and swaps the junctions
whose inequality is broken. When that walks in a circle, junctions are swapped one at a time, then
combinations are tried in the order of their distance from the start. A point is only returned when
every inequality holds, so the search may be clever but cannot be wrong.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain, combinations
from typing import Final

import numpy as np

from steadypoint.errors import NoSolutionError
from steadypoint.solve._exact_states import flipped, start_state
from steadypoint.solve._path import follow_sources
from steadypoint.solve._pieces import Follow, Piece, State, solve_piece, solve_pieces
from steadypoint.solve._screen import plausible, plausible_near
from steadypoint.solve._tableau import FloatArray, Tableau

SWAPS: Final = 60
"""Swaps before the search gives up walking and enumerates. [-]"""

SAME_VOLTAGE: Final = 1e-6
"""Node voltages of one point agree to this. [V]"""

SAME_CURRENT: Final = 1e-9
"""Currents of one point agree to this share of the largest. [-]"""

LEAK_CURRENT: Final = 1e-12
"""Currents below this come of the leaks that fix floating nodes. [A]"""

TRIED: Final = 2000
"""Largest number of combinations that the enumeration tries. [-]"""

ALL_TRIED: Final = 256
"""Up to so many combinations, all are tried to know whether the point is the only one. [-]"""


@dataclass(frozen=True, slots=True)
class Found:
    """A proved piece, further consistent ones, and the number of pieces solved."""

    piece: Piece
    others: tuple[Piece, ...]
    steps: int
    exhaustive: bool


def search(
    tab: Tableau,
    laws: tuple[Follow, ...],
    seeds: Iterator[State],
    *,
    start: State | None = None,
    only: bool = False,
    most: int = TRIED,
) -> Found:
    """Find the consistent combinations of a network.

    Parameters
    ----------
    tab : Tableau
        The network.
    laws : tuple of Follow
        Logarithmic laws.
    seeds : iterator of tuple of bool
        Combinations to try when walking fails, drawn only then.
    start : tuple of bool, optional
        Where the walk starts; without it every transistor active and every diode blocking.
    only : bool, default False
        Skip the question whether there are others.
    most : int
        Combinations that the enumeration tries at most. [-]

    Returns
    -------
    Found

    Raises
    ------
    NoSolutionError
        When no combination is consistent; the sentence names the assumption that failed.
    """
    count = 0
    start = start or start_state(tab)
    piece, count, best = _walk(tab, laws, start, count)
    if piece is None:
        for seed in chain(_path_ends(tab, laws), seeds):
            piece, count, near = _walk(tab, laws, seed, count)
            best = _less_wrong(best, near)
            if piece is not None:
                break
    exhaustive = 2 ** len(tab.free) <= ALL_TRIED
    if piece is None:
        for state in _by_distance(tab, best.state if best else start, most):
            count += 1
            tried = solve_piece(tab, state, laws)
            if tried is not None and not tried.violations:
                piece = tried
                break
            best = _less_wrong(best, tried)
    if piece is None:
        from steadypoint.solve._sentences import no_combination

        raise NoSolutionError(no_combination(tab, best))
    if only:
        return Found(piece, (), count, False)
    others, tried_now = _others(tab, laws, piece, exhaustive)
    return _prefer_stable(Found(piece, others, count + tried_now, exhaustive))


def _path_ends(tab: Tableau, laws: tuple[Follow, ...]) -> Iterator[State]:
    """End of the path of rising sources, where laws are straight."""
    if laws or tab.edits or tab.channels:
        return
    end = follow_sources(tab)
    if end is not None:
        yield end


def _walk(
    tab: Tableau, laws: tuple[Follow, ...], state: State, count: int
) -> tuple[Piece | None, int, Piece | None]:
    """Swap broken junctions, all at once and after a circle one at a time."""
    seen: set[State] = set()
    best: Piece | None = None
    single = False
    for _ in range(SWAPS):
        count += 1
        piece = solve_piece(tab, state, laws)
        if piece is None:
            return None, count, best
        if not piece.violations:
            return piece, count, piece
        best = _less_wrong(best, piece)
        seen.add(state)
        broken = piece.violations
        swap = tuple(v.junction for v in broken)
        if single or flipped(tab, state, swap) in seen:
            single = True
            ways = [flipped(tab, state, (v.junction,)) for v in broken]
            fresh = [w for w in ways if w not in seen]
            if not fresh:
                return None, count, best
            state = fresh[0]
        else:
            state = flipped(tab, state, swap)
    return None, count, best


def _less_wrong(a: Piece | None, b: Piece | None) -> Piece | None:
    if a is None or b is None:
        return a or b
    return b if len(b.violations) < len(a.violations) else a


def _by_distance(tab: Tableau, state: State, most: int) -> Iterator[State]:
    """Combinations by the number of swapped junctions, at most so many."""
    tried = 0
    for distance in range(len(tab.free) + 1):
        for which in combinations(tab.free, distance):
            if tried >= most:
                return
            yield flipped(tab, state, which)
            tried += 1


def _others(
    tab: Tableau, laws: tuple[Follow, ...], piece: Piece, exhaustive: bool
) -> tuple[tuple[Piece, ...], int]:
    """Further consistent combinations that are other points than this one."""
    found: list[Piece] = []
    near, looked_at = _near(tab, laws, piece, exhaustive)
    for state in near:
        for other in solve_pieces(tab, state, laws):
            if all(_differ(tab, other, known) for known in (piece, *found)):
                found.append(other)
    return tuple(found), looked_at


def _differ(tab: Tableau, one: Piece, other: Piece) -> bool:
    """Whether two consistent pieces are two points: their voltages differ, and so do currents.

    Between blocking junctions a node floats within a range: all of it is one point, whose currents
    are the same.
    """
    n = len(tab.network.names)
    if np.abs(one.x[:n] - other.x[:n]).max(initial=0.0) <= SAME_VOLTAGE:
        return False
    i, j = _currents(tab, one), _currents(tab, other)
    largest = max(np.abs(i).max(initial=0.0), np.abs(j).max(initial=0.0))
    return bool(np.abs(i - j).max(initial=0.0) > SAME_CURRENT * largest + LEAK_CURRENT)


def _currents(tab: Tableau, piece: Piece) -> FloatArray:
    """Currents of sources, junctions and resistors. [A]"""
    V = np.append(piece.x[: len(tab.network.names)], 0.0)
    resistors = [(V[r.start] - V[r.end]) / r.value for r in tab.network.resistors]
    return np.concatenate([piece.x[len(V) - 1 :], resistors])


def _near(
    tab: Tableau, laws: tuple[Follow, ...], piece: Piece, exhaustive: bool
) -> tuple[list[State], int]:
    """Combinations worth a proof, all or those within two swaps, and how many were looked at."""
    straight, free = not (laws or tab.channels or tab.edits), len(tab.free)
    if straight and not exhaustive:
        return plausible_near(tab, piece.state), free * (free + 1) // 2
    states = [
        flipped(tab, piece.state, which)
        for distance in range(0 if tab.channels else 1, (free if exhaustive else 2) + 1)
        for which in combinations(tab.free, distance)
    ]
    return plausible(tab, states) if straight else states, len(states)


def _prefer_stable(found: Found) -> Found:
    """Put a point first whose matrix is oriented as that of the circuit with everything blocking.

    A negative determinant marks a point that the slightest disturbance would leave.
    """
    points = sorted([found.piece, *found.others], key=lambda p: p.orientation < 0)
    return Found(points[0], tuple(points[1:]), found.steps, found.exhaustive)
