"""Schematics and charts as scenes, and their SVG."""

from steadypoint.draw._annotate import trends_between
from steadypoint.draw._comparison import Compared, comparison_chart
from steadypoint.draw._drift import drift_chart
from steadypoint.draw._fet_transfer import fet_transfer_chart
from steadypoint.draw._front_chart import FrontPoint, front_chart
from steadypoint.draw._influences import Influence, influence_chart
from steadypoint.draw._level import level
from steadypoint.draw._load_line import load_line, load_line_reach
from steadypoint.draw._loop import loop_of
from steadypoint.draw._metrics import font_paths
from steadypoint.draw._moving import moving_reach, moving_scene, moving_scenes, moving_values
from steadypoint.draw._part_curves import part_curves
from steadypoint.draw._scene import Box, Circle, Group, Path, Scene, Span, Text
from steadypoint.draw._schematic import schematic
from steadypoint.draw._signals import Trace, bode_chart, waveform_chart
from steadypoint.draw._spread_charts import box_chart, spread_chart
from steadypoint.draw._theme import THEMES, Theme, stylesheet
from steadypoint.draw._theme_file import load_theme, palette_faults, read_theme
from steadypoint.draw._transfer import input_chart, transfer_chart

__all__ = [
    "THEMES",
    "Box",
    "Circle",
    "Compared",
    "FrontPoint",
    "Group",
    "Influence",
    "Path",
    "Scene",
    "Span",
    "Text",
    "Theme",
    "Trace",
    "bode_chart",
    "box_chart",
    "comparison_chart",
    "drift_chart",
    "fet_transfer_chart",
    "font_paths",
    "front_chart",
    "influence_chart",
    "input_chart",
    "level",
    "load_line",
    "load_line_reach",
    "load_theme",
    "loop_of",
    "moving_reach",
    "moving_scene",
    "moving_scenes",
    "moving_values",
    "palette_faults",
    "part_curves",
    "read_theme",
    "schematic",
    "spread_chart",
    "stylesheet",
    "transfer_chart",
    "trends_between",
    "waveform_chart",
]
