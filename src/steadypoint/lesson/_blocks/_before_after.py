"""The block ``before and after``: one change, two points side by side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from steadypoint.circuit import Circuit
from steadypoint.lesson._blocks._registry import register
from steadypoint.lesson._cases import Case
from steadypoint.lesson._names import (
    Found,
    equals,
    find,
    given_amount,
    letter,
    numbered,
    part_label,
)
from steadypoint.lesson._options import Fence
from steadypoint.lesson._show import aligned, load_line_figure, sentence_list
from steadypoint.lesson._stages import card_symbols, is_fet, main_symbols, region_word, stages
from steadypoint.lesson._tree import (
    Amount,
    Block,
    Change,
    Comparison,
    Inline,
    Inlines,
    Letter,
    Paragraph,
    Table,
    Text,
    plain,
)
from steadypoint.lesson._values import change_amount
from steadypoint.solve import OperatingPoint
from steadypoint.values import Quantity

if TYPE_CHECKING:
    from steadypoint.lesson._weave import Weaver

OPTIONS = {
    "change": "what changes, such as beta = 200; needed",
    "of": "name of the circuit; the one above by default",
    "show": "both (default), table or load line",
    "name": "what text calls the figure: {{figure doubled}}",
    "caption": "words under the load line",
}
_SHOW: Final = ("both", "table", "load line")


@register(
    "before and after",
    "One change, the point before and after it side by side, percentages with their base.",
    OPTIONS,
)
def before_and_after(fence: Fence, weaver: Weaver) -> Sequence[Block]:
    """Two points side by side."""
    case = weaver.case_of(fence)
    if not fence.get("change"):
        raise fence.source.fault_at(
            "Nothing changes here. Add, for instance, 'change: beta = 200'.", fence.line, fence.name
        )
    circuit = weaver.cases.changed(case, fence.get("change"), fence.at("change"))
    changes = changes_between(case.circuit, circuit)
    if not changes:
        raise fence.source.fault_at(
            "This change leaves the circuit as it was. Give another value.",
            fence.at("change"),
            fence.get("change"),
        )
    if not stages(weaver.cases.point(circuit, case.model, fence.line)):
        raise fence.source.fault_at(
            "This circuit has no transistor, so there is no point to compare.",
            fence.line,
            fence.name,
        )
    was = weaver.cases.point(case.circuit, case.model, fence.line)
    now = weaver.cases.point(circuit, case.model, fence.line)
    names = _quantities(now)
    content: list[Block] = [Paragraph(_sentence(changes, was, now))]
    anchor = weaver.anchor(f"before and after {case.name}")
    show = fence.choice("show", _SHOW)
    if show != "load line":
        content.append(_table(changes, was, now, names))
    if show != "table" and len(stages(now)) == 1:
        content += _chart(fence, weaver, case, was, now)
    weaver.note(case, plain(_state(changes, 1)), now)
    effects = [(find(now, n).letter, _change(was, now, n)) for n in names[:2]]
    return [Comparison(changes, effects, content, anchor)]


def _chart(
    fence: Fence, weaver: Weaver, case: Case, was: OperatingPoint, now: OperatingPoint
) -> Sequence[Block]:
    words = fence.get("caption") or f"The point before and after, {case.name or 'same circuit'}"
    caption = weaver.words(words, fence.at("caption"))
    beside = fence.choice("show", _SHOW) == "both"
    return [load_line_figure(weaver, fence, now, was, caption, beside=beside)]


def _quantities(point: OperatingPoint) -> Sequence[str]:
    names = []
    every = stages(point)
    for name, stage in every.items():
        names += [f"{name}.{s}" if len(every) > 1 else s for s in card_symbols(stage)]
    return names


def _change(was: OperatingPoint, now: OperatingPoint, name: str) -> Amount:
    return change_amount(find(was, name), find(now, name))


def changes_between(was: Circuit, now: Circuit) -> Sequence[Change]:
    """What differs between two states of a circuit."""
    changes = []
    if was.temperature != now.temperature:
        changes.append(Change(Letter("T"), _temperature(was), _temperature(now)))
    for part in now.parts:
        old = was.part(part.name)
        if old.value != part.value and old.value is not None and part.value is not None:
            supply = part.kind.value == "supply"
            label = letter(part.name) if supply else part_label(part.name)
            changes.append(Change(label, given_amount(old.value), given_amount(part.value)))
        before = dict(old.options)
        many = len(now.transistors) + len(now.fets) > 1
        for symbol, quantity in part.options:
            if before.get(symbol) != quantity:
                named = letter(numbered(symbol, part.name) if many else symbol)
                earlier = before.get(symbol) or _usual(symbol)
                changes.append(Change(named, given_amount(earlier), given_amount(quantity)))
    return changes


def _temperature(circuit: Circuit) -> Amount:
    from steadypoint.values import shown

    kelvin = circuit.temperature.value if circuit.temperature else 298.15
    return Amount(*shown(kelvin, "°C", None))


def _usual(symbol: str) -> Quantity:
    # What a sheet leaves out: the defaults of the circuit sheet.
    value, unit = {"beta": (100.0, ""), "V_BE": (0.7, "V"), "V_CE_sat": (0.2, "V")}.get(
        symbol, (float("inf"), "")
    )
    return Quantity(value, unit)


def _table(
    changes: Sequence[Change], was: OperatingPoint, now: OperatingPoint, names: Sequence[str]
) -> Table:
    rows: list[Sequence[Inlines]] = []
    for name in names:
        before, after = find(was, name), find(now, name)
        amounts = aligned([before, after])
        rows.append([[before.letter], [amounts[0]], [amounts[1]], [change_amount(before, after)]])
    for owner in stages(now):
        words = [region_word(stages(p)[owner]) for p in (was, now)]
        label = "region" if len(stages(now)) == 1 else f"region of {owner}"
        same = "same" if words[0] == words[1] else "changed"
        rows.append([[Text(label)], [Text(words[0])], [Text(words[1])], [Text(same)]])
    head: list[Inlines] = [[Text("Quantity")], _state(changes, 0), _state(changes, 1)]
    head.append([Text("Change")])
    caption = [
        Text("Change of currents and powers in percent of the value before; of voltages in volts.")
    ]
    return Table(head, rows, ("left", "right", "right", "right"), caption, row_heads=True)


def _state(changes: Sequence[Change], which: int) -> Inlines:
    items: list[Inlines] = []
    for change in changes:
        amount = change.now if which else change.was
        items.append([equals(change.letter, amount)])
    return sentence_list(items)


def _sentence(
    changes: Sequence[Change], was: OperatingPoint, now: OperatingPoint
) -> Sequence[Inline]:
    """What the change does, in words, with the base of every percentage named."""
    out: list[Inline] = [Text("With ")]
    pairs: list[Inlines] = [[equals(c.letter, c.now), Text(" instead of "), c.was] for c in changes]
    out += [*sentence_list(pairs), Text(", ")]
    many = len(stages(now)) > 1
    for place, (name, stage) in enumerate(stages(now).items()):
        symbol = main_symbols(stage)[0]
        current = find(was, f"{name}.{symbol}"), find(now, f"{name}.{symbol}")
        out += [
            Text("; " if place else ""),
            *_moved(current, "" if many else "drain" if is_fet(stage) else "collector"),
        ]
        out += _voltage(was, now, name)
    out.append(Text("."))
    before_and_now = zip(stages(was).values(), stages(now).values(), strict=True)
    regions = [(b.name, region_word(b), region_word(n)) for b, n in before_and_now]
    for name, before, after in regions:
        who = name if many else "the transistor"
        who = who[0].upper() + who[1:]
        verb = "stays" if before == after else "is now"
        out.append(Text(f" {who} {verb} {after}."))
    return out


def _moved(current: tuple[Found, Found], end: str) -> Sequence[Inline]:
    was, now = current
    amounts = aligned([was, now])
    change = change_amount(was, now)
    name: Inlines = [Text(f"the {end} current "), now.letter] if end else [now.letter]
    if change.number == "±0":
        return [*name, Text(" stays at "), amounts[1]]
    verb = " rises from " if abs(now.value) > abs(was.value) else " falls from "
    if change.unit != "%":
        return [*name, Text(verb), amounts[0], Text(" to "), amounts[1]]
    size = Amount(change.number.lstrip("+−"), "%")
    base: list[Inline] = [Text(", "), size, Text(" of "), amounts[0]]
    return [*name, Text(verb), amounts[0], Text(" to "), amounts[1], *base]


def _voltage(was: OperatingPoint, now: OperatingPoint, name: str) -> Sequence[Inline]:
    symbol = main_symbols(stages(now)[name])[1]
    before, after = find(was, f"{name}.{symbol}"), find(now, f"{name}.{symbol}")
    change = change_amount(before, after)
    if change.number == "±0":
        return [Text(", and "), after.letter, Text(" stays at "), after.amount()]
    verb = " rises by " if after.value > before.value else " falls by "
    size = Amount(change.number.lstrip("+−"), change.unit)
    return [Text(", and "), after.letter, Text(verb), size, Text(" to "), after.amount()]
