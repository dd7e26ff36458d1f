"""Arrangements to begin a circuit with: their names, their sheets, their pictures."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from steadypoint.circuit import arrangement, arrangements
from steadypoint.draw import THEMES, schematic
from steadypoint.publish import scene_svg


def offered(request: Mapping[str, Any]) -> dict[str, Any]:
    """Names of all arrangements in teaching order; with a name, its sheet.

    Raises
    ------
    UnknownNameError
        If there is no arrangement of that name.
    """
    name = request.get("name")
    if isinstance(name, str):
        return {"sheet": arrangement(name).sheet}
    found = sorted(arrangements(), key=lambda a: a.teaching_order)
    return {"names": [a.name for a in found]}


def picture(request: Mapping[str, Any]) -> dict[str, Any]:
    """The drawing of an arrangement as a picture of its own.

    Raises
    ------
    UnknownNameError
        If there is no arrangement of that name.
    """
    look = str(request.get("look"))
    return {"svg": _svg(str(request.get("name")), look if look in THEMES else "light")}


@lru_cache(maxsize=128)
def _svg(name: str, theme: str) -> str:
    scene = schematic(arrangement(name).circuit, show=())
    return scene_svg(scene, theme=theme).decode("utf-8")
