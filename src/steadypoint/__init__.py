"""Steadypoint, the lesson bench of a lecturer who teaches transistor biasing.

Every public name of the layers can be imported from here; a layer is loaded on first use, so that
``import steadypoint`` stays quick.
"""

from __future__ import annotations

import importlib
from typing import Any

__version__ = "0.1.0"

_LAYERS = ("errors", "values", "circuit", "solve")


def __getattr__(name: str) -> Any:
    if name.startswith("_"):
        raise AttributeError(name)
    for layer in _LAYERS:
        module = importlib.import_module(f"steadypoint.{layer}")
        if name in module.__all__:
            return getattr(module, name)
    raise AttributeError(f"module 'steadypoint' has no attribute '{name}'")


def __dir__() -> list[str]:
    names: list[str] = []
    for layer in _LAYERS:
        names += importlib.import_module(f"steadypoint.{layer}").__all__
    return sorted(names)
