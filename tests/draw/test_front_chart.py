"""The front of a choice: its numbers, its steps, and that nothing overlaps."""

from __future__ import annotations

import re

import pytest
from draw_reading import overlaps

from steadypoint.draw import FrontPoint, front_chart
from steadypoint.errors import QuantityError

FRONT = [
    FrontPoint(1.02e-3, 0.286, {"R1": 160e3, "R2": 180e3, "RC": 3e3, "RE": 6.2e3}),
    FrontPoint(1.2e-3, 0.162, {"R1": 100e3, "R2": 100e3, "RC": 2.7e3, "RE": 5.1e3}),
    FrontPoint(1.5e-3, 0.121, {"R1": 16e3, "R2": 18e3, "RC": 2.4e3, "RE": 5.6e3}),
]


def discs(svg: str) -> list[tuple[str, float, float]]:
    pattern = r'<g class="set" data-set="(\d+)"><circle[^>]*cx="([\d.]+)" cy="([\d.]+)"'
    found = re.findall(pattern, svg)
    return [(k, float(x), float(y)) for k, x, y in found]


def test_sets_stand_where_their_figures_say() -> None:
    found = discs(front_chart(FRONT).svg())
    assert [k for k, _, _ in found] == ["1", "2", "3"]
    (_, x1, y1), (_, x2, y2), (_, x3, y3) = found
    assert (x2 - x1) / (x3 - x1) == pytest.approx((1.2 - 1.02) / (1.5 - 1.02), abs=1e-3)
    assert (y2 - y1) / (y3 - y1) == pytest.approx((28.6 - 16.2) / (28.6 - 12.1), abs=1e-3)
    assert y1 < y2 < y3


@pytest.mark.parametrize("chosen", [None, 1, 3])
@pytest.mark.parametrize("count", [1, 2, 3])
def test_nothing_overlaps(count: int, chosen: int | None) -> None:
    if chosen is None or chosen <= count:
        assert not overlaps(front_chart(FRONT[:count], chosen=chosen))


def test_the_picked_set_is_told_by_shape_and_word() -> None:
    scene = front_chart(FRONT, chosen=2)
    svg = scene.svg()
    assert svg.count('class="disc"') == 1
    assert "2 picked" in svg
    assert "Set 2, picked: at most 1.20\u202fmA" in scene.description


@pytest.mark.parametrize(("front", "chosen"), [([], None), (FRONT, 4), (FRONT, 0)])
def test_no_set_or_a_wrong_number_is_refused(front: list[FrontPoint], chosen: int | None) -> None:
    with pytest.raises(QuantityError):
        front_chart(front, chosen=chosen)
