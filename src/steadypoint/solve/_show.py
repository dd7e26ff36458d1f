"""An operating point as a notebook shows it."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import TYPE_CHECKING

from steadypoint.values import format_quantity

if TYPE_CHECKING:
    from steadypoint.solve._point import OperatingPoint


def rows_of(point: OperatingPoint) -> tuple[tuple[str, ...], ...]:
    """Name, current, voltage, third figure, power and region of every transistor."""
    found = [
        (
            name,
            f"I_C = {format_quantity(q.I_C, 'A')}",
            f"V_CE = {format_quantity(q.V_CE, 'V')}",
            f"I_B = {format_quantity(q.I_B, 'A')}",
            f"P = {format_quantity(q.P, 'W')}",
            q.region.value,
        )
        for name, q in point.transistors.items()
    ]
    found += [
        (
            name,
            f"I_D = {format_quantity(f.I_D, 'A')}",
            f"V_DS = {format_quantity(f.V_DS, 'V')}",
            f"V_GS = {format_quantity(f.V_GS, 'V')}",
            f"P = {format_quantity(f.P, 'W')}",
            f.region.value,
        )
        for name, f in point.fets.items()
    ]
    return tuple(found)


def table(point: OperatingPoint) -> str:
    """HTML: a row for each transistor, one for the node voltages, and the warnings."""
    head = f"Operating point, {point.model.value} rung, {point.temperature - 273.15:.4g} °C"
    body = "".join(_row(row) for row in rows_of(point))
    nodes = ", ".join(
        f"V_{escape(name)} = {format_quantity(V, 'V')}"
        for name, V in point.nodes.items()
        if name != "ground"
    )
    warnings = "".join(f"<p>{escape(w)}</p>" for w in point.warnings)
    return f"<table><caption>{escape(head)}</caption>{body}</table><p>{nodes}</p>{warnings}"


def _row(cells: Sequence[str]) -> str:
    name, *rest = cells
    inner = "".join(f"<td>{escape(cell)}</td>" for cell in rest)
    return f'<tr><th scope="row">{escape(name)}</th>{inner}</tr>'


def plain(point: OperatingPoint) -> str:
    """The same in lines."""
    head = f"Operating point, {point.model.value} rung"
    return "\n".join([head, *("  ".join(row) for row in rows_of(point)), *point.warnings])
