"""Steadypoint, the lesson bench of a lecturer who teaches transistor biasing.

Every public name of the layers can be imported from here. A layer is loaded when one of its names
is first asked for, lower layers before higher ones, so that ``import steadypoint`` stays quick.

Examples
--------
>>> import steadypoint
>>> circuit = steadypoint.arrangement("voltage divider").circuit
>>> point = steadypoint.operating_point(circuit)
>>> point.transistors["Q1"].region.value
'active'
"""

from __future__ import annotations

import importlib
import importlib.util
from typing import Any, Final

__version__ = "0.1.0"

# Lowest first. A layer joins the list by being written; __init__.pyi tells type checkers the same.
_ORDER: Final = (
    "errors",
    "values",
    "kernels",
    "devices",
    "circuit",
    "solve",
    "derive",
    "spread",
    "signal",
    "choose",
    "draw",
    "publish",
    "practice",
    "proof",
    "bench",
    "lesson",
)


def _layers() -> list[str]:
    specs = {name: importlib.util.find_spec(f"steadypoint.{name}") for name in _ORDER}
    return [name for name, spec in specs.items() if spec is not None and spec.origin]


def _public(layer: str) -> list[str]:
    names: list[str] = importlib.import_module(f"steadypoint.{layer}").__all__
    return names


def __getattr__(name: str) -> Any:
    if name == "__all__":
        return __dir__()
    if name.startswith("_"):
        raise AttributeError(f"module 'steadypoint' has no attribute '{name}'")
    if name in _ORDER:  # a layer itself, asked for by "from steadypoint import values"
        if importlib.util.find_spec(f"steadypoint.{name}"):
            return importlib.import_module(f"steadypoint.{name}")
        raise AttributeError(f"steadypoint has no layer '{name}' yet")
    for layer in _layers():
        if name in _public(layer):
            value = getattr(importlib.import_module(f"steadypoint.{layer}"), name)
            globals()[name] = value
            return value
    raise AttributeError(f"module 'steadypoint' has no attribute '{name}'")


def __dir__() -> list[str]:
    return sorted({name for layer in _layers() for name in _public(layer)})
