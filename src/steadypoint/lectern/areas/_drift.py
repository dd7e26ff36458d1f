"""Drift: how far the point moves with gain, temperature, supply and parts."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Final

from steadypoint.lectern._area import Area

if TYPE_CHECKING:
    from steadypoint.circuit import Circuit
    from steadypoint.lectern._desk import Desk
    from steadypoint.spread import BeforeAfter

_FULL: Final = 100.0  # change that fills a bar [%]


def _render(desk: Desk) -> str:
    from steadypoint.lectern._markup import empty, head

    if desk.stage is None:
        return head("Drift") + empty(
            "The circuit has no transistor.", "Add one in the sheet, and its drift stands here."
        )
    rows = "".join(_row(desk, words, change) for words, change in changes(desk.circuit))
    return (
        f'{head("Drift")}<p class="lead">Each row changes one thing and leaves the rest, with real '
        "junctions. Full bar: a change by 100 %.</p>"
        '<div class="tablebox" tabindex="0" role="region" aria-label="Moves of the point">'
        '<table class="list"><thead><tr><th scope="col">What changes</th>'
        '<th scope="col" class="r">Current</th><th scope="col"><span class="vh">As a bar</span>'
        '</th><th scope="col" class="r">Voltage</th><th scope="col">Then</th></tr></thead>'
        f"<tbody>{rows}</tbody></table></div>{_chart(desk)}"
    )


def changes(circuit: Circuit) -> tuple[tuple[str, str], ...]:
    """The changes that are tried, in words and as they are typed."""
    found: list[tuple[str, str]] = []
    if circuit.transistors:
        found += [("β halved", "beta /2"), ("β doubled", "beta x2")]
    found += [("cold, 0 °C", "temperature=0C"), ("warm, 60 °C", "temperature=60C")]
    rail = max(circuit.supplies, key=lambda p: abs(p.value.value) if p.value else 0.0, default=None)
    if rail is not None:
        found += [
            (f"{rail.name} −10 %", f"{rail.name} x0.9"),
            (f"{rail.name} +10 %", f"{rail.name} x1.1"),
        ]
    return tuple(found)


def _moved(circuit: Circuit, change: str) -> BeforeAfter:
    from steadypoint.spread import before_and_after

    return before_and_after(circuit, change, model="device")


def _row(desk: Desk, said: str, change: str) -> str:
    from steadypoint.errors import SteadypointError
    from steadypoint.lectern._change import percent
    from steadypoint.lectern._desk import stages_of
    from steadypoint.lectern._markup import quantity, words
    from steadypoint.lectern._plate import magnitudes, state_of

    name = f'<tr><th scope="row">{words(said)}</th>'
    assert desk.stage is not None  # noqa: S101  the caller has looked
    try:
        found = _moved(desk.circuit, change)
    except SteadypointError:
        return f'{name}<td colspan="4">no point</td></tr>'
    before, after = (stages_of(p)[desk.stage.name] for p in (found.before, found.after))
    (_, I_before, _), *_ = magnitudes(before)
    (_, I_after, _), (_, V, _), *_ = magnitudes(after)
    share = I_after / I_before - 1.0 if abs(I_before) > 1e-12 else 0.0
    return (
        f'{name}<td class="r">{percent(share)}</td><td>{_bar(100.0 * share)}</td>'
        f'<td class="r">{quantity(V, "V")}</td><td>{state_of(after)[0].lower()}</td></tr>'
    )


def _bar(percent: float) -> str:
    """A bar to the right for more, to the left for less."""
    size = min(abs(percent) / _FULL, 1.0) * 60.0
    x = 60.0 if percent >= 0 else 60.0 - size
    return (
        '<svg class="barline" viewBox="0 0 120 16" width="120" height="16" aria-hidden="true" '
        f'focusable="false"><rect x="{x:.1f}" y="3" width="{size:.1f}" height="10"/>'
        '<path d="M60 0V16"/></svg>'
    )


def _chart(desk: Desk) -> str:
    from steadypoint.draw import drift_chart
    from steadypoint.errors import SteadypointError
    from steadypoint.lectern._markup import figure, words

    ranges = _ranges(desk.circuit)
    over = desk.option("over", next(iter(ranges)))
    over = over if over in ranges else next(iter(ranges))
    rows = "".join(
        f'<option value="{escape(n)}"{" selected" if n == over else ""}>{escape(n)}</option>'
        for n in ranges
    )
    low, high = ranges[over]
    try:
        scene = drift_chart(desk.circuit, over, low, high, height=460.0)
        shown = figure(scene.svg(prefix="driftchart"), name="chart")
    except SteadypointError as fault:
        shown = f"<p>{words(str(fault))}</p>"
    return (
        '<section class="put"><div class="addrow"><h3>The point over</h3><label>'
        f'<span class="vh">What runs</span><select id="driftover" data-option="over">{rows}'
        f"</select></label></div>{shown}</section>"
    )


def _ranges(circuit: Circuit) -> dict[str, tuple[float, float]]:
    found: dict[str, tuple[float, float]] = {}
    betas = [b for p in circuit.transistors if (b := p.option("beta") or 100.0)]
    if betas:
        found["beta"] = (betas[0] / 4, betas[0] * 4)
    found["temperature"] = (253.15, 343.15)
    for part in circuit.parts:
        if part.value is not None and part.kind.value in ("supply", "resistor"):
            low, high = part.value.value / 2, part.value.value * 2
            found[part.name] = (min(low, high), max(low, high))
    return found


def _answer(desk: Desk) -> str:
    """What a doubled beta, or else a warm day, does to the current."""
    from steadypoint.lectern._change import percent
    from steadypoint.lectern._desk import stages_of
    from steadypoint.lectern._plate import magnitudes

    if desk.stage is None:
        return "–"
    found = _moved(desk.circuit, "beta x2" if desk.circuit.transistors else "temperature=60C")
    before, after = (stages_of(p)[desk.stage.name] for p in (found.before, found.after))
    return percent(magnitudes(after)[0][1] / magnitudes(before)[0][1] - 1.0)


AREA = Area("drift", "Drift", "Vary", 1, _render, _answer, slow=True, slow_answer=True)
