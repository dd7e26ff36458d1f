"""Paths, parts and loops of small graphs whose edges have names and weights."""

from __future__ import annotations

import heapq
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

Node = TypeVar("Node", bound=Hashable)
Key = TypeVar("Key", bound=Hashable)


@dataclass(frozen=True, slots=True)
class Edge:
    """A named edge between two nodes.

    Parameters
    ----------
    name, start, end : str
        Name and ends.
    weight : float
        How unwelcome the edge is on a path or loop. [-]
    """

    name: str
    start: str
    end: str
    weight: float = 1.0


def components(nodes: Iterable[str], edges: Iterable[Edge]) -> list[set[str]]:
    """Connected parts of a graph."""
    parent = {n: n for n in nodes}

    def root(node: str) -> str:
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    for edge in edges:
        parent.setdefault(edge.start, edge.start)
        parent.setdefault(edge.end, edge.end)
        parent[root(edge.start)] = root(edge.end)
    groups: dict[str, set[str]] = {}
    for node in parent:
        groups.setdefault(root(node), set()).add(node)
    return list(groups.values())


def adjacency(edges: Iterable[Edge]) -> dict[str, list[tuple[str, Edge]]]:
    """Neighbours of each node with the edge that leads there."""
    out: dict[str, list[tuple[str, Edge]]] = {}
    for edge in edges:
        out.setdefault(edge.start, []).append((edge.end, edge))
        out.setdefault(edge.end, []).append((edge.start, edge))
    return out


def path(edges: Sequence[Edge], start: str, goal: str) -> list[Edge] | None:
    """Lightest path between two nodes, as edges in order; None when there is none."""
    neighbours = adjacency(edges)
    best: dict[str, float] = {start: 0.0}
    came: dict[str, tuple[str, Edge]] = {}
    queue: list[tuple[float, int, str]] = [(0.0, 0, start)]
    count = 0
    while queue:
        far, _, node = heapq.heappop(queue)
        if node == goal:
            break
        if far > best[node]:
            continue
        for other, edge in neighbours.get(node, ()):
            new = far + edge.weight
            if new < best.get(other, float("inf")):
                best[other] = new
                came[other] = (node, edge)
                count += 1
                heapq.heappush(queue, (new, count, other))
    if goal not in best:
        return None
    out: list[Edge] = []
    node = goal
    while node != start:
        node, edge = came[node]
        out.append(edge)
    return out[::-1]


def loops(edges: Sequence[Edge]) -> list[list[str]]:
    """A minimum-weight basis of the independent loops, each as edge names in order round.

    Notes
    -----
    Horton's algorithm: for each node and each edge the loop of two shortest paths and the edge;
    candidates sorted by weight, kept while independent over the field of two elements.

    References
    ----------
    J. D. Horton, "A polynomial-time algorithm to find the shortest cycle basis of a graph", SIAM
    Journal on Computing 16 (1987) 358-366, from memory.
    """
    bit = {edge.name: 1 << place for place, edge in enumerate(edges)}
    nodes = list(dict.fromkeys(n for e in edges for n in (e.start, e.end)))
    wanted = len(edges) - len(nodes) + len(components(nodes, edges))
    candidates: dict[int, tuple[float, list[Edge]]] = {}
    for node in nodes:
        ways = {other: path(edges, node, other) for other in nodes}
        for edge in edges:
            there, back = ways[edge.start], ways[edge.end]
            if there is None or back is None:
                continue
            used = [*there, edge, *back[::-1]]
            mask = 0
            for part in used:
                mask ^= bit[part.name]
            if mask and mask.bit_count() == len(used):
                candidates[mask] = (sum(part.weight for part in used), used)
    rows: dict[int, int] = {}
    out: list[list[str]] = []
    for mask, (_, used) in sorted(candidates.items(), key=lambda kv: (kv[1][0], kv[0])):
        left = mask
        while left and left.bit_length() in rows:
            left ^= rows[left.bit_length()]
        if left:
            rows[left.bit_length()] = left
            out.append([part.name for part in used])
        if len(out) == wanted:
            break
    return out


def match(wishes: Mapping[Key, Iterable[Node]]) -> dict[Key, Node]:
    """Largest matching: gives as many keys as possible a node of their own."""
    owner: dict[Node, Key] = {}

    def give(key: Key, seen: set[Node]) -> bool:
        for node in wishes[key]:
            if node in seen:
                continue
            seen.add(node)
            if node not in owner or give(owner[node], seen):
                owner[node] = key
                return True
        return False

    for key in wishes:
        give(key, set())
    return {key: node for node, key in owner.items()}


def in_order(depends: Mapping[int, set[int]]) -> list[list[int]]:
    """Groups that must be solved together, each after what it depends on (Tarjan)."""
    index: dict[int, int] = {}
    low: dict[int, int] = {}
    stack: list[int] = []
    out: list[list[int]] = []

    def visit(node: int) -> None:
        index[node] = low[node] = len(index)
        stack.append(node)
        for other in sorted(depends[node]):
            if other not in index:
                visit(other)
                low[node] = min(low[node], low[other])
            elif other in stack:
                low[node] = min(low[node], index[other])
        if low[node] == index[node]:
            group: list[int] = []
            while True:
                group.append(stack.pop())
                if group[-1] == node:
                    break
            out.append(sorted(group))

    for node in sorted(depends):
        if node not in index:
            visit(node)
    return out
