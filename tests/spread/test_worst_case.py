"""Worst case against an oracle of its own kind, against solved corners, and its refusals."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from one_stage_oracle import brute_force, random_stage

from steadypoint import arrangement, arrangements, operating_point, read_sheet
from steadypoint.circuit import Circuit
from steadypoint.errors import CircuitError, QuantityError, UnknownNameError
from steadypoint.solve import Region
from steadypoint.spread import (
    Variation,
    Warming,
    each_alone,
    read_variation,
    tolerances,
    worst_case,
)
from steadypoint.spread._worst_case import circuit_at

WIDTH = {"beta": (0.5, 2.0), "VCC": (0.9, 1.1)}


def test_random_stages_against_brute_force() -> None:
    """No corner and no inner point passes an extreme; without a border corners reach it."""
    rng = np.random.default_rng(5)
    borders = 0
    for _ in range(60):
        stage = random_stage(rng)
        limits = {
            name: tuple(stage.values[name] * share for share in WIDTH.get(name, (0.95, 1.05)))
            for name in stage.names
        }
        box = [Variation(n, stage.values[n], *ends) for n, ends in limits.items()]
        found = worst_case(stage.circuit(), box)
        assert found.proved, stage.sheet()
        one_region = len(found.regions["Q1"]) == 1
        borders += not one_region
        for name, (low, high) in brute_force(stage, limits, rng, 500).items():
            e = found.extremes[name]
            room = 1e-6 * max(abs(e.low), abs(e.high)) + 1e-12
            assert e.low <= low + room, stage.sheet()
            assert e.high >= high - room, stage.sheet()
            if one_region:
                assert (e.low, e.high) == (pytest.approx(low), pytest.approx(high))
    assert borders >= 5, "the trial must hold stages with a border inside"


SEVERAL = ["Darlington follower", "direct-coupled pair", "feedback pair", "cascode"]


@pytest.mark.parametrize("name", SEVERAL)
def test_several_transistors_with_a_shared_gain(name: str) -> None:
    circuit = arrangement(name).circuit
    resistors = list(tolerances(circuit, resistors=0.05))[:4]
    box = [*resistors, read_variation(circuit, "beta 60..300")]
    found = worst_case(circuit, box)
    assert found.proved
    corners = []
    for ends in itertools.product(*((v.low, v.high) for v in box)):
        values = {v.setting: end for v, end in zip(box, ends, strict=True)}
        corners.append(operating_point(circuit_at(circuit, values, Warming())))
    for e in found.extremes.values():
        seen = [e.quantity.of(point) for point in corners]
        assert e.low <= min(seen) + 1e-7 * abs(e.low)
        assert e.high >= max(seen) - 1e-7 * abs(e.high)


@pytest.mark.parametrize("one", arrangements(), ids=lambda a: a.name)
def test_every_arrangement_keeps_its_stated_point_inside(one) -> None:
    box = list(tolerances(one.circuit, resistors=0.05))[:4]
    found = worst_case(one.circuit, box)
    for e in found.extremes.values():
        assert e.low <= e.nominal * (1 + 1e-9) + 1e-12
        assert e.high >= e.nominal * (1 - 1e-9) - 1e-12
        assert e.sentence
    straight = not one.circuit.fets and not any(p.matched_to for p in one.circuit.parts)
    if straight:
        assert found.proved
    elif one.circuit.fets:
        assert not found.proved
        assert all("not proved" in e.sentence for e in found.extremes.values())


def divider(extra: str = "") -> Circuit:
    return read_sheet(
        f"""
        VCC = 12 V
        Q1 = npn, beta 150{extra}
        from VCC through R1 47k to Q1 base
        from Q1 base through R2 10k to ground
        from VCC through RC 3k9 to Q1 collector
        from Q1 emitter through RE 1k to ground
        """
    )


def test_corners_are_named() -> None:
    circuit = divider()
    words = ("R1 ±5%", "R2 ±5%", "RC ±5%", "RE ±5%", "beta 100..400", "temperature 0C..50C")
    found = worst_case(circuit, [read_variation(circuit, text) for text in words])
    I_C = found.extremes["Q1.I_C"]
    assert I_C.words_low == "R1 high, R2 low, RE high, β least, cold"
    assert I_C.words_high == "R1 low, R2 high, RE low, β most, hot"
    assert I_C.directions["RC"] == "stands"
    assert I_C.directions["temperature"] == "rises"
    assert found.extremes["Q1.V_CE"].directions["RC"] == "falls"
    assert I_C.corner_low["R1"] == pytest.approx(47e3 * 1.05)


def test_temperature_moves_leakage_too() -> None:
    circuit = divider(", I_CBO 1u")
    box = [read_variation(circuit, "temperature 25C..65C")]
    found = worst_case(circuit, box).extremes["Q1.I_C"]
    assert found.proved
    hot = operating_point(circuit_at(circuit, {"temperature": 338.15}, Warming()))
    assert hot.circuit.part("Q1").option("I_CBO") == pytest.approx(16e-6)
    assert found.high == pytest.approx(hot.transistors["Q1"].I_C, rel=1e-9)
    assert found.low == pytest.approx(found.nominal, rel=1e-9)


def test_extreme_on_a_border_is_found_between_corners() -> None:
    """V_CE = V_CC - R_C I_C against V_CC with a fixed base current turns at no corner only when
    saturation begins inside; I_C of a saturating stage peaks on the border."""
    circuit = read_sheet(
        """
        VCC = 9 V
        Q1 = npn, beta 100
        from VCC through RB 220k to Q1 base
        from VCC through RC 2k2 to Q1 collector
        from Q1 emitter through RE 100 to ground
        """
    )
    box = [read_variation(circuit, "RB 100k..400k")]
    found = worst_case(circuit, box).extremes["Q1.I_C"]
    values = np.geomspace(100e3, 400e3, 4001)
    seen = [
        operating_point(circuit.with_value("RB", float(R))).transistors["Q1"].I_C
        for R in values[::40]
    ]
    assert found.proved
    assert found.high > max(seen[0], seen[-1]) * 1.0001, "the peak lies inside"
    assert found.high == pytest.approx(max(seen), rel=2e-3)
    assert found.high >= max(seen)
    assert "RB at" in found.words_high


def test_regions_within_the_limits() -> None:
    circuit = arrangement("base bias").circuit
    found = worst_case(circuit, [read_variation(circuit, "beta 80..400")])
    assert set(found.regions["Q1"]) == {Region.ACTIVE, Region.SATURATION}
    assert any("may be saturated" in s for s in found.sentences)


def test_pnp_in_magnitudes() -> None:
    circuit = arrangement("pnp voltage divider").circuit
    found = worst_case(circuit, [read_variation(circuit, "beta 80..400")], ["V_EC", "I_B", "I_E"])
    assert found.proved
    assert all(0.0 < e.low < e.high for e in found.extremes.values())


def test_many_variations_are_not_claimed_as_proved() -> None:
    parts = "\n".join(f"from N{k} through R3{k} 100 to N{k + 1}" for k in range(12))
    circuit = read_sheet(
        f"""
        VCC = 12 V
        Q1 = npn, beta 150
        from VCC through R1 47k to Q1 base
        from Q1 base through R2 10k to ground
        from VCC through RC 1k to N0
        {parts}
        from N12 through RX 10 to Q1 collector
        from Q1 emitter through RE 1k to ground
        """
    )
    box = tolerances(circuit, resistors=0.05)
    assert len(box) > 12
    found = worst_case(circuit, box)
    assert not found.proved
    corner = found.extremes["Q1.I_C"].corner_high
    assert corner["R1"] == pytest.approx(47e3 * 0.95)


def test_thermistors_are_solved_corner_by_corner() -> None:
    sheet = """
    VCC = 12 V
    Q1 = npn, beta 150
    from VCC through R1 47k to Q1 base
    from Q1 base through R2 NTC 10k B 3500 K to ground
    from VCC through RC 3k9 to Q1 collector
    from Q1 emitter through RE 1k to ground
    """
    circuit = read_sheet(sheet)
    box = [read_variation(circuit, "temperature 15C..45C")]
    found = worst_case(circuit, box).extremes["Q1.I_C"]
    assert not found.proved
    # more warmth, less resistance below the base, less current: the other way round than without
    assert found.corner_high["temperature"] == pytest.approx(288.15)
    plain = worst_case(read_sheet(sheet.replace("NTC 10k B 3500 K", "10k")), box).extremes["Q1.I_C"]
    assert plain.corner_high["temperature"] == pytest.approx(318.15)


def test_each_limit_alone() -> None:
    circuit = divider()
    words = ("RC ±5%", "RE ±5%", "beta 100..400", "temperature 0C..50C")
    found = each_alone(circuit, [read_variation(circuit, text) for text in words], "V_CE")
    spans = [one.span for one in found]
    assert spans == sorted(spans, reverse=True)
    alone = {one.setting: one for one in found}
    RC = operating_point(circuit.with_value("RC", 3.9e3 * 1.05)).transistors["Q1"].V_CE
    assert alone["RC"].high == pytest.approx(RC)
    assert alone["beta"].low > alone["beta"].high


def test_refusals() -> None:
    circuit = divider()
    with pytest.raises(QuantityError, match="Nothing varies"):
        worst_case(circuit, [])
    twice = [read_variation(circuit, "beta 50..100"), read_variation(circuit, "Q1.beta 50..200")]
    with pytest.raises(QuantityError, match="same figure"):
        worst_case(circuit, twice)
    with pytest.raises(QuantityError, match="not at corners"):
        worst_case(circuit, twice[:1], ["P"])
    with pytest.raises(UnknownNameError):
        worst_case(circuit, twice[:1], ["Q9.I_C"])
    with pytest.raises(CircuitError, match="no transistor"):
        worst_case(read_sheet("VCC = 5 V\nfrom VCC through R1 1k to ground\n"), twice[:1])
