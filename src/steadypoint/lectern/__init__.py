"""The lectern: the screen a lecturer prepares and teaches from, in the browser.

Importing this layer loads no numerics: those live in working processes of their own, so that the
page is there at once and a monstrous circuit can be cancelled. Those processes in turn load no web
server, so the names are looked up when they are asked for.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from steadypoint.lectern._app import lectern_app
    from steadypoint.lectern._area import GROUPS, Area, all_areas, area_named
    from steadypoint.lectern._folder import Folder
    from steadypoint.lectern._serve import serve_lectern

__all__ = [
    "GROUPS",
    "Area",
    "Folder",
    "all_areas",
    "area_named",
    "lectern_app",
    "serve_lectern",
]

_HOMES: Final = {
    "GROUPS": "_area",
    "Area": "_area",
    "Folder": "_folder",
    "all_areas": "_area",
    "area_named": "_area",
    "lectern_app": "_app",
    "serve_lectern": "_serve",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'steadypoint.lectern' has no attribute '{name}'")
    return getattr(importlib.import_module(f"steadypoint.lectern.{_HOMES[name]}"), name)
