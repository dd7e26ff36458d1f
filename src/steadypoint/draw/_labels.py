"""Places for texts: every item chooses among candidates so that nothing overlaps anything.

Candidates that touch a wire or a symbol are out. Among the rest a greedy choice, items with few
candidates first, is repaired by re-choosing whatever is still in conflict.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.draw._scene import Box, Point
from steadypoint.draw._wiring import Obstacle

_SLACK: Final = 0.01
_CONFLICT: Final = 1000.0
_ROUNDS: Final = 40
_NONE: Final = (1e9, 1e9, 1e9, 1e9)


@dataclass(frozen=True, slots=True)
class Slot:
    """A place for one text.

    Parameters
    ----------
    way : str
        How the text lies to its place: ``right``, ``left``, ``above``, ``below`` ...
    at : tuple of float
        The place. [px]
    box : Box
        Room of the text. [px]
    foot : Box or None
        Pole or arrowhead. [px]
    node : str
        Wire that the foot may touch.
    price : float
        Less is nicer.
    heading : str
        For a current: where its conductor leads, seen from the terminal.
    """

    way: str
    at: Point
    box: Box
    foot: Box | None = None
    node: str = ""
    price: float = 0.0
    heading: str = ""


def choose(
    items: dict[str, list[Slot]], obstacles: list[Obstacle]
) -> tuple[dict[str, Slot], list[str]]:
    """A slot for every item.

    Parameters
    ----------
    items : mapping of str to list of Slot
        Candidates, in order of their importance.
    obstacles : list of Obstacle
        Wires and symbols.

    Returns
    -------
    slots : dict of str to Slot
        The choice; an item without any free candidate is missing.
    conflicts : list of str
        Items that have no free place or still overlap another.
    """
    blocks = np.array([_row(o.box) for o in obstacles]).reshape(-1, 4)
    nodes = np.array([o.node for o in obstacles])
    free = {key: _free(slots, blocks, nodes) for key, slots in items.items()}
    homeless = [key for key, slots in free.items() if not slots]
    free = {key: slots for key, slots in free.items() if slots}
    boxes = {key: _boxes(slots) for key, slots in free.items()}
    prices = {key: np.array([s.price for s in slots]) for key, slots in free.items()}
    order = sorted(free, key=lambda k: min(len(free[k]), 12))
    chosen: dict[str, int] = {}
    for key in order:
        clash = _clashes(boxes[key], boxes, chosen, key)
        chosen[key] = int(np.argmin(prices[key] + _CONFLICT * clash))
    bad = _repair(order, boxes, prices, chosen)
    return {key: free[key][chosen[key]] for key in items if key in chosen}, homeless + bad


def _row(box: Box) -> tuple[float, float, float, float]:
    return box.x0, box.y0, box.x1, box.y1


def _boxes(slots: list[Slot]) -> NDArray[np.float64]:
    """Boxes of the candidates, shape (n, 2, 4)."""
    return np.array([(_row(s.box), _row(s.foot) if s.foot else _NONE) for s in slots])


def _touch(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Overlap of boxes (n, 4) with boxes (m, 4), shape (n, m)."""
    found: NDArray[np.bool_] = (
        (np.minimum(a[:, None, 2], b[None, :, 2]) - np.maximum(a[:, None, 0], b[None, :, 0]))
        > _SLACK
    ) & (
        (np.minimum(a[:, None, 3], b[None, :, 3]) - np.maximum(a[:, None, 1], b[None, :, 1]))
        > _SLACK
    )
    return found


def _free(slots: list[Slot], blocks: NDArray[np.float64], nodes: NDArray[np.str_]) -> list[Slot]:
    """Candidates that touch no obstacle; the foot may touch its own wire."""
    if not slots or not len(blocks):
        return slots
    boxes = _boxes(slots)
    hit = _touch(boxes[:, 0], blocks).any(axis=1)
    foot = _touch(boxes[:, 1], blocks)
    foreign = np.array([nodes != s.node for s in slots])
    hit |= (foot & foreign).any(axis=1)
    return [s for s, h in zip(slots, hit, strict=True) if not h]


def _clashes(
    own: NDArray[np.float64],
    boxes: dict[str, NDArray[np.float64]],
    chosen: dict[str, int],
    key: str,
) -> NDArray[np.int64]:
    """For every candidate: how many of the chosen items it overlaps."""
    others = [boxes[k][i] for k, i in chosen.items() if k != key]
    count = np.zeros(len(own), dtype=np.int64)
    if not others:
        return count
    flat = np.concatenate(others)
    both = _touch(own[:, 0], flat) | _touch(own[:, 1], flat)
    count += both.reshape(len(own), -1, 2).any(axis=2).sum(axis=1)
    return count


def _repair(
    order: list[str],
    boxes: dict[str, NDArray[np.float64]],
    prices: dict[str, NDArray[np.float64]],
    chosen: dict[str, int],
) -> list[str]:
    """Re-choose what conflicts; returns what could not be freed."""
    bad: list[str] = []
    strain = dict.fromkeys(order, 1.0)
    for _ in range(_ROUNDS):
        bad = []
        for key in order:
            if not _clashes(boxes[key], boxes, chosen, key)[chosen[key]]:
                continue
            bad.append(key)
            strain[key] += 1.0
            weights = np.zeros(len(boxes[key]))
            for other, i in chosen.items():
                if other != key:
                    flat = boxes[other][i]
                    hit = (_touch(boxes[key][:, 0], flat) | _touch(boxes[key][:, 1], flat)).any(
                        axis=1
                    )
                    weights += _CONFLICT * strain[other] * hit
            chosen[key] = int(np.argmin(prices[key] + weights))
        if not bad:
            return []
    return [k for k in order if _clashes(boxes[k], boxes, chosen, k)[chosen[k]]]
