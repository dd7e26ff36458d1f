"""Working: the derivation line by line, each step lighting its loop in the drawing."""

from __future__ import annotations

from dataclasses import replace
from html import escape
from typing import TYPE_CHECKING, Final

from steadypoint.lectern._area import Area

if TYPE_CHECKING:
    from collections.abc import Mapping

    from steadypoint.derive import Derivation, Line, Step
    from steadypoint.lectern._desk import Desk

SHOWN: Final = {"letters": "letters", "numbers": "numbers", "both": "both"}
WAYS: Final = {"loops": "loops", "nodes": "node voltages", "thevenin": "Thévenin"}


def _render(desk: Desk) -> str:
    from steadypoint.lectern._markup import head, radios

    show = desk.option("show", "both")
    way = desk.option("way", "loops")
    controls = radios("What the lines show", "show", SHOWN, show)
    derivation = working(desk)
    ways = ""
    if desk.ask.model != "board" and not desk.circuit.fets:
        ways = f'<div class="row">{radios("Way", "way", WAYS, way)}</div>'
    note = ""
    if desk.ask.model == "device":
        note = (
            '<p class="lead">The working is that of constant base-emitter voltages; the drawing '
            "shows real junctions.</p>"
        )
    before = working_before(desk)
    return f"{head('Working', controls)}{ways}{note}{steps(derivation, before, show)}"


def working(desk: Desk) -> Derivation:
    """The working of the desk's circuit, on the nearest rung that has one."""
    from steadypoint.lectern._desk import working_of

    rung = "board" if desk.ask.model == "board" else "exact"
    way = desk.option("way", "loops") if rung == "exact" and not desk.circuit.fets else "loops"
    return working_of(desk.circuit, rung, way if way in WAYS else "loops")


def working_before(desk: Desk) -> Derivation | None:
    """The working before the change, where there is one."""
    from steadypoint.errors import SteadypointError
    from steadypoint.lectern._desk import working_of

    if desk.before is None:
        return None
    rung = "board" if desk.ask.model == "board" else "exact"
    way = desk.option("way", "loops") if rung == "exact" and not desk.circuit.fets else "loops"
    try:
        return working_of(desk.before, rung, way if way in WAYS else "loops")
    except SteadypointError:
        return None


def steps(derivation: Derivation, before: Derivation | None, show: str) -> str:
    """The steps; those whose figures did not move fold into one row."""
    old = _said(before) if before is not None else {}
    rows: list[tuple[bool, str]] = []
    for number, step in enumerate(derivation, 1):
        found = [_line(step, line, old, show) for line in step.lines]
        moved = any(was for _, was in found) or (before is not None and not _known(step, before))
        rows.append((moved, _step(step, number, [html for html, _ in found], moved=moved)))
    if before is None or not any(moved for moved, _ in rows):
        items = "".join(html for _, html in rows)
        return f'<ol class="steps {show}" id="steps">{items}</ol>'
    return f'<ol class="steps {show}" id="steps">{_folded(rows)}</ol>'


def _folded(rows: list[tuple[bool, str]]) -> str:
    out: list[str] = []
    start = 0
    while start < len(rows):
        end = start
        while end < len(rows) and not rows[end][0]:
            end += 1
        if end - start > 1:
            inner = "".join(html for _, html in rows[start:end])
            out.append(
                f'<li class="runrow"><details data-keep="run{start}"><summary>Lines {start + 1} to '
                f"{end} stay as they are</summary>"
                f'<ol start="{start + 1}">{inner}</ol></details></li>'
            )
            start = end
            continue
        out.append(rows[start][1])
        start += 1
    return "".join(out)


def _said(derivation: Derivation) -> Mapping[tuple[str, str], str]:
    """What the lines found, as written, by their step and the letters on their left."""
    from steadypoint.derive import to_text

    found: dict[tuple[str, str], str] = {}
    for step in derivation:
        for line in step.lines:
            if line.result is not None:
                found.setdefault((step.heading, to_text(line.left)), to_text(line.result))
    return found


def _known(step: Step, before: Derivation) -> bool:
    return any(step.heading == other.heading for other in before)


def _line(step: Step, line: Line, old: Mapping[tuple[str, str], str], show: str) -> tuple[str, str]:
    from steadypoint.derive import to_mathml, to_text
    from steadypoint.lectern._markup import mathml

    was = ""
    if line.result is not None:
        before = old.get((step.heading, to_text(line.left)))
        if before is not None and before != to_text(line.result):
            was = f'<span class="wasline">was {escape(before)}</span>'
    shown = line
    if show == "letters":
        shown = replace(line, numbers=None, result=None)
    elif show == "numbers" and line.numbers is not None:
        shown = replace(line, right=line.numbers, numbers=None)
    return f'<div class="eq"><div class="sym">{mathml(to_mathml(shown))}</div>{was}</div>', was


def _step(step: Step, number: int, lines: list[str], *, moved: bool) -> str:
    from steadypoint.derive import price, to_mathml
    from steadypoint.lectern._markup import mathml, words

    sentence = f"<p>{mathml(to_mathml(step.sentence))}</p>" if step.sentence else ""
    remark = f"<p>{mathml(to_mathml(step.remark))}</p>" if step.remark else ""
    cost = ""
    if step.approximation is not None:
        cost = f'<p class="price">{words(price(step.approximation))}</p>'
    name = "step moved" if moved else "step"
    return (
        f'<li class="{name}" data-lit="{escape(" ".join(step.loop))}" tabindex="0">'
        f'<h3><span class="no">{number}</span> {words(step.heading)}</h3>'
        f"{sentence}{''.join(lines)}{remark}{cost}</li>"
    )


def _answer(desk: Desk) -> str:
    count = len(working(desk))
    return f"{count} line{'s' if count != 1 else ''}"


AREA = Area("working", "Working", "Explain", 1, _render, _answer, slow_answer=True)
