"""Charts of given data: what they say, where their marks stand, faults in sentences."""

from __future__ import annotations

import math

import numpy as np
import pytest
from draw_reading import SVG, classes, numbers, parse
from test_drift_charts import assert_clear, paths

from steadypoint.circuit import apply_setting, arrangement, arrangements, read_sheet
from steadypoint.draw import (
    Compared,
    Influence,
    Scene,
    Trace,
    bode_chart,
    box_chart,
    comparison_chart,
    influence_chart,
    input_chart,
    spread_chart,
    transfer_chart,
    waveform_chart,
)
from steadypoint.errors import CircuitError, QuantityError
from steadypoint.solve import operating_point


def text(scene: Scene) -> str:
    return " ".join("".join(t.itertext()) for t in parse(scene.svg()).iter(f"{SVG}text"))


def plain(words: str) -> str:
    return words.replace("\u202f", " ")


# --- spread ------------------------------------------------------------------------------------


def test_histogram_counts_every_value_once() -> None:
    # 0 to 99: bars of equal count, and the height of each is its count on the scale.
    scene = spread_chart([float(k) for k in range(100)], "V_CE", "V")
    bars = [numbers(d) for d in paths(scene, "bar")]
    heights = [b[5] - b[1] for b in bars[:-1]]  # the last is the box
    assert len(bars) - 1 <= 48
    assert max(heights) - min(heights) < 0.35 * max(heights)
    assert_clear(scene)


def test_shares_of_a_spread_are_those_of_the_even_distribution() -> None:
    # Quantiles of an even distribution from 0 V to 8 V are known: 0.2, 2, 4, 6 and 7.8 V.
    said = plain(spread_chart(np.linspace(0.0, 8.0, 8001), "V_CE", "V").description)
    assert "The median is 4.00 V; half of them lie from 2.00 V to 6.00 V" in said
    assert "95 % from 0.200 V to 7.80 V" in said


@pytest.mark.parametrize("seed", range(12))
def test_spreads_of_many_shapes_stay_clear(seed: int) -> None:
    rng = np.random.default_rng(seed)
    values = 1e-3 * np.exp(rng.normal(0.0, [0.001, 0.03, 0.2, 0.8][seed % 4], 800))
    assert_clear(spread_chart(values, "I_C", "A", stated=float(np.quantile(values, seed / 12))))


def test_a_spread_without_spread_is_drawn() -> None:
    assert_clear(spread_chart([5.0] * 20, "V_CE", "V", stated=5.0))


def test_boxes_share_one_scale() -> None:
    scene = box_chart(
        {"wide": [1.0, 2.0, 3.0, 4.0, 5.0], "narrow": [2.9, 3.0, 3.0, 3.1]}, "V_C", "V"
    )
    assert_clear(scene)
    boxes = [numbers(d) for d in paths(scene, "bar")]
    assert boxes[0][0] < boxes[1][0] < boxes[1][2] < boxes[0][2]
    assert "wide: median 3.00 V" in plain(scene.description)


# --- influences and comparison -----------------------------------------------------------------


def test_largest_influence_stands_on_top_and_none_is_said() -> None:
    rows = [
        Influence("RC", 2.0, 2.0, "−5 %", "+5 %"),
        Influence("RE", 2.1, 1.9, "−5 %", "+5 %"),
        Influence("beta", 1.2, 2.5, "50", "300"),
    ]
    scene = influence_chart(rows, "V_CE", "V", 2.0)
    assert_clear(scene)
    assert "no change" in text(scene)
    assert scene.description.index("beta") < scene.description.index("RE: ")
    full, hollow = numbers(paths(scene, "bar-full")[0]), numbers(paths(scene, "bar")[0])
    # Bars of 0.8 V and 0.5 V on one scale.
    assert (full[2] - full[0]) / (hollow[2] - hollow[0]) == pytest.approx(1.6, abs=0.01)


def test_influences_on_one_side_only_stay_clear() -> None:
    rows = [Influence("temperature", 2.2, 2.6, "−20 °C", "80 °C"), Influence("RB", 1.0, 1.5)]
    rows.append(Influence("C1", 1.5, 1.50001))
    assert_clear(influence_chart(rows, "V_CE", "V", 2.0))


def test_comparison_says_the_change_of_the_collector_current() -> None:
    # I_B = 11.3 V / 565 kΩ = 20 µA: I_C = 2 mA at beta 100 and 4 mA at beta 200, +100 %.
    circuit = read_sheet(
        "VCC = 12 V\nQ1 = npn, beta 100\nfrom VCC through RB 565k to Q1 base\n"
        "from VCC through RC 2k to Q1 collector\nfrom Q1 emitter to ground\n"
    )
    doubled = operating_point(apply_setting(circuit, "beta=200"))
    row = Compared("base bias", operating_point(circuit), (("β 200", doubled),))
    scene = comparison_chart([row])
    assert "+100 %" in plain(text(scene))
    assert "I_C changes by 100 %" in plain(scene.description)
    discs = [c for c in parse(scene.svg()).iter(f"{SVG}circle") if "disc" in classes(c)]
    assert len(discs) == 1


def test_all_arrangements_side_by_side_stay_clear() -> None:
    rows = []
    for one in (a for a in arrangements() if a.circuit.transistors):
        other = operating_point(apply_setting(one.circuit, "beta=300"))
        rows.append(Compared(one.name, operating_point(one.circuit), (("β 300", other),)))
    assert_clear(comparison_chart(rows))


# --- signals -----------------------------------------------------------------------------------


def test_bode_chart_of_a_first_order_low_pass() -> None:
    # At its corner a first-order low pass has lost 10 lg 2 = 3.01 dB (from memory).
    f = np.logspace(1, 6, 401)
    scene = bode_chart(f, 100.0 / (1.0 + 1j * f / 1e3), corners={"corner": 1e3})
    assert_clear(scene)
    assert "corner: 1.00 kHz, where the gain is 37.0 dB" in plain(scene.description)
    assert "40.0 dB" in plain(text(scene))


def test_waveforms_bear_their_symbols_and_clipped_stretches_a_word() -> None:
    t = np.linspace(0.0, 2e-3, 101)
    wave = np.sin(2e3 * math.pi * t)
    traces = [
        Trace("v_CE", "V", tuple(np.clip(4.6 - 5.0 * wave, 0.2, 9.0))),
        Trace("v_in", "V", tuple(0.02 * wave)),
        Trace("i_C", "A", tuple(1e-3 + 1e-3 * wave)),
    ]
    scene = waveform_chart(t, traces, clipped=[(0.2e-3, 0.3e-3, "saturated")])
    assert_clear(scene)
    assert "saturated" in text(scene)
    assert "v_CE lies between 0.200 V and 9.00 V" in plain(scene.description)
    assert len(paths(scene, "hatch")) == 2


# --- bias line ---------------------------------------------------------------------------------


def test_bias_line_of_a_divider_is_the_textbook_pair() -> None:
    # V_TH = 12 V · 10/40 = 3 V; R_TH + (β + 1) R_E = 7.5 kΩ + 101 · 1 kΩ = 108.5 kΩ
    # (common practice for a divider with emitter resistor, no source).
    circuit = read_sheet(
        "VCC = 12 V\nQ1 = npn, beta 100\nfrom VCC through R1 30k to Q1 base\n"
        "from Q1 base through R2 10k to ground\nfrom VCC through RC 3k to Q1 collector\n"
        "from Q1 emitter through RE 1k to ground\n"
    )
    scene = input_chart(circuit, operating_point(circuit))
    said = plain(scene.description)
    assert "starts at 3.00 V" in said
    assert "a resistance of 108 kΩ" in said or "a resistance of 109 kΩ" in said


def test_bias_line_of_a_jfet_is_the_textbook_construction() -> None:
    # I_DSS 8 mA, V_GS_off -6 V, R_S 1 kΩ: V_GSQ -2.6 V and I_DQ 2.6 mA (Boylestad and Nashelsky,
    # Electronic Devices and Circuit Theory, self-bias of a JFET; from memory). With Shockley's
    # equation I_D = I_DSS (1 - V_GS/V_GS_off)^2 the root is -2.59 V, the line 1 kΩ from 0 V.
    circuit = read_sheet(
        "VDD = 20 V\nQ1 = n-channel JFET, I_DSS 8 mA, V_GS_off -6 V\n"
        "from VDD through RD 3k3 to Q1 drain\n"
        "from Q1 gate through RG 1M to ground\nfrom Q1 source through RS 1k to ground\n"
    )
    scene = input_chart(circuit, operating_point(circuit))
    said = plain(scene.description)
    assert "starts at 0 V without drain current" in said
    assert "a resistance of 1.00 kΩ" in said
    assert "meets the curve at −2.59 V and 2.59 mA" in said


def test_bias_line_without_a_resistor_at_the_source_stands_upright() -> None:
    circuit = read_sheet(
        "VDD = 9 V\nVGG = -1 V\nQ1 = n-channel JFET, I_DSS 4 mA, V_GS_off -2 V\n"
        "from VDD through RD 2k2 to Q1 drain\nfrom VGG through RG 1M to Q1 gate\n"
        "from Q1 source to ground\n"
    )
    scene = input_chart(circuit, operating_point(circuit))
    assert_clear(scene)
    # I_DSS (1 - 1/2)^2 = 1 mA
    said = plain(scene.description)
    assert "stands upright at −1.00 V, whatever the current" in said
    assert "−1.00 V and 1.00 mA" in said


def test_a_closed_channel_has_no_bias_line() -> None:
    circuit = read_sheet(
        "VDD = 9 V\nVGG = -3 V\nQ1 = n-channel JFET, I_DSS 4 mA, V_GS_off -2 V\n"
        "from VDD through RD 2k2 to Q1 drain\nfrom VGG through RG 1M to Q1 gate\n"
        "from Q1 source to ground\n"
    )
    with pytest.raises(CircuitError, match="without drain current"):
        input_chart(circuit, operating_point(circuit))


SINGLE = [
    a.name
    for a in arrangements()
    if len(a.circuit.transistors) == 1 or any(p.kind.is_fet for p in a.circuit.parts)
]


@pytest.mark.parametrize("name", SINGLE)
@pytest.mark.parametrize("rung", ["exact", "device"])
def test_bias_line_of_every_single_transistor_arrangement(name: str, rung: str) -> None:
    circuit = arrangement(name).circuit
    scene = input_chart(circuit, operating_point(circuit, rung))
    assert_clear(scene)
    assert paths(scene, "loadline")


def test_a_cut_off_transistor_has_no_bias_line() -> None:
    circuit = read_sheet(
        "VCC = 9 V\nQ1 = npn\nfrom VCC through RC 1k to Q1 collector\n"
        "from Q1 base through RB 10k to ground\nfrom Q1 emitter to ground\n"
    )
    with pytest.raises(CircuitError, match="without base current"):
        input_chart(circuit, operating_point(circuit))


def test_transfer_chart_of_given_curves() -> None:
    V = np.linspace(-3.0, 0.0, 31)
    scene = transfer_chart(
        list(V),
        list(8e-3 * (1 + V / 3) ** 2),
        bias_line=((0, 0), (-2, 2e-3)),
        point=(-1.65, 1.65e-3),
    )
    assert_clear(scene)
    assert "bias line" in text(scene)


# --- faults ------------------------------------------------------------------------------------


def test_faults_are_told_in_a_sentence() -> None:
    with pytest.raises(QuantityError, match="at least four values, not 2"):
        spread_chart([1.0, 2.0], "I_C", "A")
    with pytest.raises(QuantityError, match="are no numbers"):
        spread_chart([1.0, 2.0, math.nan, 3.0], "I_C", "A")
    with pytest.raises(QuantityError, match="at least one"):
        box_chart({}, "I_C", "A")
    with pytest.raises(QuantityError, match="at least one"):
        influence_chart([], "I_C", "A", 1.0)
    with pytest.raises(CircuitError, match="nothing to compare"):
        comparison_chart([])
    with pytest.raises(QuantityError, match="do not belong together"):
        bode_chart([1.0, 2.0], [1.0])
    with pytest.raises(QuantityError, match="above zero"):
        bode_chart([0.0, 2.0], [1.0, 1.0])
    with pytest.raises(QuantityError, match="no decibels"):
        bode_chart([1.0, 2.0], [1.0, 0.0])
    with pytest.raises(QuantityError, match="each above the one before"):
        bode_chart([2.0, 1.0], [1.0, 1.0])
    with pytest.raises(QuantityError, match="at least one"):
        waveform_chart([0.0, 1.0], [])
    with pytest.raises(QuantityError, match="at most four"):
        waveform_chart([0.0, 1.0], [Trace(f"v_{k}", "V", (0.0, 1.0)) for k in range(5)])
    with pytest.raises(QuantityError, match="as many currents"):
        transfer_chart([1.0], [1.0], bias_line=((0, 0), (1, 1)), point=(0, 0))
