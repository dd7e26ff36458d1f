"""The stroke of a thermistor: its value goes with the temperature by itself (IEC 60617, 02-03-02).

A skewed stroke with a level foot crosses the resistor; at the foot stands θ with the sign of the
coefficient. Number and letter are from memory.
"""

from __future__ import annotations

from typing import Final

from steadypoint.draw._scene import Box, Path, Point, Span, Text

SENSES: Final = {"NTC": "−θ", "PTC": "+θ"}
"""What stands at the foot, by the trait of the part."""

REACH: Final = 12.0
"""How far the stroke goes beyond the axis on the side of the label. [px]"""

_SIZE: Final = 12.0


def thermistor_stroke(start: Point, end: Point, sense: str) -> tuple[Path, Text, Box]:
    """Stroke, letter and their room.

    Parameters
    ----------
    start, end : (float, float)
        Where the symbol's first and second node lie, on one axis. [px]
    sense : str
        ``−θ`` or ``+θ``.

    Returns
    -------
    tuple of (Path, Text, Box)
        The foot lies left of a standing symbol, and below a lying one, away from the label.
    """
    x, y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    if start[0] == end[0]:
        foot, knee, tip = (x - 29, y + 15), (x - 13, y + 15), (x + REACH, y - 15)
        text = Text(x - 21.5, y + 11, (Span(sense, size=_SIZE),), "middle")
        room = Box(x - 30, y - 1, x - 6, y + 17)
    else:
        foot, knee, tip = (x - 30, y + 15), (x - 15, y + 15), (x + 15, y - REACH)
        text = Text(x - 33, y + 19, (Span(sense, size=_SIZE),), "end")
        room = Box(x - 50, y + 8, x + 4, y + 21)
    commands = (("M", *foot), ("L", *knee), ("L", *tip))
    return Path(commands, "line"), text, room
