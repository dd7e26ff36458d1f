"""The node-voltage way, with SymPy solving the exported set, and against ``solve``."""

from __future__ import annotations

import pytest
import sympy

from steadypoint.circuit import Kind, arrangements, read_sheet
from steadypoint.derive import Derivation, derive, to_sympy
from steadypoint.errors import CircuitError
from steadypoint.solve import Region, operating_point

DIVIDER = """
VCC = 9 V
Q1 = npn, beta 150
from VCC through R1 47k to Q1 base
from Q1 base through R2 10k to ground
from VCC through RC 3k3 to Q1 collector
from Q1 emitter through RE 560 to ground
"""
PNP = """
VEE = 12 V
Q1 = pnp, beta 80
from Q1 base through R1 22k to ground
from VEE through R2 4k7 to Q1 base
from Q1 collector through RC 1k5 to ground
from VEE through RE 470 to Q1 emitter
"""
DIODE = """
VCC = 9 V
Q1 = npn, beta 150
from VCC through R1 47k to Q1 base
from Q1 base through D1, R2 10k to ground
from VCC through RC 2k2 to Q1 collector
from Q1 emitter through RE 1k to ground
"""


def worked() -> list[object]:
    out = []
    for one in arrangements():
        parts = one.circuit.transistors
        if len(parts) == 1 and parts[0].kind in (Kind.NPN, Kind.PNP):
            (solved,) = operating_point(one.circuit).transistors.values()
            if solved.region is Region.ACTIVE:
                out.append(pytest.param(one.circuit, id=one.name))
    sheets = {"divider": DIVIDER, "pnp": PNP, "diode": DIODE}
    return out + [pytest.param(read_sheet(s), id=name) for name, s in sheets.items()]


def solved_by_sympy(working: Derivation) -> dict[str, float]:
    """Solution of the set as it stands on the board, with the stated values put in exactly."""
    stated = ("Node equations", "Junctions")
    lines = [line for step in working if step.heading in stated for line in step.lines]
    found = [line.left.name for line in working.step("Solve the set").lines]
    unknown = {name: sympy.Symbol(f"x{place}") for place, name in enumerate(found)}
    rows = []
    for line in lines:
        row = to_sympy(line.left) - to_sympy(line.right)
        puts = {
            s: unknown.get(s.name, sympy.Rational(str(working.values.get(s.name))))
            if s.name not in unknown
            else unknown[s.name]
            for s in row.free_symbols
        }
        rows.append(row.subs(puts))
    (solution,) = sympy.linsolve(rows, list(unknown.values()))
    return {name: float(x) for name, x in zip(found, solution, strict=True)}


@pytest.mark.parametrize("circuit", worked())
def test_node_voltages_lead_to_the_same_point(circuit):
    working = derive(circuit, way="nodes")
    loops = derive(circuit)
    (part,) = circuit.transistors
    span = "V_CE" if part.kind is Kind.NPN else "V_EC"
    for symbol in ("I_B", "I_C", "I_E", span):
        assert working.value(symbol) == pytest.approx(loops.value(symbol), rel=1e-9)
    (solved,) = operating_point(circuit).transistors.values()
    assert working.value("I_C") == pytest.approx(abs(solved.I_C), rel=1e-6)
    assert working[-1].heading == "Check the region"
    for name, value in solved_by_sympy(working).items():
        assert working.value(name) == pytest.approx(value, rel=1e-9, abs=1e-12)


def test_there_are_as_many_circuits_as_the_way_is_for():
    assert len(worked()) > 8


def test_figures_stand_beside_the_letters_that_are_unknown():
    text = derive(read_sheet(DIVIDER), way="nodes").text().replace("\u202f", " ")
    assert "(V_B − V_CC)/R_1 + V_B/R_2 + I_B = 0" in text
    assert "(V_B − 9 V)/47 kΩ + V_B/10 kΩ + I_B = 0" in text


@pytest.mark.parametrize(
    ("change", "rung", "way", "said"),
    [
        (("RC 3k3", "RC 33k"), "exact", "nodes", "by loops"),
        (("", ""), "board", "nodes", "exact"),
        (("", ""), "exact", "guess", "loops, nodes or"),
    ],
)
def test_where_the_way_does_not_lead_it_says_so(change, rung, way, said):
    with pytest.raises(CircuitError, match=said):
        derive(read_sheet(DIVIDER.replace(*change)), rung, way=way)
