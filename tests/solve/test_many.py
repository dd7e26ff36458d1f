"""Operating points in bulk: equal to single solutions and to scipy's root finder."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor

import numpy as np
import pytest
from circuits import current, diode, divider, latch, resistor, supply, transistor, zener
from exponential_oracle import imbalances, unknown_nodes
from random_circuits import random_circuit
from scipy.optimize import root

from steadypoint.circuit import GROUND, Circuit, Kind, Part, apply_setting, arrangements
from steadypoint.errors import CircuitError, NoSolutionError, QuantityError, UnknownNameError
from steadypoint.solve import (
    Outcome,
    Region,
    Result,
    operating_point,
    solve,
    solve_many,
    stream_many,
)
from steadypoint.values import Quantity

REGIONS = (Region.ACTIVE, Region.SATURATION, Region.CUTOFF, Region.REVERSE, Region.TRIODE)
STATED = (
    Kind.RESISTOR,
    Kind.SUPPLY,
    Kind.VOLTAGE_SOURCE,
    Kind.CURRENT_SOURCE,
    Kind.ZENER,
)


def _varied(circuit, rng, n):
    """Every value and datum of a circuit varied, widely for the transistors."""
    values = {"temperature": rng.uniform(233.0, 400.0, n)}
    for p in circuit.parts:
        if p.kind in STATED:
            values[p.name] = p.value.value * rng.uniform(0.8, 1.2, n)
        if p.kind.is_fet:
            values |= _varied_fet(p, rng, n)
        elif p.kind.is_transistor:
            values[f"{p.name}.beta"] = np.exp(rng.uniform(np.log(20), np.log(800), n))
            values[f"{p.name}.beta_R"] = rng.uniform(0.1, 20.0, n)
            values[f"{p.name}.V_A"] = rng.uniform(20.0, 300.0, n)
            values[f"{p.name}.V_BE"] = rng.uniform(0.6, 0.75, n)
            values[f"{p.name}.I_CBO"] = rng.uniform(0.0, 1e-7, n)
        if p.kind in (Kind.DIODE, Kind.ZENER):
            values[f"{p.name}.V_F"] = rng.uniform(0.6, 0.75, n)
    return values


def _varied_fet(part, rng, n):
    """Pinch-off or threshold, conductance and modulation of a field-effect transistor."""
    opens = "V_GS_off" if part.kind in (Kind.N_JFET, Kind.P_JFET) else "V_GS_th"
    size = "I_DSS" if opens == "V_GS_off" else "K"
    varied = {f"{part.name}.lambda": rng.uniform(0.0, 0.05, n)}
    for symbol in (opens, size):
        stated = part.option(symbol)
        if stated is not None:
            varied[f"{part.name}.{symbol}"] = stated * rng.uniform(0.7, 1.3, n)
    return varied


def _single(circuit, values, at):
    """One set solved alone, its values written into the circuit through the public settings."""
    T = None
    for name, column in values.items():
        if name == "temperature":
            T = float(column[at])
        else:
            circuit = apply_setting(circuit, f"{name}={float(column[at])!r}")
    return solve(circuit, "device", temperature=T)


def _assert_same(points, at, point):
    for name, V in point.nodes.items():
        assert points.nodes[name][at] == pytest.approx(V, rel=1e-9, abs=1e-9), name
    for name, t in point.transistors.items():
        many = points.transistors[name]
        for symbol in ("I_C", "I_B", "I_E"):
            wanted = getattr(t, symbol)
            assert getattr(many, symbol)[at] == pytest.approx(wanted, rel=1e-9, abs=1e-16), symbol
        assert many.V_CE[at] == pytest.approx(t.V_CE, rel=1e-9, abs=1e-9)
        assert REGIONS[many.region[at]] is t.region
    assert points.fets.keys() == point.fets.keys()
    for name, f in point.fets.items():
        many = points.fets[name]
        for symbol in ("I_D", "I_G", "I_S", "V_DS", "V_GS"):
            wanted = getattr(f, symbol)
            assert getattr(many, symbol)[at] == pytest.approx(wanted, rel=1e-8, abs=1e-12), symbol
        assert REGIONS[many.region[at]] is f.region


@pytest.mark.parametrize("given", arrangements(), ids=lambda a: a.name)
def test_agrees_with_single_solutions_on_every_arrangement(given):
    values = _varied(given.circuit, np.random.default_rng(7), 24)
    points = solve_many(given.circuit, values)
    assert points.converged.all()
    for at in range(8):
        _assert_same(points, at, _single(given.circuit, values, at).value)


def test_agrees_with_single_solutions_on_random_circuits():
    rng = np.random.default_rng(11)
    compared = 0
    for _ in range(60):
        circuit = random_circuit(rng, most_transistors=2)
        values = {
            p.name: p.value.value * rng.uniform(0.9, 1.1, 3)
            for p in circuit.parts
            if p.kind in STATED
        }
        points = solve_many(circuit, values)
        for at in range(3):
            alone = _single(circuit, values, at)
            if alone.value is None:
                assert not points.converged[at]
                continue
            if any("carries" in w for w in alone.value.warnings):
                continue  # no classroom circuit: more than 10 A
            compared += 1
            nearest = min(
                max(abs(p.nodes[n] - points.nodes[n][at]) for n in p.nodes)
                for p in (alone.value, *alone.others)
            )
            assert nearest < 1e-6
    assert compared > 120


@pytest.mark.parametrize("given", arrangements()[:8], ids=lambda a: a.name)
def test_closes_kirchhoffs_law_in_the_oracles_equations_where_scipy_does(given):
    # exponential_oracle.py writes the node equations anew; scipy.optimize.root solves them.
    rng = np.random.default_rng(5)
    stated = [p for p in given.circuit.parts if p.kind in STATED]
    values = {p.name: p.value.value * rng.uniform(0.9, 1.1, 5) for p in stated}
    circuit = given.circuit
    for p in circuit.parts:
        if p.kind.is_transistor:
            for symbol, figure in (("beta", 150.0), ("beta_R", 2.0), ("V_A", 90.0), ("V_BE", 0.66)):
                stated = circuit.part(p.name).with_option(symbol, Quantity(figure))
                circuit = circuit.with_part(stated)
        elif p.kind in (Kind.DIODE, Kind.ZENER):
            circuit = circuit.with_part(p.with_option("V_F", Quantity(0.66, "V")))
    if any(p.kind in (Kind.CAPACITOR, Kind.INDUCTOR) for p in circuit.parts):
        circuit = Circuit(tuple(p for p in circuit.parts if p.kind is not Kind.CAPACITOR))
    points = solve_many(circuit, values, temperature=310.0)
    names = [n for n in unknown_nodes(circuit) if n in points.nodes]
    for at in range(5):
        drawn = circuit
        for name, column in values.items():
            drawn = drawn.with_value(name, float(column[at]))
        start = [float(points.nodes[n][at]) + 0.01 for n in names]

        def balance(x, drawn=drawn):
            off, size = imbalances(drawn, list(x), 310.0, np)
            return np.array(off) / (np.array(size) + 1e-15)

        with np.errstate(all="ignore"):
            found = root(balance, start, method="hybr", options={"xtol": 1e-14})
        if np.abs(found.fun).max() < 1e-9:
            ours = [points.nodes[n][at] for n in names]
            assert ours == pytest.approx(list(found.x), abs=1e-7)
        ours = balance([float(points.nodes[n][at]) for n in names])
        assert np.abs(ours).max() < 1e-8


def test_zeners_sources_and_hanging_batteries():
    circuit = Circuit(
        (
            supply("VCC", 15.0),
            resistor("R1", "VCC", "b", 1e3),
            zener("D1", GROUND, "b", 5.1, r_Z=8.0),
            Part("V1", Kind.VOLTAGE_SOURCE, ("b", "b2"), Quantity(0.3, "V")),
            transistor("Q1", "c", "b2", "e"),
            resistor("RE", "e", GROUND, 1e3),
            resistor("RC", "VCC", "c", 2e3),
            current("I1", "e", GROUND, 1e-3),
            diode("D2", "e", "f"),
            resistor("R3", "f", GROUND, 10e3),
        )
    )
    values = _varied(circuit, np.random.default_rng(3), 40)
    values["D1.r_Z"] = np.linspace(0.0, 20.0, 40)
    points = solve_many(circuit, values)
    assert points.converged.all()
    for at in range(0, 40, 5):
        _assert_same(points, at, _single(circuit, values, at).value)


def test_pairs_that_latch_stand_at_a_point_that_lasts():
    circuit = latch()
    points = solve_many(circuit, {"RC1": np.linspace(800.0, 1200.0, 21)})
    assert points.converged.all()
    for at in (0, 10, 20):
        alone = _single(circuit, {"RC1": np.linspace(800.0, 1200.0, 21)}, at)
        V = {n: points.nodes[n][at] for n in points.nodes}
        lasting = (alone.value, *alone.others)[:2]
        assert any(all(abs(p.nodes[n] - V[n]) < 1e-7 for n in V) for p in lasting)


def test_sets_without_a_point_are_reported_with_a_reason():
    # A base held by a source: beyond reason in between, and one value that is no number.
    circuit = divider()
    values = {"R1": np.array([47e3, -1.0, np.nan, 0.0, 56e3])}
    points = solve_many(circuit, values)
    assert points.converged.tolist() == [True, False, False, False, True]
    assert points.outcome.tolist()[1:4] == [Outcome.OUT_OF_REASON] * 3
    assert set(points.reasons) == {1, 2, 3}
    assert all(np.isnan(points.nodes["c"][1:4]))
    assert points.transistors["Q1"].region.tolist()[1:4] == [255] * 3
    assert "2 of 5" in points.summary()
    assert "out of reason" in points.summary()


def test_a_current_without_a_way_is_refused_before_anything_is_drawn():
    circuit = Circuit((supply("VCC", 5.0), current("I1", "a", GROUND, 1e-3), *divider().parts[1:]))
    with pytest.raises(NoSolutionError, match="I1"):
        solve_many(circuit, {"RC": np.array([1e3, 2e3])})


def test_sets_that_no_way_settles_give_no_numbers():
    # Only 90 GΩ across a current source: the voltage runs out of reason.
    circuit = Circuit(
        (*divider().parts, current("I1", GROUND, "a", 1e-3), resistor("RX", "a", GROUND, 1e3))
    )
    points = solve_many(circuit, {"RX": np.array([1e3, 9e10])})
    alone = _single(circuit, {"RX": np.array([1e3, 9e10])}, 1)
    assert alone.result is Result.NO_SOLUTION
    assert points.outcome.tolist() == [Outcome.FOUND, Outcome.NO_SOLUTION]
    assert points.reasons[1] == str(alone.error)
    assert np.isnan(points.nodes["a"][1])


def _drawn(rng, n):
    return {
        "R1": 47e3 * (1 + 0.05 * rng.standard_normal(n)),
        "Q1.beta": rng.uniform(50.0, 400.0, n),
        "temperature": rng.uniform(260.0, 340.0, n),
    }


def _bits(points):
    columns = [*points.nodes.values(), *(t.I_C for t in points.transistors.values())]
    return b"".join(np.ascontiguousarray(c).tobytes() for c in columns)


def test_a_sampler_gives_the_same_bits_for_any_number_of_workers():
    circuit = divider()
    alone = solve_many(circuit, _drawn, 5000, seed=3, chunk=700)
    with ProcessPoolExecutor(2) as pool:
        spread = solve_many(circuit, _drawn, 5000, seed=3, chunk=700, executor=pool)
    with ThreadPoolExecutor(3) as pool:
        threads = solve_many(circuit, _drawn, 5000, seed=3, chunk=700, executor=pool)
    assert _bits(alone) == _bits(spread) == _bits(threads)
    assert _bits(alone) != _bits(solve_many(circuit, _drawn, 5000, seed=4, chunk=700))


def test_streams_of_chunks_do_not_overlap():
    # Two chunks of one run, and the same chunk of two seeds, share no number.
    from steadypoint.solve._many_chunk import stream_of

    runs = [stream_of(s, c).random(1000) for s, c in ((0, 0), (0, 1), (1, 0), (1, 1))]
    assert len(set(np.concatenate(runs).tolist())) == 4000


def test_chunks_of_columns_make_no_difference_and_come_in_order():
    circuit, rng = divider(), np.random.default_rng(2)
    values = _drawn(rng, 999)
    whole = solve_many(circuit, values)
    chunks = list(stream_many(circuit, values, chunk=100))
    assert [c.start for c in chunks] == list(range(0, 999, 100))
    joined = np.concatenate([c.transistors["Q1"].I_C for c in chunks])
    assert joined == pytest.approx(whole.transistors["Q1"].I_C, rel=1e-11)
    halves = [{k: v[:500] for k, v in values.items()}, {k: v[500:] for k, v in values.items()}]
    assert solve_many(circuit, iter(halves)).nodes["c"] == pytest.approx(whole.nodes["c"])


def test_progress_is_told_and_a_stop_keeps_what_is_done():
    told = []

    def progress(done, total):
        told.append((done, total))
        if done >= 300:
            raise KeyboardInterrupt

    points = solve_many(divider(), _drawn, 1000, chunk=100, progress=progress)
    assert told == [(100, 1000), (200, 1000), (300, 1000)]
    assert len(points) == 300
    assert not points.complete
    assert points.converged.all()
    assert "stopped" in points.summary()


def test_a_letter_symbol_alone_means_every_part_that_has_it():
    circuit = latch()
    together = solve_many(circuit, {"beta": np.array([80.0, 120.0])})
    apart = solve_many(
        circuit, {"Q1.beta": np.array([80.0, 120.0]), "Q2.beta": np.array([80.0, 120.0])}
    )
    assert _bits(together) == _bits(apart)


@pytest.mark.parametrize(
    ("values", "error", "words"),
    [
        ({"RX": [1.0]}, UnknownNameError, "RX"),
        ({"Q1.bета": [1.0]}, UnknownNameError, "Q1"),
        ({"Q1": [1.0]}, QuantityError, "no value"),
        ({"RC": [1.0, 2.0], "RE": [1.0, 2.0, 3.0]}, CircuitError, "as many values"),
        ({"RC": ["much"]}, CircuitError, "no numbers"),
        ({"RC": [[1.0, 2.0]]}, CircuitError, "column"),
        (3.0, CircuitError, "mapping"),
        ([3.0], CircuitError, "mapping"),
        (_drawn, CircuitError, "State n"),
    ],
)
def test_bad_input_gets_one_sentence(values, error, words):
    with pytest.raises(error, match=words):
        solve_many(divider(), values)


def test_limits_of_the_run_are_checked():
    with pytest.raises(CircuitError, match="seed"):
        solve_many(divider(), _drawn, 10, seed=-1)
    with pytest.raises(CircuitError, match="chunk"):
        solve_many(divider(), _drawn, 10, chunk=0)
    assert len(solve_many(divider(), _drawn, 0)) == 0
    assert len(solve_many(divider(), {})) == 1


def test_saturated_and_cut_off_sets_are_coded():
    circuit = divider()
    points = solve_many(circuit, {"R2": np.array([10e3, 100e3, 100.0])})
    codes = points.transistors["Q1"].region.tolist()
    assert [REGIONS[c] for c in codes] == [Region.ACTIVE, Region.SATURATION, Region.CUTOFF]
    for at, ohms in enumerate((10e3, 100e3, 100.0)):
        point = operating_point(circuit.with_value("R2", ohms), "device")
        _assert_same(points, at, point)
