"""The hand calculation of a circuit as expressions that the student page reckons itself."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import Any, Final, TypeAlias

from steadypoint.circuit import Circuit
from steadypoint.derive import (
    Expr,
    Fraction,
    Line,
    Number,
    Parallel,
    Power,
    Product,
    Sum,
    Symbol,
    derive,
    to_mathml,
)
from steadypoint.errors import SteadypointError

Tree: TypeAlias = list[Any]

_CLOSE: Final = 1e-9
_WHOLE: Final = (0.0, 1.0, 2.0)  # any other figure would not follow the sliders


@dataclass(frozen=True, slots=True)
class LiveLine:
    """One line of a working that follows the sliders.

    Parameters
    ----------
    mathml : str
        Left and right side in letters.
    left : str
        Symbol that the line gives.
    right : list
        Expression in plain data, for the page.
    unit : str
        SI unit of the result.
    """

    mathml: str
    left: str
    right: Tree
    unit: str


def live_lines(circuit: Circuit) -> tuple[tuple[LiveLine, ...], dict[str, float]]:
    """The lines of the exact working that letters alone give, and what they start from.

    Parameters
    ----------
    circuit : Circuit
        The circuit.

    Returns
    -------
    tuple of (tuple of LiveLine, dict of str to float)
        Lines in their order, each with the result of the working; stated values by symbol. [SI]
    """
    try:
        working = derive(circuit, rung="exact")
    except SteadypointError:
        return (), {}
    lines = [line for step in working for line in step.lines]
    known = dict(_stated(lines))
    for part in circuit.parts:
        if part.value is not None:
            known[part.name] = part.value.value
    env, found = dict(known), []
    for line in lines:
        if not isinstance(line.left, Symbol) or line.result is None or line.sign not in "=≈":
            continue
        try:
            tree = _tree(line.right)
            value = _reckoned(tree, env)
        except (KeyError, TypeError, ZeroDivisionError, OverflowError):
            continue
        if not math.isclose(value, line.result.value, rel_tol=_CLOSE, abs_tol=1e-15):
            continue
        env[line.left.name] = value
        letters = to_mathml(Line(line.left, line.right, sign=line.sign))
        found.append(LiveLine(letters, line.left.name, tree, line.result.unit))
    if not any(line.left.startswith("I_C") for line in found):
        return (), {}  # a working without its main result teaches nothing
    return tuple(found), known


def _stated(node: Any) -> Iterator[tuple[str, float]]:
    """Values of the symbols that figures stand for, where the circuit states them."""
    if isinstance(node, Number):
        if node.symbol and node.given:
            yield node.symbol, node.value
    elif isinstance(node, (list, tuple)):
        for each in node:
            yield from _stated(each)
    elif is_dataclass(node) and not isinstance(node, type):
        for field in fields(node):
            yield from _stated(getattr(node, field.name))


def _tree(expr: Expr) -> Tree:
    match expr:
        case Symbol():
            return ["s", expr.name]
        case Number() if expr.value == 0.0 or (not expr.unit and expr.value in _WHOLE):
            return ["n", expr.value]
        case Sum():
            return ["+", *(_tree(t) if s > 0 else ["neg", _tree(t)] for s, t in expr.terms)]
        case Product():
            return ["*", *map(_tree, expr.factors)]
        case Fraction():
            return ["/", _tree(expr.over), _tree(expr.under)]
        case Parallel():
            return ["p", *map(_tree, expr.branches)]
        case Power():
            return ["^", _tree(expr.base), ["n", expr.exponent]]
    raise TypeError(type(expr).__name__)


def _reckoned(tree: Tree, env: Mapping[str, float]) -> float:
    kind, *rest = tree
    if kind == "s":
        return env[rest[0]]
    if kind == "n":
        return float(rest[0])
    values = [_reckoned(each, env) for each in rest]
    match kind:
        case "+":
            return sum(values)
        case "neg":
            return -values[0]
        case "*":
            return math.prod(values)
        case "/":
            return values[0] / values[1]
        case "p":
            return 1.0 / sum(1.0 / v for v in values)
        case _:
            return float(values[0] ** values[1])
