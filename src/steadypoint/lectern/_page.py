"""The pages as HTML: head, plate, fold, leaf. Nothing here computes."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from typing import Any, Final
from urllib.parse import quote

from steadypoint.lectern._area import GROUPS, all_areas

BRAND: Final = (
    '<svg class="brandmark" viewBox="0 0 40 20" aria-hidden="true" focusable="false">'
    '<rect x="1.2" y="2" width="37.6" height="16" rx="4"/><path d="M14 3v14M26 3v14"/>'
    '<circle cx="20" cy="10" r="4.2"/></svg>'
)
_BRAND_LINK: Final = (
    '<a class="brand" href="/" aria-label="Steadypoint, first circuit">'
    f"{BRAND}<span>Steadypoint</span></a>"
)
LOOKS: Final = {
    "auto": "Look: as the system",
    "light": "Light",
    "dark": "Dark",
    "projector": "Projector",
}
MODEL_WORDS: Final = {
    "board": "Base-emitter voltage constant, small base currents left out",
    "exact": "Base-emitter voltage constant, beta plus one kept",
    "device": "Exponential junctions, Early effect, temperature",
}


@dataclass(frozen=True, slots=True)
class State:
    """What a page begins with.

    Parameters
    ----------
    file : str
        Name of the circuit's file.
    sheet, version : str
        Its text and the mark of its content.
    area, model, look : str
        Open area, rung and theme.
    files : sequence of str
        The circuits of the folder.
    options : mapping of str to str
        Choices within the area.
    shown : mapping
        The pieces that are already worked out; empty while the numerics are still loading.
    """

    file: str
    sheet: str
    version: str
    area: str
    model: str = "exact"
    look: str = "auto"
    files: Sequence[str] = ()
    options: Mapping[str, str] = field(default_factory=dict)
    shown: Mapping[str, Any] = field(default_factory=dict)


def document(
    title: str, body: str, *, look: str = "auto", script: str = "", name: str = "", data: str = ""
) -> str:
    """A whole page around its body."""
    theme = f' data-theme="{look}"' if look in LOOKS and look != "auto" else ""
    module = f'<script type="module" src="/look/{script}"></script>\n' if script else ""
    return (
        f'<!DOCTYPE html>\n<html lang="en"{theme}>\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)} – Steadypoint</title>\n"
        '<link rel="icon" href="/look/icon.svg">\n'
        '<link rel="stylesheet" href="/look/tokens.css">\n'
        '<link rel="stylesheet" href="/look/figures.css">\n'
        '<link rel="stylesheet" href="/look/lectern.css">\n'
        '<link rel="stylesheet" href="/look/narrow.css">\n'
        '<link rel="stylesheet" href="/look/talk.css">\n'
        f'{module}</head>\n<body class="{name}"{data}>\n{body}\n</body>\n</html>\n'
    )


def address(file: str, area: str = "", kind: str = "desk") -> str:
    """Address of a page."""
    tail = f"/{quote(area)}" if area else ""
    return f"/{kind}/{quote(file, safe='')}{tail}"


def desk_page(state: State) -> str:
    """The desk: the open book with its fold."""
    parts = state.shown.get("parts", {})
    title = parts.get("title") or escape(state.file.removesuffix(".circuit"))
    body = (
        '<a class="skip" href="#leaf">Skip to the area</a>\n'
        f"{_head(state, title)}\n"
        '<main class="spread">\n'
        f"{_plate(state, parts)}\n{fold(state)}\n{_leaf(parts)}\n</main>\n"
        f"{_foot()}"
        '<div class="vh" role="status" aria-live="polite" id="say"></div>'
    )
    begin = {
        "file": state.file,
        "sheet": state.sheet,
        "version": state.version,
        "area": state.area,
        "model": state.model,
        "options": dict(state.options),
        "worked": bool(state.shown),
        "slow": bool(state.shown.get("slow", True)),
    }
    data = f' data-state="{escape(json.dumps(begin))}"'
    return document(
        state.file.removesuffix(".circuit"),
        body,
        look=state.look,
        script="desk.js",
        name="desk",
        data=data,
    )


def _foot() -> str:
    return (
        '<footer class="deskfoot"><p>On the drawing: arrow keys step through the series, digits '
        "type a value, Enter opens it.</p>"
        '<label class="check"><input type="checkbox" id="keys" checked autocomplete="off"> letter '
        "keys: K keep, B put back, P present</label></footer>"
    )


def look_select(look: str) -> str:
    """The choice of theme."""
    rows = "".join(
        f'<option value="{key}"{" selected" if key == look else ""}>{word}</option>'
        for key, word in LOOKS.items()
    )
    return (
        '<label class="look"><span class="vh">Look</span>'
        f'<select id="look" autocomplete="off">{rows}</select></label>'
    )


def _head(state: State, title: str) -> str:
    rows = "".join(
        f'<option value="{escape(name)}"{" selected" if name == state.file else ""}>'
        f"{escape(name.removesuffix('.circuit'))}</option>"
        for name in state.files
    )
    present = address(state.file, kind="present")
    return (
        f'<header class="head">{_BRAND_LINK}'
        f'<div class="lesson"><h1 id="title">{title}</h1>'
        '<label class="crumb"><span class="vh">Circuit of the folder</span>'
        f'<select id="file" autocomplete="off">{rows}</select></label></div>'
        '<div class="acts"><button type="button" class="btn plain" id="undo" disabled>Undo</button>'
        '<button type="button" class="btn plain" id="redo" disabled>Redo</button>'
        f"{look_select(state.look)}"
        '<button type="button" class="btn" id="print">Print</button>'
        f'<a class="btn main" id="present" href="{present}">Present</a></div></header>'
    )


def _plate(state: State, parts: Mapping[str, str]) -> str:
    waiting = '<p class="waiting">Drawing the circuit …</p>'
    models = "".join(
        f'<label title="{words}"><input type="radio" name="model" value="{name}"'
        f'{" checked" if name == state.model else ""} autocomplete="off">'
        f"<span>{name}</span></label>"
        for name, words in MODEL_WORDS.items()
    )
    return (
        '<section class="plate" aria-labelledby="figname"><div class="platehead">'
        '<h2 id="figname">Circuit</h2><label class="check">'
        '<input type="checkbox" id="signal" checked autocomplete="off"> signal parts</label></div>'
        f'<figure class="stage" id="stagebox"><div id="stage">{parts.get("stage") or waiting}</div>'
        f"{_edit()}</figure>"
        '<section class="point" aria-label="Operating point">'
        f'<div id="point">{parts.get("point", "")}</div>'
        f'<fieldset class="pick model"><legend class="vh">Model</legend>{models}</fieldset>'
        "</section></section>"
    )


def _edit() -> str:
    return (
        '<form class="edit" id="edit" hidden novalidate autocomplete="off">'
        '<label><span id="editname"></span>'
        '<input id="editvalue" type="text" size="9" spellcheck="false" autocapitalize="off" '
        'aria-describedby="edithint"></label>'
        '<button type="button" class="stp" id="editdown" aria-label="Next value down">▾</button>'
        '<button type="button" class="stp" id="editup" aria-label="Next value up">▴</button>'
        '<p class="hint" id="edithint" role="status"></p></form>'
    )


def fold(state: State) -> str:
    """The fold: every area with its present answer."""
    known = state.shown.get("answers", {})
    groups, options = [], []
    for group in GROUPS:
        found = [area for area in all_areas() if area.group == group]
        if not found:
            continue
        links = []
        for area in found:
            here = ' aria-current="page"' if area.name == state.area else ""
            links.append(
                f'<li><a href="{address(state.file, area.name)}" data-area="{area.name}"{here}>'
                f'<span class="l">{area.label}</span>'
                f'<span class="a" id="a-{area.name}">{known.get(area.name, "")}</span></a></li>'
            )
            chosen = " selected" if area.name == state.area else ""
            options.append(f'<option value="{area.name}"{chosen}>{area.label}</option>')
        key = f"g-{group.lower()}"
        groups.append(
            f'<div class="group"><p class="gname" id="{key}">{group}</p>'
            f'<ul aria-labelledby="{key}">{"".join(links)}</ul></div>'
        )
    return (
        f'<nav class="fold" aria-label="Areas of the lesson">{"".join(groups)}'
        '<label class="goto">Area <select id="goto" autocomplete="off">'
        f"{''.join(options)}</select></label></nav>"
    )


def _leaf(parts: Mapping[str, str]) -> str:
    change = parts.get("change", "")
    hidden = "" if change else " hidden"
    waiting = '<p class="waiting">Working …</p>'
    return (
        '<section class="leaf" id="leaf" tabindex="-1" aria-label="Area">'
        f'<div class="change" id="change" role="group" aria-label="Change"{hidden}>{change}</div>'
        '<div class="conflict" id="conflict" role="alert" hidden></div>'
        '<div class="faultbox" id="fault" role="alert"></div>'
        f'<div id="area">{parts.get("leaf") or waiting}</div></section>'
    )


def _picture(name: str, look: str) -> str:
    """The drawing of an arrangement in the theme of the page."""
    place = f"/arrangement/{quote(name)}.svg?look="
    light = "light" if look == "auto" else look
    image = f'<img src="{place}{light}" alt="" loading="lazy" width="240" height="160">'
    if look != "auto":
        return image
    dark = f'<source media="(prefers-color-scheme:dark)" srcset="{place}dark">'
    return f"<picture>{dark}{image}</picture>"


def start_page(names: Sequence[str], look: str) -> str:
    """What a folder without a circuit shows: the arrangements to begin with."""
    cards = "".join(
        f'<li><button type="button" class="card" data-arrangement="{escape(name)}">'
        f"{_picture(name, look)}<span>{escape(name[:1].upper() + name[1:])}</span></button></li>"
        for name in names
    )
    body = (
        f'<header class="head">{_BRAND_LINK}'
        '<div class="lesson"><h1>A new circuit</h1></div>'
        f'<div class="acts">{look_select(look)}</div></header>'
        '<main class="begin" id="leaf"><form id="new" class="newform" autocomplete="off">'
        '<label>Name of the circuit <input id="newname" type="text" value="first stage" '
        'maxlength="60" required></label><p class="lead" id="newhint" role="status">Choose how '
        "it is biased; its values can be changed on the drawing.</p></form>"
        f'<ul class="cards">{cards}</ul></main>'
        '<div class="vh" role="status" aria-live="polite" id="say"></div>'
    )
    return document("A new circuit", body, look=look, script="begin.js", name="beginpage")
