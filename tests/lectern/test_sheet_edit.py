"""A changed value leaves comments and layout of the sheet alone, and means what was typed."""

from __future__ import annotations

import pytest

from steadypoint.circuit import apply_setting, arrangements, read_sheet
from steadypoint.errors import SheetError, SteadypointError
from steadypoint.lectern._givens import givens
from steadypoint.lectern._sheet_edit import add_line, set_value, without_part


@pytest.mark.parametrize(
    ("setting", "typed", "old", "new"),
    [
        ("RC", "4k7", "RC 3k9 ±5%", "RC 4k7 ±5%"),
        ("R2", "47 kΩ", "R2 39k to", "R2 47 kΩ to"),
        ("VCC", "12 V", "VCC = 9 V", "VCC = 12 V"),
        ("Q1.beta", "240", "beta 120", "beta 240"),
        ("Q1.V_BE", "0.65V", "beta 120", "beta 120, V_BE 0.65V"),
    ],
)
def test_only_the_figure_changes(sheet: str, setting: str, typed: str, old: str, new: str):
    text, circuit = set_value(sheet, read_sheet(sheet), setting, typed)
    assert text == sheet.replace(old, new)
    assert read_sheet(text) == circuit == apply_setting(read_sheet(sheet), f"{setting}={typed}")


def test_no_value_is_refused_with_the_sentence_of_the_reader(sheet: str):
    with pytest.raises(SteadypointError, match="3kk9"):
        set_value(sheet, read_sheet(sheet), "RC", "3kk9")


@pytest.mark.parametrize("arrangement", arrangements(), ids=lambda a: a.name)
def test_every_given_of_every_arrangement_steps_up_and_down(arrangement):
    circuit = read_sheet(arrangement.sheet)
    found = givens(circuit)
    assert found
    for given in found:
        for by in (1, -1):
            text, changed = set_value(arrangement.sheet, circuit, given.setting, given.stepped(by))
            assert read_sheet(text) == changed
            after = next(g for g in givens(changed) if g.setting == given.setting)
            moved = after.quantity.value - given.quantity.value
            # The smallest figures may not go through zero; every other step has its direction.
            assert moved * by >= 0, (given, after)


def test_a_line_is_added_at_the_end(sheet: str):
    text = add_line(sheet, "from Q1 emitter through CE 100u to ground")
    assert text.startswith(sheet.rstrip())
    assert read_sheet(text).part("CE").kind.value == "capacitor"
    with pytest.raises(SheetError):
        add_line(sheet, "from Q1 emiter through CE 100u to ground")


def test_a_part_goes_with_its_line_only(sheet: str):
    text = without_part(sheet, read_sheet(sheet), "R2")
    assert "R2" not in text
    assert "keep R1 a stock value" in text
    assert read_sheet(text) == read_sheet(sheet).without("R2")


def test_a_part_is_not_taken_away_where_no_circuit_is_left():
    sheet = "VCC = 9 V\nfrom VCC through R1 1k, R2 2k to ground\n"
    with pytest.raises(SteadypointError, match="touched once only"):
        without_part(sheet, read_sheet(sheet), "R2")


def test_a_part_of_a_chain_goes_by_itself():
    sheet = (
        "VCC = 9 V\nfrom VCC through R1 1k, R2 2k to OUT\nfrom OUT through R3 1k, R4 1k to ground\n"
    )
    sheet += "from R1 end through R5 1k to ground\n"
    text = without_part(sheet, read_sheet(sheet), "R5")
    assert [p.name for p in read_sheet(text).parts] == ["VCC", "R1", "R2", "R3", "R4"]
