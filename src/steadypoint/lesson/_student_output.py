"""The output *student*: one HTML file whose circuits a reader can change, solved in the page."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from html import escape
from importlib.resources import files
from typing import Any, Final

from steadypoint import draw
from steadypoint.circuit import Circuit
from steadypoint.errors import SteadypointError
from steadypoint.lesson._cases import Case
from steadypoint.lesson._html_inline import inlines
from steadypoint.lesson._names import letter, numbered, part_label
from steadypoint.lesson._outputs import BuildOptions, register_output
from steadypoint.lesson._stages import card_symbols, stages
from steadypoint.lesson._student_lines import live_lines
from steadypoint.lesson._student_program import free_values, program_of, steps_of_temperature
from steadypoint.lesson._tree import Document, plain
from steadypoint.publish import BRAND, drawing_font_css, tokens_css
from steadypoint.solve import OperatingPoint, operating_point
from steadypoint.values import series

_ALWAYS: Final = (
    "0123456789.−+-·=×()%°CVAWΩnµmkMG ,:;!?’"
    "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz𝑉𝐼𝑃𝛽𝑅"
)
_KELVIN: Final = 273.15
_GAINS: Final = (20, 25, 30, 40, 50, 60, 70, 80, 90, 100, 120, 140, 160, 180, 200)
_LARGE_GAINS: Final = (220, 250, 280, 300, 320, 350, 400, 450, 500, 600, 700, 800)
_KEYS: Final = ("I", "V", "B", "P")


def student_page(document: Document) -> str:
    """The student page of a lesson: one HTML text that works offline.

    Parameters
    ----------
    document : Document
        The lesson.

    Returns
    -------
    str
        HTML (living standard). Every circuit of the lesson with a slider for each value; its
        operating point is solved in the page with the equations of the device rung.
    """
    cases = list({case.name or str(k): case for k, case in enumerate(document.cases)}.values())
    made = [_stage(k, case) for k, case in enumerate(cases)]
    data = [stage for _, stage in made if stage is not None]
    body = "\n".join(text for text, _ in made)
    styles = "\n".join(dict.fromkeys(re.findall(r"<style>(.*?)</style>", body, re.DOTALL)))
    body = re.sub(r"<style>.*?</style>", "", body, flags=re.DOTALL)
    title = inlines(document.title)
    facts = " · ".join(f for f in (document.author, document.course) if f)
    shown = re.sub(r"<[^>]*>", "", body + title + facts) + _ALWAYS
    style = _tight("\n".join((tokens_css(), _own("page.css"), styles)))
    harmless = _harmless(json.dumps(data, separators=(",", ":"), ensure_ascii=False))
    script = _short_script(_own("solver.js") + _own("page.js"))
    return (
        f'<!DOCTYPE html>\n<html lang="{escape(document.language)}">\n<head>\n'
        '<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(plain(document.title))}</title>\n"
        '<meta name="generator" content="Steadypoint">\n<link rel="icon" href="data:,">\n'
        f"<style>\n{drawing_font_css(shown)}\n{style}\n</style>\n</head>\n<body>\n"
        '<a class="skip" href="#lesson">Skip to the circuits</a>\n'
        f'<header><p class="brand">{BRAND}<span>Steadypoint</span></p><h1>{title}</h1>'
        f'<p class="by">{escape(facts)}</p></header>\n'
        f'<main id="lesson" tabindex="-1">\n{body}\n</main>\n'
        '<div id="bar" hidden aria-hidden="true"><span class="tube"><i></i></span>'
        '<span class="word"></span> <b></b></div>\n'
        '<p id="say" class="vh" role="status" aria-live="polite"></p>\n'
        "<noscript><p>The circuits can be changed where JavaScript is switched on.</p></noscript>\n"
        f'<script type="application/json" id="stages">{harmless}</script>\n'
        f'<script type="module">\n{script}</script>\n</body>\n</html>\n'
    )


def _harmless(text: str) -> str:
    """Data that cannot end the element in which it stands."""
    return text.replace("<", "\\u003c")


def _own(name: str) -> str:
    return files("steadypoint.lesson").joinpath("student", name).read_text(encoding="utf-8")


def _short_script(text: str) -> str:
    """One script of both modules, without indents and lines of comment."""
    text = re.sub(r"^export ", "", text, flags=re.MULTILINE)
    lines = (line.strip() for line in text.splitlines())
    return "\n".join(line for line in lines if line and not line.startswith("//")) + "\n"


def _tight(css: str) -> str:
    css = re.sub(r"/\*.*?\*/", "", css, flags=re.DOTALL)
    return "\n".join(line.strip() for line in css.splitlines() if line.strip())


def _stage(k: int, case: Case) -> tuple[str, dict[str, Any] | None]:
    """A circuit as HTML, with its data; fixed, and said so, where the page cannot solve it."""
    heading = escape(case.name or case.circuit.title or "The circuit")
    try:
        program = program_of(case.circuit)
        point = operating_point(case.circuit, "device")
    except SteadypointError as fault:
        scene = draw.schematic(case.circuit).svg("page", prefix=f"s{k}")
        return (
            f'<section class="fixed"><h2>{heading}</h2><p>This circuit cannot be changed here: '
            f'{escape(str(fault))}</p><div class="drawing">{scene}</div></section>',
            None,
        )
    lines, known = live_lines(case.circuit)
    free = [_free(one) for one in free_values(case.circuit)]
    main = next(iter(stages(point)), "")
    data = {
        "program": program,
        "free": free,
        "main": main,
        "known": known,
        "beta": {q.name: _gain_symbol(case.circuit, q.name) for q in case.circuit.transistors},
        "lines": [{"left": x.left, "right": x.right, "unit": x.unit} for x in lines],
    }
    sliders = "".join(_slider(k, n, one) for n, one in enumerate(free))
    cards = "".join(_card(point, name) for name in stages(point))
    working = ""
    if lines:
        items = "".join(f"<li>{x.mathml} <span>=</span> <output></output></li>" for x in lines)
        working = (
            "<h3>By hand</h3><p>With a constant V<sub>BE</sub>, so a little beside the point above."
            '</p><p class="broken" hidden>The transistor has left the region that this working '
            f'assumes, so it no longer holds.</p><ol class="lines">{items}</ol>'
        )
    return (
        f'<section data-stage="{k}" aria-labelledby="stage-{k}"><h2 id="stage-{k}">{heading}</h2>'
        f'<div class="book"><div class="plate">{_drawings(case.circuit, point, k)}{cards}</div>'
        f'<div class="leaf"><div class="givens" role="group" aria-label="Values of {heading}">'
        f'{sliders}<button type="button">Put back</button></div>{_chart(point, main)}{working}'
        "</div></div></section>",
        data,
    )


def _drawings(circuit: Circuit, point: OperatingPoint, k: int) -> str:
    """The schematic, and the direct-current picture for narrow screens where it is smaller."""
    whole, narrow = draw.schematic(circuit, point), draw.schematic(circuit, point, compact=True)
    drawn = f'<div class="drawing whole">{whole.svg("page", prefix=f"s{k}")}</div>'
    if narrow.width >= whole.width:
        return drawn.replace(" whole", "")
    return f'{drawn}<div class="drawing narrow">{narrow.svg("page", prefix=f"n{k}")}</div>'


def _gain_symbol(circuit: Circuit, name: str) -> str:
    return "beta" if len(circuit.transistors) == 1 else numbered("beta", name)


def _free(one: Mapping[str, Any]) -> dict[str, Any]:
    if one["kind"] == "temperature":
        own = round(float(one["value"]) - _KELVIN, 6)
        return {**one, "value": own, "steps": list(steps_of_temperature(own))}
    return {**one, "steps": sorted({*_steps(one), float(one["value"])})}


def _steps(one: Mapping[str, Any]) -> Iterator[float]:
    """Values that a slider stops at: the series for a resistor, fifths for a supply."""
    value = float(one["value"])
    if one["kind"] == "beta":
        yield from map(float, (*_GAINS, *_LARGE_GAINS))
    elif one["kind"] == "supply":
        step = 0.5 if abs(value) <= 15.0 else 1.0
        most = max(2.0 * abs(value), 2.0)
        yield from (
            math.copysign(step * k, value) for k in range(round(1 / step), int(most / step) + 1)
        )
    elif one["unit"] == "Ω":
        for decade in range(-1, 8):
            for mantissa in series("E24"):
                ohms = float(f"{mantissa * 10.0**decade:.6g}")
                if value / 10.0 <= ohms <= value * 10.0:
                    yield ohms
    else:
        yield from (value * k / 20.0 for k in range(2, 61))


def _slider(k: int, n: int, one: Mapping[str, Any]) -> str:
    steps = one["steps"]
    first, last = steps.index(float(one["value"])), len(steps) - 1
    if one["kind"] == "temperature":
        name = label = "Temperature"
    elif one["kind"] == "beta":
        name, label = f"beta of {one['name']}", f'<i class="math">β</i> of {escape(one["name"])}'
    else:
        set_as = letter(one["name"]) if one["kind"] == "supply" else part_label(one["name"])
        name, label = one["name"], inlines([set_as])
    return (
        f'<label><span class="name">{label}</span><input type="range" min="0" max="{last}" '
        f'step="1" value="{first}" data-first="{first}" data-free="{n}" '
        f'aria-label="{escape(name)}">'
        "<output></output></label>"
    )


def _card(point: OperatingPoint, name: str) -> str:
    stage = stages(point)[name]
    symbols = card_symbols(stage)
    many = len(stages(point)) > 1
    order = ("I", "V", "B", "P")
    readings = "".join(
        f'<div><dt>{inlines([letter(s)])}</dt><dd data-reading="{key}"></dd></div>'
        for key, s in zip(order, symbols, strict=True)
    )
    who = f"{escape(name)}: " if many else ""
    return (
        f'<div class="point" data-point="{escape(name)}"><p class="state"><span class="glyph" '
        f'aria-hidden="true"></span>{who}<span class="word"></span></p>'
        f'<div class="level" role="img"><i></i></div><dl>{readings}</dl></div>'
    )


def _chart(point: OperatingPoint, name: str) -> str:
    stage = stages(point).get(name)
    if stage is None:
        return ""
    current, voltage = card_symbols(stage)[:2]
    return (
        '<p class="no-line" hidden>This stage has no straight load line.</p>'
        '<svg class="chart" viewBox="0 0 372 250" role="img" aria-label="Load line">'
        '<path class="axis" d="M46 14V214H362"/><path class="curve"/><path class="loadline"/>'
        '<path class="guide"/><circle class="disc" r="7.5"/><circle class="eye" r="2.4"/>'
        '<text class="at"></text>'
        f'<text x="8" y="12">{_svg_letter(current)}</text>'
        f'<text x="362" y="244" text-anchor="end">{_svg_letter(voltage)}</text>'
        '<text class="end-i minor" x="52" y="26"></text>'
        '<text class="end-v minor" x="346" y="230" text-anchor="end"></text></svg>'
    )


def _svg_letter(symbol: str) -> str:
    base, _, sub = symbol.partition("_")
    return (
        f'<tspan class="math">{escape(base)}</tspan><tspan class="sub" dy="4">{escape(sub)}</tspan>'
    )


@register_output("student", "-student.html", "one HTML file to play with, offline and on a phone")
def student(document: Document, options: BuildOptions) -> Mapping[str, bytes]:
    """The student page's file."""
    return {"-student.html": student_page(document).encode("utf-8")}


__all__: Sequence[str] = ["student_page"]
