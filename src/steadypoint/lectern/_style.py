"""Style rules that the lectern takes from the layers below: tokens and faces."""

from __future__ import annotations

from pathlib import Path
from typing import Final

_FACES: Final = (
    ("Steady Text", "normal", 400),
    ("Steady Text", "italic", 400),
    ("Steady Text", "normal", 600),
    ("Steady Math", "normal", 400),
)


def tokens() -> str:
    """Faces, and tokens with their themes."""
    from steadypoint.publish import tokens_css

    faces = "\n".join(
        f'@font-face{{font-family:"{family}";font-style:{style};font-weight:{weight};'
        f'font-display:swap;src:url(/look/font/{number}.ttf) format("truetype")}}'
        for number, (family, style, weight) in enumerate(_FACES)
    )
    return f"{faces}\n{tokens_css()}"


def font(name: str) -> bytes:
    """A font file by its number.

    Raises
    ------
    FileNotFoundError
        If there is no such face.
    """
    from steadypoint.publish import font_files

    paths = font_files()
    number = name.removesuffix(".ttf")
    if not number.isdecimal() or int(number) >= len(paths):
        raise FileNotFoundError(name)
    return Path(paths[int(number)]).read_bytes()
