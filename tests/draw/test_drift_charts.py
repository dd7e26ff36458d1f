"""Drift charts: what they say against closed forms, that nothing overlaps, faults in sentences."""

from __future__ import annotations

from itertools import combinations

import pytest
from draw_reading import SVG, classes, parse

from steadypoint.circuit import arrangement, arrangements, read_sheet
from steadypoint.draw import Scene, drift_chart
from steadypoint.draw._canvas import clipped
from steadypoint.draw._scale import Scale
from steadypoint.draw._scene import Box
from steadypoint.draw._varied import vary
from steadypoint.errors import CircuitError, QuantityError, UnknownNameError
from steadypoint.solve import Model, Region

BASE_BIAS = read_sheet(
    "VCC = 12 V\nQ1 = npn, beta 100, V_CE_sat 0.2 V\nfrom VCC through RB 565k to Q1 base\n"
    "from VCC through RC 2k to Q1 collector\nfrom Q1 emitter to ground\n"
)  # I_B = 11.3 V / 565 kΩ = 20 µA, whatever beta is


def assert_clear(scene: Scene) -> None:
    for a, b in combinations(scene.labels, 2):
        assert not a.overlaps(b, 0.5), (a, b)
    for label in scene.labels:
        assert label.x0 >= 0
        assert label.x1 <= scene.width
        assert label.y0 >= 0
        assert label.y1 <= scene.height
        for obstacle in scene.obstacles:
            assert not label.overlaps(obstacle, 0.5), (label, obstacle)


def paths(scene: Scene, role: str) -> list[str]:
    root = parse(scene.svg())
    return [p.get("d", "") for p in root.iter(f"{SVG}path") if role in classes(p)]


def test_values_and_border_of_saturation_follow_from_ohms_law() -> None:
    # I_C = beta · 20 µA until 11.8 V / 2 kΩ = 5.9 mA is reached, at beta = 295.
    run = vary(BASE_BIAS, "beta", [50.0, 150.0, 400.0], transistor=None, model=Model.EXACT)
    first = run.samples[0]
    assert (pytest.approx(1e-3), pytest.approx(10.0)) == (first.I, first.V)
    ((start, end),) = run.stretches(Region.SATURATION)
    assert start == pytest.approx(295.0, abs=0.05)
    assert end == 400.0
    assert run.stated is not None
    assert pytest.approx(2e-3) == run.stated.I


def test_the_chart_says_in_words_what_it_shows() -> None:
    scene = drift_chart(BASE_BIAS, "beta", 50, 400)
    said = scene.description.replace("\u202f", " ")
    assert "I_C goes from 1.00 mA to 5.90 mA, V_CE from 10.0 V to 0.200 V." in said
    assert "At the stated 100 they are 2.00 mA and 8.00 V: active." in said
    assert "Saturated from 295 to 400." in said
    assert "saturated" in "".join(parse(scene.svg()).itertext())
    assert len(paths(scene, "hatch")) == 2
    assert_clear(scene)


def test_no_stretch_is_hatched_while_the_transistor_stays_active() -> None:
    scene = drift_chart(BASE_BIAS, "beta", 50, 200)
    assert not paths(scene, "hatch")
    assert "aturated" not in scene.description


@pytest.mark.parametrize("name", [a.name for a in arrangements() if a.circuit.transistors])
@pytest.mark.parametrize(
    ("what", "low", "high"),
    [("beta", 20.0, 900.0), ("temperature", 253.15, 358.15), ("VCC", 1.0, 30.0)],
)
def test_names_are_clear_of_everything(name: str, what: str, low: float, high: float) -> None:
    assert_clear(drift_chart(arrangement(name).circuit, what, low, high, points=31))


def test_a_wide_range_is_drawn_in_decades() -> None:
    figures = "".join(parse(drift_chart(BASE_BIAS, "RB", 10e3, 10e6).svg()).itertext())
    assert "100\u202fkΩ" in figures
    figures = "".join(
        parse(drift_chart(BASE_BIAS, "RB", 10e3, 10e6, logarithmic=False).svg()).itertext()
    )
    assert "in MΩ" in figures


def test_temperature_is_shown_in_degrees_celsius() -> None:
    scene = drift_chart(BASE_BIAS, "temperature", 253.15, 353.15)
    assert "temperature from −20\u202f°C to 80\u202f°C, device rung" in scene.description
    assert "temperature in °C" in "".join(parse(scene.svg()).itertext())


def test_pnp_is_shown_in_magnitudes() -> None:
    scene = drift_chart(arrangement("pnp voltage divider").circuit, "VCC", 5, 12)
    assert "V_EC" in scene.description
    assert "−" not in scene.description


def test_faults_are_told_in_a_sentence() -> None:
    with pytest.raises(QuantityError, match="smaller to a larger"):
        drift_chart(BASE_BIAS, "beta", 400, 50)
    with pytest.raises(QuantityError, match="above zero"):
        drift_chart(BASE_BIAS, "VCC", 0, 50, logarithmic=True)
    with pytest.raises(QuantityError, match="2 to 2001 points"):
        drift_chart(BASE_BIAS, "beta", 50, 400, points=1)
    with pytest.raises(UnknownNameError, match="no transistor 'Q7'"):
        drift_chart(BASE_BIAS, "beta", 50, 400, transistor="Q7")
    with pytest.raises(UnknownNameError, match="nothing called 'RX'"):
        drift_chart(BASE_BIAS, "RX", 50, 400)
    with pytest.raises(QuantityError, match="Q1 is an npn transistor"):
        drift_chart(BASE_BIAS, "Q1", 50, 400)
    lamp = read_sheet("VCC = 9 V\nfrom VCC through R1 1k to ground\n")
    with pytest.raises(CircuitError, match="no transistor"):
        drift_chart(lamp, "VCC", 1, 9)


def test_scales_have_ticks_at_one_two_and_five() -> None:
    assert Scale(50, 400).ticks == [100, 200, 300, 400]
    assert Scale(10.0, 1e3, logarithmic=True).ticks == pytest.approx(
        [10, 20, 50, 100, 200, 500, 1000]
    )
    assert Scale(1.0, 1e6, "Hz", logarithmic=True).ticks == pytest.approx(
        [1, 10, 100, 1e3, 1e4, 1e5, 1e6]
    )
    close = Scale(1.0, 1.0 + 4e-7)
    assert len({close.figure(t) for t in close.ticks}) == len(close.ticks)
    assert Scale(-0.002, 0.003, "A").figure(-0.001) == "−1"


def test_lines_are_cut_at_the_edge() -> None:
    area = Box(0, 0, 10, 10)
    assert clipped((-5, 5), (15, 5), area) == ((0, 5), (10, 5))
    assert clipped((2, 2), (3, 3), area) == ((2, 2), (3, 3))
    assert clipped((-5, 20), (15, 20), area) is None
    assert clipped((-10, 5), (5, -10), area) is None
