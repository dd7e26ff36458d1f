"""Choose: standard values for a wanted current, proved best."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Final

from steadypoint.lectern._area import Area

if TYPE_CHECKING:
    from steadypoint.choose import Choice, ChosenSet, Wish
    from steadypoint.lectern._desk import Desk

_SERIES: Final = ("E6", "E12", "E24")
_SECONDS: Final = 12.0


def _render(desk: Desk) -> str:
    from steadypoint.errors import SteadypointError
    from steadypoint.lectern._markup import empty, head, words

    if not desk.circuit.transistors:
        return head("Choose") + empty(
            "Values are chosen for bipolar transistors.",
            "The circuit has none, so there is no collector current to wish for.",
        )
    found = ""
    if desk.option("asked") == "choose":
        try:
            found = _shown(desk)
        except SteadypointError as fault:
            found = f'<p class="note">{words(str(fault))}</p>'
    return f"{head('Choose')}{_form(desk)}{found}"


def _field(desk: Desk, name: str) -> str:
    """What was typed, or what the circuit has now."""
    from steadypoint.values import format_quantity

    point = next(iter(desk.point.transistors.values()))
    beta = desk.circuit.part(point.name).option("beta") or 100.0
    now = {
        "current": format_quantity(abs(point.I_C), "A", 2).replace("\u202f", " "),
        "least": f"{beta / 2:g}",
        "most": f"{beta * 2:g}",
        "series": "E24",
    }
    return desk.option(name, now[name])


def _form(desk: Desk) -> str:
    def text(name: str, label: str, size: int) -> str:
        return (
            f'<label>{label} <input type="text" size="{size}" data-field="{name}" '
            f'value="{escape(_field(desk, name))}" spellcheck="false"></label>'
        )

    rows = "".join(
        f"<option{' selected' if s == _field(desk, 'series') else ''}>{s}</option>" for s in _SERIES
    )
    return (
        '<form id="choose" autocomplete="off"><p class="lead">The values that keep the collector '
        "current nearest to the wish, whatever tolerances, β and a junction between 0 and 50 °C "
        f'do.</p><div class="addrow">{text("current", "collector current", 8)}'
        f"{text('least', 'β from', 5)}{text('most', 'to', 5)}"
        f'<label>series <select data-field="series">{rows}</select></label>'
        '<button type="button" class="btn main" data-ask="choose">Choose</button></div></form>'
    )


def _wish(desk: Desk) -> Wish:
    from steadypoint.choose import Wish
    from steadypoint.values import read_quantity

    point = next(iter(desk.point.transistors.values()))
    return Wish(
        desk.circuit,
        read_quantity(_field(desk, "current"), "A").value,
        transistor=point.name,
        series=_field(desk, "series"),
        beta=(
            read_quantity(_field(desk, "least"), "").value,
            read_quantity(_field(desk, "most"), "").value,
        ),
    )


def _shown(desk: Desk) -> str:
    from steadypoint.choose import choose

    choice = choose(_wish(desk), 3, seconds=_SECONDS)
    if not choice.sets:
        return _none(choice)
    rows = "".join(_set(desk, one, number) for number, one in enumerate(choice.sets, 1))
    proof = (
        "Proved: no values of the series do better."
        if choice.certificate.optimal
        else "The search was stopped by the clock; these are the best so far."
    )
    return f'<ol class="sets">{rows}</ol><p class="under">{proof}</p>'


def _none(choice: Choice) -> str:
    from steadypoint.lectern._markup import words

    names = ", ".join(str(name) for name in choice.conflict)
    return (
        '<div class="empty"><p class="big">No values do this.</p>'
        f"<p>In each other's way: {words(names)}. {words(choice.remedy or '')}</p></div>"
    )


def _set(desk: Desk, one: ChosenSet, number: int) -> str:
    from steadypoint.lectern._markup import designator, quantity, words
    from steadypoint.lectern._put import typed
    from steadypoint.lectern._sheet_edit import set_value

    sheet, circuit = desk.ask.sheet, desk.circuit
    for name, value in one.values.items():
        sheet, circuit = set_value(sheet, circuit, name, typed(value))
    values = ", ".join(
        f'<span class="nb">{designator(n)} {quantity(v, "Ω", None)}</span>'
        for n, v in one.values.items()
    )
    return (
        f"<li><h3>{number}. {values}</h3><p>{words(one.why)}</p>"
        f'<button type="button" class="btn" data-sheet="{escape(sheet)}">Take these values</button>'
        "</li>"
    )


def _answer(desk: Desk) -> str:
    return desk.option("series", "E24") if desk.circuit.transistors else "–"


AREA = Area("choose", "Choose", "Vary", 3, _render, _answer, slow=True)
