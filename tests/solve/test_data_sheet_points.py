"""Points of data sheets come out of circuits on the device rung: h_FE, V_BE(sat), y_fs.

Every figure that the catalogue quotes from a document with its page is held: limits are kept, and
typical values met within what the sheet's own spread leaves meaningless. Figures from memory stay
out of this file.
"""

from __future__ import annotations

import re

import pytest
from scipy.optimize import brentq

from steadypoint.circuit import read_sheet
from steadypoint.devices import part_record, part_types
from steadypoint.solve import operating_point
from steadypoint.values import read_quantity

TYPICAL = 0.15
"""How far a typical value may be missed. [-]"""

FORCED = """
Q1 = {type}
from ground through IB {I_B} A to Q1 base
from ground through IC {I_C} A to Q1 collector
from Q1 emitter to ground
"""

HELD = """
Q1 = {type}
from ground through IB {I_B} A to Q1 base
from Q1 collector through VC {V_CE} V to ground
from Q1 emitter to ground
"""

CHANNEL = """
Q1 = {type}
from Q1 gate through VG {V_GS} V to ground
from Q1 drain through VD {V_DS} V to ground
from Q1 source to ground
"""


def conditions(at):
    """Numbers of ``I_C = 10 mA, V_CE = 1 V, 1 kHz``."""
    found = re.findall(r"(\w+) = ([^,]+)", at)
    return {
        symbol: read_quantity(text, symbol[0].replace("I", "A")).value for symbol, text in found
    }


def looked_up(symbol):
    return [
        (name, figure)
        for name in part_types()
        for figure in part_record(name).figures
        if figure.symbol == symbol and figure.page is not None
    ]


def ids(item):
    return f"{item[0]} {item[1].at}"


def sign_of(name):
    return -1.0 if part_record(name).kind in ("pnp", "p-channel JFET", "p-channel MOSFET") else 1.0


def held(figure, value, typical=TYPICAL):
    if figure.min is not None:
        assert value >= figure.min * (1 - 1e-9)
    if figure.max is not None:
        assert value <= figure.max * (1 + 1e-9)
    if figure.typ is not None:
        assert value == pytest.approx(figure.typ, rel=typical)


SATURATED = looked_up("V_BE_sat")
GAINS = looked_up("h_FE")
ADMITTANCES = looked_up("y_fs")


@pytest.mark.parametrize("figures", [SATURATED, GAINS, ADMITTANCES], ids=["sat", "gain", "y_fs"])
def test_at_least_eight_types_are_held_to_their_sheet(figures):
    assert len({name for name, _ in figures}) >= 8


@pytest.mark.parametrize("item", SATURATED, ids=ids)
def test_base_emitter_saturation_voltage(item):
    name, figure = item
    s, at = sign_of(name), conditions(figure.at)
    sheet = FORCED.format(type=name, I_B=s * at["I_B"], I_C=s * at["I_C"])
    t = operating_point(read_sheet(sheet), "device").transistors["Q1"]
    assert abs(t.V_CE) < 1.0
    held(figure, abs(t.V_BE))


@pytest.mark.parametrize("item", GAINS, ids=ids)
def test_current_gain_at_small_and_large_currents(item):
    name, figure = item
    s, at = sign_of(name), conditions(figure.at)

    def found(I_B):
        sheet = HELD.format(type=name, I_B=s * I_B, V_CE=s * at["V_CE"])
        return operating_point(read_sheet(sheet), "device").transistors["Q1"]

    I_B = brentq(lambda i: abs(found(i).I_C) - at["I_C"], at["I_C"] / 3e3, at["I_C"], rtol=1e-7)
    held(figure, at["I_C"] / I_B)


@pytest.mark.parametrize("item", ADMITTANCES, ids=ids)
def test_transconductance_of_field_effect_types(item):
    name, figure = item
    s, at = sign_of(name), conditions(figure.at)

    def I_D(V_GS):
        sheet = CHANNEL.format(type=name, V_GS=s * V_GS, V_DS=s * at["V_DS"])
        return abs(operating_point(read_sheet(sheet), "device").fets["Q1"].I_D)

    V_GS = at.get("V_GS")
    if V_GS is None:
        V_GS = brentq(lambda v: I_D(v) - at["I_D"], -8.0, 10.0, rtol=1e-9)
    slope = (I_D(V_GS + 1e-3) - I_D(V_GS - 1e-3)) / 2e-3
    held(figure, slope)
