"""All points of latching circuits, against scipy on independent equations."""

from __future__ import annotations

from functools import partial

import mpmath
import numpy as np
import pytest
from circuits import latch, resistor, supply, transistor
from exponential_oracle import imbalances, unknown_nodes
from scipy.optimize import brentq, root

from steadypoint.circuit import GROUND, Circuit, Kind
from steadypoint.solve import Region, Result, solve
from steadypoint.solve._further import further_points
from steadypoint.solve._network import network
from steadypoint.solve._newton import laws_of
from steadypoint.solve._plan import plan_of

T = 298.15
USUAL = {"beta": 100.0, "beta_R": 1.0, "V_BE": 0.7, "V_A": 80.0}


def lopsided_latch() -> Circuit:
    """Cross-coupled collectors and bases, the halves unequal."""
    return Circuit(
        (
            supply("VCC", 6.0),
            resistor("RC1", "VCC", "c1", 1.2e3),
            resistor("RC2", "VCC", "c2", 820.0),
            resistor("RB1", "c1", "b2", 15e3),
            resistor("RB2", "c2", "b1", 22e3),
            transistor("Q1", "c1", "b1", GROUND, **USUAL),
            transistor("Q2", "c2", "b2", GROUND, **USUAL | {"beta": 180.0}),
        )
    )


def complementary_pair() -> Circuit:
    """A pnp and an npn transistor that feed each other's bases: off, on, and one between."""
    return Circuit(
        (
            supply("VCC", 12.0),
            resistor("RL", "VCC", "top", 1e3),
            resistor("R1", "top", "b", 4.7e3),
            resistor("R2", "c", GROUND, 4.7e3),
            transistor("Q1", "c", "b", "top", Kind.PNP, **USUAL),
            transistor("Q2", "b", "c", GROUND, **USUAL),
        )
    )


def side_by_side() -> Circuit:
    """Two latches on one supply: three times three points, four of them resting."""
    parts = [p for p in lopsided_latch().parts if p.name != "VCC"]
    second = [
        type(p)(
            f"{p.name}b", p.kind, tuple(_second(n) for n in p.nodes), p.value, options=p.options
        )
        for p in parts
    ]
    return Circuit((supply("VCC", 6.0), *parts, *second))


def _second(node: str) -> str:
    return node if node in ("VCC", GROUND) else f"{node}b"


def points_by_driving(circuit: Circuit, node: str) -> list[dict[str, float]]:
    """All points, from the current that a source at one node would deliver.

    With the base of one transistor held at a voltage the loop is open and the rest has one
    solution; scipy follows it as the voltage rises. Where the source delivers nothing, it may be
    taken away: these voltages are all the points (the driving-point characteristic of textbooks).
    """
    names = unknown_nodes(circuit)
    place = names.index(node)

    def off(V, rest):
        x = np.insert(rest, place, V)
        return np.array(imbalances(circuit, list(x), T, np)[0])

    def rest_off(r, V):
        return 1e3 * np.delete(off(V, r), place)

    def solved(V, start):
        for method in ("hybr", "lm"):
            with np.errstate(all="ignore"):
                found = root(rest_off, start, V, method=method, options={"xtol": 1e-14})
            if np.abs(found.fun).max() < 1e-9:
                return found.x
        raise ArithmeticError

    def reached(V, start, step):
        """The rest at V + step, in halved steps where scipy does not get there at once."""
        try:
            return solved(V + step, start)
        except ArithmeticError:
            if step < 1e-7:
                raise
        half = reached(V, start, step / 2)
        return reached(V + step / 2, half, step / 2)

    rest = _first(lambda r: solved(0.0, r), circuit, len(names) - 1)
    points, V, step = [], 0.0, 2.5e-3
    before = off(V, rest)[place]
    while V < 0.85:
        ahead = reached(V, rest, step)
        after = off(V + step, ahead)[place]
        if before * after < 0 or before == 0:
            driven = partial(_delivered, off, reached, V, rest, place)
            at = brentq(driven, V, V + step, xtol=1e-14)
            found = np.insert(reached(V, rest, at - V), place, at)
            points.append(dict(zip(names, found.tolist(), strict=True)))
        V, rest, before = V + step, ahead, after
    return points


def _delivered(off, reached, V, rest, place, at):
    return off(at, reached(V, rest, at - V))[place]


def _first(solved, circuit, count):
    rng, high = np.random.default_rng(7), max(p.value.value for p in circuit.supplies)
    for _ in range(500):
        try:
            return solved(rng.choice([0.05, 0.7, high - 0.1, high], count))
        except ArithmeticError:
            continue
    raise AssertionError("scipy finds no first point")


def grows(circuit: Circuit, x: np.ndarray) -> bool:
    """Whether a disturbance grows with 1 F at every node: an eigenvalue of -dI/dV above zero."""
    h, J = mpmath.mpf(10) ** -12, np.zeros((len(x), len(x)))
    with mpmath.workdps(30):
        at = [mpmath.mpf(float(v)) for v in x]
        base = imbalances(circuit, at, T, mpmath.mp)[0]
        for k in range(len(x)):
            moved = [v + (h if i == k else 0) for i, v in enumerate(at)]
            ahead = imbalances(circuit, moved, T, mpmath.mp)[0]
            J[:, k] = [float((a - b) / h) for a, b in zip(ahead, base, strict=True)]
    return bool((np.linalg.eigvals(-J).real > 0).any())


@pytest.mark.parametrize(("make", "node"), [(lopsided_latch, "b1"), (complementary_pair, "c")])
def test_the_points_are_those_of_the_driving_point_characteristic(make, node):
    circuit = make()
    oracle = points_by_driving(circuit, node)
    assert len(oracle) == 3
    solution = solve(circuit, "device")
    assert solution.result is Result.SEVERAL
    points = (solution.value, *solution.others)
    assert len(points) == 3
    names = unknown_nodes(circuit)
    for wanted in oracle:
        nearest = min(points, key=lambda p, n=node, w=wanted: abs(p.nodes[n] - w[n]))
        assert {n: nearest.nodes[n] for n in names} == pytest.approx(wanted, abs=1e-6)
    # The one between the other two is the one that does not last.
    assert solution.stable == (True, True, False)
    middle = sorted(p.nodes[node] for p in points)[1]
    assert points[2].nodes[node] == middle
    for point, stable in zip(points, solution.stable, strict=True):
        assert stable is not grows(circuit, np.array([point.nodes[n] for n in names]))
    told = [w for w in solution.value.warnings if "3 operating points" in w]
    assert len(told) == 1
    assert told[0].count("(unstable)") == 1


def test_the_symmetric_latch_has_its_balanced_point_between_the_resting_ones():
    solution = solve(latch(), "device")
    assert solution.stable == (True, True, False)
    balanced = solution.others[1].transistors
    assert pytest.approx(balanced["Q2"].I_C, rel=1e-6) == balanced["Q1"].I_C
    assert {t.region for t in solution.value.transistors.values()} == {
        Region.SATURATION,
        Region.CUTOFF,
    }


def test_two_latches_have_nine_points_of_which_four_rest():
    # Each half has two resting points and one that does not last, and they do not feel each other.
    # Both halves out of rest: two signs make a positive determinant, yet the point does not rest.
    circuit = side_by_side()
    solution = solve(circuit, "device")
    assert solution.stable == (True,) * 4 + (False,) * 5
    names = unknown_nodes(circuit)
    for point, stable in zip((solution.value, *solution.others), solution.stable, strict=True):
        x = np.array([point.nodes[n] for n in names])
        assert stable is not grows(circuit, x)


@pytest.mark.parametrize("make", [lopsided_latch, complementary_pair])
@pytest.mark.parametrize("place", [0, 1, 2])
def test_from_any_of_the_points_the_others_are_found(make, place):
    # Straight pieces are kept back, so that signs and starts alone must lead to the others.
    circuit = make()
    net = network(circuit, T)
    plan, laws = plan_of(net), laws_of(net, T)
    first = solve(circuit, "device")
    x = (first.value, *first.others)[place]
    V = np.array([x.nodes[n] for n in net.names] + [0.0])
    known = further_points(net, plan, laws, _settled(plan, laws, V), (), all_regions=False)
    assert len(known.points) == 3
    assert not known.missing


def _settled(plan, laws, V):
    from steadypoint.solve._newton import Trial, newton

    v = (V[plan.plus] - V[plan.minus] - laws.offset).tolist()
    trial = newton(plan, laws, Trial(V, np.zeros(len(plan.floating)), v))
    assert trial.settled
    return trial
