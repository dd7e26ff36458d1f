"""The compiled lanes; without a compiler the same functions run as plain Python."""

from __future__ import annotations

import numpy as np
import pytest
from circuits import current, diode, divider, resistor, supply, transistor, zener
from test_many import _varied

from steadypoint.circuit import GROUND, Circuit, Kind, Part, arrangements
from steadypoint.errors import CircuitError
from steadypoint.kernels import _eight
from steadypoint.kernels._eight_functions import exponential, logarithm
from steadypoint.solve import solve_many
from steadypoint.solve._lane_fast import installed
from steadypoint.solve._lanes import solve_lanes
from steadypoint.solve._many_chunk import _prepared
from steadypoint.solve._many_settings import Figures
from steadypoint.values import Quantity

WITH_EVERYTHING = Circuit(
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
# Compiled lanes know no channels; circuits with them take the others (see test_many_fets).
CIRCUITS = {a.name: a.circuit for a in arrangements() if not a.circuit.fets}
CIRCUITS |= {"everything": WITH_EVERYTHING}


@pytest.mark.parametrize("circuit", CIRCUITS.values(), ids=CIRCUITS)
def test_compiled_lanes_come_to_the_points_of_the_others(circuit):
    n = 27  # no multiple of the lanes in a group
    values = _varied(circuit, np.random.default_rng(4), n)
    lanes = _prepared(circuit, 298.15)
    figures = Figures(lanes.net, values, 298.15)
    quick, plain = (solve_lanes(lanes, figures, n, fast=fast) for fast in (True, False))
    both = (quick.steps > 0) & (plain.steps > 0)
    assert both.sum() >= 20
    assert quick.x[:, both] == pytest.approx(plain.x[:, both], rel=1e-9, abs=1e-9)


def test_exponential_and_logarithm_of_the_lanes():
    # Against the C library through NumPy: to rounding for one, to nine digits for the other.
    if installed():
        pytest.skip("compiled functions are not called from Python")
    x = np.linspace(-600.0, 600.0, 8 * 500).reshape(-1, 8)
    for row in x:
        assert exponential(row) == pytest.approx(np.exp(row), rel=4e-16)
    for row in np.exp(x / 20.0):
        assert logarithm(row) == pytest.approx(np.log(row), rel=1e-8, abs=1e-9)


def test_lanes_are_compiled_where_there_is_a_compiler():
    assert (_eight.numba is not None) == installed()


def test_asking_for_compiled_lanes_without_a_compiler_says_what_to_install():
    values = {"RC": np.linspace(4e3, 5e3, 50)}
    if installed():
        quick, plain = (solve_many(divider(), values, fast=fast) for fast in (True, False))
        assert quick.nodes["c"] == pytest.approx(plain.nodes["c"], rel=1e-12)
    else:
        with pytest.raises(CircuitError, match=r"steadypoint\[fast\]"):
            solve_many(divider(), values, fast=True)
