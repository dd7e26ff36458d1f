"""Sections that stand under a change: a list with 'change:' right below their heading."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Final

from markdown_it.tree import SyntaxTreeNode

from steadypoint.lesson._blocks._before_after import changes_between
from steadypoint.lesson._cases import Scope
from steadypoint.lesson._source import suggestion
from steadypoint.lesson._tree import Assumed

if TYPE_CHECKING:
    from steadypoint.lesson._weave import Weaver

_KEYS: Final = ("change", "circuit")
_ITEM: Final = re.compile(r"([A-Za-z ]+):\s+(\S.*)", re.DOTALL)


def read_scopes(nodes: Sequence[SyntaxTreeNode], weaver: Weaver) -> Mapping[int, Assumed]:
    """Read the changes below headings and let the values of their sections keep them.

    Parameters
    ----------
    nodes : sequence of SyntaxTreeNode
        The lesson's top nodes.
    weaver : Weaver
        Takes the scopes.

    Returns
    -------
    mapping of int to Assumed
        By the line of each list what stands in its place.

    Raises
    ------
    LessonError
        If a change does not fit its circuit.
    """
    found: dict[int, Assumed] = {}
    for place, node in enumerate(nodes[1:], 1):
        heading = nodes[place - 1]
        if node.type != "bullet_list" or heading.type != "heading" or heading.tag == "h1":
            continue
        items = _items(node, weaver)
        if items:
            last = _end(nodes, place - 1, len(weaver.source.lines))
            found[_line(node)] = _scope(items, _line(node), last, weaver)
    return found


def _items(node: SyntaxTreeNode, weaver: Weaver) -> dict[str, tuple[str, int]]:
    """Options of the list with their lines; none when it is a list of another kind."""
    items: dict[str, tuple[str, int]] = {}
    for item in node.children:
        text = " ".join(n.content for n in item.walk() if n.type == "inline")
        match = _ITEM.match(text)
        key = match[1].casefold() if match else ""
        if not items and key != "change":
            return {}
        if match is None or key not in _KEYS:
            hint = suggestion(key or text, _KEYS)
            raise weaver.source.fault_at(
                f"A section states its change and its circuit, not '{key or text}'.{hint}",
                _line(item),
                match[1] if match else text,
            )
        items[key] = (match[2].strip(), _line(item))
    return items


def _scope(items: Mapping[str, tuple[str, int]], first: int, last: int, weaver: Weaver) -> Assumed:
    cases = weaver.cases
    case = cases.called(*items["circuit"]) if "circuit" in items else cases.at(first)
    settings, line = items["change"]
    circuit = cases.changed(case, settings, line)
    changes = changes_between(case.circuit, circuit)
    if not changes:
        raise weaver.source.fault_at(
            "This change leaves the circuit as it was. Give another value.", line, settings
        )
    cases.scopes.append(Scope(first, last, case, circuit))
    return Assumed(changes)


def _end(nodes: Sequence[SyntaxTreeNode], place: int, last: int) -> int:
    level = nodes[place].tag
    for node in nodes[place + 1 :]:
        if node.type == "heading" and node.tag <= level:
            return _line(node) - 1
    return last


def _line(node: SyntaxTreeNode) -> int:
    return (node.map[0] if node.map else 0) + 1
