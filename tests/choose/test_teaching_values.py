"""Rule of thumb and readable values, against the book's design and the exact rung."""

from __future__ import annotations

import pytest

from steadypoint.choose import Place, Wish, choose, readable
from steadypoint.circuit import apply_setting, arrangement, read_sheet
from steadypoint.errors import CircuitError
from steadypoint.solve import operating_point

DIVIDER = read_sheet(
    "VCC = 20 V\nQ1 = npn, beta 80\n"
    "from VCC through R1 10k to Q1 base\nfrom Q1 base through R2 10k to ground\n"
    "from VCC through RC 1k to Q1 collector\nfrom Q1 emitter through RE 1k to ground\n"
)


def test_rule_of_thumb_of_a_published_design():
    """R. L. Boylestad, L. Nashelsky, Electronic Devices and Circuit Theory, example 4.25 (beta
    independent design, from memory): V_CC 20 V, I_C 10 mA, V_CE 8 V, beta at least 80; V_E = 2 V,
    R_E = 200 Ω, R_C = 1 kΩ; the book's R_2 = βR_E/10 = 1.6 kΩ puts I_R2 near ten times I_B as well.
    """
    wish = Wish(DIVIDER, 10e-3, V_CE=8.0, beta=(80.0, 80.0), least_voltage=0.0, swing=0.0)
    usual = choose(wish, 1).usual
    assert usual.values["RE"] == 200.0
    assert usual.values["RC"] == 1000.0
    assert usual.values["R2"] == pytest.approx(2.7e3 / 1.25, rel=0.15)
    assert usual.values["R1"] == pytest.approx(17.3e3 / 1.375, rel=0.1)


def test_sentence_tells_how_far_the_rule_is_from_the_best():
    answer = choose(Wish(arrangement("voltage divider").circuit, 1e-3), 1)
    assert answer.usual.spread > answer.sets[0].worst_spread
    assert "times as far as the best" in answer.beside_the_rule


def test_no_rule_for_other_arrangements():
    assert choose(Wish(arrangement("cascode").circuit, 1e-3), 1).usual is None


@pytest.mark.parametrize("name", ["base bias", "collector feedback", "voltage divider"])
@pytest.mark.parametrize("place", list(Place))
def test_readable_values_read_well(name, place):
    circuit = arrangement(name).circuit
    supply = circuit.part("VCC").value.value
    share = {Place.MIDDLE: 0.5, Place.NEAR_SATURATION: 0.15, Place.NEAR_CUT_OFF: 0.85}[place]
    found = readable(Wish(circuit, 1e-3, series="E6" if "divider" in name else "E12"), place, 3)
    for one in found:
        again = operating_point(apply_setting(one.circuit, "beta=100"), "exact")
        q = again.transistors["Q1"]
        assert q.V_CE / supply == pytest.approx(share, abs=0.13)
        for symbol, value in (("I_B", q.I_B), ("I_C", q.I_C), ("V_CE", q.V_CE)):
            said = float(f"{value:.{one.digits[symbol] - 1}e}")
            assert said == pytest.approx(value, rel=0.0041)
    assert sum(found[0].digits.values()) <= 7


def test_too_many_combinations_are_refused():
    with pytest.raises(CircuitError, match="too many to read through"):
        readable(Wish(arrangement("voltage divider").circuit, 1e-3, series="E96"))
