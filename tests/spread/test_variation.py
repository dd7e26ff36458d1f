"""Variations: what readers write, and distributions against SciPy's."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from steadypoint.circuit import arrangement, read_sheet
from steadypoint.errors import QuantityError, UnknownNameError
from steadypoint.spread import Sampler, Shape, Variation, read_variation, tolerances

CIRCUIT = arrangement("base bias").circuit
SHARES = np.linspace(0.001, 0.999, 101)


@pytest.mark.parametrize(
    ("text", "low", "high", "shape", "group"),
    [
        ("RB ±5%", 589e3, 651e3, Shape.UNIFORM, ""),
        ("RB ± 5 %", 589e3, 651e3, Shape.UNIFORM, ""),
        ("beta 100..400 log-normal", 100.0, 400.0, Shape.LOG_NORMAL, ""),
        ("Q1.beta 100 .. 400", 100.0, 400.0, Shape.UNIFORM, ""),
        ("VCC 8.5V..9.5V triangular", 8.5, 9.5, Shape.TRIANGULAR, ""),
        ("temperature 0C..40C normal", 273.15, 313.15, Shape.NORMAL, ""),
        ("RC ±1% reel A", 2178.0, 2222.0, Shape.UNIFORM, "reel A"),
        ("Q1.V_BE 0.6V..0.7V die", 0.6, 0.7, Shape.UNIFORM, "die"),
    ],
)
def test_reads_what_a_reader_writes(text, low, high, shape, group):
    found = read_variation(CIRCUIT, text)
    assert (found.low, found.high) == (pytest.approx(low), pytest.approx(high))
    assert (found.shape, found.group) == (shape, group)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("RB", "no variation"),
        ("RB 5", "states no limits"),
        ("RB ±5% normall", "Did you mean 'normal'"),
        ("beta 400..100", "Write the lower one first"),
        ("RB ±200%", "200"),
        ("beta -100..100 log-normal", "current gain of -100"),
        ("V_A 50V..100V log-uniform", "says nothing here"),
    ],
)
def test_refuses_in_one_sentence(text, sentence):
    with pytest.raises(QuantityError, match=sentence):
        read_variation(CIRCUIT, text)


def test_unknown_name_gets_the_nearest():
    with pytest.raises(UnknownNameError, match="RB"):
        read_variation(CIRCUIT, "RBB ±5%")


@pytest.mark.parametrize(
    ("shape", "oracle"),
    [
        (Shape.UNIFORM, stats.uniform(80, 80)),
        (Shape.TRIANGULAR, stats.triang(0.25, 80, 80)),
        (Shape.NORMAL, stats.truncnorm(-3, 3, 120, 40 / 3)),
        (
            Shape.LOG_NORMAL,
            stats.truncnorm(-3, 3, math.log(80 * 160) / 2, math.log(2) / 6),
        ),
    ],
)
def test_quantiles_and_deviation_are_those_of_scipy(shape, oracle):
    found = Variation("beta", 100.0, 80.0, 160.0, shape)
    expected = oracle.ppf(SHARES)
    if shape is Shape.LOG_NORMAL:
        mean, square = (oracle.expect(lambda y, k=k: np.exp(k * y)) for k in (1, 2))
        expected, deviation = np.exp(expected), math.sqrt(square - mean**2)
    else:
        deviation = oracle.std()
    np.testing.assert_allclose(found.quantile(SHARES), expected, rtol=1e-9)
    assert found.standard_uncertainty == pytest.approx(deviation, rel=1e-6)


def test_a_reel_has_something_in_common_and_each_part_its_own_distribution():
    """Rank correlation of a Gaussian copula: 6/π asin(ρ/2) (Kruskal 1958, from memory)."""
    reel = [Variation(name, 1e3, 950.0, 1050.0, group="reel", correlation=0.9) for name in "AB"]
    drawn = Sampler(tuple(reel))(np.random.default_rng(7), 200_000)
    rank = stats.spearmanr(drawn["A"], drawn["B"]).statistic
    assert rank == pytest.approx(6 / math.pi * math.asin(0.45), abs=0.005)
    assert stats.kstest(drawn["A"], stats.uniform(950, 100).cdf).pvalue > 1e-3


def test_whole_correlation_is_one_and_the_same():
    die = [Variation(n, 100.0, 50.0, 150.0, group="die", correlation=1.0) for n in ("A", "B")]
    drawn = Sampler(tuple(die))(np.random.default_rng(1), 100)
    np.testing.assert_array_equal(drawn["A"], drawn["B"])


def test_tolerances_of_the_sheet():
    circuit = read_sheet(
        "VCC = 9 V ±10%\nQ1 = npn\nfrom VCC through RB 470k ±5% to Q1 base\n"
        "from VCC through RC 2k2 to Q1 collector\nfrom Q1 emitter to ground\n"
    )
    assert [v.setting for v in tolerances(circuit)] == ["VCC", "RB"]
    found = {v.setting: v for v in tolerances(circuit, resistors=0.01)}
    assert found["RC"].high == pytest.approx(2222.0)
    assert found["RB"].low == pytest.approx(446.5e3)
