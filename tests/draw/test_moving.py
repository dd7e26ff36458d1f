"""Moving pictures: the same frames every time, each true to its value."""

from __future__ import annotations

from itertools import islice

import pytest
from draw_reading import groups, parse

from steadypoint.circuit import apply_setting, arrangement
from steadypoint.draw import moving_reach, moving_scene, moving_scenes, moving_values
from steadypoint.errors import QuantityError, SteadypointError
from steadypoint.solve import operating_point
from steadypoint.values import format_quantity

DIVIDER = arrangement("voltage divider").circuit


def test_values_run_from_end_to_end_in_equal_steps():
    assert moving_values(50.0, 300.0, 6) == pytest.approx((50, 100, 150, 200, 250, 300))
    assert moving_values(300.0, 50.0, 2) == (300.0, 50.0)


def test_wide_ranges_run_in_equal_ratios():
    assert moving_values(1e3, 1e6, 4) == pytest.approx((1e3, 1e4, 1e5, 1e6))


@pytest.mark.parametrize(("low", "high", "frames"), [(1, 2, 1), (1, 2, 10**6), (3, 3, 5)])
def test_silly_ranges_are_refused(low: float, high: float, frames: int):
    with pytest.raises(QuantityError):
        moving_values(low, high, frames)


def test_frame_bears_the_numbers_of_its_value():
    for beta in (60, 240):
        scene = moving_scene(DIVIDER, "beta", float(beta))
        root = parse(scene.svg())
        said = " ".join("".join(root.itertext()).split())
        point = operating_point(apply_setting(DIVIDER, f"beta={beta}"))
        current = format_quantity(point.transistors["Q1"].I_C, "A")
        for text in (current, str(beta)):
            assert "".join(text.split()) in "".join(said.split())
        assert (scene.width, scene.height) == (1280.0, 720.0)


def test_parts_stand_still_while_the_value_runs():
    first, last = moving_scenes(DIVIDER, "RC", 1e3, 4.7e3, frames=2)

    def places(svg: str) -> dict[str | None, str | None]:
        root = parse(svg)
        return {
            g.get("data-part"): next(p.get("d") for p in g if p.get("d"))
            for g in groups(root, "part")
        }

    assert places(first.svg()) == places(last.svg())


def test_frames_are_the_same_every_time_and_come_one_by_one():
    runs = [
        [s.svg(standalone=True) for s in islice(moving_scenes(DIVIDER, "beta", 50, 300), 2)]
        for _ in range(2)
    ]
    assert runs[0] == runs[1]
    assert runs[0][0] != runs[0][1]


def test_unknown_names_are_refused():
    with pytest.raises(SteadypointError):
        moving_scene(DIVIDER, "RX", 1.0)


def axis_numbers(svg: str) -> list[tuple[str | None, str]]:
    """Grid lines of a frame: they tell both axes of its load line."""
    return sorted(
        (p.get("d"), p.get("class", ""))
        for p in parse(svg).iter()
        if p.get("class") in ("grid", "tick", "axis")
    )


@pytest.mark.parametrize("name", ["RC", "VCC", "beta"])
def test_axes_stand_still_while_the_value_runs(name: str):
    ends = {"RC": (1e3, 4.7e3), "VCC": (6.0, 15.0), "beta": (50.0, 300.0)}[name]
    frames = [s.svg() for s in moving_scenes(DIVIDER, name, *ends, frames=5)]
    assert axis_numbers(frames[0])
    assert all(axis_numbers(f) == axis_numbers(frames[0]) for f in frames)


def test_reach_holds_the_longest_load_line():
    # Ends by hand: V_CC at no current, V_CC/(R_C + R_E) for the least R_C (RE is the only other).
    circuit = arrangement("voltage divider").circuit
    V_CC, R_E = (circuit.part(n).value.value for n in ("VCC", "RE"))
    reach = moving_reach(circuit, "RC", (4.7e3, 1e3))
    assert reach is not None
    assert reach[0] == pytest.approx(V_CC, rel=1e-3)
    assert reach[1] == pytest.approx(V_CC / (1e3 + R_E), rel=0.02)  # beta counts a little
