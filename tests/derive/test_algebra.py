"""Laurent polynomials, grouping, loops and matching: held against SymPy and by hand."""

from __future__ import annotations

import random

import pytest
import sympy
from as_sympy import as_sympy

from steadypoint.derive import to_text
from steadypoint.derive._algebra import Atoms, Poly, Sort
from steadypoint.derive._graph import Edge, components, in_order, loops, match, path


def atoms() -> Atoms:
    known = Atoms()
    for name in ("RB", "RC", "RE", "R1", "R2"):
        known.declare(name, Sort.RESISTANCE)
    for name in ("VCC", "V_BE"):
        known.declare(name, Sort.VOLTAGE)
    known.declare("beta", Sort.GAIN)
    known.declare("beta+1", Sort.GAIN)
    return known


A = Poly.atom


@pytest.mark.parametrize(
    ("poly", "text"),
    [
        (A("RB") + A("beta+1") * A("RC") + A("beta+1") * A("RE"), "R_B + (β + 1) (R_C + R_E)"),
        (A("RC") + A("beta") * A("RC") + A("RB"), "R_C + R_B + β R_C"),
        (A("VCC") * A("R2") - A("V_BE") * A("R2"), "R_2 (V_CC − V_BE)"),
        (-A("V_BE") + A("VCC"), "V_CC − V_BE"),
        (A("RE") * A("beta+1", -1), "R_E/(β + 1)"),
        (Poly(), "0"),
    ],
)
def test_grouping_reads_like_a_board(poly, text):
    assert to_text(atoms().write(poly)) == text


def as_plain(poly: Poly) -> sympy.Expr:
    total = sympy.Integer(0)
    for monomial, count in poly.terms.items():
        term = sympy.Integer(count)
        for name, exponent in monomial:
            base = sympy.Symbol(name.removesuffix("+1"), positive=True)
            term *= (base + 1 if name.endswith("+1") else base) ** exponent
        total += term
    return total


@pytest.mark.parametrize("seed", range(40))
def test_grouping_changes_no_value(seed):
    chance = random.Random(seed)  # noqa: S311  trial values
    names = ["RB", "RC", "RE", "R1", "R2"]
    poly = Poly()
    for _ in range(chance.randint(1, 5)):
        term = A(chance.choice(names)) * chance.choice((1, 1, 2, -1))
        if chance.random() < 0.6:
            term = term * A(chance.choice(("beta", "beta+1")))
        if chance.random() < 0.4:
            term = term * A(chance.choice(("VCC", "V_BE")))
        poly = poly + term
    assert sympy.simplify(as_sympy(atoms().write(poly)) - as_plain(poly)) == 0


def test_ratio_cancels_only_against_its_own_denominator():
    known = atoms()
    ratio, sign = known.ratio(A("RC") + A("R1"), -A("R2"))
    assert sign == -1
    assert to_text(known.write(ratio * A("R2"))) == "R_C + R_1"
    assert to_text(known.write(ratio * A("RE"))) == "R_E (R_C + R_1)/R_2"


def test_loops_are_a_shortest_basis():
    # a square with one diagonal: the two triangles, not the square
    edges = [
        Edge("ab", "a", "b"),
        Edge("bc", "b", "c"),
        Edge("cd", "c", "d"),
        Edge("da", "d", "a"),
        Edge("ac", "a", "c"),
    ]
    assert sorted(map(sorted, loops(edges))) == [["ab", "ac", "bc"], ["ac", "cd", "da"]]


def test_parallel_edges_make_a_loop_of_two():
    assert sorted(loops([Edge("x", "a", "b"), Edge("y", "a", "b")])[0]) == ["x", "y"]


def test_path_parts_matching_and_order():
    edges = [Edge("ab", "a", "b"), Edge("bc", "b", "c"), Edge("ac", "a", "c", 3.0)]
    assert [e.name for e in path(edges, "a", "c")] == ["ab", "bc"]
    assert path(edges, "a", "z") is None
    assert len(components("abcz", edges)) == 2
    assert match({0: ["x"], 1: ["x", "y"]}) == {0: "x", 1: "y"}
    assert in_order({0: {1}, 1: set(), 2: {3}, 3: {2}}) == [[1], [0], [2, 3]]
