"""Proportions of the graphical symbols against IEC 60617 (parts 2 to 5; figures from memory)."""

from __future__ import annotations

import math

import pytest

from steadypoint.circuit import Kind
from steadypoint.draw._scene import Circle, Path
from steadypoint.draw._symbols import _AXIAL, LENGTH


def shapes(kind: Kind) -> tuple[Path | Circle, ...]:
    return _AXIAL[kind][0]()


def places(path: Path) -> list[tuple[float, float]]:
    return [(c[-2], c[-1]) for c in path.commands if len(c) > 1]


def test_resistor_is_a_rectangle_three_times_as_long_as_wide() -> None:
    # 04-01-01
    (body,) = [s for s in shapes(Kind.RESISTOR) if s.role == "body"]
    xs, ys = zip(*places(body), strict=True)
    assert (max(xs) - min(xs)) / (max(ys) - min(ys)) == pytest.approx(3.0)


def test_capacitor_has_two_equal_plates_wider_than_their_gap() -> None:
    # 04-02-01: the gap is a fifth to a third of the length of the plates.
    first, second = (places(s) for s in shapes(Kind.CAPACITOR) if s.role == "plate")
    length = abs(first[1][1] - first[0][1])
    assert abs(second[1][1] - second[0][1]) == length
    assert 1 / 5 <= (second[0][0] - first[0][0]) / length <= 1 / 3


@pytest.mark.parametrize("kind", [Kind.DIODE, Kind.ZENER])
def test_triangle_of_a_diode_is_equilateral_and_points_to_the_cathode(kind: Kind) -> None:
    # 05-03-01 and 05-03-06
    (body,) = [s for s in shapes(kind) if s.role == "body"]
    a, b, c = places(body)
    sides = [math.dist(*pair) for pair in ((a, b), (b, c), (c, a))]
    assert max(sides) / min(sides) == pytest.approx(1.0, abs=0.02)
    assert c[0] > a[0] == b[0]


@pytest.mark.parametrize("kind", [Kind.CURRENT_SOURCE, Kind.VOLTAGE_SOURCE])
def test_ideal_source_is_a_circle_in_the_middle(kind: Kind) -> None:
    # 02-16-01 (a line across the conductor) and 02-16-02 (the conductor goes through)
    (circle,) = [s for s in shapes(kind) if isinstance(s, Circle)]
    assert (circle.x, circle.y) == (LENGTH / 2, 0.0)
    lines = [places(s) for s in shapes(kind) if isinstance(s, Path) and s.role == "line"]
    r = circle.r
    across = [(30.0, -r), (30.0, r)] in lines
    through = [(0, 0), (60, 0)] in lines
    assert (across, through) == ((kind is Kind.CURRENT_SOURCE), (kind is Kind.VOLTAGE_SOURCE))


def test_symbols_begin_and_end_on_their_nodes() -> None:
    for kind in _AXIAL:
        ends = [p for s in shapes(kind) if isinstance(s, Path) for p in places(s)]
        assert (0, 0) in ends, kind
        assert (LENGTH, 0) in ends, kind
