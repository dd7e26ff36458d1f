"""The transistor taken out: the star it sees, against SymPy, closed forms and ``solve``."""

from __future__ import annotations

import pytest
import sympy
from as_sympy import as_sympy, symbols
from one_transistor_circuits import random_circuit

from steadypoint.circuit import GROUND, Circuit, Kind, arrangements, read_sheet
from steadypoint.derive import Derivation, derive, to_text
from steadypoint.errors import CircuitError, SteadypointError
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
FED_DIVIDER = """
VCC = 10 V
Q1 = npn, beta 110
from VCC through RC 3k3 to Q1 collector
from Q1 collector through R1 68k to Q1 base
from Q1 base through R2 12k to ground
from Q1 emitter through RE 330 to ground
"""
BRIDGED = """
VCC = 15 V
VEE = -6 V
Q1 = npn, beta 90
from VCC through RC 2k7 to Q1 collector
from Q1 collector through R1 22k, R2 33k to Q1 base
from R1.end through R3 47k to VEE
from Q1 emitter through RE 1k to VEE
from Q1 collector through R4 8k2 to Q1 emitter
"""
FEEDBACK_RE = """
VCC = 10 V
Q1 = npn, beta 110
from VCC through RC 3k3 to Q1 collector
from Q1 collector through RB 220k to Q1 base
from Q1 emitter through RE 470 to ground
"""


def worked() -> list[object]:
    out = []
    for one in arrangements():
        parts = one.circuit.transistors
        if len(parts) == 1 and parts[0].kind in (Kind.NPN, Kind.PNP):
            (solved,) = operating_point(one.circuit).transistors.values()
            if solved.region is Region.ACTIVE:
                out.append(pytest.param(one.circuit, id=one.name))
    sheets = {"divider": DIVIDER, "pnp": PNP, "fed divider": FED_DIVIDER, "bridged": BRIDGED}
    return out + [pytest.param(read_sheet(s), id=name) for name, s in sheets.items()]


def star_by_sympy(circuit: Circuit) -> dict[str, float]:
    """Arms of the star from the node equations of the shorted circuit, in exact numbers.

    A unit current is pressed through two leads; r_E is what both loops share.
    """
    (part,) = circuit.transistors
    nodes = dict(zip("CBE", part.nodes, strict=True))
    resistors = [p for p in circuit.parts if p.kind is Kind.RESISTOR]
    rails = {GROUND} | {n for p in circuit.supplies for n in p.nodes}
    free = sorted({n for p in resistors for n in p.nodes} - rails)
    volts = {n: sympy.Symbol(f"v{i}") for i, n in enumerate(free)} | dict.fromkeys(rails, 0)

    def rise(lead: str) -> dict[str, sympy.Expr]:
        rows = []
        for node in free:
            leaving = sum(
                (volts[node] - volts[p.nodes[1 - p.nodes.index(node)]])
                / sympy.nsimplify(p.value.value)
                for p in resistors
                if node in p.nodes
            )
            rows.append(leaving - int(node == nodes[lead]) + int(node == nodes["E"]))
        found = sympy.solve(rows, [volts[n] for n in free], dict=True)[0] if rows else {}
        return {x: sympy.sympify(volts[nodes[x]]).subs(found) for x in "CBE"}

    base, collector = rise("B"), rise("C")
    r_E = base["C"] - base["E"]
    return {
        "r_E": float(r_E),
        "r_B": float(base["B"] - base["E"] - r_E),
        "r_C": float(collector["C"] - collector["E"] - r_E),
    }


@pytest.mark.parametrize("circuit", worked())
def test_the_way_leads_to_the_same_point(circuit):
    working, loops = derive(circuit, way="thevenin"), derive(circuit)
    (part,) = circuit.transistors
    span = "V_CE" if part.kind is Kind.NPN else "V_EC"
    for symbol in ("I_B", "I_C", "I_E", span):
        assert working.value(symbol) == pytest.approx(loops.value(symbol), rel=1e-9)
    assert working[-1].heading == "Check the region"


@pytest.mark.parametrize("sheet", [DIVIDER, FED_DIVIDER, BRIDGED, PNP, FEEDBACK_RE])
def test_the_star_is_what_sympy_finds_in_the_shorted_circuit(sheet):
    circuit = read_sheet(sheet)
    working = derive(circuit, way="thevenin")
    for arm, ohms in star_by_sympy(circuit).items():
        assert working.value(arm) == pytest.approx(ohms, rel=1e-9, abs=1e-9)


def test_the_divider_comes_first_and_the_closed_form_in_its_letters():
    # Boylestad & Nashelsky, Electronic Devices and Circuit Theory, 11th ed., 2013, voltage-divider
    # bias, exact analysis: I_B = (E_TH - V_BE) / (R_TH + (β + 1) R_E); from memory
    working = derive(read_sheet(DIVIDER), way="thevenin")
    assert [s.heading for s in working][1] == "Thévenin equivalent at the base"
    general, written = working.step("Solve for I_B").lines
    assert to_text(general.right) == "(V_BE,open − V_BE)/(r_B + (β + 1) r_E)"
    assert to_text(written.right) == "(V_TH − V_BE)/(R_TH + (β + 1) R_E)"


def test_collector_feedback_shares_its_collector_resistor():
    # the same book's collector feedback, with β + 1 in the place of its approximate β
    working = derive(read_sheet(FEEDBACK_RE), way="thevenin")
    written = working.step("Solve for I_B").lines[-1]
    V_CC, V_BE, RB, RC, RE, b = symbols("VCC V_BE RB RC RE beta")
    form = (V_CC - V_BE) / (RB + (b + 1) * (RC + RE))
    assert sympy.simplify(as_sympy(written.right) - form) == 0


def test_a_delta_becomes_a_star():
    # delta to star: each arm the product of two neighbours over the sum of the three (A. E.
    # Kennelly, "The equivalence of triangles and three-pointed stars in conducting networks",
    # Electrical World 34, 1899; from memory)
    working = derive(read_sheet(FED_DIVIDER), way="thevenin")
    whole = 3.3e3 + 68e3 + 12e3
    assert working.value("r_B") == pytest.approx(68e3 * 12e3 / whole, rel=1e-12)
    assert working.value("r_C") == pytest.approx(68e3 * 3.3e3 / whole, rel=1e-12)
    assert working.value("r_E") == pytest.approx(12e3 * 3.3e3 / whole + 330, rel=1e-12)
    assert working.value("V_BE_open") == pytest.approx(10 * 12e3 / whole, rel=1e-12)


def test_random_circuits_agree_with_solve():
    done = 0
    for seed in range(4000, 4250):
        circuit = random_circuit(seed)
        try:
            (solved,) = operating_point(circuit).transistors.values()
        except SteadypointError:
            continue
        if solved.region is not Region.ACTIVE or any(
            p.kind in (Kind.CURRENT_SOURCE, Kind.DIODE, Kind.ZENER) for p in circuit.parts
        ):
            continue
        working = derive(circuit, way="thevenin")
        assert working.value("I_C") == pytest.approx(abs(solved.I_C), rel=1e-9), seed
        done += 1
    assert done > 10


def test_one_quantity_and_the_rounded_chain_work_here_too():
    circuit = read_sheet(DIVIDER)
    headings = [s.heading for s in derive(circuit, way="thevenin").find("V_CE")]
    assert headings[-2:] == ["Collector–emitter voltage", "Check the region"]
    assert "Look back into the circuit" in headings
    rounded: Derivation = derive(circuit, way="thevenin", rounded=True)
    assert float(f"{rounded.value('I_B'):.3g}") == pytest.approx(rounded.value("I_B"), rel=1e-12)


@pytest.mark.parametrize(
    ("change", "rung", "said"),
    [
        (("RC 3k3", "RC 33k"), "exact", "by loops"),
        (("", ""), "board", "exact"),
        (("through RE 560 to ground", "through ITAIL 1m to ground"), "exact", "current source"),
    ],
)
def test_where_the_way_does_not_lead_it_says_so(change, rung, said):
    with pytest.raises(CircuitError, match=said):
        derive(read_sheet(DIVIDER.replace(*change)), rung, way="thevenin")


@pytest.mark.parametrize("way", ["nodes", "thevenin"])
def test_field_effect_transistors_are_worked_by_loops(way):
    fets = [a.circuit for a in arrangements() if a.circuit.fets]
    assert fets
    for circuit in fets:
        with pytest.raises(CircuitError, match="by loops"):
            derive(circuit, way=way)
