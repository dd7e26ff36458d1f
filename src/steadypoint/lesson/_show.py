"""Figures of a case: its drawing, its point, its load line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from steadypoint import draw
from steadypoint.errors import SteadypointError
from steadypoint.lesson._cases import Case
from steadypoint.lesson._names import Found, find, letter, meaning
from steadypoint.lesson._options import Fence
from steadypoint.lesson._stages import Stage, card_symbols, glyph_of, is_fet, region_word, stages
from steadypoint.lesson._tree import (
    Amount,
    Drawing,
    Figure,
    Inline,
    Inlines,
    PointCard,
    Reading,
    Text,
)
from steadypoint.solve import OperatingPoint, Region
from steadypoint.values import shown

if TYPE_CHECKING:
    from steadypoint.lesson._weave import Weaver

_MEANINGS: Final = {
    Region.SATURATION: "The collector can fall no further: the collector current no longer "
    "follows the base current.",
    Region.CUTOFF: "No base current flows, so no collector current flows either.",
    Region.REVERSE: "Collector and emitter have changed their parts: the stage does not amplify.",
}
_FET_MEANINGS: Final = {
    Region.TRIODE: "The channel is open from end to end: the drain current follows the "
    "drain voltage.",
    Region.CUTOFF: "The gate has closed the channel, so no drain current flows.",
    Region.REVERSE: "Drain and source have changed their parts: the stage does not amplify.",
}
# Widths of figures: room on a phone 390 px wide; what still stands beside the text; a chart on the
# page and on paper; the level on paper, where it stands beside the drawing. [px]
_PHONE: Final = 358.0
_PLATE: Final = 545.0
_CHART: Final = (600.0, 400.0)
_CHART_NARROW: Final = (358.0, 300.0)
_CHART_PAPER: Final = (480.0, 272.0)
_CHART_BESIDE: Final = (330.0, 260.0)
_LEVEL_PAPER: Final = 290.0
_LEFT_OUT: Final = "Direct-current picture: the signal parts are left out on narrow screens."


def drawing(
    scene: draw.Scene,
    prefix: str,
    *,
    narrow: draw.Scene | None = None,
    paper: draw.Scene | None = None,
    note: str = "",
) -> Drawing:
    """A scene in its forms.

    Parameters
    ----------
    scene : Scene
        The drawing.
    prefix : str
        Put before every id inside, so that several drawings can share a page.
    narrow : Scene, optional
        What narrow screens show instead.
    paper : Scene, optional
        What the handout shows instead.
    note : str
        What the narrow drawing leaves out.
    """
    printed = paper or scene
    return Drawing(
        page=scene.svg("page", prefix=prefix),
        paper=printed.svg("print", standalone=True, prefix=prefix),
        alt=f"{scene.title}. {scene.description}",
        width=scene.width,
        paper_width=printed.width,
        narrow=narrow.svg("page", prefix=f"{prefix}-n") if narrow else "",
        narrow_note=note if narrow else "",
        least=scene.least_width if scene.role == "schematic" else 0.0,
        narrow_least=narrow.least_width if narrow and narrow.role == "schematic" else 0.0,
        scene=scene,
        projected=printed,
    )


def circuit_figure(
    weaver: Weaver, case: Case, point: OperatingPoint, caption: Inlines, *, with_values: bool
) -> Figure:
    """The plate of a case: the schematic and, with values, the point of each transistor."""
    number, anchor = weaver.new_figure(case.name, case.circuit.title, line=case.line)
    shown_point = point if with_values else None
    scene = draw.schematic(case.circuit, shown_point)
    narrow = None
    if scene.least_width > _PHONE:
        narrow = draw.schematic(case.circuit, shown_point, compact=True)
        narrow = narrow if narrow.width < scene.width else None
    content: list[Drawing | PointCard] = [drawing(scene, anchor, narrow=narrow, note=_LEFT_OUT)]
    if with_values:
        content += [
            point_card(point, name, f"{anchor}-{name.casefold()}") for name in stages(point)
        ]
    role = "plate" if scene.least_width <= _PLATE else "spread"
    return Figure(content, caption, anchor, number, role, case)


def point_card(
    point: OperatingPoint, name: str, prefix: str, was: OperatingPoint | None = None
) -> PointCard:
    """Where a transistor's point stands.

    Parameters
    ----------
    point : OperatingPoint
        The solved circuit.
    name : str
        The transistor.
    prefix : str
        Put before every id.
    was : OperatingPoint, optional
        The point before a change.
    """
    transistor = stages(point)[name]
    before = stages(was)[name] if was else None
    many = len(stages(point)) > 1
    level = drawing(
        draw.level(point, name, before=was),
        prefix,
        narrow=draw.level(point, name, before=was, width=_PHONE),
        paper=draw.level(point, name, before=was, width=_LEVEL_PAPER),
    )
    return PointCard(
        region=_state(transistor) if not many else f"{name} {_state(transistor).lower()}",
        meaning=glyph_of(transistor),
        level=level,
        readings=[_reading(point, was, name, symbol) for symbol in card_symbols(transistor)],
        notes=_notes(point, transistor),
        was_region=_state(before) if before and before.region != transistor.region else "",
    )


def _state(transistor: Stage) -> str:
    word = region_word(transistor)
    return word[0].upper() + word[1:]


def _notes(point: OperatingPoint, transistor: Stage) -> Sequence[str]:
    known = _FET_MEANINGS if is_fet(transistor) else _MEANINGS
    notes = [known[transistor.region]] if transistor.region in known else []
    # Open input and output terminals are how a signal stage is drawn, not a caution.
    return [*notes, *(w for w in point.warnings if "no path for direct current" not in w)]


def _reading(point: OperatingPoint, was: OperatingPoint | None, name: str, symbol: str) -> Reading:
    now = find(point, f"{name}.{symbol}")
    before = find(was, f"{name}.{symbol}").amount() if was else None
    return Reading(letter(symbol), meaning(symbol), now.amount(), before)


def load_line_figure(
    weaver: Weaver,
    fence: Fence,
    now: OperatingPoint,
    was: OperatingPoint | None,
    caption: Inlines,
    *,
    beside: bool = False,
) -> Figure:
    """A load line with the point, and the point before as a ghost.

    Raises
    ------
    LessonError
        If the circuit has no load line.
    """
    number, anchor = weaver.new_figure(fence.get("name"), line=fence.at("name"))
    printed = _CHART_BESIDE if beside else _CHART_PAPER
    try:
        scene, narrow, paper = (
            draw.load_line(now.circuit, now, before=was, width=width, height=height)
            for width, height in (_CHART, _CHART_NARROW, printed)
        )
    except SteadypointError as fault:
        raise fence.source.fault_at(str(fault), fence.line, fence.name) from fault
    shown_chart = drawing(scene, anchor, narrow=narrow, paper=paper)
    return Figure([shown_chart], caption, anchor, number, "chart")


def aligned(found: Sequence[Found], digits: int = 3) -> Sequence[Amount]:
    """Amounts of one quantity in several states, all with the prefix of the largest."""
    largest = max((abs(f.value) for f in found), default=0.0)
    unit = found[0].unit
    target = shown(largest, unit, digits).unit
    prefix = target.removesuffix(unit) if unit and target.endswith(unit) else None
    amounts = []
    for each in found:
        parts = shown(each.value, unit, digits, prefix=prefix) if prefix else None
        parts = parts or shown(each.value, unit, digits)
        amounts.append(Amount(parts.number, parts.unit))
    return amounts


def sentence_list(items: Sequence[Inlines]) -> list[Inline]:
    """Items with commas and a last 'and' between them."""
    out: list[Inline] = []
    for place, item in enumerate(items):
        if place:
            out.append(Text(" and " if place == len(items) - 1 else ", "))
        out.extend(item)
    return out
