"""Stability factors against published examples, closed forms and solved points."""

from __future__ import annotations

import pytest

from steadypoint import arrangement, arrangements, operating_point, read_sheet
from steadypoint.circuit import Circuit
from steadypoint.derive import evaluate, stability_forms, to_text
from steadypoint.errors import CircuitError, QuantityError, UnknownNameError
from steadypoint.solve import Region
from steadypoint.spread import Warming, stability, warm_shift


def emitter_bias(RB: str, RE: str, VBB: str, VCC: str, beta: int) -> Circuit:
    return read_sheet(
        f"""
        VCC = {VCC}
        VBB = {VBB}
        Q1 = npn, beta {beta}, V_BE 0.7
        from VBB through RB {RB} to Q1 base
        from VCC through RC 1k to Q1 collector
        from Q1 emitter through RE {RE} to ground
        """
    )


# B. Kumar and S. B. Jain, Electronic Devices and Circuits, example 5.10; printed figures read from
# the stored output of the companion notebook. Supplies and RC are assumed: they do not matter.
def test_kumar_ex_5_10_leakage() -> None:
    found = stability(emitter_bias("10k", "1k", "2 V", "4 V", 100))[0]
    assert found.factors["S_ICO"] == pytest.approx(10.0, abs=0.05)
    assert found.factors["S_ICO"] * 19.9e-9 == pytest.approx(0.199e-6, abs=5e-10)


def test_kumar_ex_5_10_base_emitter_voltage() -> None:
    found = stability(emitter_bias("240k", "1k", "5 V", "12 V", 100))[0]
    assert found.factors["S_VBE"] == pytest.approx(-2.933e-4, abs=5e-8)
    assert found.factors["S_VBE"] * -0.17 == pytest.approx(50e-6, abs=5e-7)


# Same book, example 5.11: S(β) for β from 50 to 80, and I_C after it.
def test_kumar_ex_5_11_finite_gain() -> None:
    found = stability(emitter_bias("10k", "1k", "3.14 V", "10 V", 50))[0]
    assert found.finite(80.0) == pytest.approx(4.84e-6, abs=5e-9)
    assert found.value + 30.0 * found.finite(80.0) == pytest.approx(2.145e-3, abs=5e-7)


# V. K. Mehta and R. Mehta, Principles of Electronics, example 9.4; printed figure as above.
def test_mehta_ex_9_4() -> None:
    circuit = read_sheet(
        """
        VCC = 6 V
        Q1 = npn, beta 100, V_BE 0.7
        from VCC through RB 530k to Q1 base
        from VCC through RC 2k to Q1 collector
        from Q1 emitter to ground
        """
    )
    assert stability(circuit)[0].factors["S_ICO"] == pytest.approx(101.0, abs=0.5)


# R. L. Boylestad and L. Nashelsky, Electronic Devices and Circuit Theory, bias stabilization (from
# memory): S(I_CO) = (β+1)(1 + R_B/R_E)/((β+1) + R_B/R_E), S(V_BE) = -β/(R_B + (β+1) R_E),
# S(β) = I_C1 (1 + R_B/R_E)/(β_1 (1 + β_2 + R_B/R_E)).
@pytest.mark.parametrize(("RB", "beta"), [(240e3, 90.0), (47e3, 200.0), (1e6, 60.0)])
def test_boylestad_emitter_bias_formulas(RB: float, beta: float) -> None:
    RE, ratio = 1e3, RB / 1e3
    found = stability(emitter_bias(f"{RB:g}", "1k", "6 V", "20 V", int(beta)))[0]
    f = found.factors
    assert f["S_ICO"] == pytest.approx((beta + 1) * (1 + ratio) / (beta + 1 + ratio), rel=1e-9)
    assert f["S_VBE"] == pytest.approx(-beta / (RB + (beta + 1) * RE), rel=1e-9)
    book = found.value * (1 + ratio) / (beta * (1 + 2 * beta + ratio))
    assert found.finite(2 * beta) == pytest.approx(book, rel=1e-9)
    assert found.forms is not None
    assert found.forms.S_beta_finite is not None
    assert found.forms.S_beta_finite.result is not None
    assert found.forms.S_beta_finite.result.value == pytest.approx(book, rel=1e-9)


@pytest.mark.parametrize("one", arrangements(), ids=lambda a: a.name)
def test_letters_give_the_numbers(one) -> None:
    """Every closed form evaluates to its factor; field-effect transistors say they have none."""
    for found in stability(one.circuit):
        if one.circuit.part(found.transistor).kind.is_fet:
            assert set(found.factors) == {"S_VGSth", "S_K"}
            assert "field-effect" in found.sentence
            continue
        assert found.sentence
        if found.forms is not None:
            for name in ("S_ICO", "S_VBE", "S_beta"):
                line = getattr(found.forms, name)
                assert line.result.value == pytest.approx(found.factors[name], rel=1e-6)
                assert evaluate(line.numbers, {}) == pytest.approx(line.result.value, rel=1e-9)


def test_shapes_with_letters() -> None:
    """The shapes that textbooks treat all have their letters."""
    wanted = (
        "base bias",
        "base bias with emitter resistor",
        "collector feedback",
        "voltage divider",
        "two-supply emitter bias",
        "pnp voltage divider",
        "emitter follower",
    )
    for name in wanted:
        assert stability_forms(arrangement(name).circuit), name
    line = stability_forms(arrangement("voltage divider").circuit)[0].S_ICO
    assert to_text(line.right) == "(β + 1) ((R_TH + R_E)/(R_TH + (β + 1) R_E))"
    assert stability_forms(arrangement("JFET self bias").circuit) == ()


def test_any_quantity() -> None:
    circuit = arrangement("voltage divider").circuit
    found = stability(circuit, "V_CE")[0]
    own = stability(circuit)[0]
    point, step = operating_point(circuit).transistors["Q1"], 1e-9
    changed = circuit.with_part(circuit.part("Q1").with_option("I_CBO", _amps(step)))
    moved = operating_point(changed).transistors["Q1"].V_CE - point.V_CE
    assert found.factors["S_ICO"] == pytest.approx(moved / step, rel=1e-5)
    assert found.factors["S_ICO"] < 0.0 < own.factors["S_ICO"]
    with pytest.raises(UnknownNameError, match="Q1"):
        stability(circuit, "Q7.I_C")
    with pytest.raises(QuantityError, match="not of power"):
        stability(circuit, "P")
    assert set(stability(circuit, "ground")[0].factors.values()) == {0.0}


def _amps(value: float):
    from steadypoint.values import Quantity

    return Quantity(value, "A")


def test_pnp_reads_as_npn() -> None:
    """Magnitudes: a pnp stage has the factors of its npn mirror."""
    sheet = """
    VCC = {V} V
    Q1 = {kind}, beta 150
    from VCC through RB 430k to Q1 base
    from VCC through RC 2k7 to Q1 collector
    from Q1 emitter through RE 100 to ground
    """
    npn, pnp = (
        stability(read_sheet(sheet.format(V=V, kind=kind)))[0]
        for V, kind in ((9, "npn"), (-9, "pnp"))
    )
    assert pnp.value == pytest.approx(npn.value)
    for name, value in npn.factors.items():
        assert pnp.factors[name] == pytest.approx(value, rel=1e-9)


def test_saturated_stage_says_so() -> None:
    circuit = read_sheet(
        """
        VCC = 9 V
        Q1 = npn, beta 200
        from VCC through RB 68k to Q1 base
        from VCC through RC 3k3 to Q1 collector
        from Q1 emitter to ground
        """
    )
    found = stability(circuit)[0]
    assert found.region is Region.SATURATION
    assert "saturated" in found.sentence
    assert found.factors["S_beta"] == pytest.approx(0.0, abs=1e-15)
    assert found.forms is None
    with pytest.raises(CircuitError, match="another gain"):
        found.finite(200.0)
    assert set(found.factors.values()) == {0.0}
    assert "none of them moves Q1.I_C" in warm_shift(circuit).sentence


# --- which of the three ------------------------------------------------------------------------


def test_warmth_moves_base_bias_by_gain_and_divider_by_base_emitter_voltage() -> None:
    by_gain = warm_shift(arrangement("base bias").circuit)
    assert by_gain.causes[0].symbol == "β"
    # proportional to β, which rises by 0.6 %/K over 40 K
    assert by_gain.causes[0].moved == pytest.approx(0.24 * by_gain.before, rel=1e-3)
    assert "% of the" in by_gain.sentence
    by_drop = warm_shift(arrangement("voltage divider").circuit)
    assert by_drop.causes[0].symbol == "V_BE"
    S_VBE = stability(arrangement("voltage divider").circuit)[0].factors["S_VBE"]
    assert by_drop.causes[0].linear == pytest.approx(-0.08 * S_VBE, rel=1e-3)


def test_germanium_leakage_rules() -> None:
    """A germanium stage with 5 µA at 25 °C that doubles every 10 K: sixteenfold at 65 °C."""
    circuit = read_sheet(
        """
        VCC = 12 V
        Q1 = npn, beta 60, V_BE 0.2, I_CBO 5u
        from VCC through R1 68k to Q1 base
        from Q1 base through R2 15k to ground
        from VCC through RC 2k2 to Q1 collector
        from Q1 emitter through RE 1k5 to ground
        """
    )
    found = warm_shift(circuit, assumed=Warming(beta_slope=0.0))
    first = found.causes[0]
    assert first.symbol == "I_CO"
    assert first.after == pytest.approx(80e-6)
    S = stability(circuit)[0].factors["S_ICO"]
    assert first.moved == pytest.approx(S * 75e-6, rel=1e-9)


def test_compensating_diode_counts() -> None:
    found = warm_shift(arrangement("voltage divider with compensating diode").circuit)
    parts = {c.symbol: c.moved for c in found.causes}
    assert parts["V_F of the diodes"] < 0.0 < parts["V_BE"]
    assert abs(found.together) < 0.5 * parts["V_BE"]


def test_linear_sum_of_a_mirror_counts_the_shared_voltage_once() -> None:
    found = warm_shift(arrangement("current mirror").circuit)
    for cause in found.causes:
        assert cause.linear == pytest.approx(cause.moved, rel=0.25)


def test_warm_refusals() -> None:
    with pytest.raises(CircuitError, match="bipolar"):
        warm_shift(arrangement("JFET self bias").circuit)
    with pytest.raises(QuantityError, match="two different"):
        warm_shift(arrangement("base bias").circuit, start=300.0, end=300.0)
    with pytest.raises(QuantityError, match="doubles"):
        Warming(doubling=0.0)
