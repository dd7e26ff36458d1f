"""Fonts: small, complete, from the packages, the same bytes each time."""

from __future__ import annotations

import base64
import io
import re
from pathlib import Path

from fontTools.ttLib import TTFont

from steadypoint.publish import font_css, font_files, font_folders
from steadypoint.publish._fonts import faces, subset_face


def test_the_font_files_are_there() -> None:
    assert all(Path(f).is_file() for f in font_files())
    assert all(Path(f).is_dir() for f in font_folders())


def _fonts(css: str) -> list[TTFont]:
    codes = re.findall(r"base64,([A-Za-z0-9+/=]+)", css)
    return [TTFont(io.BytesIO(base64.b64decode(code))) for code in codes]


def test_the_page_carries_the_signs_of_the_trade() -> None:
    text, italic, strong, math = _fonts(font_css("Ärger über 4,7 µF"))
    assert all(ord(c) in italic.getBestCmap() for c in "AZaz09Äµ−×–’\u202f")
    for font in (text, strong):
        have = font.getBestCmap()
        assert all(ord(c) in have for c in "AZaz09Ä µΩ−×±≈≤≥–—“”’\u202f")
    have = math.getBestCmap()
    assert all(ord(c) in have for c in "VIRβ∥×−=()\U0001d449\U0001d43c\U0001d6fd")


def test_the_math_font_keeps_its_table_and_stretches() -> None:
    # OpenType 1.9.1, MATH table: MathVariants holds the glyphs for stretched delimiters.
    math = _fonts(font_css(""))[3]
    variants = math["MATH"].table.MathVariants
    covered = set(variants.VertGlyphCoverage.glyphs)
    names = {math.getBestCmap()[ord(c)] for c in "()√|"}
    assert names <= covered


def test_a_subset_is_small_and_repeats_itself() -> None:
    face = faces()[0]
    first = subset_face(face)
    subset_face.cache_clear()
    assert subset_face(face) == first
    assert len(first) < 30_000 < face.file.stat().st_size


def test_the_reserved_name_is_not_kept() -> None:
    # SIL Open Font License 1.1, clause 3: no modified version may use the reserved font name.
    for font in _fonts(font_css("")):
        name = font["name"]
        assert name.getDebugName(1) in ("Steady Text", "Steady Math")
        assert "SIL Open Font License" in name.getDebugName(13)
