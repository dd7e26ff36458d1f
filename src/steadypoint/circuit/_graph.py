"""The circuit as a graph: what touches a node, and where direct current can go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from steadypoint.circuit._model import GROUND, Circuit, Kind, Part
from steadypoint.circuit._nodes import Joints
from steadypoint.errors import did_you_mean

_STIFF: Final = (Kind.SUPPLY, Kind.VOLTAGE_SOURCE, Kind.INDUCTOR)
_NO_DIRECT_CURRENT: Final = (Kind.CAPACITOR, Kind.CURRENT_SOURCE)
_PASSIVE: Final = (Kind.RESISTOR, Kind.INDUCTOR, Kind.CAPACITOR)


@dataclass(frozen=True, slots=True)
class Found:
    """A fault of a circuit.

    Parameters
    ----------
    sentence : str
        What is wrong and what would be right.
    subjects : tuple of str
        Parts and nodes it is about, the first to be pointed at.
    """

    sentence: str
    subjects: tuple[str, ...] = ()


class Graph:
    """Nodes and parts of a circuit, ready for questions.

    Parameters
    ----------
    circuit : Circuit
        The circuit, each part between nodes of its own.
    """

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self.nodes = circuit.nodes
        self.transistors = [p for p in circuit.parts if p.kind.is_transistor]
        self._touching: dict[str, list[Part]] = {}
        for part in circuit.parts:
            for node in dict.fromkeys(part.nodes):
                self._touching.setdefault(node, []).append(part)

    def touching(self, node: str) -> Sequence[Part]:
        """Parts that touch a node, each once."""
        return self._touching.get(node, ())

    def voltage_loops(self) -> list[tuple[Part, ...]]:
        """Loops of parts that fix a voltage (supplies, voltage sources, inductors at DC)."""
        tree: dict[str, list[tuple[str, Part]]] = {}
        joints = Joints()
        loops: list[tuple[Part, ...]] = []
        for part in self.circuit.parts:
            if part.kind not in _STIFF or part.option("R_S"):
                continue
            one, other = part.nodes
            joints.add(one)
            joints.add(other)
            if joints.find(one) == joints.find(other):
                loops.append((*_path(tree, one, other), part))
                continue
            joints.join(one, other)
            tree.setdefault(one, []).append((other, part))
            tree.setdefault(other, []).append((one, part))
        return loops

    @cached_property
    def _direct(self) -> Joints:
        joints = Joints()
        joints.add(GROUND)
        for part in self.circuit.parts:
            for node in part.nodes:
                joints.add(node)
            if part.kind.is_fet:  # no direct current flows into a gate
                joints.join(part.node("drain"), part.node("source"))
            elif part.kind not in _NO_DIRECT_CURRENT:
                for node in part.nodes[1:]:
                    joints.join(part.nodes[0], node)
        return joints

    def islands(self) -> list[list[str]]:
        """Groups of nodes that no direct current joins to ground."""
        groups: dict[str, list[str]] = {}
        for node in self.nodes:
            groups.setdefault(self._direct.find(node), []).append(node)
        groups.pop(self._direct.find(GROUND), None)
        return list(groups.values())

    def bordering(self, island: Sequence[str], kind: Kind) -> list[Part]:
        """Parts of a kind with an end in an island."""
        inside = set(island)
        return [p for p in self.circuit.parts if p.kind is kind and inside.intersection(p.nodes)]

    def is_signal_side(self, island: Sequence[str]) -> bool:
        """True for what stands before an input or behind an output: passive, with a free end."""
        parts = [part for node in island for part in self.touching(node)]
        if any(part.kind not in _PASSIVE for part in parts):
            return False
        return any("." not in n and len(self.touching(n)) == 1 for n in island)

    def is_signal_terminal(self, node: str) -> bool:
        """True for a named node where a signal may come in or go out behind a capacitor."""
        if "." in node:
            return False
        root = self._direct.find(node)
        if root == self._direct.find(GROUND):
            return False
        return self.is_signal_side([n for n in self.nodes if self._direct.find(n) == root])

    def suggestion(self, node: str, otherwise: str = "") -> str:
        """The nearest other node as a question with a space before it, or another sentence."""
        if "." in node:
            return f" {otherwise}" if otherwise else ""
        others = [n for n in self.nodes if n != node and "." not in n]
        return did_you_mean(node, others) or (f" {otherwise}" if otherwise else "")


def _path(tree: dict[str, list[tuple[str, Part]]], start: str, goal: str) -> tuple[Part, ...]:
    """Parts on the way between two nodes of a tree."""
    stack: list[tuple[str, tuple[Part, ...]]] = [(start, ())]
    seen = {start}
    while stack:
        node, way = stack.pop()
        if node == goal:
            return way
        for other, part in tree.get(node, ()):
            if other not in seen:
                seen.add(other)
                stack.append((other, (*way, part)))
    return ()
