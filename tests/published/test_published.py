"""Operating points of published examples: one test for each printed figure."""

from __future__ import annotations

import pytest
from worked_examples import (
    ANY_BETA,
    HAIR,
    HERE,
    Case,
    Item,
    circuit_of,
    compare,
    examples,
    items,
    read_printed,
    result_of,
    with_any_beta,
)

FILE = "operating_points.toml"
FILES = (FILE, "ports.toml", "designs.toml", "field_effect.toml")
ITEMS = items(FILE)
FULL = [i for i in ITEMS if "full_solution" in i.data]


@pytest.mark.parametrize("item", ITEMS, ids=str)
def test_operating_point(item: Item) -> None:
    circuit = circuit_of(item.case)
    gains = ANY_BETA if item.case.data.get("any_beta") else (None,)
    for beta in gains:
        stage = circuit if beta is None else with_any_beta(circuit, beta)
        compare(result_of(item, stage), item)


# Not printed: the full solution of the same circuit, by an independent calculation made when the
# examples were collected. Shows what the source's assumption costs.
@pytest.mark.parametrize("item", FULL, ids=str)
def test_full_solution(item: Item) -> None:
    case = Case(item.case.example, item.case.number, {**item.case.data, "sheet": item.case.example})
    result = result_of(Item(case, item.data), circuit_of(case), full=True)
    if item.data.get("magnitude"):
        result = abs(result)
    assert result == pytest.approx(item.data["full_solution"], rel=1e-9)


def test_plain_rule_of_the_board_gives_most_shortcuts() -> None:
    """How far the rule goes by itself: 42 of the 70 figures that rest on a shortcut.

    The others rest on an assumption outside the rule or on a figure rounded on the way. Were their
    number zero, the assumptions in the data would prove nothing.
    """
    board = [i for i in ITEMS if i.case.data["rung"] == "board"]
    given = 0
    for item in board:
        bare = {k: v for k, v in item.case.data.items() if k not in ("carry", "sheet")}
        case = Case(item.case.example, item.case.number, {**bare, "assumptions": {}})
        try:
            compare(result_of(Item(case, item.data), circuit_of(case)), item)
        except AssertionError:
            continue
        given += 1
    assert (given, len(board)) == (42, 70)


@pytest.mark.parametrize("file", FILES)
def test_data_agree_with_what_is_printed(file: str) -> None:
    for item in items(file):
        if isinstance(item.data["value"], str):
            continue
        figure, half_unit = read_printed(item.data["printed"])
        if item.data.get("magnitude"):
            figure = abs(figure)
        assert item.data["tolerance"] == pytest.approx(half_unit), item
        if "erratum" not in item.data:
            assert item.data["value"] == pytest.approx(figure, rel=HAIR), item


def test_every_sheet_is_used_and_every_example_cited() -> None:
    used = set()
    for file in FILES:
        for example in examples(file):
            assert example["author"]
            assert example["title"]
            assert example["place"]
            assert example["printed_origin"]
            used |= {example["name"]} | {c["sheet"] for c in example["case"] if "sheet" in c}
    assert used == {path.stem for path in (HERE / "sheets").glob("*.circuit")}
    assert len(ITEMS) == 261
