"""Figures typed as options of a block, with faults that point at their line."""

from __future__ import annotations

from steadypoint.errors import LessonError, SteadypointError
from steadypoint.lesson._options import Fence
from steadypoint.values import read_quantity, read_tolerance


def value(fence: Fence, key: str, unit: str, default: str = "") -> float | None:
    """A quantity, or None where neither the option nor a default stands. [unit]

    Raises
    ------
    LessonError
        If the text is no such quantity.
    """
    text = fence.get(key, default)
    if not text:
        return None
    try:
        return read_quantity(text, unit).value
    except SteadypointError as fault:
        raise fault_of(fence, key, fault) from fault


def share(fence: Fence, key: str) -> float | None:
    """A percentage as a share, or None where the option does not stand. [-]

    Raises
    ------
    LessonError
        If the text is no percentage.
    """
    if not fence.get(key):
        return None
    try:
        return read_tolerance(fence.get(key))
    except SteadypointError as fault:
        raise fault_of(fence, key, fault) from fault


def limits(fence: Fence, key: str, unit: str, default: str) -> tuple[float, float]:
    """Two limits, ``100..400``; one figure stands for both. [unit]

    Raises
    ------
    LessonError
        If one of them is no such quantity.
    """
    first, dots, second = fence.get(key, default).partition("..")
    try:
        low = read_quantity(first.strip(), unit).value
        return low, read_quantity(second.strip(), unit).value if dots else low
    except SteadypointError as fault:
        raise fault_of(fence, key, fault) from fault


def fault_of(fence: Fence, key: str, fault: SteadypointError) -> SteadypointError:
    """A fault of lower layers at the place where its cause was typed."""
    if isinstance(fault, LessonError):
        return fault
    return fence.source.fault_at(str(fault), fence.at(key), fence.get(key) or fence.name)
