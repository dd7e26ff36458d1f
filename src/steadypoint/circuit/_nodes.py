"""Which terminals are one node, and what the node is called."""

from __future__ import annotations

from collections.abc import Iterable, Mapping


class Joints:
    """Groups of joined points (terminals, rails, free names)."""

    def __init__(self) -> None:
        self._parent: dict[str, str] = {}

    def add(self, point: str) -> None:
        """Make a point known."""
        self._parent.setdefault(point, point)

    def find(self, point: str) -> str:
        """Representative of the group of a point."""
        parent = self._parent
        root = point
        while parent[root] != root:
            root = parent[root]
        while parent[point] != root:
            parent[point], point = root, parent[point]
        return root

    def join(self, one: str, other: str) -> None:
        """Make two points one node."""
        self.add(one)
        self.add(other)
        self._parent[self.find(other)] = self.find(one)

    def names(self, by_rank: Iterable[str]) -> Mapping[str, str]:
        """Name of each group by its representative.

        Parameters
        ----------
        by_rank : iterable of str
            All points, the one with the first claim to name its node first.
        """
        names: dict[str, str] = {}
        for point in by_rank:
            names.setdefault(self.find(point), point)
        return names
