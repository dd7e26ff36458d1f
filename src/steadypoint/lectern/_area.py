"""Areas of the right page, which register themselves by standing in the folder ``areas``."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Final

from steadypoint.errors import UnknownNameError, did_you_mean

if TYPE_CHECKING:
    from steadypoint.lectern._desk import Desk

GROUPS: Final = ("Circuit", "Explain", "Vary", "Class", "Write")
"""Groups of the fold in their order."""


@dataclass(frozen=True, slots=True)
class Area:
    """One area of the lectern.

    Parameters
    ----------
    name : str
        Word of its address, in small letters.
    label : str
        What the fold calls it.
    group : str
        Heading in the fold, one of ``GROUPS``.
    order : int
        Place within its group. [-]
    render : callable
        Gives the content of the right page as HTML for a desk. It imports what it computes with
        when it is called, so that the fold is there before the numerics are.
    answer : callable, optional
        Gives the short answer that the fold shows beside the name, as plain text.
    slow : bool, default False
        Takes longer than a key press: worked out apart, after plate and point.
    slow_answer : bool, default False
        The answer takes longer than a key press: worked out when the keys rest.
    """

    name: str
    label: str
    group: str
    order: int
    render: Callable[[Desk], str]
    answer: Callable[[Desk], str] | None = None
    slow: bool = False
    slow_answer: bool = False


@cache
def all_areas() -> tuple[Area, ...]:
    """All areas in the order of the fold.

    Returns
    -------
    tuple of Area
        What the modules of ``steadypoint.lectern.areas`` state.
    """
    from steadypoint.lectern import areas as package

    found = [
        importlib.import_module(f"{package.__name__}.{module.name}").AREA
        for module in pkgutil.iter_modules(package.__path__)
    ]
    return tuple(sorted(found, key=lambda area: (GROUPS.index(area.group), area.order)))


def area_named(name: str) -> Area:
    """The area of a name.

    Parameters
    ----------
    name : str
        Word of its address.

    Returns
    -------
    Area
        The area.

    Raises
    ------
    UnknownNameError
        If there is none; the nearest name is suggested.
    """
    for area in all_areas():
        if area.name == name:
            return area
    near = did_you_mean(name, [area.name for area in all_areas()])
    raise UnknownNameError(f"The lectern has no area '{name}'.{near}")
