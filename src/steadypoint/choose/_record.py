"""What a search did to its boxes, told so that somebody else can check it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

IntArray = NDArray[np.int64]

Box = tuple[tuple[int, ...], tuple[int, ...]]
"""First and last places of a box."""


@dataclass(frozen=True, slots=True)
class Event:
    """What a search did to one box.

    Parameters
    ----------
    kind : str
        ``shrink`` (slabs cut off, ``after`` is left), ``split`` (after a place of one factor) or
        ``point`` (judged: the quantity feels only single values).
    box : Box
        The box it befell.
    after : Box, optional
        What is left of a shrunk box.
    empty : bool
        Whether nothing is left of it.
    factor, place : int
        Where it was split.
    """

    kind: str
    box: Box
    after: Box | None = None
    empty: bool = False
    factor: int = 0
    place: int = 0


@dataclass(slots=True)
class Record:
    """What a search did to its boxes, for whoever wants to check it.

    Parameters
    ----------
    events : list of Event
        In their order.
    """

    events: list[Event] = field(default_factory=list)

    def shrink(self, before: tuple[IntArray, IntArray], after: tuple[IntArray, IntArray]) -> None:
        """Boxes that lost slabs."""
        changed = (before[0] != after[0]).any(axis=0) | (before[1] != after[1]).any(axis=0)
        empty = np.asarray((after[0] > after[1]).any(axis=0))
        for j in np.flatnonzero(changed).tolist():
            left = box_of(after, j)
            self.events.append(Event("shrink", box_of(before, j), left, bool(empty[j])))

    def split(self, boxes: tuple[IntArray, IntArray], factor: IntArray, place: IntArray) -> None:
        """Boxes cut in two after a place of one factor."""
        for j in range(boxes[0].shape[1]):
            i, last = int(factor[j]), int(place[j])
            self.events.append(Event("split", box_of(boxes, j), factor=i, place=last))

    def point(self, boxes: tuple[IntArray, IntArray]) -> None:
        """Boxes that are single points to the quantity."""
        for j in range(boxes[0].shape[1]):
            self.events.append(Event("point", box_of(boxes, j)))


def box_of(boxes: tuple[IntArray, IntArray], j: int) -> Box:
    """One of many boxes."""
    return tuple(boxes[0][:, j].tolist()), tuple(boxes[1][:, j].tolist())
