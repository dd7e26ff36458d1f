"""Schematics and charts as scenes, and their SVG."""

from steadypoint.draw._drift import drift_chart
from steadypoint.draw._level import level
from steadypoint.draw._load_line import load_line
from steadypoint.draw._metrics import font_paths
from steadypoint.draw._part_curves import part_curves
from steadypoint.draw._scene import Box, Circle, Group, Path, Scene, Span, Text
from steadypoint.draw._schematic import schematic
from steadypoint.draw._theme import THEMES, stylesheet

__all__ = [
    "THEMES",
    "Box",
    "Circle",
    "Group",
    "Path",
    "Scene",
    "Span",
    "Text",
    "drift_chart",
    "font_paths",
    "level",
    "load_line",
    "part_curves",
    "schematic",
    "stylesheet",
]
