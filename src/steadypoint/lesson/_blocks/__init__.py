"""The fenced blocks of a lesson, one module each; importing a module registers its block."""

from steadypoint.lesson._blocks import _before_after as _before_after
from steadypoint.lesson._blocks import _choose as _choose
from steadypoint.lesson._blocks import _circuit as _circuit
from steadypoint.lesson._blocks import _compare as _compare
from steadypoint.lesson._blocks import _drift as _drift
from steadypoint.lesson._blocks import _equation as _equation
from steadypoint.lesson._blocks import _exercise as _exercise
from steadypoint.lesson._blocks import _load_line as _load_line
from steadypoint.lesson._blocks import _reveal as _reveal
from steadypoint.lesson._blocks import _speaker as _speaker
from steadypoint.lesson._blocks import _working as _working
from steadypoint.lesson._blocks._registry import BLOCKS, BlockKind

__all__ = ["BLOCKS", "BlockKind"]
