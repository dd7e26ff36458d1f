"""Widths of texts, measured on the fonts that the pages embed."""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Final

from steadypoint.draw._scene import Box, Span, Text

_FILES: Final[dict[tuple[str, str], tuple[str, str]]] = {
    ("text", "text"): ("font_source_sans_pro", "files/SourceSansPro-Regular.ttf"),
    ("text", "num"): ("font_source_sans_pro", "files/SourceSansPro-Semibold.ttf"),
    ("text", "strong"): ("font_source_sans_pro", "files/SourceSansPro-Bold.ttf"),
    ("math", "text"): ("ziamath", "fonts/STIXTwoMath-Regular.ttf"),
}
# Over the size of the face, measured on b, d, l, β (0.72) and g, j, p (0.24) of both fonts.
_ASCENT: Final = 0.73
_DESCENT: Final = 0.24
_DESCENDERS: Final = frozenset("gjpqyQJ,;()/|_µμβ𝛽𝑔𝑗𝑝𝑞𝑦")
_MISSING_EM: Final = 0.55  # a character that no font has: an average width


@cache
def font_paths() -> tuple[str, ...]:
    """Paths of the font files, for renderers that want them passed."""
    return tuple(_path(package, name) for package, name in _FILES.values())


def _path(package: str, name: str) -> str:
    """Path of a file in a package, whose own code is not run: importing it is slow and warns."""
    spec = find_spec(package)
    return str(Path(spec.origin if spec and spec.origin else package).parent / name)


@cache
def _advances(face: str, weight: str) -> tuple[dict[int, str], dict[str, float]]:
    from fontTools.ttLib import TTFont

    package, name = _FILES.get((face, weight), _FILES[face, "text"])
    with TTFont(_path(package, name), lazy=True) as font:
        em = float(font["head"].unitsPerEm)
        widths = {glyph: advance / em for glyph, (advance, _) in font["hmtx"].metrics.items()}
        return dict(font.getBestCmap()), widths


@cache
def _em_width(character: str, face: str, weight: str) -> float:
    glyphs, widths = _advances(face, weight)
    glyph = glyphs.get(ord(character))
    return _MISSING_EM if glyph is None else widths[glyph]


def width(spans: tuple[Span, ...]) -> float:
    """Width of a line of spans. [px]"""
    return sum(s.gap + s.size * sum(_em_width(c, s.face, s.weight) for c in s.text) for s in spans)


def text_box(text: Text) -> Box:
    """Extent of a text: ascenders above, descenders and subscripts below the baseline. [px]"""
    w = width(text.spans)
    x0 = text.x - {"start": 0.0, "middle": w / 2, "end": w}[text.anchor]
    high = max((_ASCENT * s.size - s.drop for s in text.spans), default=0.0)
    low = max((s.drop + _descent(s.text) * s.size for s in text.spans), default=0.0)
    return Box(x0, text.y - high, x0 + w, text.y + low)


def _descent(text: str) -> float:
    return _DESCENT if set(text) & _DESCENDERS else 0.02
