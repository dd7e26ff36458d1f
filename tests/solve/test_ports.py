"""Thévenin pairs and load lines against hand reduction in exact fractions."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadypoint.circuit import Circuit, Kind, Part, arrangement, arrangements, read_sheet
from steadypoint.errors import CircuitError, NoSolutionError, UnknownNameError
from steadypoint.solve import load_line_ends, operating_point, thevenin
from steadypoint.values import Quantity

approx = pytest.approx

UNITS = {
    Kind.RESISTOR: "Ω",
    Kind.SUPPLY: "V",
    Kind.VOLTAGE_SOURCE: "V",
    Kind.CURRENT_SOURCE: "A",
    Kind.CAPACITOR: "F",
    Kind.INDUCTOR: "H",
}


def part(name: str, kind: Kind, nodes: str, value: float | None = None, **options: float) -> Part:
    return Part(
        name,
        kind,
        tuple(nodes.split()),
        None if value is None else Quantity(value, UNITS[kind]),
        options=tuple(sorted((n, Quantity(v, "")) for n, v in options.items())),
    )


def stage(*extra: Part, kind: Kind = Kind.NPN, V: float = 12.0) -> Circuit:
    """Divider stage: RC 2 kΩ, RE 1 kΩ, divider 30 kΩ and 10 kΩ."""
    return Circuit(
        (
            part("VCC", Kind.SUPPLY, "VCC ground", V),
            part("R1", Kind.RESISTOR, "VCC b", 30e3),
            part("R2", Kind.RESISTOR, "b ground", 10e3),
            part("RC", Kind.RESISTOR, "VCC c", 2e3),
            part("RE", Kind.RESISTOR, "e ground", 1e3),
            part("Q1", kind, "c b e", beta=50.0),
            *extra,
        )
    )


@given(
    st.lists(
        st.tuples(
            st.booleans(), st.integers(1, 10**6), st.integers(-30, 30), st.sampled_from("RVI")
        ),
        min_size=1,
        max_size=8,
    )
)
def test_ladders_agree_with_source_transformation(rungs):
    """Each rung in turn is folded into the pair by the rules for series and parallel sources."""
    parts = [part("R0", Kind.RESISTOR, "n0 ground", 1000.0)]
    V, R, node = Fraction(0), Fraction(1000), "n0"
    for i, (series, ohms, amount, source) in enumerate(rungs, 1):
        if series:  # a resistor and a voltage source in series with the port
            parts += [
                part(f"R{i}", Kind.RESISTOR, f"{node} m{i}", float(ohms)),
                part(f"V{i}", Kind.VOLTAGE_SOURCE, f"n{i} m{i}", float(amount)),
            ]
            V, R, node = V + amount, R + ohms, f"n{i}"
        elif source == "V":  # a voltage source through a resistor across the port
            parts += [
                part(f"R{i}", Kind.RESISTOR, f"{node} m{i}", float(ohms)),
                part(f"V{i}", Kind.VOLTAGE_SOURCE, f"m{i} ground", float(amount)),
            ]
            V, R = (V * ohms + amount * R) / (R + ohms), R * ohms / (R + ohms)
        elif source == "I":  # a current source of milliamperes into the port
            parts.append(part(f"I{i}", Kind.CURRENT_SOURCE, f"ground {node}", amount * 1e-3))
            V = V + R * Fraction(amount, 1000)
        else:
            parts.append(part(f"R{i}", Kind.RESISTOR, f"{node} ground", float(ohms)))
            V, R = V * ohms / (R + ohms), R * ohms / (R + ohms)
    pair = thevenin(Circuit(tuple(parts)), node)
    assert pair.R_thev == approx(float(R), rel=1e-9)
    assert pair.V_thev == approx(float(V), rel=1e-9, abs=1e-9)


def test_port_between_two_live_nodes():
    # Bridge of 1k/3k and 3k/1k on 8 V: 6 V against 2 V, (1k ∥ 3k) twice.
    bridge = Circuit(
        (
            part("VS", Kind.SUPPLY, "VS ground", 8.0),
            part("RA", Kind.RESISTOR, "VS a", 1e3),
            part("RB", Kind.RESISTOR, "a ground", 3e3),
            part("RX", Kind.RESISTOR, "VS b", 3e3),
            part("RY", Kind.RESISTOR, "b ground", 1e3),
        )
    )
    assert thevenin(bridge, "a", "b") == approx((4.0, 1500.0))
    assert thevenin(bridge, "b", "a") == approx((-4.0, 1500.0))
    assert thevenin(bridge, "VS") == (8.0, 0.0)


def test_island_without_ground_still_has_a_pair():
    island = Circuit(
        (
            part("V1", Kind.VOLTAGE_SOURCE, "p q", 5.0),
            part("RA", Kind.RESISTOR, "p r", 1e3),
            part("RB", Kind.RESISTOR, "r q", 1e3),
            part("VCC", Kind.SUPPLY, "VCC ground", 9.0),
        )
    )
    assert thevenin(island, "r", "q") == approx((2.5, 500.0))
    with pytest.raises(CircuitError, match="No direct current can flow between 'r' and 'ground'"):
        thevenin(island, "r")


def test_capacitors_are_open_and_inductors_are_shorts():
    circuit = stage(
        part("C1", Kind.CAPACITOR, "b in", 1e-6),
        part("RL", Kind.RESISTOR, "in ground", 600.0),
        part("L1", Kind.INDUCTOR, "b x", 1e-3),
        part("RX", Kind.RESISTOR, "x ground", 7.5e3),
    )
    assert thevenin(circuit, "b", without=["Q1"]) == approx((1.5, 3750.0))


def test_faults_name_the_part_or_node():
    with pytest.raises(CircuitError, match="Q1 is not linear"):
        thevenin(stage(), "b")
    with pytest.raises(UnknownNameError, match="no node 'base'"):
        thevenin(stage(), "base", without=["Q1"])
    with pytest.raises(UnknownNameError, match="no part 'Q2'"):
        thevenin(stage(), "b", without=["Q2"])
    with pytest.raises(CircuitError, match="two different nodes"):
        thevenin(stage(), "b", "b", without=["Q1"])
    with pytest.raises(UnknownNameError, match="RC is no transistor"):
        load_line_ends(stage(), "RC")
    with pytest.raises(CircuitError, match="sources in conflict"):
        thevenin(stage(part("V2", Kind.VOLTAGE_SOURCE, "VCC ground", 3.0)), "b", without=["Q1"])


def test_load_line_of_a_divider_stage():
    assert load_line_ends(stage(), "Q1") == approx((12.0, 4e-3))
    # I_E = I_C (β + 1)/β in RE.
    assert load_line_ends(stage(), "Q1", "exact") == approx((12.0, 12.0 / (2e3 + 1e3 * 51 / 50)))


def test_load_line_of_a_pnp_stage_is_the_mirror():
    ends = load_line_ends(stage(kind=Kind.PNP, V=-12.0), "Q1")
    assert ends == approx((-12.0, -4e-3))


def test_load_line_with_a_direct_load():
    # 2 kΩ to 12 V with 2 kΩ to ground: 6 V behind 1 kΩ, in series with RE.
    ends = load_line_ends(stage(part("RL", Kind.RESISTOR, "c ground", 2e3)), "Q1")
    assert ends == approx((6.0, 3e-3))


def test_collector_feedback_takes_the_base_current_through_the_collector_resistor():
    circuit = Circuit(
        (
            part("VCC", Kind.SUPPLY, "VCC ground", 10.0),
            part("RC", Kind.RESISTOR, "VCC c", 2e3),
            part("RB", Kind.RESISTOR, "c b", 200e3),
            part("Q1", Kind.NPN, "c b ground", beta=100.0),
        )
    )
    assert load_line_ends(circuit, "Q1") == approx((10.0, 5e-3))
    assert load_line_ends(circuit, "Q1", "exact") == approx((10.0, 5e-3 / 1.01))


def test_undriven_base_does_not_matter():
    circuit = Circuit(
        (
            part("VCC", Kind.SUPPLY, "VCC ground", 30.0),
            part("RC", Kind.RESISTOR, "VCC c", 3e3),
            part("Q1", Kind.NPN, "c b ground", beta=100.0),
        )
    )
    forced = part("IB", Kind.CURRENT_SOURCE, "ground b", 20e-6)
    for rung in ("board", "exact"):
        assert load_line_ends(circuit, "Q1", rung) == approx((30.0, 10e-3))
        assert load_line_ends(circuit.with_part(forced), "Q1", rung) == approx((30.0, 10e-3))


def test_no_line_where_the_current_is_forced():
    circuit = Circuit(
        (
            part("VCC", Kind.SUPPLY, "VCC ground", 10.0),
            part("RC", Kind.RESISTOR, "VCC c", 2e3),
            part("IE", Kind.CURRENT_SOURCE, "e ground", 1e-3),
            part("Q1", Kind.NPN, "c ground e", beta=100.0),
        )
    )
    with pytest.raises(NoSolutionError, match="forces the current of Q1"):
        load_line_ends(circuit, "Q1")


def test_line_without_resistance_is_upright():
    circuit = Circuit(
        (
            part("VCC", Kind.SUPPLY, "VCC ground", 10.0),
            part("RB", Kind.RESISTOR, "VCC b", 2e6),
            part("Q1", Kind.NPN, "VCC b ground", beta=100.0),
        )
    )
    assert load_line_ends(circuit, "Q1") == (10.0, float("inf"))


def test_follower_that_stays_shows_its_output_resistance():
    # V_BE held: into the emitter R_B/(β + 1) beside R_E; unloaded voltage is the operating point.
    circuit = read_sheet("""
        VCC = 12 V
        Q1 = npn, beta 99, V_BE 0.7 V
        from VCC through RB 100k to Q1 base
        from VCC to Q1 collector
        from Q1 emitter through RE 1k to ground
        """)
    point = operating_point(circuit)
    pair = thevenin(circuit, "Q1.emitter", point=point)
    assert pair == approx((11.3 * 1e3 / (1e3 + 100e3 / 100), 500.0))
    assert pair.V_thev == approx(point.nodes["Q1.emitter"])


@pytest.mark.parametrize(
    ("part", "V"),
    [("D1", 0.7), ("DZ1 5.1 V reversed", 5.1)],
)
def test_conducting_diodes_stay_as_their_drop(part: str, V: float):
    circuit = read_sheet(f"""
        VCC = 12 V
        from VCC through R1 3k to tap
        from tap through R2 1k, {part} to ground
        """)
    pair = thevenin(circuit, "tap", point=operating_point(circuit))
    assert pair == approx((V + (12.0 - V) / 4.0, 750.0))


def test_blocking_diode_and_cut_off_transistor_are_open():
    circuit = read_sheet("""
        VCC = 12 V
        Q1 = npn, beta 100
        from VCC through R1 3k to tap
        from tap through R2 1k to ground
        from ground through D1 to tap
        from tap to Q1 collector
        from Q1 base through RB 10k to ground
        from Q1 emitter to ground
        """)
    assert thevenin(circuit, "tap", point=operating_point(circuit)) == approx((3.0, 750.0))


def test_saturated_transistor_holds_its_voltage():
    circuit = read_sheet("""
        VCC = 12 V
        Q1 = npn, beta 100, V_CE_sat 0.2 V
        from VCC through RC 1k to Q1 collector
        from VCC through RB 10k to Q1 base
        from Q1 emitter to ground
        """)
    assert thevenin(circuit, "Q1.collector", point=operating_point(circuit)) == approx((0.2, 0.0))


DIRECT_COUPLED = """
    VCC = 15 V
    Q1 = npn, beta 100, V_BE 0.7 V
    Q2 = pnp, beta 100, V_BE 0.7 V
    from VCC through R1 100k to Q1 base
    from Q1 base through R2 50k to ground
    from Q1 emitter through RE1 3k to ground
    from VCC through RC1 5k to Q1 collector
    from VCC through RE2 2k to Q2 emitter
    from Q2 collector through RC2 2.7k to ground
    from Q1 collector to Q2 base
    """


def test_next_stage_loads_the_line():
    # Q2 looks like 14.3 V behind (β + 1) 2 kΩ, beside 15 V behind 5 kΩ.
    G = 1 / 5e3 + 1 / 202e3
    V, R = (15 / 5e3 + 14.3 / 202e3) / G, 1 / G
    ends = load_line_ends(read_sheet(DIRECT_COUPLED), "Q1", "exact")
    assert ends == approx((V, V / (R + 3e3 * 1.01)))
    # On the board the base current of Q2 is left out at RC1, and I_E = I_C.
    assert load_line_ends(read_sheet(DIRECT_COUPLED), "Q1") == approx((15.0, 15.0 / 8e3))


def test_load_line_of_the_pnp_stage_behind():
    assert load_line_ends(read_sheet(DIRECT_COUPLED), "Q2") == approx((-15.0, -15.0 / 4.7e3))


@pytest.mark.parametrize("transistor", ["Q1", "Q2"])
def test_halves_of_a_mirror(transistor: str):
    circuit = read_sheet("""
        VCC = 10 V
        Q1 = npn, beta 50
        Q2 = npn, matched to Q1, beta 50
        from VCC through R1 10k to Q1 collector
        from VCC through R2 4k to Q2 collector
        from Q1 collector to Q1 base
        from Q1 collector to Q2 base
        from Q1 emitter to ground
        from Q2 emitter to ground
        """)
    ends = load_line_ends(circuit, transistor, "exact")
    # R1 carries I_C1 and both base currents; R2 carries I_C2 alone.
    I_C = {"Q1": 10.0 / 10e3 / (1 + 2 / 50), "Q2": 10.0 / 4e3}[transistor]
    assert ends == approx((10.0, I_C))


def test_halves_of_a_differential_pair():
    # V_E stands at -0.7 V, held by the other half.
    circuit = read_sheet("""
        VCC = 12 V
        VEE = -12 V
        Q1 = npn, beta 100
        Q2 = npn, beta 100
        from VCC through R1 5k to Q1 collector
        from VCC through R2 5k to Q2 collector
        from Q1 base through RB1 1k to ground
        from Q2 base to ground
        from Q1 emitter to Q2 emitter
        from Q1 emitter through RT 11.3k to VEE
        """)
    for rung in ("board", "exact"):
        assert load_line_ends(circuit, "Q1", rung) == approx((12.7, 12.7 / 5e3))


@pytest.mark.parametrize("rung", ["board", "exact"])
@pytest.mark.parametrize("name", [a.name for a in arrangements()])
def test_arrangements_lie_on_their_load_lines(name: str, rung: str):
    circuit = arrangement(name).circuit
    point = operating_point(circuit, rung)
    for q in point.transistors.values():
        if (name, q.name) == ("cascode", "Q2"):  # its current is that of the lower transistor
            with pytest.raises(NoSolutionError, match="forces the current of Q2"):
                load_line_ends(circuit, q.name, rung, point=point)
            continue
        ends = load_line_ends(circuit, q.name, rung, point=point)
        on_line = ends.V_CE * (1.0 - q.I_C / ends.I_C)
        assert on_line == approx(q.V_CE, rel=1e-9, abs=1e-9)


# A straight line through VDD and VDD/(R_D + R_S); common practice, no source.
def test_load_line_of_a_field_effect_transistor():
    circuit = read_sheet(
        """
VDD = 12 V
Q1 = n-channel JFET, I_DSS 6 mA, V_GS_off -3 V
from VDD through RD 2k7 to Q1 drain
from Q1 gate through RG 1M to ground
from Q1 source through RS 820 to ground
"""
    )
    for rung in ("board", "exact", "device"):
        ends = load_line_ends(circuit, "Q1", rung)
        assert approx((12.0, 12.0 / 3520.0)) == (ends.V_DS, ends.I_D)
    own = operating_point(circuit).fets["Q1"]
    assert approx(ends.V_DS * (1.0 - own.I_D / ends.I_D)) == own.V_DS
