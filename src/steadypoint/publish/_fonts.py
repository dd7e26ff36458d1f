"""The two type faces of everything published, taken from the packages that carry them.

Steady Text is Source Sans Pro, Steady Math is STIX Two Math, both under the SIL Open Font License,
version 1.1. A page carries only the characters it needs, so that it stays one small file. The
OpenType MATH table is kept: without it browsers stretch neither parentheses nor radicals.
"""

from __future__ import annotations

import base64
import hashlib
import io
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import Final

from steadypoint.errors import OutputError
from steadypoint.publish._memory import remembered

TEXT_FAMILY: Final = "Source Sans Pro"
MATH_FAMILY: Final = "STIX Two Math"

_ASCII: Final = frozenset(map(chr, range(0x20, 0x7F)))
_SIGNS: Final = frozenset("\u00a0\u202f\u2009·×−±≈≤≥≠≪≫∥→←↑↓Ωµ°‰–—‘’“”…αβΔπ√∞")
# MathML shows single letters as mathematical italics (MathML Core, "italic mappings"), which live
# at these code points; h is the Planck constant's place.
_ITALICS: Final = (
    frozenset(map(chr, range(0x1D434, 0x1D468))) - {chr(0x1D455)}
    | {"ℎ"}
    | frozenset(map(chr, range(0x1D6E2, 0x1D71C)))
)
_FEATURES: Final = [
    *("kern", "liga", "locl", "ccmp", "mark", "mkmk", "lnum", "tnum", "subs", "sups"),
    *("ssty", "dtls", "flac"),
]


@dataclass(frozen=True, slots=True)
class Face:
    """One font file and how the style sheet calls it.

    Parameters
    ----------
    family : str
        Family name in the style sheet.
    style : str
        ``normal`` or ``italic``.
    weight : int
        Weight on the scale of CSS, 400 for regular. [-]
    file : pathlib.Path
        The font file in the package that carries it.
    """

    family: str
    style: str
    weight: int
    file: Path


def _text_folder() -> Path:
    return _package_folder("font_source_sans_pro") / "files"


def _math_folder() -> Path:
    return _package_folder("ziamath") / "fonts"


def _package_folder(name: str) -> Path:
    """Folder of a package, found without running its code."""
    spec = find_spec(name)
    if spec is None or spec.origin is None:
        raise OutputError(f"The fonts are missing. Install the package '{name}', then try again.")
    return Path(spec.origin).parent


def font_folders() -> tuple[str, ...]:
    """Folders with the font files, as typst takes them."""
    return (str(_text_folder()), str(_math_folder()))


@cache
def faces() -> tuple[Face, ...]:
    """The faces a page embeds, in the order of the style sheet."""
    text = _text_folder()
    return (
        Face("Steady Text", "normal", 400, text / "SourceSansPro-Regular.ttf"),
        Face("Steady Text", "italic", 400, text / "SourceSansPro-It.ttf"),
        Face("Steady Text", "normal", 600, text / "SourceSansPro-Semibold.ttf"),
        Face("Steady Math", "normal", 400, _math_folder() / "STIXTwoMath-Regular.ttf"),
    )


def font_files() -> tuple[str, ...]:
    """Paths of the font files, as the picture maker takes them."""
    return tuple(str(face.file) for face in faces())


def font_css(text: str) -> str:
    """The ``@font-face`` rules for a page, with the fonts inside.

    Parameters
    ----------
    text : str
        Everything the page may show; characters beyond a basic set are taken from it.

    Returns
    -------
    str
        Style rules with WOFF2 fonts as ``data:`` addresses.
    """
    more = frozenset(text) - _ASCII - _SIGNS
    extra = frozenset(c for c in more if c.isprintable())
    return "\n".join(_rule(face, extra) for face in faces())


def drawing_font_css(text: str) -> str:
    """The ``@font-face`` rules for one drawing: upright faces with just the characters it shows.

    Parameters
    ----------
    text : str
        Everything the drawing shows.

    Returns
    -------
    str
        Style rules with WOFF2 fonts as ``data:`` addresses.
    """
    shown = frozenset(c for c in text if c.isprintable())
    upright = (face for face in faces() if face.style == "normal")
    return "\n".join(_rule(face, shown, basic=False) for face in upright)


def _rule(face: Face, extra: frozenset[str], *, basic: bool = True) -> str:
    code = base64.b64encode(subset_face(face, extra, basic=basic)).decode("ascii")
    return (
        f'@font-face{{font-family:"{face.family}";font-style:{face.style};'
        f"font-weight:{face.weight};font-display:block;"
        f'src:url(data:font/woff2;base64,{code}) format("woff2")}}'
    )


@lru_cache(maxsize=64)
def subset_face(face: Face, extra: frozenset[str] = frozenset(), *, basic: bool = True) -> bytes:
    """A face cut down to the characters that are needed, as WOFF2.

    Parameters
    ----------
    face : Face
        The face.
    extra : frozenset of str
        Characters wanted beyond letters, digits and the signs of the trade.
    basic : bool, default True
        With letters, digits and the signs of the trade, whether they are in ``extra`` or not.

    Returns
    -------
    bytes
        The font. The same characters give the same bytes.
    """
    math = face.family == "Steady Math"
    wanted = _wanted(extra, math=math) if basic else extra

    # Cutting the whole font takes most of a second; what is cut from a stock of it, little.
    def cut() -> bytes:
        source = io.BytesIO(_stock(face)) if wanted <= _common(math=math) else face.file
        return _cut(face, source, wanted, flavor="woff2")

    return remembered(_key(face, wanted), cut)


def _key(face: Face, wanted: frozenset[str]) -> str:
    """Name of what is cut: the font as it lies there, the program that cuts, the characters."""
    import fontTools

    said = (face.family, face.file.name, face.file.stat().st_size, fontTools.version)
    characters = "".join(sorted(wanted))
    return hashlib.sha256(f"{said}{_FEATURES}{characters}".encode()).hexdigest()


@cache
def _stock(face: Face) -> bytes:
    return _cut(face, face.file, _common(math=face.family == "Steady Math"), flavor=None)


def _common(*, math: bool) -> frozenset[str]:
    """What nearly every page is written with: the basic set, and letters of Latin-1."""
    latin = frozenset(chr(k) for k in range(0xA0, 0x100))
    return _wanted(latin, math=math)


def _cut(
    face: Face, source: io.BytesIO | Path, wanted: frozenset[str], *, flavor: str | None
) -> bytes:
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont

    options = Options()
    options.layout_features = _FEATURES
    options.hinting = False
    options.notdef_outline = True
    options.drop_tables = ["DSIG", "FFTM", "gasp"]
    options.name_IDs = [0, 1, 2, 3, 4, 5, 6, 13, 14]
    subsetter = Subsetter(options)
    subsetter.populate(text="".join(sorted(wanted)))
    stream = io.BytesIO()
    with TTFont(source, lazy=True, recalcTimestamp=False) as font:
        subsetter.subset(font)
        # A modified font may not keep the reserved name (SIL OFL 1.1, clause 3).
        for record in font["name"].names:
            if record.nameID in (1, 3, 4, 6):
                record.string = face.family.replace(" ", "") if record.nameID == 6 else face.family
        font.flavor = flavor
        font.save(stream)
    return stream.getvalue()


def _wanted(extra: Iterable[str], *, math: bool) -> frozenset[str]:
    return _ASCII | _SIGNS | frozenset(extra) | (_ITALICS if math else frozenset())
