"""What presenting needs: the lines in their order, the drawing bare and lettered, the script."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape
from typing import Any

from steadypoint.derive import Derivation, Step, price, to_mathml, to_spoken, to_text
from steadypoint.draw import load_line, schematic
from steadypoint.errors import SteadypointError
from steadypoint.lectern._change import announcement, title_of
from steadypoint.lectern._desk import Ask, Desk, working_of
from steadypoint.lectern._markup import figure, mathml, quantity, symbol, words
from steadypoint.lectern._plate import cautions, magnitudes, point_card

_LETTERING = 1.25


def rehearse(request: Mapping[str, Any]) -> dict[str, Any]:
    """Title, drawings and lines of a talk on one circuit.

    Raises
    ------
    SteadypointError
        If the sheet has a fault, or the circuit no point.
    """
    desk = Desk(Ask.of(request))
    rung = "board" if desk.option("rung") == "board" else "exact"
    way = desk.option("way", "loops") if rung == "exact" and not desk.circuit.fets else "loops"
    derivation = working_of(desk.circuit, rung, way)
    lines = [_opening(desk), *_lines(derivation), _point(desk)]
    chart = _chart(desk)
    if chart:
        lines.append(_load_line(desk))
    return {
        "title": title_of(desk),
        "board": _drawing(desk, lettered=False),
        "lettered": _drawing(desk, lettered=True),
        "chart": chart,
        "gauge": point_card(desk),
        "lines": lines,
    }


def _drawing(desk: Desk, *, lettered: bool) -> str:
    scene = schematic(
        desk.circuit,
        desk.point if lettered else None,
        signal_parts=desk.option("signal") == "yes",
        lettering=_LETTERING,
    )
    prefix = "lettered" if lettered else "board"
    return figure(scene.svg(prefix=prefix), name="board")


def _chart(desk: Desk) -> str:
    stage = desk.stage
    if stage is None:
        return ""
    try:
        scene = load_line(desk.circuit, desk.point, stage.name)
    except SteadypointError:
        return ""
    return figure(scene.svg(prefix="chart"), name="chart")


def _opening(desk: Desk) -> dict[str, Any]:
    title = title_of(desk)
    # A danger is told before anything else, and not only beside the point.
    over = cautions(desk.point.warnings)
    warned = "".join(f'<p class="note over">{words(sentence)}</p>' for sentence in over)
    return {
        "heading": title,
        "html": f'<p class="big">{title}</p>{warned}',
        "screen": "board",
        "say": "Show the circuit and name its parts before anything is written.",
        "parts": [],
        "reveals": 0,
    }


def _lines(derivation: Derivation) -> list[dict[str, Any]]:
    found = []
    for number, step in enumerate(derivation, 1):
        has_numbers = any(line.numbers is not None or line.shown_result for line in step.lines)
        found.append(
            {
                "heading": words(step.heading),
                "html": _html(step, number),
                "screen": "board",
                "say": _script(step),
                "parts": list(step.loop),
                "reveals": int(has_numbers),
                "found": _found(step),
            }
        )
    return found


def _html(step: Step, number: int) -> str:
    sentence = f"<p>{mathml(to_mathml(step.sentence))}</p>" if step.sentence else ""
    lines = "".join(f'<div class="eq">{mathml(to_mathml(line))}</div>' for line in step.lines)
    remark = f'<p class="later">{mathml(to_mathml(step.remark))}</p>' if step.remark else ""
    cost = ""
    if step.approximation is not None:
        cost = f'<p class="later">{words(price(step.approximation))}</p>'
    return (
        f'<h2><span class="no">{number}</span> <span>{words(step.heading)}</span></h2>'
        f"{sentence}{lines}{remark}{cost}"
    )


def _script(step: Step) -> str:
    pieces = [to_spoken(step.sentence)] if step.sentence else []
    pieces += [to_spoken(line) for line in step.lines]
    if step.remark:
        pieces.append(to_spoken(step.remark))
    if step.reason:
        pieces.append(f"Why: {step.reason}.")
    return "\n".join(str(piece) for piece in pieces)


def _found(step: Step) -> str:
    if step.result is None:
        return ""
    name = symbol(step.result.symbol)
    if "," in to_text(step.heading) or len(step.result.symbol) > 24:
        return ""
    return f"{name} <b>{quantity(step.result.value, step.result.unit)}</b>"


def _point(desk: Desk) -> dict[str, Any]:
    stage = desk.stage
    rows = ""
    if stage is not None:
        rows = "".join(
            f'<p class="bigno">{symbol(name)} {quantity(value, unit)}</p>'
            for name, value, unit in magnitudes(stage)[:2]
        )
    return {
        "heading": "The point",
        "html": f'<p class="big">The point</p>{rows}',
        "screen": "lettered",
        "say": announcement(desk),
        "parts": [],
        "reveals": 0,
        "gauge": True,
    }


def _load_line(desk: Desk) -> dict[str, Any]:
    return {
        "heading": "On the load line",
        "html": (
            '<p class="big">On the load line</p><p>The line holds every pair the circuit allows; '
            "the curve is what the transistor does. They meet in the point.</p>"
        ),
        "screen": "chart",
        "say": escape(announcement(desk)),
        "parts": [],
        "reveals": 0,
        "gauge": True,
    }
