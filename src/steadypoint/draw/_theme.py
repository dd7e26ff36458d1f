"""Colours and strokes of the figures.

Embedded drawings name the custom properties of the page (``--ink``, ``--volt`` ...), with the light
value as fallback; files of their own carry the literal values of one theme. Meaning is never in the
colour alone: voltages are pennants, currents arrowheads, the point a disc, the state before is
dashed and hollow.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from steadypoint.errors import UnknownNameError

_LIGHT: Final = {
    "leaf": "#fdfefd",
    "inset": "#f0f4f2",
    "ink": "#13201c",
    "ink-2": "#43524d",
    "ink-3": "#5a6863",
    "rule": "#cad4cf",
    "rule-2": "#7f8d88",
    "volt": "#3230b4",
    "volt-tint": "#e6e6f8",
    "amp": "#935205",
    "amp-tint": "#faebd9",
    "steady": "#0a635b",
    "steady-tint": "#d5ece6",
    "mark": "#7d0b62",
    "mark-tint": "#f7e2f1",
    "ghost": "#5a6863",
    "wire": "1.7",
    "wire-lit": "3",
    "curve": "2.4",
    "fine": "1",
}
_DARK: Final = _LIGHT | {
    "leaf": "#151f1d",
    "inset": "#1d2927",
    "ink": "#e8f0ec",
    "ink-2": "#b6c5bf",
    "ink-3": "#94a49d",
    "rule": "#2f3e3a",
    "rule-2": "#6d7f79",
    "volt": "#a3a8f7",
    "volt-tint": "#2a2d52",
    "amp": "#fbd093",
    "amp-tint": "#43341c",
    "steady": "#55d0cb",
    "steady-tint": "#123b35",
    "mark": "#f586ac",
    "mark-tint": "#47202f",
    "ghost": "#94a49d",
}
_PRINT: Final = _LIGHT | {
    "leaf": "#ffffff",
    "inset": "#f1f3f2",
    "ink": "#000000",
    "ink-2": "#333333",
    "ink-3": "#444444",
    "rule": "#bbbbbb",
    "rule-2": "#666666",
    "volt": "#1b1ba8",
    "volt-tint": "#e8e8fb",
    "amp": "#7e3f0a",
    "steady": "#07524b",
    "steady-tint": "#e3f3ef",
    "mark": "#65085a",
    "mark-tint": "#f5d9ee",
    "ghost": "#444444",
}
_PROJECTOR: Final = _PRINT | {
    "ink-2": "#2b3532",
    "ink-3": "#3f4a46",
    "rule": "#9aa6a1",
    "rule-2": "#55625d",
    "volt-tint": "#e2e2fb",
    "amp-tint": "#fde3cd",
    "steady-tint": "#c9ebe3",
    "mark": "#65085a",
    "mark-tint": "#f5d9ee",
    "ghost": "#3f4a46",
    "wire": "2.3",
    "wire-lit": "3.3",
    "curve": "3.4",
    "fine": "1.5",
}
THEMES: Final = {
    "page": _LIGHT,
    "light": _LIGHT,
    "dark": _DARK,
    "print": _PRINT,
    "projector": _PROJECTOR,
}


@dataclass(frozen=True, slots=True)
class Theme:
    """Own colours and strokes, ready for ``Scene.svg``; ``load_theme`` reads one from a file.

    Parameters
    ----------
    name : str
        What it is called, usually its file.
    values : tuple of (str, str)
        Every token with its colour or width.
    """

    name: str
    values: tuple[tuple[str, str], ...]

    @property
    def tokens(self) -> dict[str, str]:
        """Colours and widths by name."""
        return dict(self.values)


_TEXT_FACE: Final = "'Steady Text','Source Sans 3','Source Sans Pro',sans-serif"
_MATH_FACE: Final = "'Steady Math','STIX Two Math',math,serif"

# selector -> declarations; «name» is a token
_RULES: Final = """
text{font-family:%TEXT%;font-weight:400;fill:«ink»;font-variant-numeric:tabular-nums}
.math{font-family:%MATH%;font-weight:400}
.num{font-weight:600}
.strong{font-weight:700}
path,circle{fill:none;stroke:«ink»;stroke-width:«wire»;stroke-linecap:round;stroke-linejoin:round}
.body{fill:«leaf»}
.plate{stroke-width:2.5}
.solid{fill:«ink»;stroke-width:1}
.dot{fill:«ink»;stroke:none}
.halo{fill:none;stroke:none}
.lit .halo{fill:«steady-tint»}
.lit .line,.lit .body,.lit .wire{stroke-width:«wire-lit»}
.band{stroke:«steady-tint»;stroke-width:12}
.inloop .body{fill:none}
.way{stroke:«steady»;stroke-width:2}
text.loopname{fill:«steady»}
.given text{fill:«ink»}
.faded .line,.faded .plate,.faded .wire,.faded .body,.faded .solid{stroke:«rule-2»}
.faded .dot,.faded .solid{fill:«rule-2»}
.faded text{fill:«ink-3»}
.flag{fill:«volt-tint»;stroke:none}
.pole{stroke:«volt»}
.foot{fill:«volt»;stroke:none}
.volt text{fill:«volt»}
.head{fill:«amp»;stroke:«leaf»;stroke-width:1.4}
.amp text{fill:«amp»}
text.was{fill:«ghost»}
text.minor{fill:«ink-2»}
.axis{stroke-width:1.5}
.grid{stroke:«rule»;stroke-width:«fine»}
.tick{stroke-width:1.2}
.shade{fill:«rule»;stroke:none}
.loadline{stroke-width:«curve»}
.curve{stroke:«amp»;stroke-width:«curve»}
.curve-faint{stroke:«rule-2»;stroke-width:1.4}
.curve-was{stroke:«ghost»;stroke-width:1.8;stroke-dasharray:6 5}
.curve-volt{stroke:«volt»;stroke-width:«curve»;stroke-dasharray:9 4}
.ground{fill:«inset»;stroke:none}
.curve-third{stroke:«mark»;stroke-width:«curve»;stroke-dasharray:2 5}
.bar{fill:«steady-tint»;stroke:«steady»;stroke-width:1.2}
.bar-full{fill:«steady»;stroke:«steady»;stroke-width:1.2}
.median{stroke:«steady»;stroke-width:«curve»}
.limit{stroke:«mark»;stroke-width:1.8;stroke-dasharray:10 3 2 3}
.boundary{stroke:«ink-2»;stroke-width:1.4;stroke-dasharray:3 4}
.signal-line{stroke-width:«wire»;stroke-dasharray:7 4}
.hatch{stroke:«rule-2»;stroke-width:«fine»}
.guide{stroke:«steady»;stroke-width:1.4;stroke-dasharray:1.5 4.5}
.disc{fill:«steady»;stroke:«leaf»;stroke-width:2.5}
.eye{fill:«leaf»;stroke:none}
.hollow{fill:«leaf»;stroke:«ghost»;stroke-width:1.6;stroke-dasharray:3 3}
.path{stroke:«ghost»;stroke-width:1.8}
.tube{fill:«inset»;stroke:«rule-2»;stroke-width:1.5}
.mark{stroke:«rule-2»;stroke-width:1.5}
text.point{fill:«steady»}
text.curvename{fill:«amp»}
text.voltname{fill:«volt»}
text.thirdname,text.limitname{fill:«mark»}
.label text{stroke:«leaf»;stroke-width:4;stroke-linejoin:round;paint-order:stroke}
.state-full{fill:«steady»;stroke:none}
text.region{fill:«ink-2»}
.region-full{fill:«ink-2»;stroke:none}
.region-line{stroke:«ink-2»;stroke-width:1.4}
.state-line{stroke:«steady»}
"""


def _palette(theme: str | Theme) -> Mapping[str, str]:
    if isinstance(theme, Theme):
        return theme.tokens
    if theme not in THEMES:
        names = ", ".join(THEMES)
        raise UnknownNameError(f"There is no theme '{theme}'. Use one of {names}.")
    return THEMES[theme]


def background(theme: str | Theme) -> str:
    """Colour of the ground under a drawing."""
    return _palette(theme)["leaf"]


def stylesheet(theme: str | Theme = "page", *, literal: bool = False) -> str:
    """CSS of the figures.

    Parameters
    ----------
    theme : str or Theme
        ``page`` (that of the page), ``light``, ``dark``, ``print``, ``projector``, or own colours.
    literal : bool, default False
        With the values themselves instead of the page's custom properties.

    Returns
    -------
    str
        Rules that only reach into ``.steady-figure``.

    Raises
    ------
    UnknownNameError
        If the theme is unknown.
    """
    palette = _palette(theme)
    # A theme named for an embedded drawing is meant: only "page" follows the page.
    fixed = literal or theme != "page"
    text = _RULES.replace("%TEXT%", _TEXT_FACE).replace("%MATH%", _MATH_FACE)
    for name, value in palette.items():
        text = text.replace(f"«{name}»", value if fixed else f"var(--{name},{value})")
    rules = []
    for line in text.strip().splitlines():
        selectors, body = line.split("{", 1)
        scoped = ",".join(f".steady-figure {s}" for s in selectors.split(","))
        rules.append(f"{scoped}{{{body}")
    return "\n".join(rules)
