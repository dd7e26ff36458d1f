"""Thermistors, resistors and zeners with a coefficient, and LEDs by colour, in circuits."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from steadypoint.circuit import (
    Circuit,
    Kind,
    Part,
    apply_setting,
    at_temperature,
    read_sheet,
    write_sheet,
)
from steadypoint.devices import led_colours, led_model
from steadypoint.errors import CircuitError
from steadypoint.solve import (
    load_line_ends,
    operating_point,
    solve,
    solve_many,
    tangent,
    thevenin,
)
from steadypoint.values import Quantity

ZERO = 273.15
RUNGS = ("board", "exact", "device")


def resistance(part: str, celsius: float, rung: str) -> float:
    sheet = f"VCC = 1 V\nfrom VCC through RX {part} to ground"
    at = operating_point(read_sheet(sheet), rung, temperature=ZERO + celsius).parts["RX"]
    return at.V / at.I


# Resistance against temperature of a thermistor of 10 kΩ with B25/85 = 3977 K (Vishay NTCLE100E3
# tables, from memory): 32.56 kΩ at 0 °C, 3.606 kΩ at 50 °C, 1.070 kΩ at 85 °C. The B law is exact
# at 25 and 85 °C, keeps within 2 % between and leaves the table by 4 % at 0 °C.
@pytest.mark.parametrize("rung", RUNGS)
@pytest.mark.parametrize(
    ("celsius", "ohms", "rel"),
    [(0, 32560, 0.05), (25, 1e4, 1e-12), (50, 3606, 0.02), (85, 1070, 0.01)],
)
def test_ntc_on_every_rung(rung, celsius, ohms, rel):
    assert resistance("NTC 10k B 3977 K", celsius, rung) == pytest.approx(ohms, rel=rel)


# IEC 60751 (from memory): a Pt100 has 100.00 Ω at 0 °C, 109.73 Ω at 25 °C, 119.40 Ω at 50 °C;
# the slope of its parabola at 25 °C is 100 Ω (A + 2 B t), A = 3.9083e-3, B = -5.775e-7.
@pytest.mark.parametrize("rung", RUNGS)
@pytest.mark.parametrize(("celsius", "ohms"), [(0, 100.00), (25, 109.73), (50, 119.40)])
def test_resistor_with_the_coefficient_of_platinum(rung, celsius, ohms):
    slope = 100.0 * (3.9083e-3 - 2 * 5.775e-7 * 25.0)
    coefficient = f"{1e6 * slope / 109.73:.0f} ppm/K"
    found = resistance(f"109.73 TCR {coefficient}", celsius, rung)
    assert found == pytest.approx(ohms, abs=0.06)


# Table of a silicon sensor of 1 kΩ at 25 °C (from memory): 815 Ω at 0 °C, 1696 Ω at 100 °C.
@pytest.mark.parametrize(("celsius", "ohms"), [(0, 815), (100, 1696)])
def test_ptc_without_a_coefficient_is_a_silicon_sensor(celsius, ohms):
    assert resistance("PTC 1k", celsius, "exact") == pytest.approx(ohms, rel=0.01)


def test_spellings_of_a_coefficient_agree():
    values = {resistance(f"1k TCR {t}", 75, "exact") for t in ("0.4 %/K", "4000 ppm/K", "0.004")}
    assert max(values) == pytest.approx(1200.0) == pytest.approx(min(values))


ZENER = "VCC = 12 V\nfrom VCC through R1 1k, DZ {} reversed to ground"


@pytest.mark.parametrize("rung", RUNGS)
def test_zener_with_a_stated_coefficient(rung):
    circuit = read_sheet(ZENER.format("6.2 V S_Z 2.3 mV/K r_Z 6"))
    volts = [-operating_point(circuit, rung, temperature=ZERO + t).parts["DZ"].V for t in (25, 75)]
    assert volts[1] - volts[0] == pytest.approx(50 * 2.3e-3, rel=0.03)


# Typical S_Z of the BZX79 series: -2.4 mV/K at 3.3 V, +2.3 mV/K at 6.2 V (from memory).
@pytest.mark.parametrize(("V_Z", "slope"), [("3.3 V", -2.4e-3), ("6.2 V", 2.3e-3)])
def test_zener_drifts_on_the_device_rung_only(V_Z, slope):
    circuit = read_sheet(ZENER.format(V_Z + " r_Z 6"))

    def change(rung):
        points = [operating_point(circuit, rung, temperature=ZERO + t) for t in (25, 75)]
        return points[0].parts["DZ"].V - points[1].parts["DZ"].V

    assert change("exact") == 0.0
    assert change("device") == pytest.approx(50 * slope, rel=0.05)


@pytest.mark.parametrize("colour", led_colours())
@pytest.mark.parametrize("celsius", [-20, 25, 60])
def test_led_against_a_search_for_the_root(colour, celsius):
    model = led_model(colour).at(ZERO + celsius)
    expected = brentq(lambda i: model.forward_voltage(i) + 330 * i - 9, 1e-12, 0.1, xtol=1e-15)
    circuit = read_sheet(f"VCC = 9 V\nfrom VCC through LED1 {colour}, R1 330 to ground")
    point = operating_point(circuit, "device", temperature=ZERO + celsius)
    assert pytest.approx(expected, rel=1e-8) == point.parts["LED1"].I
    assert point.residual < 1e-12


# A red indicator LED drops about 1.9 V at 10 mA, and less the warmer it is, by 1 to 2 mV/K (common
# practice, from memory).
def test_red_led():
    circuit = read_sheet("VCC = 5 V\nfrom VCC through D1 red LED, R1 310 to ground")
    assert pytest.approx(1.9) == operating_point(circuit, "exact").parts["D1"].V
    cool, warm = (
        operating_point(circuit, "device", temperature=ZERO + t).parts["D1"].V for t in (25, 45)
    )
    assert cool == pytest.approx(1.9, abs=1e-3)
    assert -2.2e-3 < (warm - cool) / 20 < -0.8e-3


def test_stated_V_F_of_an_led_goes_before_that_of_its_colour():
    circuit = read_sheet("VCC = 5 V\nfrom VCC through LED1 red V_F 1.8 V, R1 320 to ground")
    assert pytest.approx(1.8) == operating_point(circuit).parts["LED1"].V
    assert pytest.approx(1.8, abs=1e-6) == operating_point(circuit, "device").parts["LED1"].V


STAGE = """
VCC = 9 V
Q1 = npn
from VCC through RT NTC 10k B 3950 K to Q1 base
from Q1 base through R2 4k7 TCR 0.4 %/K to ground
from VCC through RC 1k to Q1 collector
from Q1 emitter through RE 1k to ground
from VCC through R9 1k, DZ 6.2 V reversed to ground
from VCC through R8 1k, DZ2 3.3 V S_Z -2 mV/K reversed to ground
"""


def test_many_temperatures_and_coefficients_at_once():
    circuit = read_sheet(STAGE)
    T = np.array([253.15, 298.15, 338.15])
    B = np.array([3000.0, 3950.0, 4200.0])
    S_Z = np.array([-2e-3, 0.0, 1e-3])
    many = solve_many(circuit, {"temperature": T, "RT.B": B, "DZ2.S_Z": S_Z})
    for k in range(3):
        changed = apply_setting(circuit, f"RT.B={B[k]}")
        changed = apply_setting(changed, f"DZ2.S_Z={1e3 * S_Z[k]} mV/K")
        one = operating_point(changed, "device", temperature=float(T[k]))
        for node in circuit.nodes:
            assert many.nodes[node][k] == pytest.approx(one.nodes[node], rel=1e-9, abs=1e-12)


def test_ports_have_their_resistance_at_the_temperature():
    circuit = read_sheet(
        "temperature = 75 °C\nVCC = 9 V\nfrom VCC through R1 1k TCR 0.4 %/K to B\n"
        "from B through R2 1k2 to ground"
    )
    assert thevenin(circuit, "B") == pytest.approx((4.5, 600.0))
    stage = read_sheet(
        "temperature = 75 °C\nVCC = 9 V\nQ1 = npn\nfrom VCC through RB 1M to Q1 base\n"
        "from VCC through RC 1k TCR 0.4 %/K to Q1 collector\nfrom Q1 emitter to ground"
    )
    assert pytest.approx(9 / 1200) == load_line_ends(stage, "Q1").I_C


def test_circuit_at_a_temperature_is_plain():
    circuit = read_sheet(STAGE)
    there = at_temperature(circuit, 338.15)
    assert "NTC" not in write_sheet(there)
    assert at_temperature(there, 253.15) is there
    assert at_temperature(circuit).part("RT").value == circuit.part("RT").value
    for rung in ("board", "exact"):
        warm = operating_point(circuit, rung, temperature=338.15)
        assert operating_point(there, rung).nodes == pytest.approx(warm.nodes)


def test_temperature_out_of_range_is_refused():
    with pytest.raises(CircuitError, match="between −65 and 200 °C"):
        operating_point(read_sheet(STAGE), temperature=600.0)


def test_ntc_made_without_a_B_value_earns_a_sentence():
    part = Part("RT", Kind.RESISTOR, ("VCC", "ground"), Quantity(1e4, "Ω"), traits=("NTC",))
    supply = Part("VCC", Kind.SUPPLY, ("VCC", "ground"), Quantity(9.0, "V"))
    with pytest.raises(CircuitError, match="RT needs its B value"):
        operating_point(Circuit((supply, part)))


def test_node_that_floats_between_blocking_junctions_is_no_second_point():
    circuit = read_sheet(
        """
        VCC = 9 V
        Q1 = npn
        from VCC through LED1 green reversed, RC 1k to Q1 collector
        from VCC through RB 10k to Q1 base
        from Q1 base through R2 1k to ground
        from Q1 emitter through LED3 red, RE 100 to ground
        from VCC through LED4 blue, DZ 5.1 V, D5, LED6 white reversed, R9 1k to ground
        """
    )
    solution = solve(circuit, "exact")
    assert not solution.others
    assert pytest.approx(0.0, abs=1e-12) == solution.value.transistors["Q1"].I_C


def test_random_chains_of_leds_settle_over_temperature():
    rng = np.random.default_rng(11)

    def ohms():
        return f"{10 ** rng.uniform(0.5, 6.0):.3g}"

    def led():
        return f"{rng.choice(led_colours())}{rng.choice(['', ' reversed'])}"

    for _ in range(60):
        sheet = f"""
            VCC = {rng.choice([1, 3, 5, 9, 12, 24, -9])} V
            Q1 = {rng.choice(["npn", "pnp", "2N3904", "BC557B"])}
            from VCC through LED1 {led()}, RC {ohms()} to Q1 collector
            from VCC through RB NTC {ohms()} B 3950 K to Q1 base
            from Q1 base through R2 PTC {ohms()}, LED2 {led()} to ground
            from Q1 emitter through LED3 {led()}, RE {ohms()} TCR 0.2 %/K to ground
            from VCC through LED4 {led()}, DZ 5.1 V reversed, R9 {ohms()} to Q1 base
        """
        T = float(rng.choice([208.15, 253.15, 298.15, 350.0, 420.0, 473.15]))
        for rung in ("exact", "device"):
            point = operating_point(read_sheet(sheet), rung, temperature=T)
            largest = max(abs(p.I) for p in point.parts.values())
            assert point.residual <= 1e-9 * largest + 1e-12, sheet


def test_derivatives_are_those_of_the_stated_values():
    circuit = read_sheet("temperature = 60 °C\n" + STAGE)
    law = tangent(circuit)
    for name in ("RT", "R2", "RE"):
        stated = circuit.part(name).value.value
        up, down = (
            operating_point(circuit.with_value(name, stated * (1 + d))).transistors["Q1"].I_C
            for d in (1e-6, -1e-6)
        )
        slope = (up - down) / (2e-6 * stated)
        assert law.by(name)["Q1.I_C"] == pytest.approx(slope, rel=1e-4), name
