"""The tokens of the look: read from the one style sheet that states them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Final

THEMES: Final = ("light", "dark", "projector", "print")


def style_text(name: str) -> str:
    """Text of one of the files that belong to the look.

    Parameters
    ----------
    name : str
        Such as ``tokens.css``, ``page.css`` or ``handout.typ``.

    Returns
    -------
    str
        Its text.
    """
    return files("steadypoint.publish").joinpath(name).read_text(encoding="utf-8")


@cache
def _blocks() -> Mapping[str, str]:
    text = style_text("tokens.css")
    found = re.findall(r"/\* theme: (\w+) \*/\s*[^{]+\{([^}]*)\}", text)
    return dict(found)


@cache
def theme_colours(theme: str = "light") -> Mapping[str, str]:
    """Colours of a theme by token name.

    Parameters
    ----------
    theme : str
        ``light``, ``dark``, ``projector`` or ``print``.

    Returns
    -------
    mapping of str to str
        Token without dashes in front (``steady-tint``) to colour (``#d5ece6``).

    Raises
    ------
    KeyError
        If there is no such theme.
    """
    return dict(re.findall(r"--([\w-]+):(#[0-9a-f]{6})", _blocks()[theme]))


def tokens_css() -> str:
    """The tokens with the rules that choose between the themes.

    Without a choice the page follows the system; on paper the print theme always holds.
    """
    dark, paper = _blocks()["dark"], _blocks()["print"]
    more = ":root{--ink-2:var(--ink);--ink-3:var(--ink);--rule:var(--rule-2)}"
    return "\n".join(
        (
            style_text("tokens.css"),
            f"@media screen and (prefers-color-scheme:dark){{:root:not([data-theme]){{{dark}}}}}",
            f"@media (prefers-contrast:more){{{more}}}",
            "@media (prefers-reduced-motion:reduce){:root{--quick:0ms;--reveal:0ms}}",
            f"@media print{{:root,:root[data-theme]{{{paper}}}}}",
        )
    )
