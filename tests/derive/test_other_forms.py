"""Spoken words, SymPy equations and the chain to one quantity."""

from __future__ import annotations

import builtins
import re
import subprocess
import sys

import pytest
import sympy

from steadypoint.circuit import arrangements, read_sheet
from steadypoint.derive import Symbol, derive, to_spoken, to_sympy
from steadypoint.derive._expr import symbols
from steadypoint.derive._find import findable
from steadypoint.errors import CircuitError, DerivationError

DIVIDER = """
VCC = 9 V
Q1 = npn, beta 150
from VCC through R1 47k to Q1 base
from Q1 base through R2 10k to ground
from VCC through RC 3k3 to Q1 collector
from Q1 emitter through RE 560 to ground
"""

SATURATED = """
VCC = 9 V
Q1 = npn
from VCC through RB 47k to Q1 base
from VCC through RC 3k3 to Q1 collector
from Q1 emitter to ground
"""

ALL = [(one, rung) for one in arrangements() for rung in ("exact", "board")]


def label(item: object) -> str:
    return str(getattr(item, "name", item))


@pytest.mark.parametrize(("one", "rung"), ALL, ids=label)
def test_spoken_text_holds_words_only(one, rung):
    said = derive(one.circuit, rung).spoken()
    strange = set(re.findall(r"[^A-Za-zéî ,.;:()'’?\n-]", said))
    assert not strange, strange
    assert not re.search(r" [,.;:]|,,|  |\.\.", said)


def test_spoken_figures_are_read_as_a_lecturer_reads_them():
    working = derive(read_sheet(DIVIDER))
    said = to_spoken(working.step("Solve for I_B").lines[0])
    assert said.startswith(
        "The base current, I B, equals the fraction, V Thévenin minus V B E, over,"
    )
    assert "one hundred and fifty-one times five hundred and sixty ohms" in said
    assert said.endswith("nine point four seven microamperes.")


@pytest.mark.parametrize("sheet", [DIVIDER, SATURATED])
@pytest.mark.parametrize("rung", ["exact", "board"])
def test_sympy_equations_hold_at_the_point(sheet, rung):
    """SymPy puts the figures in; nothing of the working's own arithmetic is used."""
    working = derive(read_sheet(sheet), rung)
    equations = working.sympy()
    last = working[-1:] and equations[-4:]
    for equation in last:
        values = {s: working.values[s.name] for s in equation.free_symbols if s.name != "T"}
        if any(s.name == "T" for s in equation.free_symbols):
            continue
        both = [float(side.subs(values)) for side in (equation.lhs, equation.rhs)]
        assert both[0] == pytest.approx(both[1], abs=1e-9)


def test_sympy_solves_the_exported_loops_to_the_textbook_form():
    """Sedra & Smith, Microelectronic Circuits, 5th ed., 2004, eq. 5.70 (from memory).

    I_E = (V_BB - V_BE)/(R_E + R_B/(beta + 1)), from the loop equations alone.
    """
    working = derive(read_sheet(DIVIDER))
    place = [s.heading for s in working].index("Substitute")
    (loop,) = (to_sympy(line.left) for line in working[place].lines)
    I_B = sympy.Symbol("I_B", real=True)
    beta, RE, R = (sympy.Symbol(n, positive=True) for n in ("beta", "RE", "R_thev"))
    V, V_BE = (sympy.Symbol(n, real=True) for n in ("V_thev", "V_BE"))
    (solution,) = sympy.solve(loop, I_B)
    assert sympy.simplify(solution * (beta + 1) - (V - V_BE) / (RE + R / (beta + 1))) == 0


def test_sympy_is_not_loaded_before_it_is_asked_for():
    program = (
        "import sys; from steadypoint.circuit import arrangement;"
        "from steadypoint.derive import derive;"
        "d = derive(arrangement('voltage divider').circuit); d.text(); d.spoken();"
        "assert 'sympy' not in sys.modules; d.sympy(); assert 'sympy' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", program], check=True)


def test_missing_sympy_is_said_in_one_sentence(monkeypatch):
    working = derive(read_sheet(DIVIDER))
    real = builtins.__import__

    def without(name, *rest, **more):
        if name == "sympy":
            raise ImportError(name)
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(DerivationError, match="extra 'sympy'"):
        working.sympy()


@pytest.mark.parametrize(("one", "rung"), ALL, ids=label)
def test_chain_to_each_quantity_stands_by_itself(one, rung):
    """All that its lines speak of is stated on the sheet or found in the chain before."""
    working = derive(one.circuit, rung)
    if working.fallback:
        return
    for wanted in findable(working):
        chain = working.find(wanted)
        assert len(chain) <= len(working)
        found: set[str] = set()
        target = wanted.replace("TH", "thev")
        for place, step in enumerate(chain):
            assert all(i < place for i in step.rests_on)
            for line in step.lines:
                if line.result is None or line.sign == "→":
                    continue
                used = set(symbols(line.right)) - {target}
                computed = {
                    s for w in working for x in w.lines if x.result for s in symbols(x.left)
                }
                missing = (used & computed) - found
                assert not missing, (wanted, step.heading, missing)
                found |= {line.left.name} if isinstance(line.left, Symbol) else set()
        assert target in found


def test_chain_leaves_out_what_it_does_not_need():
    working = derive(read_sheet(DIVIDER))
    assert [s.heading for s in working.find("V_TH")] == ["Thévenin equivalent at the base"]
    headings = [s.heading for s in working.find("I_B")]
    assert "Output loop" not in headings
    assert headings[-1] == "Check the region"
    assert {"Feedback", "Limit"}.isdisjoint(headings)


def test_chain_of_a_saturated_transistor_starts_from_the_assumption_that_holds():
    headings = [s.heading for s in derive(read_sheet(SATURATED)).find("Q1.I_C")]
    assert headings == ["New assumption", "Output loop", "Solve for I_C", "Check the region"]


def test_pnp_is_found_by_either_order_of_letters():
    sheet = DIVIDER.replace("npn", "pnp").replace("VCC", "VEE").replace("9 V", "-9 V")
    working = derive(read_sheet(sheet))
    assert working.find("V_CE") == working.find("V_EC")


@pytest.mark.parametrize(
    ("wanted", "said"),
    [("I_X", "Did you mean I_"), ("Q7.I_C", "no transistor"), ("", "finds no")],
)
def test_what_is_not_found_earns_a_sentence(wanted, said):
    with pytest.raises(CircuitError, match=said):
        derive(read_sheet(DIVIDER)).find(wanted)
