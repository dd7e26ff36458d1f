"""Derivatives of the exact rung against central differences of solved points."""

from __future__ import annotations

import numpy as np
import pytest

from steadypoint import apply_setting, arrangements, operating_point, read_sheet, tangent
from steadypoint.circuit import Circuit, Kind
from steadypoint.errors import CircuitError, UnknownNameError

STEP = 1e-5


def slope(circuit: Circuit, setting: str, value: float, quantity: str, step: float = STEP) -> float:
    """Central difference of one quantity."""
    owner, _, symbol = quantity.partition(".")
    room = step * (abs(value) or 1.0)
    ends = []
    for at in (value + room, value - room):
        point = operating_point(apply_setting(circuit, f"{setting}={at:.17g}"))
        stage = point.transistors.get(owner) or point.fets[owner]
        ends.append(getattr(stage, symbol))
    return float((ends[0] - ends[1]) / (2.0 * room))


CASES = [
    pytest.param(one.circuit, id=one.name)
    for one in arrangements()
    if not any(p.matched_to for p in one.circuit.parts)
]


@pytest.mark.parametrize("circuit", CASES)
def test_resistors_and_supplies_of_every_arrangement(circuit: Circuit) -> None:
    law = tangent(circuit)
    for part in circuit.parts:
        if part.kind not in (Kind.RESISTOR, Kind.SUPPLY) or part.value is None:
            continue
        found, size = law.by(part.name), abs(part.value.value)
        for stage in circuit.transistors:
            for symbol in ("I_C", "I_B", "V_CE"):
                name = f"{stage.name}.{symbol}"
                measured = slope(circuit, part.name, part.value.value, name)
                scale = 1e-9 if symbol != "V_CE" else 1e-6
                room = scale / size
                assert found[name] == pytest.approx(measured, rel=1e-5, abs=room)
        for stage in circuit.fets:
            name = f"{stage.name}.I_D"
            measured = slope(circuit, part.name, part.value.value, name)
            assert found[name] == pytest.approx(measured, rel=1e-5, abs=1e-9 / size)


@pytest.mark.parametrize("circuit", CASES)
@pytest.mark.parametrize(("symbol", "default"), [("beta", 100.0), ("V_BE", 0.7)])
def test_gain_and_drop_of_every_arrangement(circuit: Circuit, symbol: str, default: float) -> None:
    law = tangent(circuit)
    for part in circuit.transistors:
        value = part.option(symbol) or default
        found = law.by(part.name, symbol)
        for quantity in ("I_C", "I_B", "I_E"):
            name = f"{part.name}.{quantity}"
            measured = slope(circuit, f"{part.name}.{symbol}", value, name)
            assert found[name] == pytest.approx(measured, rel=1e-5, abs=1e-15)


@pytest.mark.parametrize("circuit", CASES)
def test_leakage_of_every_arrangement(circuit: Circuit) -> None:
    """The straight pieces are straight in the leakage, so any small one gives the derivative."""
    law, start = tangent(circuit), operating_point(circuit)
    for part in circuit.transistors:
        changed = operating_point(apply_setting(circuit, f"{part.name}.I_CBO=1nA"))
        for quantity in ("I_C", "I_B", "I_E"):
            moved = getattr(changed.transistors[part.name], quantity)
            moved -= getattr(start.transistors[part.name], quantity)
            found = law.by(part.name, "I_CBO")[f"{part.name}.{quantity}"]
            assert found == pytest.approx(moved / 1e-9, rel=1e-5, abs=1e-5)


def test_field_effect_figures() -> None:
    circuit = read_sheet(
        """
        VDD = 15 V
        M1 = n-channel MOSFET, K 0.5m, V_GS_th 1
        VG = 7 V
        from VDD through RD 10k to M1 drain
        from VG to M1 gate
        from M1 source through RS 10k to ground
        """
    )
    law = tangent(circuit)
    for symbol, value in (("K", 0.5e-3), ("V_GS_th", 1.0)):
        measured = slope(circuit, f"M1.{symbol}", value, "M1.I_D")
        assert law.by("M1", symbol)["M1.I_D"] == pytest.approx(measured, rel=1e-6)


def test_logarithmic_law_is_differentiated_too() -> None:
    """With I_S stated V_BE follows the current, and the tangent with it."""
    circuit = read_sheet(
        """
        VCC = 9 V
        Q1 = npn, beta 120, I_S 20f
        from VCC through R1 68k to Q1 base
        from Q1 base through R2 15k to ground
        from VCC through RC 2k7 to Q1 collector
        from Q1 emitter through RE 680 to ground
        """
    )
    law = tangent(circuit)
    assert law.by("RE")["Q1.I_C"] == pytest.approx(slope(circuit, "RE", 680.0, "Q1.I_C"), rel=1e-6)
    measured = slope(circuit, "Q1.beta", 120.0, "Q1.I_C")
    assert law.by("Q1", "beta")["Q1.I_C"] == pytest.approx(measured, rel=1e-6)


def test_saturation_and_zener() -> None:
    circuit = read_sheet(
        """
        VCC = 12 V
        Q1 = npn, beta 200
        from VCC through RB 100k to Q1 base
        from VCC through RC 4k7 to Q1 collector
        from Q1 emitter through RE 470 to ground
        """
    )
    law = tangent(circuit)
    for symbol, value in (("V_CE_sat", 0.2), ("beta", 200.0), ("V_BE", 0.7)):
        measured = slope(circuit, f"Q1.{symbol}", value, "Q1.I_C")
        assert law.by("Q1", symbol)["Q1.I_C"] == pytest.approx(measured, rel=1e-5, abs=1e-12)


def random_stage(rng: np.random.Generator) -> Circuit:
    """A divider stage with collector feedback, npn or pnp, always active or nearly so."""
    kind = rng.choice(["npn", "pnp"])
    top, bottom = ("VCC", "ground") if kind == "npn" else ("ground", "VCC")
    R = {name: float(rng.uniform(0.8, 1.25)) for name in ("RF", "R2", "RC", "RE")}
    return read_sheet(
        f"""
        VCC = {rng.uniform(8, 15):.4g} V
        Q1 = {kind}, beta {rng.uniform(40, 400):.4g}
        from Q1 collector through RF {100e3 * R["RF"]:.6g} to Q1 base
        from Q1 base through R2 {39e3 * R["R2"]:.6g} to {bottom}
        from {top} through RC {3.3e3 * R["RC"]:.6g} to Q1 collector
        from Q1 emitter through RE {470 * R["RE"]:.6g} to {bottom}
        """
    )


def test_identities_of_the_textbook_on_random_stages() -> None:
    """S(I_CO) = (1 + β)/(1 + T) and S(β) = (I_C/β)/(1 + T): J. Millman and C. C. Halkias,
    Integrated Electronics, bias stability (from memory)."""
    rng = np.random.default_rng(7)
    for _ in range(60):
        circuit = random_stage(rng)
        point, law = operating_point(circuit), tangent(circuit)
        beta, T = circuit.part("Q1").option("beta"), law.return_ratio("Q1")
        assert point.transistors["Q1"].region == "active"
        sign = 1.0 if circuit.part("Q1").kind is Kind.NPN else -1.0
        leak = sign * law.by("Q1", "I_CBO")["Q1.I_C"]
        assert leak == pytest.approx((1.0 + beta) / (1.0 + T), rel=1e-9)
        gain = law.by("Q1", "beta")["Q1.I_C"]
        assert gain == pytest.approx(point.transistors["Q1"].I_C / beta / (1.0 + T), rel=1e-9)


def test_refusals() -> None:
    circuit = read_sheet("VCC = 5 V\nfrom VCC through R1 1k to ground\n")
    with pytest.raises(CircuitError, match="no transistor"):
        tangent(circuit)
    law = tangent(arrangements()[0].circuit)
    with pytest.raises(UnknownNameError, match="RB"):
        law.by("RX")
    with pytest.raises(UnknownNameError):
        law.return_ratio("Q9")
