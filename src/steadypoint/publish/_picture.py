"""Scenes as pictures: PNG for slides, PDF for print."""

from __future__ import annotations

import html
import re
from typing import TYPE_CHECKING, Final, Protocol

from steadypoint.errors import OutputError
from steadypoint.publish._fonts import MATH_FAMILY, TEXT_FAMILY, drawing_font_css, font_files
from steadypoint.publish._pdf import compile_typst, printable_svg, typst_string

if TYPE_CHECKING:
    from steadypoint.draw import Theme

_WIDTH: Final = 1600


class Drawn(Protocol):
    """Anything that gives itself as SVG, for instance a scene of ``steadypoint.draw``."""

    def svg(self, *, theme: str | Theme = ..., standalone: bool = ...) -> str:
        """The drawing as SVG; with literal colours when standalone."""
        ...


def svg_png(svg: str, *, width: int = _WIDTH, ground: str | None = "#ffffff") -> bytes:
    """A standalone SVG as PNG.

    Parameters
    ----------
    svg : str
        The drawing with literal colours.
    width : int, default 1600
        Width of the picture. [px]
    ground : str or None, default "#ffffff"
        Colour behind the drawing; None leaves it transparent.

    Returns
    -------
    bytes
        The picture.

    Raises
    ------
    OutputError
        If the width is out of reason or the drawing is no SVG.
    """
    import resvg_py

    if not 16 <= width <= 16000:
        raise OutputError(f"A picture {width} px wide cannot be made. Choose 16 to 16000 px.")
    try:
        picture = resvg_py.svg_to_bytes(
            svg_string=_used_rules(printable_svg(svg).decode("utf-8")),
            width=width,
            background=ground,
            skip_system_fonts=True,
            font_files=list(font_files()),
            font_family=TEXT_FAMILY,
            sans_serif_family=TEXT_FAMILY,
            serif_family=MATH_FAMILY,
        )
    except ValueError as fault:
        raise OutputError(f"The drawing could not be turned into a picture: {fault}.") from fault
    return bytes(picture)


def _used_rules(svg: str) -> str:
    """The drawing without style rules that no mark of it uses; each costs the renderer time."""
    used = {word for words in re.findall(r'class="([^"]*)"', svg) for word in words.split()}

    def kept(rule: re.Match[str]) -> str:
        selectors = rule.group(1).split(",")
        wanted = any(used.issuperset(re.findall(r"\.([\w-]+)", s)) for s in selectors)
        return rule.group() if wanted else ""

    def shorter(style: re.Match[str]) -> str:
        return re.sub(r"([^{}]*)\{[^{}]*\}", kept, style.group())

    return re.sub(r"(?<=<style>).*?(?=</style>)", shorter, svg, flags=re.DOTALL)


def scene_svg(scene: Drawn, *, theme: str | Theme = "light") -> bytes:
    """A scene as an SVG file of its own, with the characters it shows inside.

    The room between letters is reckoned for the faces of the look; with them inside, the drawing
    is the same on every screen.

    Parameters
    ----------
    scene : Scene
        The drawing.
    theme : str or Theme, default "light"
        Theme of the look, or own colours.

    Returns
    -------
    bytes
        The file. The same scene gives the same bytes.
    """
    svg = scene.svg(theme="page" if theme == "light" else theme, standalone=True)
    body = re.sub(r"<(style|title|desc)\b.*?</\1>", "", svg, flags=re.DOTALL)
    text = html.unescape(re.sub(r"<[^>]*>", "", body))
    return (svg.replace("<style>", f"<style>{drawing_font_css(text)}", 1) + "\n").encode()


def scene_png(scene: Drawn, *, width: int = _WIDTH, theme: str | Theme = "light") -> bytes:
    """A scene as PNG.

    Parameters
    ----------
    scene : Scene
        The drawing.
    width : int, default 1600
        Width of the picture. [px]
    theme : str or Theme, default "light"
        Theme of the look, or own colours.

    Returns
    -------
    bytes
        The picture.

    Raises
    ------
    OutputError
        If the picture cannot be made.
    """
    from steadypoint.publish._tokens import theme_colours

    own = None if isinstance(theme, str) else theme.tokens
    ground = (own or theme_colours(str(theme)))["leaf"]
    theme = "page" if theme == "light" else theme
    return svg_png(scene.svg(theme=theme, standalone=True), width=width, ground=ground)


def scene_pdf(
    scene: Drawn,
    *,
    title: str = "Circuit",
    width: float = 150.0,
    theme: str | Theme = "print",
) -> bytes:
    """A scene as a PDF page of its own size, tagged, with its text alternative.

    Parameters
    ----------
    scene : Scene
        The drawing.
    title : str
        Title and text alternative.
    width : float, default 150
        Width of the page. [mm]
    theme : str or Theme, default "print"
        Theme of the look, or own colours.

    Returns
    -------
    bytes
        The PDF. The same scene gives the same bytes.

    Raises
    ------
    OutputError
        If the document cannot be set.
    """
    name = typst_string(title)
    markup = (
        f"#set document(title: {name}, date: none)\n"
        f"#set page(width: {width:.1f}mm, height: auto, margin: 4mm)\n"
        f'#set text(font: {typst_string(TEXT_FAMILY)}, lang: "en")\n'
        f'#image("scene.svg", width: 100%, alt: {name})\n'
    )
    svg = scene.svg(theme=theme, standalone=True)
    return compile_typst(markup, {"scene.svg": printable_svg(svg)})
