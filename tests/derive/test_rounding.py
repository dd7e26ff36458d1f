"""The rounding chain: results rounded to three digits and carried on, against a printed example."""

from __future__ import annotations

import pytest

from steadypoint.circuit import read_sheet
from steadypoint.derive import Number, Symbol, derive, evaluate, round_as_on_board

# R. L. Boylestad, L. Nashelsky, "Electronic Devices and Circuit Theory", 11th ed., 2013, ex. 4.4
# (emitter bias, V_CC = 20 V, R_B = 430 kΩ, R_C = 2 kΩ, R_E = 1 kΩ, β = 50), from memory: the book
# prints I_B = 40.1 µA and goes on with it: I_C = 50 × 40.1 µA = 2.01 mA. Unrounded it is 2.006 mA.
EMITTER_BIAS = """
VCC = 20 V
Q1 = npn, beta 50
from VCC through RB 430k to Q1 base
from VCC through RC 2k to Q1 collector
from Q1 emitter through RE 1k to ground
"""

DIVIDER = """
VCC = 15 V
Q1 = npn, beta 140
from VCC through R1 39k to Q1 base
from Q1 base through R2 8k2 to ground
from VCC through RC 3k9 to Q1 collector
from Q1 emitter through RE 1k5 to ground
"""


def test_boylestad_ex_4_4_rounding_chain():
    working = derive(read_sheet(EMITTER_BIAS), rounded=True)
    assert working.value("I_B") == pytest.approx(40.1e-6, rel=1e-12)
    assert working.value("I_C") == pytest.approx(2.01e-3, rel=1e-12)
    assert working.carried["I_C"] == pytest.approx(19.3 / 481e3 * 50, rel=1e-12)


@pytest.mark.parametrize("rung", ["exact", "board"])
@pytest.mark.parametrize("R_B", ["100k", "330k", "390k", "820k"])
def test_every_line_follows_from_the_figures_that_stand_in_it(rung, R_B):
    working = derive(read_sheet(EMITTER_BIAS.replace("430k", R_B)), rung, rounded=True)
    for step in working:
        for line in step.lines:
            if line.numbers is None or line.result is None:
                continue
            computed = evaluate(line.numbers, {})
            assert line.result.value == pytest.approx(computed, rel=6e-3), step.heading
            assert float(f"{line.result.value:.3g}") == pytest.approx(line.result.value, rel=1e-9)


def test_the_last_step_names_what_the_rounding_moves():
    plain = derive(read_sheet(DIVIDER))
    working = round_as_on_board(plain)
    last = working[-1]
    assert last.heading == "What the rounding moves"
    named = {line.left.name: line.right for line in last.lines if isinstance(line.left, Symbol)}
    assert named
    for symbol, figure in named.items():
        assert isinstance(figure, Number)
        assert figure.value == plain.value(symbol)
        assert f"{figure.value:.3g}" != f"{working.value(symbol):.3g}"
    for symbol, value in plain.values.items():
        if symbol in working.carried and symbol not in named:
            assert working.value(symbol) == pytest.approx(value, rel=6e-3)


def test_rounding_twice_changes_nothing():
    working = derive(read_sheet(EMITTER_BIAS), rounded=True)
    assert round_as_on_board(working) is working
