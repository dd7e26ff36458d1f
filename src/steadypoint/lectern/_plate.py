"""The left page: the circuit with its values to edit, and the point under it."""

from __future__ import annotations

import re
from html import escape
from typing import Final

from steadypoint.circuit import Circuit
from steadypoint.draw import level, schematic
from steadypoint.errors import SteadypointError
from steadypoint.lectern._desk import Desk
from steadypoint.lectern._givens import Given, givens
from steadypoint.lectern._markup import figure, quantity, symbol, words
from steadypoint.solve import FetPoint, Region, TransistorPoint
from steadypoint.values import format_quantity

_GIVEN: Final = re.compile(r'<g class="given" data-given="([^"]+)">')
_TITLE: Final = re.compile(r"(<g class=\"part[^>]*>)<title>.*?</title>")
_STATES: Final = {
    Region.ACTIVE: ("Active", "active"),
    Region.SATURATION: ("Saturated", "low"),
    Region.CUTOFF: ("Cut off", "high"),
    Region.REVERSE: ("In reverse", "reverse"),
    Region.TRIODE: ("Triode region", "low"),
}
_GLYPHS: Final = {
    "active": '<circle class="g-full" cx="21.5" cy="12" r="6"/>',
    "low": '<path class="g-full" d="M4 5.5a6.5 6.5 0 0 1 0 13z"/>',
    "high": '<path class="g-open" d="M39 5.5a6.5 6.5 0 0 0 0 13"/>',
    "reverse": '<path class="g-open" d="M27 6.5 17 12l10 5.5"/>',
    "over": (
        '<path class="g-alert" d="M21.5 2 33 22H10z"/>'
        '<path class="g-bang" d="M21.5 9v6M21.5 18v1"/>'
    ),
}
_CAUTION: Final = re.compile(
    r"\brat(?:ed|ing)\b|dangerous|\btouch\b|wrong way round|far beyond|laws of the parts end"
)


def plate(desk: Desk) -> str:
    """The drawing with its values as things to edit."""
    scene = schematic(
        desk.circuit,
        desk.point,
        before=desk.was,
        signal_parts=desk.ask.signal_parts,
        as_written=False,
    )
    return _editable(figure(scene.svg(prefix="plate"), name="fig"), desk.circuit)


def bare_plate(circuit: Circuit, *, signal_parts: bool = True) -> str:
    """The drawing of a circuit that has no point, still with its values to edit."""
    scene = schematic(circuit, signal_parts=signal_parts)
    return _editable(figure(scene.svg(prefix="plate"), name="fig"), circuit)


def _editable(svg: str, circuit: Circuit) -> str:
    known = {given.part: given for given in givens(circuit)}

    def hook(match: re.Match[str]) -> str:
        given = known.get(match[1])
        return match[0] if given is None else _spinbutton(given)

    svg = svg.replace('role="img"', 'role="group"', 1)
    # The names of parts would be told twice: as a title and as a thing to edit.
    return _GIVEN.sub(hook, _TITLE.sub(r"\1", svg))


def _decimal(value: float) -> str:
    """A number as HTML takes it in an attribute: without a power of ten."""
    return f"{float(f'{value:.6g}'):.15f}".rstrip("0").rstrip(".")


def _spinbutton(given: Given) -> str:
    value = format_quantity(given.quantity.value, given.quantity.unit, None)
    return (
        f'<g class="given can" data-given="{escape(given.setting)}" role="spinbutton" tabindex="0"'
        f' aria-label="{escape(given.label)}" aria-valuetext="{escape(value)}"'
        f' aria-valuenow="{_decimal(given.quantity.value)}" data-written="{escape(given.written)}">'
    )


def magnitudes(stage: TransistorPoint | FetPoint) -> tuple[tuple[str, float, str], ...]:
    """Letter symbol, figure and unit of what is read at a point, as lecturers write them."""
    if isinstance(stage, FetPoint):
        p = stage.polarity == "p-channel"
        drain = "V_SD" if p else "V_DS"
        return (
            ("I_D", abs(stage.I_D), "A"),
            (drain, -stage.V_DS if p else stage.V_DS, "V"),
            ("V_SG", -stage.V_GS, "V") if p else ("V_GS", stage.V_GS, "V"),
            ("P", stage.P, "W"),
        )
    p = stage.polarity == "pnp"
    sign = -1.0 if p else 1.0
    return (
        ("I_C", sign * stage.I_C, "A"),
        ("V_EC" if p else "V_CE", sign * stage.V_CE, "V"),
        ("I_B", sign * stage.I_B, "A"),
        ("P", stage.P, "W"),
    )


def state_of(stage: TransistorPoint | FetPoint) -> tuple[str, str]:
    """Word and shape of a region."""
    if isinstance(stage, FetPoint) and stage.region is Region.SATURATION:
        return "In saturation", "active"
    return _STATES[stage.region]


def cautions(warnings: tuple[str, ...]) -> tuple[str, ...]:
    """The warnings that speak of a rating or a danger."""
    return tuple(w for w in warnings if _CAUTION.search(w))


def glyph(shape: str) -> str:
    """A region as a shape between the two walls of the level: never by colour alone."""
    return (
        '<svg class="glyph" viewBox="0 0 43 24" aria-hidden="true" focusable="false">'
        f'<path class="g-wall" d="M4 4v16M39 4v16"/>{_GLYPHS[shape]}</svg>'
    )


def point_card(desk: Desk) -> str:
    """The point: region, level, figures, cautions."""
    stage = desk.stage
    if stage is None:
        return '<p class="note">The circuit has no transistor, so there is no point to set.</p>'
    word, shape = state_of(stage)
    old = desk.stage_before()
    was = ""
    if old is not None and old.region is not stage.region:
        was = f'<span class="wasword">was {state_of(old)[0].lower()}</span>'
    over = cautions(desk.point.warnings)
    who = f"{escape(stage.name)} " if len(desk.stages) > 1 else ""
    scene = level(desk.point, stage.name, before=desk.was)
    return (
        f'<div class="state">{glyph("over" if over else shape)}'
        f'<span class="word">{who}{word if not who else word.lower()}</span>{was}</div>'
        f"{_whose(desk, stage.name)}"
        f'<div class="levelbox">{figure(scene.svg(prefix="level"), name="lev")}</div>'
        f'<dl class="reads">{_reads(stage, old)}</dl>{_notes(desk, over)}'
    )


def _whose(desk: Desk, name: str) -> str:
    if len(desk.stages) < 2:
        return ""
    rows = "".join(
        f'<option value="{escape(n)}"{" selected" if n == name else ""}>{escape(n)}</option>'
        for n in desk.stages
    )
    return (
        '<label class="whose"><span class="vh">Point of</span>'
        f'<select id="transistor">{rows}</select></label>'
    )


def _reads(stage: TransistorPoint | FetPoint, old: TransistorPoint | FetPoint | None) -> str:
    before = {s: (v, u) for s, v, u in magnitudes(old)} if old is not None else {}
    rows = []
    for name, value, unit in magnitudes(stage):
        was = ""
        if name in before and format_quantity(value, unit) != format_quantity(*before[name]):
            was = f"was {quantity(*before[name])}"
        ghost = f'<dd class="was">{was}</dd>' if old is not None else ""
        rows.append(
            f'<div class="read"><dt>{symbol(name)}</dt>'
            f"<dd>{quantity(value, unit)}</dd>{ghost}</div>"
        )
    return "".join(rows)


def _notes(desk: Desk, over: tuple[str, ...]) -> str:
    """The cautions, all of them, then what else is to be known."""
    rest = [
        sentence
        for sentence in desk.point.warnings
        if sentence not in over and "no path for direct current" not in sentence
    ]
    found = [f'<p class="note over">{words(sentence)}</p>' for sentence in over]
    return "".join([*found, *(f'<p class="note">{words(sentence)}</p>' for sentence in rest[:3])])


def no_point(fault: SteadypointError) -> str:
    """What stands in the place of a point that there is not."""
    return (
        f'<div class="state">{glyph("over")}<span class="word">No point</span></div>'
        f'<p class="note">{words(str(fault))}</p>'
    )
