"""Drawing: the sheet in words beside the drawing, parts added and taken away."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from steadypoint.lectern._area import Area

if TYPE_CHECKING:
    from steadypoint.circuit import Circuit
    from steadypoint.lectern._desk import Desk


def _render(desk: Desk) -> str:
    from steadypoint.lectern._markup import head

    new = '<a class="btn" href="/new">New circuit</a>'
    return (
        f"{head('Drawing', new)}{_sheet(desk.ask.sheet)}{_add(desk.circuit)}{_parts(desk.circuit)}"
    )


def _sheet(text: str) -> str:
    rows = min(24, text.count("\n") + 3)
    return (
        '<div class="sheetbox"><label for="sheettext"><h3>The sheet</h3></label>'
        '<p class="lead" id="sheethelp">One line for each part, as one points at the drawing. The '
        "drawing follows while you type.</p>"
        f'<textarea id="sheettext" rows="{rows}" spellcheck="false" autocapitalize="off" '
        f'aria-describedby="sheethelp fault">{escape(text)}</textarea></div>'
    )


def _add(circuit: Circuit) -> str:
    from steadypoint.circuit import GROUND

    nodes = [n for n in circuit.nodes if n != GROUND and not n.endswith(".end")]
    rows = "".join(
        f'<option value="{escape(n)}">{escape(n.replace(".", " "))}</option>'
        for n in [*nodes, GROUND]
    )
    return (
        '<form class="addline" id="addpart" autocomplete="off"><h3>Add a part</h3>'
        '<p class="lead">Choose two nodes, or point at them in the drawing one after the other.</p>'
        f'<div class="addrow"><label>from <select id="addfrom" name="from">{rows}</select></label>'
        '<label>through <input id="addwhat" name="what" type="text" size="12" '
        'placeholder="RL 10k" spellcheck="false" required aria-describedby="addhint"></label>'
        f'<label>to <select id="addto" name="to">{rows}</select></label>'
        '<button class="btn" type="submit">Add</button></div>'
        '<p class="hint" id="addhint" role="status"></p></form>'
    )


def _parts(circuit: Circuit) -> str:
    from steadypoint.lectern._markup import designator
    from steadypoint.values import format_quantity

    rows = []
    for part in circuit.parts:
        value = format_quantity(part.value.value, part.value.unit) if part.value else ""
        value = value or part.type_name
        rows.append(
            f'<tr data-lit="{escape(part.name)}"><th scope="row">{designator(part.name)}</th>'
            f"<td>{escape(part.kind.value)}</td><td>{escape(value)}</td>"
            f'<td class="end"><button type="button" class="btn plain" data-remove='
            f'"{escape(part.name)}" aria-label="Take away {escape(part.name)}">Take away</button>'
            "</td></tr>"
        )
    return (
        '<h3 class="sub">Parts</h3><div class="tablebox" tabindex="0" role="region" '
        'aria-label="Parts"><table class="list"><thead><tr>'
        '<th scope="col">Name</th><th scope="col">Kind</th><th scope="col">Value</th>'
        '<th scope="col"><span class="vh">Action</span></th></tr></thead>'
        f"<tbody>{''.join(rows)}</tbody></table></div>"
    )


def _answer(desk: Desk) -> str:
    count = len(desk.circuit.parts)
    return f"{count} part{'s' if count != 1 else ''}"


AREA = Area("drawing", "Drawing", "Circuit", 1, _render, _answer)
