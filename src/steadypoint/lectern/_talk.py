"""The pages of presenting: what the audience sees, and the speaker's script beside it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from html import escape
from typing import Any

from steadypoint.lectern._page import BRAND, address, document


def talk_page(file: str, shown: Mapping[str, Any], look: str) -> str:
    """The page of the audience.

    Parameters
    ----------
    file : str
        Name of the circuit's file.
    shown : mapping
        What ``rehearse`` gave.
    look : str
        Theme.
    """
    lines = "".join(_line(line, number) for number, line in enumerate(shown["lines"]))
    ticks = "".join(
        f'<button type="button" data-go="{n}" aria-label="Line {n + 1}: {_plain(line)}"></button>'
        for n, line in enumerate(shown["lines"])
    )
    chart = f'<div class="sight" data-screen="chart" hidden>{shown["chart"]}</div>'
    body = (
        f'<main class="talk" id="talk"><h1><span>{shown["title"]}</span>{BRAND}</h1>'
        '<div class="screen" id="screen">'
        f'<div class="sight" data-screen="board">{shown["board"]}</div>'
        f'<div class="sight" data-screen="lettered" hidden>{shown["lettered"]}</div>{chart}'
        '<svg class="ink" id="ink" aria-hidden="true" focusable="false"></svg></div>'
        f'<div class="said" id="said" aria-live="polite">{lines}</div>'
        f'<div class="gauge off" id="gauge">{shown["gauge"]}</div>'
        '<ul class="kept" id="kept" aria-label="Found so far"></ul>'
        f"{_bar(file, ticks)}</main>"
        '<button type="button" class="cover" id="cover" hidden>Covered. Press B to go on.</button>'
    )
    return _document(file, shown, body, look, "present.js", "presenting")


def _line(line: Mapping[str, Any], number: int) -> str:
    parts = escape(" ".join(line["parts"]))
    gauge = ' data-gauge="yes"' if line.get("gauge") else ""
    return (
        f'<section class="line" data-line="{number}" data-parts="{parts}" '
        f'data-screen="{line["screen"]}" data-reveals="{line["reveals"]}"{gauge} hidden>'
        f'{line["html"]}<template class="found">{line.get("found", "")}</template></section>'
    )


def _plain(line: Mapping[str, Any]) -> str:
    text = str(line["heading"])
    while "<" in text:
        before, _, rest = text.partition("<")
        text = before + rest.partition(">")[2]
    return text.replace('"', "")


def _bar(file: str, ticks: str) -> str:
    leave = address(file, "working")
    return (
        '<div class="bar" role="group" aria-label="Presenting"><span class="where" id="where">'
        f'</span><div class="ticks" id="ticks">{ticks}</div>'
        '<button type="button" class="btn" id="back">Back</button>'
        '<button type="button" class="btn next" id="next">Next</button>'
        '<button type="button" class="btn" id="pen" aria-pressed="false">Pen</button>'
        '<button type="button" class="btn" id="wipe">Wipe</button>'
        '<button type="button" class="btn" id="hide">Cover</button>'
        '<button type="button" class="btn" id="whole">Full screen</button>'
        f'<a class="btn" id="scriptlink" target="_blank" href="{address(file, kind="script")}">'
        f'Script</a><a class="btn" id="leave" href="{leave}">Leave</a></div>'
    )


def script_page(file: str, shown: Mapping[str, Any], look: str) -> str:
    """The page of the speaker: what to say now, what comes next, how long it has been.

    Parameters
    ----------
    file : str
        Name of the circuit's file.
    shown : mapping
        What ``rehearse`` gave.
    look : str
        Theme.
    """
    rows = "".join(_said(line, number) for number, line in enumerate(shown["lines"]))
    body = (
        f'<header class="head"><span class="brand">{BRAND}<span>Script</span></span>'
        f'<div class="lesson"><h1>{shown["title"]}</h1></div>'
        '<div class="acts"><span id="clock" role="timer">0:00</span>'
        '<button type="button" class="btn" id="back">Back</button>'
        '<button type="button" class="btn" id="freeze" aria-pressed="false">'
        "Freeze audience</button>"
        '<button type="button" class="btn main" id="next">Next</button></div></header>'
        f'<main class="scriptsheet" id="leaf"><ol id="script">{rows}</ol></main>'
        '<div class="vh" role="status" aria-live="polite" id="say"></div>'
    )
    return _document(file, shown, body, look, "script.js", "scriptpage")


def _said(line: Mapping[str, Any], number: int) -> str:
    said = "".join(f"<p>{escape(row)}</p>" for row in str(line["say"]).split("\n"))
    return (
        f'<li data-line="{number}" data-reveals="{line["reveals"]}">'
        f'<button type="button" class="scripthead" data-go="{number}">{line["heading"]}</button>'
        f"{said}</li>"
    )


def _document(
    file: str, shown: Mapping[str, Any], body: str, look: str, script: str, name: str
) -> str:
    data = f' data-talk="{escape(json.dumps({"file": file}))}"'
    return document(
        _plain({"heading": shown["title"]}), body, look=look, script=script, name=name, data=data
    )
