"""From what a page asks to the pieces of the page: the work behind every key press."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from html import escape
from typing import Any, Final

from steadypoint.circuit import Circuit
from steadypoint.errors import LocatedError, SteadypointError, UnknownNameError
from steadypoint.lectern._area import Area, all_areas, area_named
from steadypoint.lectern._begin import offered, picture
from steadypoint.lectern._change import announcement, change_bar, title_of
from steadypoint.lectern._desk import Ask, Desk, circuit_of
from steadypoint.lectern._givens import givens
from steadypoint.lectern._markup import empty, fault_block, head
from steadypoint.lectern._plate import bare_plate, no_point, plate, point_card
from steadypoint.lectern._rehearse import rehearse
from steadypoint.lectern._sheet_edit import add_line, set_value, without_part


def respond(request: Mapping[str, Any]) -> dict[str, Any]:
    """Work out one request of the page.

    Parameters
    ----------
    request : mapping
        ``do`` names the work (``view``, ``leaf``, ``answers`` ...); the rest belongs to it.

    Returns
    -------
    dict
        Pieces of the page, or ``refused`` with the sentence why not.
    """
    work = _WORK.get(str(request.get("do")))
    if work is None:
        return {"refused": "The page asked for something that the lectern does not know."}
    try:
        return work(request)
    except SteadypointError as fault:
        return {"refused": str(fault)}
    except RecursionError:
        return {"refused": "The input is nested too deeply to be read. Write it in fewer levels."}


def _view(request: Mapping[str, Any]) -> dict[str, Any]:
    ask = Ask.of(request)
    acts = request.get("act")
    if isinstance(acts, dict):
        sheet = _acted(ask, acts)
        before = ask.before or ask.sheet
        ask = Ask.of({**request, "sheet": sheet, "before": before})
    return shown(Desk(ask))


def shown(desk: Desk) -> dict[str, Any]:
    """Everything that one edit shows: plate, point, fold, change bar and leaf."""
    ask = desk.ask
    out: dict[str, Any] = {"sheet": ask.sheet, "before": ask.before}
    try:
        circuit = desk.circuit
    except SteadypointError as fault:
        return {**out, "fault": fault_block(str(fault)), **_place(fault)}
    parts: dict[str, str] = {"title": title_of(desk)}
    if desk.before is None:
        out["before"] = ""
    try:
        parts["stage"] = plate(desk)
        parts["point"] = point_card(desk)
        parts["change"] = change_bar(desk)
        out["say"] = announcement(desk)
    except SteadypointError as fault:
        parts["stage"] = bare_plate(circuit, signal_parts=ask.signal_parts)
        parts["point"] = no_point(fault)
        parts["change"] = change_bar(desk) if desk.before is not None else ""
        out["say"] = f"No point. {fault}"
    area = area_named(ask.area)
    if not area.slow:
        parts["leaf"] = leaf(desk, area)
    out |= {"parts": parts, "answers": answers(desk, slow=False), "slow": area.slow}
    return out


def _place(fault: SteadypointError) -> dict[str, Any]:
    if isinstance(fault, LocatedError):
        return {"line": fault.line, "column": fault.column, "length": fault.length}
    return {}


def leaf(desk: Desk, area: Area) -> str:
    """The right page; a fault in it leaves the rest of the page alone."""
    try:
        return area.render(desk)
    except SteadypointError as fault:
        return head(area.label) + empty(f"{area.label} has nothing to show here.", str(fault))


def answers(desk: Desk, *, slow: bool) -> dict[str, str]:
    """What the fold shows beside the areas' names."""
    found = {}
    for area in all_areas():
        if area.answer is None or area.slow_answer is not slow:
            continue
        try:
            found[area.name] = escape(area.answer(desk))
        except SteadypointError:
            found[area.name] = "–"
    return found


def _acted(ask: Ask, act: Mapping[str, Any]) -> str:
    """The sheet after an edit."""
    circuit = circuit_of(ask.sheet, ask.file)

    def read(text: str) -> Circuit:
        return circuit_of(text, ask.file)

    match str(act.get("kind")):
        case "set":
            text = str(act.get("text", ""))[:200]
            return set_value(ask.sheet, circuit, str(act.get("key", ""))[:60], text, read)[0]
        case "step":
            key, by = str(act.get("key", "")), _steps(act.get("by"))
            given = next((g for g in givens(circuit) if g.setting == key), None)
            if given is None:
                raise UnknownNameError(f"The circuit has nothing called '{key[:60]}' to change.")
            return set_value(ask.sheet, circuit, key, given.stepped(by), read)[0]
        case "line":
            return add_line(ask.sheet, str(act.get("text", ""))[:500])
        case "remove":
            return without_part(ask.sheet, circuit, str(act.get("key", ""))[:60])
    raise UnknownNameError("The page asked for an edit that the lectern does not know.")


def _steps(said: object) -> int:
    """How many steps a page asks for; anything that is no number counts as none."""
    return max(-200, min(200, said)) if isinstance(said, int) else 0


def _leaf(request: Mapping[str, Any]) -> dict[str, Any]:
    desk = Desk(Ask.of(request))
    return {"parts": {"leaf": leaf(desk, area_named(desk.ask.area))}}


def _answers(request: Mapping[str, Any]) -> dict[str, Any]:
    return {"answers": answers(Desk(Ask.of(request)), slow=True)}


def _lesson(request: Mapping[str, Any]) -> dict[str, Any]:
    from steadypoint.lectern._lessons import preview

    return preview(request)


def _build(request: Mapping[str, Any]) -> dict[str, Any]:
    from steadypoint.lectern._lessons import build

    return build(request)


_WORK: Final[dict[str, Callable[[Mapping[str, Any]], dict[str, Any]]]] = {
    "view": _view,
    "leaf": _leaf,
    "answers": _answers,
    "arrangements": offered,
    "picture": picture,
    "present": rehearse,
    "lesson": _lesson,
    "build": _build,
}
