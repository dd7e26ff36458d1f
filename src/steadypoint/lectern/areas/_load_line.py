"""Load line: every pair the circuit allows, the curve, the point; and the point put elsewhere."""

from __future__ import annotations

import re
from html import escape
from typing import TYPE_CHECKING, Final

from steadypoint.lectern._area import Area

if TYPE_CHECKING:
    from steadypoint.lectern._desk import Desk
    from steadypoint.solve import FetPoint, TransistorPoint

_V_END: Final = re.compile(r'class="loadline" d="M([\d.]+) ')


def _render(desk: Desk) -> str:
    from steadypoint.draw import load_line
    from steadypoint.lectern._markup import empty, figure, head

    stage = desk.stage
    if stage is None:
        return head("Load line") + empty(
            "The circuit has no transistor.", "Add one in the sheet, and its load line stands here."
        )
    scene = load_line(desk.circuit, desk.point, stage.name, before=desk.was)
    svg = figure(scene.svg(prefix="chart"), name="chart")
    return (
        f'{head("Load line")}<div id="chartbox" class="chartbox">{svg}</div>'
        '<p class="under">The line holds every pair the circuit allows; the curve is what the '
        "transistor does as it is driven. They meet in the point.</p>"
        f"{_put(desk, stage, svg)}"
    )


def _put(desk: Desk, stage: TransistorPoint | FetPoint, svg: str) -> str:
    """The slider that moves the point, and which resistor would put it there."""
    from steadypoint.circuit import Kind
    from steadypoint.lectern._plate import magnitudes
    from steadypoint.solve import load_line_ends

    resistors = [p.name for p in desk.circuit.parts if p.kind is Kind.RESISTOR]
    if not resistors:
        return ""
    (_, _, _), (across, V, _), *_ = magnitudes(stage)
    end = abs(load_line_ends(desk.circuit, stage.name, desk.point.model, point=desk.point).V_CE)
    chosen = desk.option("resistor")
    chosen = chosen if chosen in resistors else _usual(desk, stage, resistors)
    asked = desk.option("put")
    wanted = _number(asked, V)
    place = _V_END.search(svg)
    scale = f' data-end="{place[1]}"' if place else ""
    rows = "".join(
        f'<option value="{escape(n)}"{" selected" if n == chosen else ""}>{escape(n)}</option>'
        for n in resistors
    )
    said = _found(desk, stage.name, chosen, wanted) if asked else ""
    return (
        '<section class="put" aria-labelledby="puthead">'
        '<h3 id="puthead">Put the point elsewhere</h3>'
        '<div class="addrow"><label>with <select id="putwith" data-option="resistor">'
        f'{rows}</select></label><label class="wide">{_plain(across)} '
        f'<input type="range" id="putat" min="0" max="{end:.4g}" step="any" value="{wanted:.4g}" '
        f'data-option="put" aria-valuetext="{wanted:.3g} volts"{scale} data-full="{end:.6g}">'
        f'</label></div><div id="putsaid" role="status">{said}</div>'
        '<p class="lead small">The disc in the chart can be dragged as well.</p></section>'
    )


def _plain(letter: str) -> str:
    from steadypoint.lectern._markup import symbol

    return symbol(letter)


def _number(text: str, default: float) -> float:
    try:
        value = float(text)
    except ValueError:
        return default
    return value if 0.0 <= value < 1e6 else default


def _usual(desk: Desk, stage: TransistorPoint | FetPoint, resistors: list[str]) -> str:
    """The resistor one would turn: that between base (gate) and the highest rail."""
    part = desk.circuit.part(stage.name)
    rails = {p.name for p in desk.circuit.supplies}
    base = part.nodes[1]
    for name in resistors:
        nodes = desk.circuit.part(name).nodes
        if base in nodes and any(n in rails for n in nodes):
            return name
    return next((n for n in resistors if base in desk.circuit.part(n).nodes), resistors[0])


def _found(desk: Desk, transistor: str, resistor: str, wanted: float) -> str:
    from steadypoint.lectern._markup import designator, quantity
    from steadypoint.lectern._put import put_point

    found = put_point(desk.circuit, desk.ask.model, transistor, resistor, wanted)
    if found is None:
        return (
            f"<p>No value of {designator(resistor)} puts the point at {quantity(wanted, 'V')}. "
            "Turn another resistor.</p>"
        )
    rows = "".join(
        f'<li><button type="button" class="btn" data-set="{escape(resistor)}" '
        f'data-text="{escape(typed)}">Take {quantity(R, "Ω")}</button> '
        f"puts it at {quantity(V, 'V')}</li>"
        for R, typed, V in found.standard
    )
    return (
        f"<p>{designator(resistor)} of <b>{quantity(found.exact, 'Ω')}</b> puts the point at "
        f'{quantity(wanted, "V")}.</p><ul class="takes">{rows}</ul>'
    )


def _answer(desk: Desk) -> str:
    from steadypoint.lectern._plate import magnitudes
    from steadypoint.solve import load_line_ends

    stage = desk.stage
    if stage is None:
        return "–"
    (_, _, _), (_, V, _), *_ = magnitudes(stage)
    end = abs(load_line_ends(desk.circuit, stage.name, desk.point.model, point=desk.point).V_CE)
    return f"{100.0 * V / end:.0f}\u202f%" if end > 0 else "–"


AREA = Area("loadline", "Load line", "Explain", 2, _render, _answer)
