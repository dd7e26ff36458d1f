"""Monte Carlo: against SciPy's interval, stated coverage, closed forms and other workers."""

from __future__ import annotations

import math
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor

import numpy as np
import pytest
from scipy import stats

from steadypoint.circuit import arrangement
from steadypoint.errors import QuantityError, UnknownNameError
from steadypoint.spread import monte_carlo, read_variation, share_interval, variance_shares

CIRCUIT = arrangement("base bias").circuit
BETA = read_variation(CIRCUIT, "beta 100..200")
RB = read_variation(CIRCUIT, "RB ±5%")


@pytest.mark.parametrize(("inside", "n"), [(0, 10), (3, 10), (10, 10), (950, 1000), (1, 50)])
@pytest.mark.parametrize("level", [0.9, 0.95, 0.99])
def test_interval_is_the_wilson_interval_of_scipy(inside, n, level):
    found = share_interval(inside, n, level)
    expected = stats.binomtest(inside, n).proportion_ci(level, method="wilson")
    assert found == pytest.approx((expected.low, expected.high), abs=1e-12)


def test_interval_holds_the_true_share_as_often_as_it_says():
    """A base current fixed by RB alone makes I_C uniform with beta, so the true yield is known."""
    window = {"Q1.I_B": (-math.inf, 13.4e-6)}
    large = monte_carlo(CIRCUIT, [RB], 400_000, seed=99, windows=window).yields[0].share
    held = 0
    for seed in range(300):
        found = monte_carlo(CIRCUIT, [RB], 200, seed=seed, windows=window).yields[0]
        held += found.interval[0] <= large <= found.interval[1]
    low, high = stats.binom(300, 0.95).interval(0.9999)
    assert 0.05 < large < 0.95
    assert low <= held <= high


def test_collector_current_follows_beta_uniformly():
    """I_C = β I_B with I_B hardly moving: uniform beta gives uniform I_C (Kolmogorov-Smirnov)."""
    found = monte_carlo(CIRCUIT, [BETA], 5000, seed=3).quantities["Q1.I_C"]
    low, high = found.values.min(), found.values.max()
    assert stats.kstest(found.values, stats.uniform(low, high - low).cdf).pvalue > 0.01
    assert high / low == pytest.approx(2.0, rel=0.01)
    assert "95 %" in found.sentence


def test_same_numbers_whatever_the_workers():
    runs = [monte_carlo(CIRCUIT, [BETA, RB], 3000, seed=5, chunk=512)]
    with ThreadPoolExecutor(2) as threads, ProcessPoolExecutor(2) as processes:
        for executor in (threads, processes):
            runs.append(
                monte_carlo(CIRCUIT, [BETA, RB], 3000, seed=5, chunk=512, executor=executor)
            )
    for other in runs[1:]:
        for name, spread in runs[0].quantities.items():
            np.testing.assert_array_equal(spread.values, other.quantities[name].values)


def test_regions_are_counted():
    """Saturated below V_CE,sat = 0.2 V (default of the sheet), else active."""
    wide = read_variation(CIRCUIT, "beta 100..400")
    found = monte_carlo(CIRCUIT, [wide], 4000)
    assert sum(found.regions["Q1"].values()) == pytest.approx(1.0)
    saturated = float(np.mean(found.quantities["Q1.V_CE"].values < 0.2))
    assert 0.1 < saturated < 0.9
    assert found.regions["Q1"]["saturation"] == pytest.approx(saturated)
    assert found.without_point == 0


def test_variance_shares_of_a_product():
    """For Y = β I_B, both uniform and independent, the shares follow from the variances alone.

    S_β = σ_β² μ_I² / (σ_β² μ_I² + σ_I² μ_β² + σ_β² σ_I²): variance of a product, Goodman, "On the
    exact variance of products", Journal of the American Statistical Association 55 (1960) 708-713.
    """
    found = {s.cause: s for s in variance_shares(CIRCUIT, [BETA, RB], "I_C", n=2048)}
    drawn = monte_carlo(CIRCUIT, [RB], 100_000, quantities=["I_B"]).quantities["Q1.I_B"]
    b, i = (BETA.standard_uncertainty / 150.0) ** 2, (drawn.deviation / drawn.mean) ** 2
    assert found["beta"].first == pytest.approx(b / (b + i + b * i), abs=0.005)
    assert found["RB"].first == pytest.approx(i / (b + i + b * i), abs=0.005)
    assert list(found) == ["beta", "RB"]


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: monte_carlo(CIRCUIT, []), "Nothing varies"),
        (lambda: monte_carlo(CIRCUIT, [BETA, BETA]), "varies twice"),
        (lambda: monte_carlo(CIRCUIT, [BETA], 1), "copies cannot be kept"),
        (lambda: monte_carlo(CIRCUIT, [BETA], level=0.1), "says little"),
        (lambda: monte_carlo(CIRCUIT, [BETA], windows={"I_C": (2.0, 1.0)}), "lower limit first"),
        (lambda: share_interval(3, 2), "no share"),
    ],
)
def test_refusals(call, sentence):
    with pytest.raises(QuantityError, match=sentence):
        call()


def test_unknown_quantity_gets_the_nearest():
    with pytest.raises(UnknownNameError, match=r"Q1\.I_C"):
        monte_carlo(CIRCUIT, [BETA], 100, quantities=["Q1.IC"])


def test_variance_shares_of_the_ishigami_function():
    """Y = sin x1 + 7 sin² x2 + 0.1 x3⁴ sin x1, x uniform in ±π: S1 = 0.3139, S2 = 0.4424, S3 = 0,
    ST1 = 0.5576, ST2 = 0.4424, ST3 = 0.2437 (T. Ishigami, T. Homma, ISUMA 1990; A. Saltelli et al.,
    Sensitivity Analysis in Practice, 2004).
    """
    from steadypoint.spread._variance_shares import shares_of

    def ishigami(u):
        x = np.pi * (2.0 * u - 1.0)
        return np.sin(x[0]) + 7.0 * np.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * np.sin(x[0])

    found = {s.cause: s for s in shares_of(ishigami, ["x1", "x2", "x3"], n=2**14, seed=1)}
    first = [found[k].first for k in ("x1", "x2", "x3")]
    total = [found[k].total for k in ("x1", "x2", "x3")]
    assert first == pytest.approx([0.3139, 0.4424, 0.0], abs=0.01)
    assert total == pytest.approx([0.5576, 0.4424, 0.2437], abs=0.01)


def test_same_numbers_for_one_two_and_eight_workers():
    runs = []
    for workers in (1, 2, 8):
        with ThreadPoolExecutor(workers) as threads:
            found = monte_carlo(CIRCUIT, [BETA, RB], 4096, seed=2, chunk=256, executor=threads)
        runs.append(found.quantities["Q1.I_C"].values)
    np.testing.assert_array_equal(runs[0], runs[1])
    np.testing.assert_array_equal(runs[0], runs[2])


def test_a_dask_cluster_gives_the_same_copies():
    distributed = pytest.importorskip("distributed")
    with (
        distributed.LocalCluster(
            n_workers=1, threads_per_worker=2, processes=False, dashboard_address=None
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        spread = monte_carlo(
            CIRCUIT, [BETA, RB], 2048, seed=2, chunk=256, executor=client.get_executor()
        )
    alone = monte_carlo(CIRCUIT, [BETA, RB], 2048, seed=2, chunk=256)
    for name, found in alone.quantities.items():
        np.testing.assert_array_equal(found.values, spread.quantities[name].values)


def test_field_effect_transistors_have_their_own_quantities():
    """Self bias by the square law: I_D = I_DSS (1 - V_GS/V_GS_off)² (W. Shockley 1952)."""
    circuit = arrangement("JFET self bias").circuit
    found = monte_carlo(circuit, [read_variation(circuit, "I_DSS 4mA..12mA")], 500, seed=1)
    I_D, V_DS = (found.quantities[f"Q1.{s}"].values for s in ("I_D", "V_DS"))
    assert (np.diff(V_DS[np.argsort(I_D)]) <= 1e-9).all()
    assert set(found.regions["Q1"]) <= {"saturation", "triode"}
