"""What changed: the bar of a change that is neither kept nor put back, and the spoken sentence."""

from __future__ import annotations

import math
from html import escape

from steadypoint.lectern._desk import Desk
from steadypoint.lectern._givens import Given, givens
from steadypoint.lectern._markup import designator, quantity, spoken, symbol
from steadypoint.lectern._plate import magnitudes, state_of
from steadypoint.values import format_quantity

_SPOKEN = {
    "I_C": "Collector current",
    "V_CE": "Collector-emitter voltage",
    "V_EC": "Emitter-collector voltage",
    "I_D": "Drain current",
    "V_DS": "Drain-source voltage",
    "V_SD": "Source-drain voltage",
}


def change_bar(desk: Desk) -> str:
    """What became what, what that did, and the buttons; empty when nothing hangs in the air."""
    if desk.before is None:
        return ""
    return (
        f'<p class="what">{_what(desk)}</p><p class="so">{_effects(desk)}</p>'
        '<div class="bts"><button type="button" class="btn main" data-do="keep">Keep</button>'
        '<button type="button" class="btn" data-do="back">Put back</button></div>'
    )


def _what(desk: Desk) -> str:
    assert desk.before is not None  # noqa: S101  the caller has looked
    old = {g.setting: g for g in givens(desk.before)}
    new = {g.setting: g for g in givens(desk.circuit)}
    pieces = [
        _became(old[key], given)
        for key, given in new.items()
        if key in old and not math.isclose(old[key].quantity.value, given.quantity.value)
    ]
    names = {p.name for p in desk.circuit.parts}, {p.name for p in desk.before.parts}
    pieces += [f"{designator(n)} added" for n in sorted(names[0] - names[1])]
    pieces += [f"{designator(n)} taken away" for n in sorted(names[1] - names[0])]
    if not pieces:
        return "The circuit was changed"
    shown = pieces[:3] + ([f"{len(pieces) - 3} more"] if len(pieces) > 3 else [])
    return '<span class="sep"></span>'.join(shown)


def _became(old: Given, new: Given) -> str:
    name = symbol("beta") if new.symbol == "beta" else designator(new.symbol)
    if new.symbol[:2] in ("V_", "I_"):
        name = symbol(new.symbol)
    was = quantity(old.quantity.value, old.quantity.unit, None)
    now = quantity(new.quantity.value, new.quantity.unit, None)
    return (
        f'<span class="nb">{name} <s>{was}</s> <span aria-hidden="true">→</span>'
        f'<span class="vh">to</span> <b>{now}</b></span>'
    )


def _effects(desk: Desk) -> str:
    now, was = desk.stage, desk.stage_before()
    if now is None or was is None:
        return ""
    (name, I, _), (across, V, _), *_ = magnitudes(now)  # noqa: E741  letter symbol
    (_, I_was, _), (_, V_was, _), *_ = magnitudes(was)
    pieces = []
    if abs(I_was) > 1e-12:
        pieces.append(f'<span class="nb">{symbol(name)} {percent(I / I_was - 1.0)}</span>')
    if format_quantity(V, "V") == format_quantity(V_was, "V"):
        pieces.append(f'<span class="nb">{symbol(across)} as before</span>')
    else:
        sign, moved = "+" if V_was < V else "−", quantity(abs(V - V_was), "V")
        pieces.append(f'<span class="nb">{symbol(across)} {sign}{moved}</span>')
    return '<span class="sep"></span>'.join(pieces)


def percent(share: float) -> str:
    """A relative change for people: ``+13.9 %``."""
    if not math.isfinite(share):
        return "no point"
    value = 100.0 * share
    digits = 0 if abs(value) >= 99.5 else 1
    text = f"{abs(value):.{digits}f}"
    sign = "±" if float(text) == 0.0 else "+" if value > 0 else "−"
    return f"{sign}{text}\u202f%"


def announcement(desk: Desk, *, back: bool = False) -> str:
    """The sentence for the live region after a finished edit."""
    stage = desk.stage
    if stage is None:
        return "The circuit has no transistor."
    was = desk.stage_before()
    before = {s: (v, u) for s, v, u in magnitudes(was)} if was is not None else {}
    pieces = ["Put back."] if back else []
    for name, value, unit in magnitudes(stage)[:2]:
        text = f"{_SPOKEN.get(name, name)} {spoken(value, unit)}"
        if name in before and format_quantity(*before[name]) != format_quantity(value, unit):
            text += f", was {spoken(*before[name])}"
        pieces.append(f"{text}.")
    pieces.append(f"{state_of(stage)[0]}.")
    return " ".join(pieces)


def title_of(desk: Desk) -> str:
    """Title of the circuit, escaped."""
    return escape(desk.circuit.title or desk.ask.file.removesuffix(".circuit"))
