"""Compare: other arrangements brought to this circuit's point, then moved."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Final

from steadypoint.lectern._area import Area

if TYPE_CHECKING:
    from steadypoint.choose import Comparison, Contender
    from steadypoint.circuit import Circuit
    from steadypoint.lectern._desk import Desk

_OTHERS: Final = ("base bias", "collector feedback", "voltage divider")


def _render(desk: Desk) -> str:
    from steadypoint.lectern._markup import empty, head

    if not desk.circuit.transistors:
        return head("Compare") + empty(
            "Arrangements are compared for bipolar transistors.",
            "The circuit has none, so there is no current to bring the others to.",
        )
    result = _compared(desk.circuit, abs(next(iter(desk.point.transistors.values())).I_C))
    return (
        f'{head("Compare")}<p class="lead">Every arrangement has the same supply and, with '
        "standard values of its own, the same collector current as this one. Then β, temperature "
        f"and supply move.</p>{_chart(result)}{_table(result)}"
        f'<p class="under">{_recommended(result)}</p>{_left_out(result)}'
    )


def _compared(circuit: Circuit, current: float) -> Comparison:
    from steadypoint.choose import compare

    supply = max((abs(p.value.value) for p in circuit.supplies if p.value), default=9.0)
    others = [(name, _with_supply(name, supply)) for name in _OTHERS]
    beta = next((p.option("beta") for p in circuit.transistors), None) or 100.0
    found = compare(others, current, beta=(beta / 2, beta * 2))
    own = compare([("this one", circuit)], current, beta=(beta / 2, beta * 2), as_given=True)
    from dataclasses import replace

    left = (*own.left_out, *found.left_out)
    return replace(found, contenders=(*own.contenders, *found.contenders), left_out=left)


def _with_supply(name: str, supply: float) -> Circuit:
    from steadypoint.circuit import arrangement

    circuit = arrangement(name).circuit
    rail = circuit.supplies[0]
    return circuit.with_value(rail.name, supply)


def _chart(result: Comparison) -> str:
    from steadypoint.draw import Compared, comparison_chart
    from steadypoint.lectern._markup import figure

    rows = [
        Compared(
            one.name,
            one.point,
            tuple(
                (m.words.replace("beta", "β"), m.point)
                for m in one.moves[1:3]
                if m.point is not None
            ),
            list(one.point.transistors)[-1],
        )
        for one in result.contenders
    ]
    return figure(comparison_chart(rows).svg(prefix="compared"), name="chart")


def _table(result: Comparison) -> str:
    from steadypoint.lectern._markup import words

    heads = "".join(
        f'<th scope="col" class="r">{words(move.words.replace("beta", "β"))}</th>'
        for move in result.contenders[0].moves[1:]
    )
    rows = "".join(_row(one) for one in result.contenders)
    return (
        '<h3 class="sub">How far the collector current moves</h3>'
        '<div class="tablebox" tabindex="0" role="region" aria-label="Moves of the current">'
        '<table class="list"><thead><tr><th scope="col">Arrangement</th>'
        f'{heads}<th scope="col" class="r">Resistors</th></tr></thead><tbody>{rows}</tbody></table>'
        "</div>"
    )


def _row(one: Contender) -> str:
    from steadypoint.lectern._change import percent

    cells = "".join(
        f'<td class="r">{percent(move.percent / 100.0)}{", left" if move.left_active else ""}</td>'
        for move in one.moves[1:]
    )
    return (
        f'<tr><th scope="row">{escape(one.name)}</th>{cells}<td class="r">{one.resistors}</td></tr>'
    )


def _recommended(result: Comparison) -> str:
    from steadypoint.lectern._markup import words

    return words(result.recommendation())


def _left_out(result: Comparison) -> str:
    from steadypoint.lectern._markup import words

    return "".join(
        f'<p class="note">{escape(name)}: {words(why)}</p>' for name, why in result.left_out
    )


def _answer(desk: Desk) -> str:
    return f"{len(_OTHERS) + 1} ways" if desk.circuit.transistors else "–"


AREA = Area("compare", "Compare", "Vary", 2, _render, _answer, slow=True)
