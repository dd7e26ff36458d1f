"""The search against brute force by textbook formulas, over every set and every corner."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from steadypoint.choose._hand_model import hand_model
from steadypoint.choose._problem import Condition, Drive, Problem
from steadypoint.choose._search import Search
from steadypoint.circuit import arrangement, read_sheet
from steadypoint.errors import CircuitError
from steadypoint.solve import operating_point
from steadypoint.values import series

DIVIDER = read_sheet(
    "VCC = 12 V\nQ1 = npn\n"
    "from VCC through R1 10k to Q1 base\nfrom Q1 base through R2 10k to ground\n"
    "from VCC through RC 1k to Q1 collector\nfrom Q1 emitter through RE 1k to ground\n"
)
FEEDBACK = read_sheet(
    "VCC = 12 V\nQ1 = npn\n"
    "from VCC through RC 1k to Q1 collector\nfrom Q1 collector through RB 100k to Q1 base\n"
    "from Q1 emitter through RE 100 to ground\n"
)


def divider(R1, R2, RC, RE, beta, V_BE, V):
    """I_C and V_CE of the divider, exact analysis.

    R. L. Boylestad, L. Nashelsky, Electronic Devices and Circuit Theory, 4.5: Thévenin voltage and
    resistance of the divider, I_B = (E_Th - V_BE)/(R_Th + (beta + 1) R_E).
    """
    R_Th, E_Th = R1 * R2 / (R1 + R2), V * R2 / (R1 + R2)
    I_B = (E_Th - V_BE) / (R_Th + (beta + 1) * RE)
    return beta * I_B, V - beta * I_B * RC - (beta + 1) * I_B * RE


def feedback(RB, RC, RE, beta, V_BE, V):
    """I_C and V_CE of collector feedback with emitter resistor, the same book, 4.6."""
    I_B = (V - V_BE) / (RB + (beta + 1) * (RC + RE))
    return beta * I_B, V - (beta + 1) * I_B * (RC + RE)


SHAPES = {
    "divider": (DIVIDER, divider, ("R1", "R2", "RC", "RE"), (1e3, 1e3, 1e2, 1e2)),
    "feedback": (FEEDBACK, feedback, ("RB", "RC", "RE"), (1e4, 1e3, 1e1)),
}


def wish(rng, shape):
    """A random wish: target, tolerance, limits of beta, V_BE and supply, least V_CE."""
    _, _, names, starts = SHAPES[shape]
    step = series(str(rng.choice(["E3", "E6"])))
    lattices = {
        name: np.array([m * start * 10.0**d for d in range(2) for m in step])
        for name, start in zip(names, starts, strict=True)
    }
    low = rng.uniform(40, 150)
    return {
        "lattices": lattices,
        "target": 10 ** rng.uniform(-3.6, -2.6),
        "tolerance": float(rng.choice([0.0, 0.02, 0.1])),
        "beta": (low, low * rng.uniform(1.0, 4.0)),
        "V_BE": (0.6, rng.uniform(0.6, 0.75)),
        "V": (12.0 * (1 - 0.05 * rng.integers(2)), 12.0),
        "least": rng.uniform(0.0, 5.0),
    }


def brute_force(shape, w):
    """Distances of all sets that meet the condition, by the formulas above at every corner."""
    _, formula, names, _ = SHAPES[shape]
    grid = np.array(np.meshgrid(*[w["lattices"][n] for n in names], indexing="ij"))
    x = grid.reshape(len(names), -1)
    low, high = np.full(x.shape[1], np.inf), np.full(x.shape[1], -np.inf)
    least = np.full(x.shape[1], np.inf)
    t = w["tolerance"]
    for signs in itertools.product((1 - t, 1 + t), repeat=len(names)):
        for beta, V_BE, V in itertools.product(w["beta"], w["V_BE"], w["V"]):
            I_C, V_CE = formula(*(x * np.array(signs)[:, None]), beta, V_BE, V)
            low, high, least = np.minimum(low, I_C), np.maximum(high, I_C), np.minimum(least, V_CE)
    J = np.maximum(high / w["target"] - 1, 1 - low / w["target"])
    return np.where(least >= w["least"], J, np.inf)


def searched(shape, w, k=1):
    circuit, _, names, _ = SHAPES[shape]
    emitter = {"V(Q1.collector)": 1.0, "V(Q1.emitter)": -1.0, "": -w["least"]}
    problem = Problem(
        hand_model(circuit),
        w["lattices"],
        dict.fromkeys(names, w["tolerance"]),
        {"Q1": w["beta"]},
        [
            Drive("VCC", *w["V"], {"VCC": 1.0}),
            Drive("V_BE", *w["V_BE"], {"V_BE(Q1)": 1.0}),
            Drive("I_CBO", 0.0, 0.0, {"I_CBO(Q1)": 1.0}),
        ],
        {"I_C(Q1)": 1.0},
        w["target"],
        [Condition("V_CE", emitter)],
    )
    return Search(problem, k).run()


@pytest.mark.parametrize("shape", SHAPES)
def test_best_set_is_that_of_brute_force(shape):
    rng = np.random.default_rng(11)
    met = 0
    for _ in range(40):
        w = wish(rng, shape)
        J = brute_force(shape, w)
        found = searched(shape, w)
        assert found.optimal
        if np.isfinite(J.min()):
            met += 1
            assert pytest.approx(J.min(), rel=1e-9) == found.sets[0].J
        else:
            assert not found.sets
    assert met > 10


def test_twenty_best_sets_are_those_of_brute_force():
    """Sets that differ only in RC, which I_C does not feel, count once."""
    w = wish(np.random.default_rng(5), "divider") | {"tolerance": 0.05, "least": 1.0}
    sizes = [len(w["lattices"][n]) for n in ("R1", "R2", "RC", "RE")]
    J = brute_force("divider", w).reshape(sizes).min(axis=2)
    expected = np.sort(J[np.isfinite(J)])[:20]
    found = [f.J for f in searched("divider", w, 20).sets]
    np.testing.assert_allclose(found, expected, rtol=1e-9)


@pytest.mark.parametrize(
    "name",
    [
        "voltage divider",
        "pnp voltage divider",
        "two-supply emitter bias",
        "cascode",
        "feedback pair",
    ],
)
def test_polynomials_are_the_exact_rung(name):
    """N/D of the hand model at stated values against the operating point of the exact rung."""
    circuit = arrangement(name).circuit
    model = hand_model(circuit)
    point = operating_point(circuit, "exact")
    factors = [circuit.part(r).value.value for r in model.resistors]
    factors += [circuit.part(q).option("beta") or 100.0 for q in model.transistors]
    sources = []
    for source in model.sources:
        kind, _, part = source.rstrip(")").partition("(")
        if not part:
            sources.append(circuit.part(source).value.value)
        elif kind == "I_CBO":
            sources.append(circuit.part(part).option("I_CBO") or 0.0)
        else:
            sources.append(circuit.part(part).option(kind) or 0.7)

    def value(coefficients):
        for x in factors:
            coefficients = coefficients[..., 0::2] + coefficients[..., 1::2] * x
        return coefficients[..., 0]

    for q in model.transistors:
        N = value(model.numerators({f"I_C({q})": 1.0}))
        I_C = float(N @ np.array([*sources, 1.0]) / value(model.D))
        assert pytest.approx(abs(point.transistors[q].I_C), rel=1e-9) == I_C


@pytest.mark.parametrize(
    ("name", "sentence"),
    [
        ("current mirror", "two junctions lie in parallel"),
        ("JFET self bias", "field-effect transistor"),
    ],
)
def test_refuses_what_it_cannot_prove(name, sentence):
    with pytest.raises(CircuitError, match=sentence):
        hand_model(arrangement(name).circuit)


def test_refuses_feedback_that_helps_itself():
    """A cross-coupled pair has a determinant of either sign (R. E. Bryant's latch, from memory)."""
    latch = read_sheet(
        "VCC = 9 V\nQ1 = npn\nQ2 = npn\n"
        "from VCC through RC1 1k to Q1 collector\nfrom VCC through RC2 1k to Q2 collector\n"
        "from Q1 collector through RB2 10k to Q2 base\n"
        "from Q2 collector through RB1 10k to Q1 base\n"
        "from Q1 emitter to ground\nfrom Q2 emitter to ground\n"
    )
    with pytest.raises(CircuitError, match="feedback that helps itself"):
        hand_model(latch)
