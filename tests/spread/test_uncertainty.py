"""Quoted uncertainty against the examples of the GUM."""

from __future__ import annotations

import math

import numpy as np
import pytest

from steadypoint.circuit import arrangement
from steadypoint.errors import QuantityError
from steadypoint.spread import (
    Variation,
    combined_uncertainty,
    monte_carlo,
    read_variation,
    uncertainty,
)

# JCGM 100:2008, annex H.2, table H.2: voltage, current and phase of an impedance, five readings
# each, with their means, standard uncertainties and correlation coefficients.
V, U_V = 4.9990, 0.0032
I_RMS, U_I = 19.6610e-3, 0.0095e-3
PHI, U_PHI = 1.04446, 0.00075
CORRELATION = np.array([[1.0, -0.36, 0.86], [-0.36, 1.0, -0.65], [0.86, -0.65, 1.0]])


@pytest.mark.parametrize(
    ("value", "slopes", "printed_value", "printed_u"),
    [
        (
            V / I_RMS * math.cos(PHI),
            (math.cos(PHI) / I_RMS, -V * math.cos(PHI) / I_RMS**2, -V * math.sin(PHI) / I_RMS),
            127.732,
            0.071,
        ),
        (
            V / I_RMS * math.sin(PHI),
            (math.sin(PHI) / I_RMS, -V * math.sin(PHI) / I_RMS**2, V * math.cos(PHI) / I_RMS),
            219.847,
            0.295,
        ),
        (V / I_RMS, (1 / I_RMS, -V / I_RMS**2, 0.0), 254.260, 0.236),
    ],
    ids=["R", "X", "Z"],
)
def test_correlated_inputs_as_in_GUM_H_2(value, slopes, printed_value, printed_u):
    """JCGM 100:2008, annex H.2.3, tables H.2 and H.3: R, X and Z."""
    parts = [c * u for c, u in zip(slopes, (U_V, U_I, U_PHI), strict=True)]
    assert value == pytest.approx(printed_value, abs=0.02)
    assert combined_uncertainty(parts, CORRELATION) == pytest.approx(printed_u, abs=0.004)


def test_end_gauge_as_in_GUM_H_1():
    """JCGM 100:2008, annex H.1, table H.1: contributions in nm, combined 32 nm."""
    contributions = [25.0, 9.7, 2.9, 16.6]
    assert combined_uncertainty(contributions) == pytest.approx(32.0, abs=0.5)


def test_uniform_limits_as_in_GUM_4_3_7():
    """JCGM 100:2008, 4.3.7: the standard uncertainty is half the width over √3."""
    assert Variation("VCC", 9.0, 8.5, 9.5).standard_uncertainty == pytest.approx(0.5 / math.sqrt(3))


def test_triangle_as_in_GUM_4_3_9():
    """JCGM 100:2008, 4.3.9: the standard uncertainty of a triangle is half the width over √6."""
    from steadypoint.spread import Shape

    triangle = Variation("VCC", 9.0, 8.5, 9.5, Shape.TRIANGULAR)
    assert triangle.standard_uncertainty == pytest.approx(0.5 / math.sqrt(6))


def test_small_limits_agree_with_monte_carlo():
    """Within narrow limits the law of propagation and the drawn copies say the same (JCGM 101)."""
    circuit = arrangement("voltage divider").circuit
    variations = [
        read_variation(circuit, text)
        for text in ("R1 ±1% reel", "R2 ±1% reel", "RE ±1% normal", "beta 140..160")
    ]
    quoted = uncertainty(circuit, variations, "Q1.I_C")
    drawn = monte_carlo(circuit, variations, 200_000, quantities=["Q1.I_C"])
    assert quoted.combined == pytest.approx(drawn.quantities["Q1.I_C"].deviation, rel=0.02)
    assert "k = 2" in quoted.sentence


def test_matrix_of_another_size_is_refused():
    with pytest.raises(QuantityError, match="does not fit"):
        combined_uncertainty([1.0, 2.0], np.eye(3))
