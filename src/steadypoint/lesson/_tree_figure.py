"""What figures of the document tree hold: drawings, picture files, operating points."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from steadypoint.lesson._tree_inline import Amount, Letter

if TYPE_CHECKING:
    from steadypoint.draw import Scene


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing in its forms, with its text alternative.

    Parameters
    ----------
    page : str
        SVG whose colours follow the page's theme.
    paper : str
        Standalone SVG for print.
    alt : str
        What it shows, in words.
    width, paper_width : float
        Natural widths on page and paper. [px]
    narrow : str
        SVG for narrow screens, where the whole drawing would become too small to read; empty when
        it fits.
    narrow_note : str
        What is left out there.
    least, narrow_least : float
        Widths under which names would become too small; the page lets the drawing scroll instead.
        0 when the drawing may shrink. [px]
    scene, projected : Scene or None
        What it was made from, and its form for a wall.
    """

    page: str
    paper: str
    alt: str
    width: float
    paper_width: float
    narrow: str = ""
    narrow_note: str = ""
    least: float = 0.0
    narrow_least: float = 0.0
    scene: Scene | None = field(default=None, compare=False)
    projected: Scene | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture file of the lesson's folder."""

    data: bytes
    kind: str
    alt: str


@dataclass(frozen=True, slots=True)
class Reading:
    """One value of the point, with the value before when something changed."""

    letter: Letter
    meaning: str
    amount: Amount
    was: Amount | None = None


@dataclass(frozen=True, slots=True)
class PointCard:
    """Where a transistor's point stands: region, level tube, values, cautions."""

    region: str
    meaning: str
    level: Drawing
    readings: Sequence[Reading]
    notes: Sequence[str] = ()
    was_region: str = ""
